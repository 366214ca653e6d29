// Drawing a line corner to corner. With most = 2 (a gap) the second corner ends it.

import { begin, soFar, step } from './trail.js';

export const line = {
  begin: ({ most } = {}) => begin({ most }),
  step: (s, e) => step(s, e, { least: 2, most: s.most }),
  /** The geometry so far, with the pointer's place as the last corner while drawing; null where there is none yet. */
  geometry(s, live = false) {
    const all = soFar(s, live);
    return all.length >= 2 ? { type: 'LineString', coordinates: all } : null;
  },
};
