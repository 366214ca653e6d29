// Words of SVG: numbers to a tenth of a pixel, text made safe, paths from points. A drawing is a string; what it is drawn with
// (colour, width, dash) stands in sheet.css under the class names used here, so that light, dark and paper differ only there.

const unsafe = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Text as it may stand in markup: names come from files. */
export const esc = (text) => String(text).replaceAll(/[&<>"']/g, (c) => unsafe[c]).replaceAll(/[\u0000-\u0008\u000b\u000c\u000e-\u001f]/g, '');

/** A number to a tenth. */
export const n1 = (v) => Math.round(v * 10) / 10;

/**
 * What turns metres into the pixels of a layer.
 * @param view {k, x, y}  @param size {w, h} of the layer
 */
export function paper(view, size) {
  const { k } = view;
  const ox = size.w / 2 - view.x * k;
  const oy = size.h / 2 + view.y * k;
  const x = (m) => n1(ox + m * k);
  const y = (m) => n1(oy - m * k);
  const line = (points) => points.map((p, i) => `${i ? 'L' : 'M'}${x(p[0])} ${y(p[1])}`).join('');
  return {
    k, x, y, line, size, origin: [ox, oy],
    lines: (list) => list.map(line).join(''),
    rings: (rings) => rings.map((r) => `${line(r)}Z`).join(''),
    at: (p) => [x(p[0]), y(p[1])],
  };
}

/** A path element, or nothing for an empty path. */
export const path = (cls, d, more = '') => (d ? `<path class="${cls}" d="${d}"${more}/>` : '');

/** A group, or nothing for an empty one. */
export const group = (cls, inner, more = '') => (inner ? `<g class="${cls}"${more}>${inner}</g>` : '');

/** A full circle as a piece of a path. */
export const circle = (x, y, r) => `M${n1(x - r)} ${n1(y)}a${n1(r)} ${n1(r)} 0 1 0 ${n1(2 * r)} 0a${n1(r)} ${n1(r)} 0 1 0 ${n1(-2 * r)} 0`;
