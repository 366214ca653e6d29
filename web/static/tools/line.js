// Drawing a line corner to corner. With most = 2 (a gap) the second corner ends it.

import { begin, step } from './trail.js';

export const line = {
  begin: ({ most } = {}) => begin({ most }),
  step: (s, e) => step(s, e, { least: 2, most: s.most }),
  /** The geometry so far, with the pointer's place as the last corner while drawing; null where there is none yet. */
  geometry(s, live = false) {
    const all = live && s.at && !s.ended ? [...s.corners, s.at] : s.corners;
    return all.length >= 2 ? { type: 'LineString', coordinates: all } : null;
  },
};
