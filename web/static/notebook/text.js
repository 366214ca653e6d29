// The running text of the land: what is there, what is planned, what is wrong, by area. It is worked out here as plain data and
// put on the page elsewhere. Lengths, areas and counts are the server's; only the order of the text is decided here.

import { say, num, metres, area, degrees } from '../strings.js';
import { inWords, labelOf, shown, unitOf, compass } from './fields.js';

/**
 * @typedef {Object} Entry
 * @property {string} id
 * @property {string} title
 * @property {string} kind       the kind in the user's words
 * @property {string[]} says     sentences
 * @property {Array} openings    of a hedge
 * @property {Array} findings    numbers stand on the sheet
 * @property {Entry[]} within
 *
 * @param sheet       as the server sent it
 * @param vocabulary
 * @returns {{title: string, says: string[], findings: Array, groups: {key: string, title: ?string, entries: Entry[]}[]}}
 */
export function landText(sheet, vocabulary) {
  const kinds = new Map(vocabulary.kinds.map((k) => [k.kind, k]));
  const byId = new Map();
  const found = new Map();
  const general = [];
  for (const f of sheet.findings) {
    const id = f.features[0];
    if (id === undefined) general.push(f);
    else found.set(id, [...(found.get(id) ?? []), f]);
  }
  for (const f of sheet.features) {
    byId.set(f.id, {
      id: f.id, feature: f, title: f.label || f.id, kind: kinds.get(f.kind)?.title ?? say('text.other-kind', { kind: f.kind || '?' }),
      says: sentences(f, kinds.get(f.kind), sheet, vocabulary), openings: f.openings ?? [], findings: found.get(f.id) ?? [], within: [],
    });
    found.delete(f.id);
  }
  for (const rest of found.values()) general.push(...rest);
  general.sort((a, b) => a.n - b.n);
  return { title: sheet.name, says: holding(sheet), findings: general, groups: groups(sheet, byId) };
}

function holding(sheet) {
  const out = [];
  const fields = sheet.features.filter((f) => f.kind === 'parcel').length;
  if (sheet.features.length === 0) return [say('text.nothing')];
  const parts = [];
  if (fields > 0) parts.push(say(fields === 1 ? 'text.one-field' : 'text.fields', { area: area(sheet.parcels_m2), n: num(fields) }));
  if (sheet.hedge_m > 0) parts.push(say('text.hedge-length', { length: metres(sheet.hedge_m) }));
  if (parts.length > 0) out.push(`${parts.join('; ')}.`);
  if (sheet.planned > 0) out.push(say('text.to-plant', { plants: plants(sheet.planned), winter: winterOf(sheet) }).replace(/\s+\./, '.'));
  if (sheet.existing > 0) out.push(say('text.standing', { plants: plants(sheet.existing) }));
  out.push(say('text.wind', { deg: degrees(sheet.wind_from_deg), from: compass(sheet.wind_from_deg) }));
  return out;
}

function winterOf(sheet) {
  const w = sheet.holding?.planting_winter;
  return w ? say('text.in-winter', { winter: winter(w) }) : '';
}

/** 2026 is the winter of 2026 and 27. */
export const winter = (w) => `${w}/${String((w + 1) % 100).padStart(2, '0')}`;

export const plants = (n) => say(n === 1 ? 'text.plant' : 'text.plants', { n: num(n) });

/** Where each thing stands in the text: under its field, hedges by themselves, then what lies outside. */
function groups(sheet, byId) {
  const parcels = sheet.features.filter((f) => f.kind === 'parcel');
  const hedges = sheet.features.filter((f) => f.kind === 'hedge');
  const placed = new Set([...parcels, ...hedges].map((f) => f.id));
  for (const f of sheet.features) {
    if (placed.has(f.id)) continue;
    const home = homeOf(f, sheet, parcels, hedges);
    if (home) {
      byId.get(home).within.push(byId.get(f.id));
      placed.add(f.id);
    }
  }
  for (const p of parcels) byId.get(p.id).within.sort((a, b) => rank(a.feature) - rank(b.feature));
  const out = [];
  if (parcels.length > 0) out.push({ key: 'fields', title: null, entries: parcels.map((f) => byId.get(f.id)) });
  if (hedges.length > 0) out.push({ key: 'hedges', title: say('text.hedges'), entries: hedges.map((f) => byId.get(f.id)) });
  const rest = sheet.features.filter((f) => !placed.has(f.id)).sort((a, b) => rank(a) - rank(b));
  if (rest.length > 0) out.push({ key: 'rest', title: say(parcels.length > 0 ? 'text.around' : 'text.on-plan'), entries: rest.map((f) => byId.get(f.id)) });
  return out;
}

const ORDER = ['ground', 'bed', 'orchard', 'grove', 'windbreak', 'row', 'plant', 'screen', 'building', 'fence', 'wall', 'gateway', 'gap'];
const rank = (f) => (ORDER.indexOf(f.kind) + 1 || ORDER.length + 1);

/** The field or hedge under which a thing is told of, or undefined. */
function homeOf(f, sheet, parcels, hedges) {
  if (f.kind === 'gap' || f.kind === 'gateway') {
    const at = middle(f.geometry);
    for (const h of hedges) {
      for (const o of h.openings ?? []) {
        if (o.gateway === f.id) return h.id;
        if (f.kind === 'gap' && at && Math.hypot((o.a[0] + o.b[0]) / 2 - at[0], (o.a[1] + o.b[1]) / 2 - at[1]) < 3) return h.id;
      }
    }
  }
  if (f.area && parcels.some((p) => p.id === f.area)) return f.area;
  const at = middle(f.geometry);
  return at ? parcels.find((p) => inside(p.geometry, at))?.id : undefined;
}

/** A place that stands for a geometry: the middle corner of a line, the mean of a ring. Enough to sort by. */
export function middle(g) {
  if (!g) return null;
  const c = g.coordinates;
  switch (g.type) {
    case 'Point': return c;
    case 'MultiPoint': return c[0];
    case 'LineString': return halfway(c);
    case 'MultiLineString': return halfway(c[Math.floor(c.length / 2)]);
    case 'Polygon': return mean(c[0]);
    case 'MultiPolygon': return mean(c[0][0]);
    default: return null;
  }
}

const mean = (ring) => {
  const r = ring.slice(0, -1);
  return [0, 1].map((i) => r.reduce((s, p) => s + p[i], 0) / r.length);
};

function halfway(line) {
  const whole = line.reduce((s, p, i) => (i ? s + Math.hypot(p[0] - line[i - 1][0], p[1] - line[i - 1][1]) : 0), 0);
  let left = whole / 2;
  for (let i = 1; i < line.length; i++) {
    const d = Math.hypot(line[i][0] - line[i - 1][0], line[i][1] - line[i - 1][1]);
    if (d >= left && d > 0) return [0, 1].map((k) => line[i - 1][k] + (left / d) * (line[i][k] - line[i - 1][k]));
    left -= d;
  }
  return line[0];
}

function inside(g, [x, y]) {
  const polygons = g?.type === 'Polygon' ? [g.coordinates] : g?.type === 'MultiPolygon' ? g.coordinates : [];
  return polygons.some((rings) => rings.reduce((odd, ring) => odd !== crosses(ring, x, y), false));
}

function crosses(ring, x, y) {
  let odd = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [a, b] = [ring[i], ring[j]];
    if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) odd = !odd;
  }
  return odd;
}

/** What is said of one thing. */
function sentences(f, spec, sheet, vocabulary) {
  const out = [];
  const write = (...parts) => {
    const said = parts.filter(Boolean);
    if (said.length > 0) out.push(upper(`${said.join(', ')}.`));
  };
  switch (f.kind) {
    case 'parcel': write(size(f), moisture(f), stated(f, 'soil')); break;
    case 'hedge': hedge(f, write); break;
    case 'windbreak': write(lengthOf(f), growing(f)); write(rowsIn(f)); write(protects(f, sheet)); break;
    case 'orchard':
    case 'grove': write(size(f), growing(f), f.spacing_m ? say('text.at-spacing', { spacing: short(f.spacing_m) }) : '', f.pattern, f.bearing_deg !== undefined && f.pattern !== 'scatter' ? say('text.rows-along', { deg: degrees(f.bearing_deg) }) : ''); break;
    case 'row': write(lengthOf(f), growing(f), f.rows?.[0]?.spacing_m ? say('text.at-spacing', { spacing: short(f.rows[0].spacing_m) }) : ''); break;
    case 'plant': write(f.properties.species, f.properties.cultivar && say('text.cultivar', { name: f.properties.cultivar }), say(f.status === 'planned' ? 'text.planned' : 'text.stands')); break;
    default: write(size(f) || lengthOf(f));
  }
  write(...others(f, spec));
  const kinds = mixOf(f);
  if (kinds) out.push(upper(`${kinds}.`));
  if (f.failed) out.push(say('text.not-set-out', { why: inWords(vocabulary, f.failed) }));
  if (!f.sound) out.push(say('text.unsound'));
  if (f.properties.notes) out.push(shown({}, f.properties.notes));
  return out;
}

const short = (m) => `${Math.round(m * 100) / 100} m`;
const upper = (s) => (s.startsWith('pH') ? s : s.charAt(0).toUpperCase() + s.slice(1));
const size = (f) => (f.area_m2 === undefined || f.area_m2 === null ? '' : area(f.area_m2));
const lengthOf = (f) => (f.length_m === undefined || f.length_m === null ? '' : metres(f.length_m));
const stated = (f, name) => (f.properties[name] === undefined ? '' : shown({}, f.properties[name]));

function moisture(f) {
  const parts = Object.entries(f.moisture_m2 ?? {});
  if (parts.length === 1) return parts[0][0];
  return parts.sort((a, b) => b[1] - a[1]).map(([m, m2]) => say('text.of-it', { area: area(m2), what: m })).join(', ');
}

function hedge(f, write) {
  const plan = f.status === 'planned';
  write(say(plan ? 'text.new-hedge' : 'text.old-hedge', { length: lengthOf(f) || say('text.no-length') }), plan || f.plants > 0 ? growing(f) : '', plan && f.rows?.length ? rowsOf(f) : '');
  const gaps = (f.openings ?? []).filter((o) => !o.gateway).length;
  const gates = (f.openings ?? []).length - gaps;
  if (gaps + gates > 0) {
    const what = [gaps > 0 && say(gaps === 1 ? 'text.gap' : 'text.gaps', { n: num(gaps) }), gates > 0 && say(gates === 1 ? 'text.gate' : 'text.gates', { n: num(gates) })].filter(Boolean).join(` ${say('text.and')} `);
    write(say('text.open', { what, percent: num(f.gap_percent ?? 0, 1) }));
  }
}

function growing(f) {
  if (f.status !== 'planned') return f.plants > 0 ? say('text.to-fill', { plants: plants(f.plants) }) : say('text.stands');
  if (f.failed && !(f.plants > 0)) return ''; // that none are set out is said with the reason
  return say('text.plants-to-plant', { plants: plants(f.plants) });
}

const rowsOf = (f) => say(f.rows.length === 1 ? 'text.one-row' : 'text.n-rows', { n: num(f.rows.length) });

function rowsIn(f) {
  const rows = f.properties.rows;
  if (!Array.isArray(rows) || rows.length === 0) return '';
  return say('text.windward', { rows: rows.map((r) => r?.species ?? mixWords(r?.mix)).join('; ') });
}

function protects(f, sheet) {
  const ids = Array.isArray(f.properties.protects) ? f.properties.protects.map(String) : [];
  if (ids.length === 0) return '';
  return say('text.protects', { what: ids.map((id) => sheet.features.find((o) => o.id === id)?.label ?? id).join(', ') });
}

const mixWords = (mix) => (Array.isArray(mix) ? mix.map((s) => `${s?.species ?? '?'} ${s?.share_percent ?? '?'} %`).join(', ') : '');

function mixOf(f) {
  const p = f.properties;
  const parts = [];
  if (Array.isArray(p.mix)) parts.push(mixWords(p.mix));
  else if (typeof p.species === 'string' && f.kind !== 'plant') parts.push(p.species);
  if (Array.isArray(p.trees)) parts.push(p.trees.map((t) => [t?.count !== undefined ? num(t.count) : t?.share_percent !== undefined ? `${t.share_percent} %` : '', t?.species, t?.cultivar && say('text.cultivar', { name: t.cultivar }), t?.rootstock && say('text.on-stock', { stock: t.rootstock })].filter(Boolean).join(' ')).join(', '));
  if (Array.isArray(p.fill_mix)) parts.push(say('text.filled-with', { mix: mixWords(p.fill_mix) }));
  if (Array.isArray(p.tree_mix)) parts.push(say('text.hedge-trees', { mix: mixWords(p.tree_mix) }));
  return parts.filter(Boolean).join('; ');
}

const TOLD = new Set(['kind', 'name', 'notes', 'status', 'area', 'moisture', 'soil', 'species', 'cultivar', 'mix', 'trees', 'rows', 'fill_mix', 'tree_mix', 'protects', 'spacing_m', 'pattern', 'bearing_deg', 'shrinkable']);

/** Every other property that is stated and is a plain value, in words. */
function others(f, spec) {
  return (spec?.props ?? []).filter((p) => !TOLD.has(p.name) && f.properties[p.name] !== undefined && f.properties[p.name] !== null).map((p) => {
    const v = f.properties[p.name];
    if (typeof v === 'boolean') return v ? lower(labelOf(p.name)) : say('text.not', { what: lower(labelOf(p.name)) });
    if (p.type === 'winter') return say('text.stated', { what: lower(labelOf(p.name)), value: winter(v) });
    if (typeof v === 'object' && p.type !== 'choices' && p.type !== 'sward') return '';
    return say(p.type === 'choice' ? 'text.stated-choice' : 'text.stated', { what: lower(labelOf(p.name)), value: `${shown(p, v)} ${unitOf(p)}`.trim() });
  });
}

/** A label within a sentence; a sign such as pH stays as it is. */
function lower(label) {
  return label === 'pH' ? label : label.toLowerCase();
}
