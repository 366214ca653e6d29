// A survey with a tape alone: two pegs and the distance between them, then each further peg by its distances from two pegs that are
// there already. A third distance to a peg checks it: the difference is the closing error, and so is what is left over where the
// last side comes back to a peg.
//
// Rows: {from: [i, j], lengths: [di, dj], side: 'left' | 'right', check: ?{from: k, length}}. Peg 0 is at the start, peg 1 at the
// base's length and bearing from it; row r makes peg r + 2. Left and right are seen going from peg i to peg j.

import { along, distance } from '../measure.js';

/** A closing error is common practice's limit for a chain survey over rough ground: 1 in 500 of what was taped. */
export const COMMON = 1 / 500;

/**
 * Where a peg lies that is a from A and b from B, to the left or right going from A to B. Distances that do not meet (a + b less
 * than AB, or their difference more) give null.
 */
export function meet(A, B, a, b, side) {
  const c = distance(A, B);
  if (!(c > 0) || !(a > 0) || !(b > 0)) return null;
  const x = (a * a - b * b + c * c) / (2 * c);
  const h2 = a * a - x * x;
  // Tape readings to the centimetre may miss a straight line by a hair.
  if (h2 < -0.02 * a) return null;
  const h = Math.sqrt(Math.max(0, h2)) * (side === 'right' ? -1 : 1);
  const [ux, uy] = [(B[0] - A[0]) / c, (B[1] - A[1]) / c];
  return [A[0] + ux * x - uy * h, A[1] + uy * x + ux * h];
}

/**
 * All pegs of a survey, and how well its checks close.
 * @param {{start: [number, number], base: {length, bearing}, rows: Array}} survey
 * @returns {{pegs: Array, bad: ?{row, why: 'unknown'|'apart'}, checks: [{row, peg, off: metres taped minus computed}], taped: number,
 *   worst: ?number}} pegs up to the first row that cannot be placed; worst is the greatest error over the length taped.
 */
export function survey({ start, base, rows }) {
  const out = { pegs: [start], bad: null, checks: [], taped: 0, worst: null };
  if (!(base?.length > 0)) return out;
  out.pegs.push(along(start, base.length, base.bearing ?? 90));
  out.taped = base.length;
  rows.some((r, row) => {
    const [A, B] = r.from.map((i) => out.pegs[i]);
    const at = A && B ? meet(A, B, r.lengths[0], r.lengths[1], r.side) : null;
    if (!at) {
      out.bad = { row, why: A && B ? 'apart' : 'unknown' };
      return true;
    }
    out.pegs.push(at);
    out.taped += r.lengths[0] + r.lengths[1];
    if (r.check && out.pegs[r.check.from] && r.check.length > 0) {
      out.checks.push({ row, peg: row + 2, off: r.check.length - distance(at, out.pegs[r.check.from]) });
      out.taped += r.check.length;
    }
    return false;
  });
  if (out.checks.length && out.taped > 0) out.worst = Math.max(...out.checks.map((c) => Math.abs(c.off))) / out.taped;
  return out;
}

/** The outline through pegs in the order given, as a polygon; null where there are fewer than three. */
export function outline(pegs, order) {
  const ring = order.map((i) => pegs[i]).filter(Boolean);
  return ring.length >= 3 ? { type: 'Polygon', coordinates: [[...ring, ring[0]]] } : null;
}
