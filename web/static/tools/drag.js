// Moving a corner, a new corner, or a whole thing: by pointer or by arrow keys alike. A drag is a draft; letting go makes one edit.
//
// Events: {type: 'move', at}, {type: 'nudge', dx, dy}, {type: 'end'}, {type: 'leave'}.

import { insertCorner, moveAll, moveCorner, setCorner } from '../corners.js';

export const drag = {
  /**
   * @param {{what: 'corner'|'insert'|'thing', id, geometry, corner?: number, from?: [number, number]}} o from: where the thing was
   *   taken hold of; corner: the corner moved, or the one that the new corner comes after
   */
  begin: ({ what, id, geometry, corner = null, from = null }) => ({ what, id, original: geometry, geometry, corner: what === 'insert' ? corner + 1 : corner, after: corner, from, ended: null }),
  step(s, e) {
    if (s.ended) return s;
    switch (e.type) {
      case 'move': return { ...s, geometry: moved(s, e.at) };
      case 'nudge': {
        if (s.what === 'thing') return { ...s, geometry: moveAll(s.geometry, e.dx, e.dy) };
        return { ...s, geometry: moveCorner(started(s), s.corner, e.dx, e.dy) };
      }
      case 'end': return { ...s, ended: s.geometry === s.original ? 'left' : 'done' };
      case 'leave': return { ...s, geometry: s.original, ended: 'left' };
      default: return s;
    }
  },
  geometry: (s) => s.geometry,
};

/** What nudges act on: a new corner comes in half way on the first of them. */
const started = (s) => (s.what === 'insert' && s.geometry === s.original ? insertCorner(s.original, s.after) ?? s.original : s.geometry);

function moved(s, at) {
  if (s.what === 'thing') return s.from ? moveAll(s.original, at[0] - s.from[0], at[1] - s.from[1]) : s.geometry;
  if (s.what === 'insert') return insertCorner(s.original, s.after, at) ?? s.original;
  return setCorner(s.original, s.corner, at);
}
