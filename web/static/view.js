// Metres and pixels. A view is {k, x, y}: pixels per metre, and the metres at the middle of the sheet; x is east, y north.
// Pixels count from the sheet's upper left corner, y down. Nothing here knows of a document.

/** Least and greatest scale: a parish in a window, a hand's breadth of hedge in one. */
export const LEAST_K = 0.02;
export const MOST_K = 400;

const within = (v, least, most) => Math.min(most, Math.max(least, v));

/** Where a point in metres lies on the sheet, in pixels. */
export const toPixels = (v, size, [x, y]) => [(x - v.x) * v.k + size.w / 2, (v.y - y) * v.k + size.h / 2];

/** What metres lie under a pixel. */
export const toMetres = (v, size, [px, py]) => [(px - size.w / 2) / v.k + v.x, v.y - (py - size.h / 2) / v.k];

/** The view after the land was pushed by dx, dy pixels. */
export const panBy = (v, dx, dy) => ({ k: v.k, x: v.x - dx / v.k, y: v.y + dy / v.k });

/** The view scaled by a factor so that what is under the pixel stays under it. */
export function zoomAt(v, size, pixel, factor) {
  const k = within(v.k * factor, LEAST_K, MOST_K);
  const [x, y] = toMetres(v, size, pixel);
  return { k, x: x - (pixel[0] - size.w / 2) / k, y: y + (pixel[1] - size.h / 2) / k };
}

/**
 * The view that shows a box [west, south, east, north] whole, with a margin in pixels round it. A box without width (a single
 * point, or none) is shown at a scale at which a tree is seen.
 */
export function fit(box, size, margin = Math.min(48, 0.07 * Math.min(size.w, size.h))) {
  if (!box) return { k: 4, x: 0, y: 0 };
  const [w, s, e, n] = box;
  const room = (full) => Math.max(full - 2 * margin, full * 0.5, 1);
  const k = Math.min(room(size.w) / Math.max(e - w, 1e-6), room(size.h) / Math.max(n - s, 1e-6));
  return { k: within(k, LEAST_K, 24), x: (w + e) / 2, y: (s + n) / 2 };
}

/** The metres that the sheet shows, with a margin in pixels round it: [west, south, east, north]. */
export function boxOf(v, size, margin = 0) {
  const w = (size.w / 2 + margin) / v.k;
  const h = (size.h / 2 + margin) / v.k;
  return [v.x - w, v.y - h, v.x + w, v.y + h];
}

/** Whether two boxes touch. */
export const touches = (a, b) => a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];

/** Whether box a holds the whole of box b. */
export const holds = (a, b) => a[0] <= b[0] && a[1] <= b[1] && a[2] >= b[2] && a[3] >= b[3];

/**
 * How a layer that was drawn for one view must be moved to show another: a CSS transform about the layer's own upper left corner,
 * which lies `over` pixels outside the sheet's.
 */
export function carry(drawn, view, size, over) {
  const r = view.k / drawn.k;
  return {
    scale: r,
    x: (size.w / 2 + over) * (1 - r) + (drawn.x - view.x) * view.k,
    y: (size.h / 2 + over) * (1 - r) - (drawn.y - view.y) * view.k,
  };
}

/** The longest round length (1, 2 or 5 times a power of ten, metres) whose bar is no longer than `most` pixels. */
export function roundLength(k, most) {
  const long = most / k;
  const ten = 10 ** Math.floor(Math.log10(long));
  const n = long / ten;
  return (n >= 5 ? 5 : n >= 2 ? 2 : 1) * ten;
}

/** The view that shows a box if the present one does not: moved as little as needed, and out only where it must. */
export function bringIn(v, size, box, margin = 60) {
  if (holds(boxOf(v, size, -Math.min(margin, size.w / 4, size.h / 4)), box)) return v;
  const seen = boxOf(v, size, -Math.min(margin, size.w / 4, size.h / 4));
  if (box[2] - box[0] > seen[2] - seen[0] || box[3] - box[1] > seen[3] - seen[1]) return fit(box, size, margin);
  const shift = (lo, hi, a, b) => (a < lo ? a - lo : b > hi ? b - hi : 0);
  return { k: v.k, x: v.x + shift(seen[0], seen[2], box[0], box[2]), y: v.y + shift(seen[1], seen[3], box[1], box[3]) };
}
