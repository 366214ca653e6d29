// What lines and outlines have in common while they are drawn: corners set one after another, the pointer's place, and the words
// that end it. A step never alters the state it is given.
//
// Events: {type: 'move', at}, {type: 'set', at}, {type: 'leg', length, bearing}, {type: 'back'}, {type: 'end'}, {type: 'leave'}.
// ended is null while drawing, 'done' or 'left' afterwards.

import { along, bearing, distance } from '../measure.js';

/** Corners closer than this, metres, are the same corner: the tolerance of the plan. */
export const SAME = 0.02;

export const begin = (more = {}) => ({ corners: [], at: null, ended: null, few: false, ...more });

/**
 * @param s state  @param e event
 * @param {{least: number, most?: number, closes?: boolean}} rule how many corners it takes, at how many it ends by itself, and
 *   whether setting a corner on the first one ends it
 */
export function step(s, e, { least, most = Infinity, closes = false }) {
  if (s.ended) return s;
  const last = s.corners[s.corners.length - 1];
  switch (e.type) {
    case 'move': return { ...s, at: e.at };
    case 'set': {
      if (closes && s.corners.length >= least && distance(e.at, s.corners[0]) < SAME) return { ...s, at: null, ended: 'done' };
      if (last && distance(last, e.at) < SAME) return { ...s, at: e.at };
      return added(s, e.at, most);
    }
    case 'leg': {
      if (!last) return s;
      // What is not typed is as the pointer has it; where there is no pointer, as in the leg before.
      const [a, b] = s.at && distance(last, s.at) >= SAME ? [last, s.at] : [s.corners[s.corners.length - 2] ?? last, last];
      const length = e.length ?? distance(a, b);
      if (!(length >= SAME)) return s;
      return { ...added(s, along(last, length, e.bearing ?? bearing(a, b)), most), at: null };
    }
    case 'back': return { ...s, corners: s.corners.slice(0, -1), few: false };
    case 'end': return s.corners.length >= least ? { ...s, at: null, ended: 'done' } : { ...s, few: true };
    case 'leave': return { ...s, ended: 'left' };
    default: return s;
  }
}

/** The corners, and while drawing the pointer's place as one more, where it is one. */
export function soFar(s, live) {
  const last = s.corners[s.corners.length - 1];
  return live && s.at && !s.ended && !(last && distance(last, s.at) < SAME) ? [...s.corners, s.at] : s.corners;
}

function added(s, at, most) {
  const corners = [...s.corners, at];
  return { ...s, corners, at, few: false, ended: corners.length >= most ? 'done' : null };
}
