// What stands beside the pointer while drawing: the leg under way, the whole so far, the area, and what is missing to close.

import { bearing, distance, lengthOf, signedArea } from '../measure.js';
import { soFar } from './trail.js';

/**
 * @param {'line'|'polygon'|'point'} shape  @param s state of the tool
 * @returns {{leg: ?{length, bearing}, last: ?{length, bearing}, total: number, area: ?number, closing: ?{length, bearing}}} metres, degrees, square metres.
 *   leg is the one under way, last the one set last; closing is the leg from the last place back to the first corner: the closing error of a boundary set by typed legs.
 */
export function reading(shape, s) {
  const all = soFar(s, true);
  const between = (a, b) => (a && b ? { length: distance(a, b), bearing: bearing(a, b) } : null);
  const ring = shape === 'polygon' && all.length >= 3;
  return {
    leg: all !== s.corners ? between(...all.slice(-2)) : null,
    last: between(...s.corners.slice(-2)),
    total: lengthOf(all),
    area: ring ? Math.abs(signedArea(all)) : null,
    closing: ring ? between(all[all.length - 1], all[0]) : null,
  };
}
