// The ground and what lies flat on it: fields, wet patches, beds, protected ground, buildings, ponds, blocks of trees as outlines.

import { path } from './ink.js';
import { partsOf } from '../measure.js';

/** Ground classes from dry to standing water, as the vocabulary has them. */
export const moistures = ['dry', 'moist', 'damp', 'wet', 'waterlogged'];

/** A property as it holds for a feature: what is stated, else its default. */
export const holdsFor = (f, name) => f.properties?.[name] ?? f.defaults?.[name];

/**
 * How wet a field or patch is: what is stated; else, for a field whose plants were noted, the class that most of it has; else
 * the default. Undefined where nothing is known, or what the file says is no class.
 */
export function moistureOf(f) {
  const stated = f.properties?.moisture;
  if (stated !== undefined && stated !== null) return moistures.includes(stated) ? stated : undefined;
  if (f.properties?.sward && f.moisture_m2) {
    const [most] = Object.entries(f.moisture_m2).sort((a, b) => b[1] - a[1]);
    if (most && moistures.includes(most[0])) return most[0];
  }
  return moistures.find((m) => m === f.defaults?.moisture);
}

/** The order in which flat things lie on each other, undermost first. */
const layers = ['parcel', 'ground', 'protected', 'bed', 'orchard', 'grove', 'watercourse', 'septic', 'building'];

/**
 * The flat things.
 * @param sheet  @param p paper (see ink.js)  @param shows {moisture}
 */
export function land(sheet, p, shows = {}) {
  const kinds = new Map(layers.map((k) => [k, []]));
  for (const f of sheet.features) {
    const { polygons } = partsOf(f.geometry);
    if (polygons.length > 0) (kinds.get(f.kind) ?? kinds.get('parcel')).push([f, polygons.map((rings) => p.rings(rings)).join('')]);
  }
  const out = [];
  for (const [kind, list] of kinds) for (const [f, d] of list) out.push(flat(kind, f, d, shows));
  // A field's boundary lies over the patches in it.
  for (const [f, d] of kinds.get('parcel')) out.push(path(f.kind === 'parcel' ? 'boundary' : 'strange', d));
  return out.join('');
}

function flat(kind, f, d, shows) {
  const unsound = f.sound === false ? path('unsound', d) : '';
  switch (kind) {
    case 'parcel': return wetness(f, d, shows, '') + unsound;
    case 'ground': return wetness(f, d, shows, 'patch') + unsound;
    case 'bed': return path('bed', d, ' fill="url(#q-tilth)"') + unsound;
    case 'protected': return path('protected', d, ' fill="url(#q-keep)"') + unsound;
    case 'building': return path(holdsFor(f, 'dwelling') === true || holdsFor(f, 'dwelling') === 'yes' ? 'building dwelling' : 'building', d) + unsound;
    case 'watercourse': return path('pond', d) + path('none', d, ' fill="url(#q-waterlogged)"') + unsound;
    case 'septic': return path('soak', d, ' fill="url(#q-soak)"') + unsound;
    default: return path(`block ${kind}`, d) + unsound;
  }
}

/** Wet ground is drawn as broken water lines, closer together the wetter it is; with the overlay every class has tint and hatch. */
function wetness(f, d, shows, edge) {
  const m = moistureOf(f);
  const all = shows.moisture;
  const lines = all || m === 'damp' || m === 'wet' || m === 'waterlogged';
  return (all && m ? path(`tint ${m}`, d) : '')
    + (lines && m && m !== 'moist' ? path('none', d, ` fill="url(#q-${m})"`) : '')
    + (edge ? path(edge, d) : '');
}

/** Hatches, fixed to the land so that they do not swim when the drawing is renewed. */
export function hatches(p) {
  const [ox, oy] = p.origin.map((v) => Math.round(v * 10) / 10);
  const pattern = (id, w, h, d, cls, turn = '') => `<pattern id="q-${id}" width="${w}" height="${h}" patternUnits="userSpaceOnUse" patternTransform="translate(${ox} ${oy})${turn}"><path class="${cls}" d="${d}"/></pattern>`;
  return `<defs>${[
    pattern('dry', 22, 22, 'M4 5h.01M15 16h.01', 'h-dry'),
    pattern('damp', 44, 26, 'M4 7h9M26 20h9', 'h-water thin'),
    pattern('wet', 26, 14, 'M2 4h10M15 11h9', 'h-water'),
    pattern('waterlogged', 24, 10, 'M1 2.500h15M13 7.500h10', 'h-water thick'),
    pattern('tilth', 7, 7, 'M0 3.500h7', 'h-earth', ' rotate(12)'),
    pattern('keep', 14, 14, 'M0 7h14M7 0v14', 'h-keep', ' rotate(45)'),
    pattern('soak', 10, 10, 'M0 5h6', 'h-earth', ' rotate(90)'),
  ].join('')}</defs>`;
}
