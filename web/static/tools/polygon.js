// Drawing an outline corner to corner. A corner set on the first one closes it, as does ending it.

import { begin, soFar, step } from './trail.js';

export const polygon = {
  begin: () => begin(),
  step: (s, e) => step(s, e, { least: 3, closes: true }),
  geometry(s, live = false) {
    const all = soFar(s, live);
    return all.length >= 3 ? { type: 'Polygon', coordinates: [[...all, all[0]]] } : null;
  },
};
