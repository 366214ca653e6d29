// Reading what somebody drops or pastes, without changing a letter of it. What is in it is only looked at here; the server reads it.

/**
 * @typedef {Object} Incoming
 * @property {string} name
 * @property {string} text      the file as it is
 * @property {Object} data      the same, read
 * @property {boolean} plan     it is a plan of ours: it has a holding, or things with a kind
 * @property {{areas: number, lines: number, points: number, other: number}} counts
 * @property {number} unkinded  things without a kind
 */

const GROUP = { Polygon: 'areas', MultiPolygon: 'areas', LineString: 'lines', MultiLineString: 'lines', Point: 'points', MultiPoint: 'points' };

/** @returns {Incoming|{wrong: string}} wrong is a key of the catalogue of words */
export function readFile(name, text) {
  let data;
  try {
    data = JSON.parse(text.replace(/^\ufeff/, ''));
  } catch {
    return { wrong: 'files.not-json' };
  }
  const features = featuresOf(data);
  if (!features) return { wrong: 'files.not-geojson' };
  const counts = { areas: 0, lines: 0, points: 0, other: 0 };
  let unkinded = 0;
  for (const f of features) {
    if (typeof f?.properties?.kind === 'string') continue;
    unkinded += 1;
    counts[GROUP[f?.geometry?.type] ?? 'other'] += 1;
  }
  return { name, text, data, plan: Object.hasOwn(data, 'holding') || (features.length > 0 && unkinded < features.length), counts, unkinded, total: features.length };
}

/** Tags by which a map of OpenStreetMap is known. */
const TAGS = ['barrier', 'natural', 'highway', 'building', 'waterway', 'landuse', 'power'];

/**
 * Whether the server must read it first: what is not JSON at all (GPX, KML, KMZ, GeoPackage), coordinates of a grid, or things that
 * say what they are by tags of OpenStreetMap.
 */
export function foreign(text) {
  if (!/^\s*\ufeff?[{[]/.test(text)) return text.trim() !== '';
  let data;
  try {
    data = JSON.parse(text.replace(/^\ufeff/, ''));
  } catch {
    return false;
  }
  const grid = data?.crs?.properties?.name;
  if (typeof grid === 'string' && !/CRS84|4326$/.test(grid)) return true;
  return (featuresOf(data) ?? []).some((f) => typeof f?.properties?.kind !== 'string' && TAGS.some((t) => typeof f?.properties?.[t] === 'string'));
}

function featuresOf(data) {
  if (data?.type === 'FeatureCollection' && Array.isArray(data.features)) return data.features;
  if (data?.type === 'Feature') return [data];
  if (GROUP[data?.type]) return [{ type: 'Feature', properties: {}, geometry: data }];
  if (data?.type === 'GeometryCollection' && Array.isArray(data.geometries)) return data.geometries.map((geometry) => ({ type: 'Feature', properties: {}, geometry }));
  return null;
}

/** The things of a file, each with a kind: its own, or the one chosen for areas, lines and points; '' leaves them out. */
export function kinded(data, chosen) {
  const out = [];
  for (const f of featuresOf(data) ?? []) {
    if (typeof f?.properties?.kind === 'string') {
      out.push(f);
      continue;
    }
    const kind = chosen[GROUP[f?.geometry?.type]];
    if (kind) out.push({ ...f, properties: { ...(f.properties ?? {}), kind } });
  }
  return out;
}

/**
 * The text of a plan to begin a holding with: the file to the letter where it needs nothing, else with kinds, ids, and a name where
 * it has none.
 */
export function planOf(incoming, chosen) {
  const { data, text } = incoming;
  if (data.type === 'FeatureCollection' && incoming.unkinded === 0 && Object.hasOwn(data, 'holding')) return text.replace(/^\ufeff/, '');
  const rest = data.type === 'FeatureCollection' ? data : {};
  const holding = { name: incoming.name.replace(/\.[^.]*$/, '') || undefined, ...(data.holding ?? {}) };
  return JSON.stringify({ ...rest, type: 'FeatureCollection', holding, features: named(kinded(data, chosen)) });
}

/** Things without an id get one that can be read: field-1 and so on. */
function named(features) {
  const ids = new Set(features.map((f) => String(f.id ?? '')));
  return features.map((f) => {
    if (f.id !== undefined && f.id !== null && f.id !== '') return f;
    let n = 1;
    while (ids.has(`${f.properties.kind}-${n}`)) n += 1;
    ids.add(`${f.properties.kind}-${n}`);
    return { ...f, id: `${f.properties.kind}-${n}` };
  });
}

/** Things to add to a holding that is there: those whose id is taken get a new one, so that none replaces another. */
export function added(features, taken) {
  const ids = new Set(taken);
  return features.map((f) => {
    const { id, ...rest } = f;
    if (id === undefined || id === null || id === '' || ids.has(String(id))) return rest;
    ids.add(String(id));
    return f;
  });
}

/** Is this the beginning of something to read, rather than words? */
export const looksLikeData = (text) => /^\s*\ufeff?\{[\s\S]*"type"\s*:/.test(text) || /^\s*<(\?xml|gpx|kml)/i.test(text);
