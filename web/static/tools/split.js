// Cutting a line in two where the pointer is, or at a typed chainage.
//
// Events: {type: 'move', at}, {type: 'chainage', metres}, {type: 'set', at}, {type: 'end'}, {type: 'leave'}.

import { splitAt } from '../corners.js';
import { atChainage, lengthOf, nearestOnLine } from '../measure.js';

export const split = {
  begin: ({ id, geometry }) => ({ id, original: geometry, chainage: null, at: null, ended: null }),
  step(s, e) {
    if (s.ended) return s;
    switch (e.type) {
      case 'move': return { ...s, ...place(s.original, e.at) };
      case 'chainage': return { ...s, chainage: e.metres, at: onParts(s.original, e.metres) };
      case 'set': return done({ ...s, ...place(s.original, e.at) });
      case 'end': return done(s);
      case 'leave': return { ...s, ended: 'left' };
      default: return s;
    }
  },
  /** The two pieces, or null. */
  pieces: (s) => (s.chainage === null ? null : splitAt(s.original, s.chainage)),
};

const done = (s) => (split.pieces(s) ? { ...s, ended: 'done' } : s);

const parts = (g) => (g.type === 'LineString' ? [g.coordinates] : g.type === 'MultiLineString' ? g.coordinates : []);

function place(g, at) {
  let best = { d: Infinity, at: null, chainage: null };
  let before = 0;
  for (const line of parts(g)) {
    const near = nearestOnLine(line, at);
    if (near.d < best.d) best = { d: near.d, at: near.at, chainage: before + near.chainage };
    before += lengthOf(line);
  }
  return { at: best.at, chainage: best.chainage };
}

function onParts(g, chainage) {
  let before = 0;
  for (const line of parts(g)) {
    const long = lengthOf(line);
    if (chainage <= before + long) return atChainage(line, chainage - before);
    before += long;
  }
  return null;
}
