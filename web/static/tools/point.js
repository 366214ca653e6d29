// Setting a single thing: one click.

import { begin, step } from './trail.js';

export const point = {
  begin: () => begin(),
  step: (s, e) => step(s, e, { least: 1, most: 1 }),
  geometry(s, live = false) {
    const at = s.corners[0] ?? (live ? s.at : null);
    return at ? { type: 'Point', coordinates: at } : null;
  },
};
