// Lengths, bearings and areas of what is being drawn, in metres of the sheet. What is kept is measured by the server; these are for
// the readings beside the pointer. Bearings are degrees clockwise from north.

/** Distance between two points. */
export const distance = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** Bearing from a to b, 0 to under 360; 0 where they are the same. */
export function bearing(a, b) {
  const deg = Math.atan2(b[0] - a[0], b[1] - a[1]) * 180 / Math.PI;
  return deg < 0 ? deg + 360 : deg === 0 ? 0 : deg;
}

/** The point at a distance and bearing from another. */
export function along(a, length, deg) {
  const rad = deg * Math.PI / 180;
  return [a[0] + length * Math.sin(rad), a[1] + length * Math.cos(rad)];
}

/** Length of a line of points. */
export const lengthOf = (line) => line.reduce((sum, p, i) => (i ? sum + distance(line[i - 1], p) : 0), 0);

/** Area of a ring, closed or not: positive where it runs anticlockwise (the shoelace sum). */
export function signedArea(ring) {
  let sum = 0;
  for (let i = 0; i < ring.length; i++) {
    const [a, b] = [ring[i], ring[(i + 1) % ring.length]];
    sum += (a[0] - ring[0][0]) * (b[1] - ring[0][1]) - (b[0] - ring[0][0]) * (a[1] - ring[0][1]);
  }
  return sum / 2;
}

/** The nearest place to p on the piece from a to b: {at, t: 0 to 1, d: distance}. */
export function nearestOn(a, b, p) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const len2 = dx * dx + dy * dy;
  const t = len2 === 0 ? 0 : Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / len2));
  const at = [a[0] + t * dx, a[1] + t * dy];
  return { at, t, d: distance(at, p) };
}

/** The nearest place to p on a line of points: {at, d, i: index of the piece, t, chainage: metres from the start}. */
export function nearestOnLine(line, p) {
  let best = { at: line[0], d: line.length ? distance(line[0], p) : Infinity, i: 0, t: 0, chainage: 0 };
  let before = 0;
  for (let i = 0; i + 1 < line.length; i++) {
    const near = nearestOn(line[i], line[i + 1], p);
    const piece = distance(line[i], line[i + 1]);
    if (near.d < best.d) best = { ...near, i, chainage: before + near.t * piece };
    before += piece;
  }
  return best;
}

/** The point at a chainage of a line of points; the ends for what lies beyond them. */
export function atChainage(line, chainage) {
  let before = 0;
  for (let i = 0; i + 1 < line.length; i++) {
    const piece = distance(line[i], line[i + 1]);
    if (piece > 0 && chainage <= before + piece) {
      const t = Math.max(0, (chainage - before) / piece);
      return [line[i][0] + t * (line[i + 1][0] - line[i][0]), line[i][1] + t * (line[i + 1][1] - line[i][1])];
    }
    before += piece;
  }
  return line[line.length - 1];
}

/** Whether a point lies in a polygon of rings (outline, then holes), by the even-odd rule. */
export function inside(rings, [x, y]) {
  let odd = false;
  for (const ring of rings) {
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [a, b] = [ring[i], ring[j]];
      if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) odd = !odd;
    }
  }
  return odd;
}

/** The parts of a GeoJSON geometry as {points, lines, polygons}; none of a missing one. */
export function partsOf(geometry) {
  const c = geometry?.coordinates ?? [];
  switch (geometry?.type) {
    case 'Point': return { points: [c], lines: [], polygons: [] };
    case 'MultiPoint': return { points: c, lines: [], polygons: [] };
    case 'LineString': return { points: [], lines: [c], polygons: [] };
    case 'MultiLineString': return { points: [], lines: c, polygons: [] };
    case 'Polygon': return { points: [], lines: [], polygons: [c] };
    case 'MultiPolygon': return { points: [], lines: [], polygons: c };
    default: return { points: [], lines: [], polygons: [] };
  }
}

/** Every position of a geometry. */
export function positions(geometry) {
  const { points, lines, polygons } = partsOf(geometry);
  return [...points, ...lines.flat(), ...polygons.flat(2)];
}

/** Box round points [west, south, east, north], or null for none. */
export function boxRound(points) {
  if (points.length === 0) return null;
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    box[0] = Math.min(box[0], x);
    box[1] = Math.min(box[1], y);
    box[2] = Math.max(box[2], x);
    box[3] = Math.max(box[3], y);
  }
  return box;
}

/** Distance from a point to the edge of a polygon, negative outside it. */
export function depth(rings, p) {
  const d = Math.min(...rings.map((r) => nearestOnLine(closed(r), p).d));
  return inside(rings, p) ? d : -d;
}

const closed = (r) => (r.length && (r[0][0] !== r[r.length - 1][0] || r[0][1] !== r[r.length - 1][1]) ? [...r, r[0]] : r);

/** Places inside a polygon on a grid of n by n, the deepest first: [{at, d}]. */
export function roomy(rings, n = 9) {
  const box = boxRound(rings[0] ?? []);
  if (!box) return [];
  const out = [];
  for (let i = 1; i < n; i++) {
    for (let j = 1; j < n; j++) {
      const at = [box[0] + (box[2] - box[0]) * i / n, box[1] + (box[3] - box[1]) * j / n];
      const d = depth(rings, at);
      if (d > 0) out.push({ at, d });
    }
  }
  return out.sort((a, b) => b.d - a.d);
}

/**
 * A place well inside a polygon, where a name can stand: the middle of the widest of a grid of cells, halved where it may still
 * get better. Within 3 % of the polygon's size of the deepest place.
 */
export function middle(rings) {
  const box = boxRound(rings[0]);
  if (!box) return null;
  const size = Math.max(box[2] - box[0], box[3] - box[1], 1e-9);
  const cell = (x, y, h) => ({ at: [x, y], h, d: depth(rings, [x, y]) });
  let queue = [];
  const n = 4;
  const [w, hgt] = [(box[2] - box[0]) / n / 2, (box[3] - box[1]) / n / 2];
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) queue.push(cell(box[0] + w * (2 * i + 1), box[1] + hgt * (2 * j + 1), Math.max(w, hgt)));
  let best = queue.reduce((a, b) => (b.d > a.d ? b : a));
  for (let round = 0; round < 4; round++) {
    queue = queue.filter((c) => c.d + c.h * Math.SQRT2 > best.d + size * 0.03)
      .flatMap(({ at: [x, y], h }) => [[-1, -1], [1, -1], [-1, 1], [1, 1]].map(([a, b]) => cell(x + a * h / 2, y + b * h / 2, h / 2)));
    for (const c of queue) if (c.d > best.d) best = c;
  }
  return best;
}
