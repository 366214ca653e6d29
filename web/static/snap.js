// Where a corner lands: on a corner near by, else on a line near by, else where it is. Corners go before lines, as they are what
// neighbours share.

import { distance, nearestOnLine, partsOf } from './measure.js';

/**
 * @param sheet  @param at metres  @param reach metres
 * @param opt {skip: id of the feature being changed, more: further corners to snap to (of the draft)}
 * @returns {{at, to: 'corner'|'line'|null, id: ?string}}
 */
export function snap(sheet, at, reach, { skip = null, more = [] } = {}) {
  let best = { d: reach, at, to: null, id: null };
  const corner = (p, id) => {
    const d = distance(p, at);
    if (d <= best.d) best = { d, at: p, to: 'corner', id };
  };
  for (const p of more) corner(p, null);
  const runs = [];
  for (const f of sheet?.features ?? []) {
    if (f.id === skip) continue;
    const { points, lines, polygons } = partsOf(f.geometry);
    for (const p of points) corner(p, f.id);
    for (const line of [...lines, ...polygons.flat()]) {
      for (const p of line) corner(p, f.id);
      runs.push([line, f.id]);
    }
  }
  if (best.to === null) {
    for (const [line, id] of runs) {
      const near = nearestOnLine(line, at);
      if (near.d <= best.d) best = { d: near.d, at: near.at, to: 'line', id };
    }
  }
  return { at: best.at, to: best.to, id: best.id };
}
