// The corners of a geometry, to read and to change by number, coordinates, chainage or leg. The position that closes a ring is not
// a corner of its own. Nothing here alters its arguments. Metres of the sheet; bearings clockwise from north.

import { along, atChainage, bearing, distance, lengthOf } from './measure.js';

/** Lists of positions of a geometry, each with whether it is a ring, in the order corners are numbered. */
function runs(g) {
  const c = g?.coordinates;
  switch (g?.type) {
    case 'Point': return [{ list: [c], ring: false, part: 0 }];
    case 'MultiPoint': return c.map((p, part) => ({ list: [p], ring: false, part }));
    case 'LineString': return [{ list: c, ring: false, part: 0 }];
    case 'MultiLineString': return c.map((list, part) => ({ list, ring: false, part }));
    case 'Polygon': return c.map((list, i) => ({ list: open(list), ring: true, part: 0, hole: i > 0 }));
    case 'MultiPolygon': return c.flatMap((p, part) => p.map((list, i) => ({ list: open(list), ring: true, part, hole: i > 0 })));
    default: return [];
  }
}

const same = (a, b) => a[0] === b[0] && a[1] === b[1];
const open = (ring) => (ring.length > 1 && same(ring[0], ring[ring.length - 1]) ? ring.slice(0, -1) : ring);
const shut = (ring) => (ring.length ? [...ring, ring[0]] : ring);

/** The geometry of the same type made of changed runs. */
function rebuilt(g, list) {
  const lines = list.map((r) => (r.ring ? shut(r.list) : r.list));
  switch (g.type) {
    case 'Point': return { type: 'Point', coordinates: lines[0][0] };
    case 'MultiPoint': return { type: 'MultiPoint', coordinates: lines.map((l) => l[0]) };
    case 'LineString': return { type: 'LineString', coordinates: lines[0] };
    case 'MultiLineString': return { type: 'MultiLineString', coordinates: lines };
    case 'Polygon': return { type: 'Polygon', coordinates: lines };
    default: {
      const parts = [];
      list.forEach((r, i) => { (parts[r.part] ??= []).push(lines[i]); });
      return { type: 'MultiPolygon', coordinates: parts.filter(Boolean) };
    }
  }
}

/** Changes the run that holds corner i: change(list, n) gives the new list, or null where it would have too few. */
function changed(g, i, change) {
  const list = runs(g);
  let before = 0;
  for (const r of list) {
    if (i < before + r.list.length) {
      const next = change(r.list, i - before, r);
      return next && rebuilt(g, list.map((x) => (x === r ? { ...r, list: next } : x)));
    }
    before += r.list.length;
  }
  return null;
}

/**
 * Every corner: {i, at: [x, y], part, hole, ring, n: place in its run, leg: metres from the corner before, bearing of that leg,
 * chainage: metres from the start of its run}. The first corner of a ring has the closing leg; of a line, none (null).
 */
export function corners(g) {
  let i = 0;
  return runs(g).flatMap((r) => {
    let chainage = 0;
    return r.list.map((at, n) => {
      const from = n > 0 ? r.list[n - 1] : r.ring ? r.list[r.list.length - 1] : null;
      if (n > 0) chainage += distance(from, at);
      return { i: i++, at, part: r.part, hole: Boolean(r.hole), ring: r.ring, n, chainage,
        leg: from ? distance(from, at) : null, bearing: from ? bearing(from, at) : null };
    });
  });
}

/** The geometry with corner i at another place. */
export const setCorner = (g, i, at) => changed(g, i, (list, n) => list.map((p, j) => (j === n ? at : p)));

/** The geometry with corner i moved by metres east and north. */
export const moveCorner = (g, i, dx, dy) => changed(g, i, (list, n) => list.map((p, j) => (j === n ? [p[0] + dx, p[1] + dy] : p)));

/** The geometry with corner i set by length and bearing from the corner before it; null for the start of a line. */
export const setLeg = (g, i, length, deg) => changed(g, i, (list, n, r) => {
  const from = n > 0 ? list[n - 1] : r.ring ? list[list.length - 1] : null;
  return from && list.map((p, j) => (j === n ? along(from, length, deg) : p));
});

/** The geometry with an inner corner of a line slid along it to a chainage between its neighbours'; null where it cannot be. */
export const setChainage = (g, i, chainage) => changed(g, i, (list, n, r) => {
  const [from, to] = [lengthOf(list.slice(0, n)), lengthOf(list.slice(0, n + 2))];
  if (r.ring || list.length < 2 || chainage < 0) return null;
  if (n > 0 && n < list.length - 1 && (chainage <= from || chainage >= to)) return null;
  if (n === 0 && chainage >= distance(list[0], list[1])) return null;
  if (n === list.length - 1) {
    // The end goes on in the direction of the last leg.
    if (chainage <= from) return null;
    return [...list.slice(0, -1), along(list[n - 1], chainage - from, bearing(list[n - 1], list[n]))];
  }
  const at = atChainage(list, chainage);
  return list.map((p, j) => (j === n ? at : p));
});

/** The geometry with a new corner after corner i: at a place, or half way to the next. The end of a line takes none without a place. */
export const insertCorner = (g, i, at = null) => changed(g, i, (list, n, r) => {
  if (g.type === 'Point' || g.type === 'MultiPoint') return null;
  const next = list[n + 1] ?? (r.ring ? list[0] : null);
  if (!at && !next) return null;
  return [...list.slice(0, n + 1), at ?? [(list[n][0] + next[0]) / 2, (list[n][1] + next[1]) / 2], ...list.slice(n + 1)];
});

/** The geometry without corner i; null where a line would have fewer than two or a ring fewer than three. */
export const deleteCorner = (g, i) => changed(g, i, (list, n, r) => (list.length > (r.ring ? 3 : 2) ? list.filter((_, j) => j !== n) : null));

/** The whole geometry moved by metres east and north. */
export function moveAll(g, dx, dy) {
  const walk = (c) => (typeof c[0] === 'number' ? [c[0] + dx, c[1] + dy] : c.map(walk));
  return { ...g, coordinates: walk(g.coordinates) };
}

/**
 * A line cut in two at a chainage counted along its parts, without what lies between them; null where nothing would be left of one,
 * or for what is not a line.
 */
export function splitAt(g, chainage) {
  const parts = g.type === 'LineString' ? [g.coordinates] : g.type === 'MultiLineString' ? g.coordinates : null;
  if (!parts || chainage <= 0) return null;
  const [first, second] = [[], []];
  let before = 0;
  for (const line of parts) {
    const long = lengthOf(line);
    const here = chainage - before;
    if (here >= long - 1e-9) first.push(line);
    else if (here <= 1e-9) second.push(line);
    else {
      const at = atChainage(line, here);
      const head = [];
      const tail = [];
      let c = 0;
      line.forEach((p, i) => {
        if (i > 0) c += distance(line[i - 1], p);
        if (c < here - 1e-6) head.push(p);
        else if (c > here + 1e-6) tail.push(p);
      });
      first.push([...head, at]);
      second.push([at, ...tail]);
    }
    before += long;
  }
  const whole = (list) => (list.length === 1 ? { type: 'LineString', coordinates: list[0] } : { type: 'MultiLineString', coordinates: list });
  return first.length && second.length ? [whole(first), whole(second)] : null;
}
