// What stands beside the pointer while drawing: the leg under way, the whole so far, the area, and what is missing to close.

import { bearing, distance, lengthOf, signedArea } from '../measure.js';

/**
 * @param {'line'|'polygon'|'point'} shape  @param s state of the tool
 * @returns {{leg: ?{length, bearing}, total: number, area: ?number, closing: ?{length, bearing}}} metres, degrees, square metres.
 *   closing is the leg from the last place back to the first corner: the closing error of a boundary set by typed legs.
 */
export function reading(shape, s) {
  const all = s.at && !s.ended ? [...s.corners, s.at] : s.corners;
  const [a, b] = all.slice(-2);
  const ring = shape === 'polygon' && all.length >= 3;
  return {
    leg: all.length >= 2 && s.corners.length >= 1 ? { length: distance(a, b), bearing: bearing(a, b) } : null,
    total: lengthOf(all),
    area: ring ? Math.abs(signedArea(all)) : null,
    closing: ring ? { length: distance(all[all.length - 1], all[0]), bearing: bearing(all[all.length - 1], all[0]) } : null,
  };
}
