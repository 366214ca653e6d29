// The signs of plants as pieces of paths, in pixels. The ring is as wide as the crown; the mark inside tells the groups apart
// without colour: an upright cross for a broadleaf, a slanting one for fruit, a triangle for a conifer, a dot for a bush.

import { circle, n1 } from './ink.js';

/** Groups in the order the legend shows them. */
export const groups = ['tree', 'fruit', 'conifer', 'bush', 'unknown'];

/** The outline of a crown of radius r: a triangle on the ring for a conifer, else the ring. */
export function outline(sign, x, y, r) {
  if (sign !== 'conifer') return circle(x, y, r);
  const h = r * 0.95;
  return `M${n1(x)} ${n1(y - r)}L${n1(x + h)} ${n1(y + r * 0.62)}L${n1(x - h)} ${n1(y + r * 0.62)}Z`;
}

/** The mark at the stem, drawn as a line: cross, slanting cross, or a question mark's place left open. */
export function mark(sign, x, y, r) {
  const s = n1(Math.min(5, Math.max(1.6, r * 0.3)));
  switch (sign) {
    case 'tree': return `M${n1(x - s)} ${n1(y)}h${n1(2 * s)}M${n1(x)} ${n1(y - s)}v${n1(2 * s)}`;
    case 'fruit': { const t = n1(s * 0.8); return `M${n1(x - t)} ${n1(y - t)}l${n1(2 * t)} ${n1(2 * t)}M${n1(x - t)} ${n1(y + t)}l${n1(2 * t)} ${n1(-2 * t)}`; }
    case 'unknown': return `M${n1(x - s)} ${n1(y)}h${n1(2 * s)}`;
    default: return '';
  }
}

/** The stem as a filled dot: of bushes and conifers always, of the others where there is room beside the cross. */
export function stem(sign, x, y, r) {
  if (sign === 'bush' || sign === 'conifer') return circle(x, y, Math.min(2.2, Math.max(1, r * 0.22)));
  return r >= 18 ? circle(x, y, 2) : '';
}
