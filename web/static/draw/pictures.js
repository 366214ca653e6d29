// Pictures to trace over, laid under the land by two points: where they are in the picture, and where they are on the ground.

import { esc } from './ink.js';

/**
 * The picture as it lies: scale in metres per picture pixel, turn in degrees clockwise as seen, and where its upper left corner is.
 * Two points fix it exactly: no stretching, only scale, turn and shift.
 * @param from [[px, py], [px, py]] in the picture, y down  @param to [[x, y], [x, y]] in metres, y up
 * @returns {?{scale, turn, corner}} null where two points coincide
 */
export function lie([a, b], [A, B]) {
  const [px, py] = [b[0] - a[0], -(b[1] - a[1])];
  const [gx, gy] = [B[0] - A[0], B[1] - A[1]];
  const n = px * px + py * py;
  if (n === 0 || gx * gx + gy * gy === 0) return null;
  // As complex numbers, ground = m · picture + shift.
  const m = [(gx * px + gy * py) / n, (gy * px - gx * py) / n];
  const at = ([x, y]) => [A[0] + m[0] * (x - a[0]) + m[1] * (y - a[1]), A[1] + m[1] * (x - a[0]) - m[0] * (y - a[1])];
  return { scale: Math.hypot(...m), turn: -Math.atan2(m[1], m[0]) * 180 / Math.PI, corner: at([0, 0]), at };
}

/** The pictures of a holding that can be laid: [{name, width, height, lie}]. */
export function laid(holding) {
  const list = Array.isArray(holding?.pictures) ? holding.pictures : [];
  return list.flatMap((q) => {
    if (!pair(q?.at) || !pair(q?.metres) || !(q.width > 0) || !(q.height > 0) || typeof q.name !== 'string') return [];
    const l = lie(q.at, q.metres);
    return l ? [{ name: q.name, width: q.width, height: q.height, lie: l }] : [];
  });
}

const pair = (v) => Array.isArray(v) && v.length === 2 && v.every((p) => Array.isArray(p) && p.length === 2 && p.every(Number.isFinite));

/** @param address gives a picture's address by its name */
export function pictures(sheet, p, address) {
  if (!address) return '';
  return laid(sheet.holding).map(({ name, width, height, lie: l }) => {
    const [x, y] = p.at(l.corner);
    const s = l.scale * p.k;
    return `<image class="picture" href="${esc(address(name))}" width="${width}" height="${height}" preserveAspectRatio="none" transform="translate(${x} ${y}) rotate(${round(l.turn)}) scale(${round(s)})"/>`;
  }).join('');
}

const round = (v) => Number(v.toPrecision(7));

/** The picture in hand while it is being laid, in pixels of the sheet, and the two points picked on it. */
export function pictureOver(tool, at, k) {
  if (tool?.name !== 'picture' || !tool.state) return '';
  const l = lie(tool.state.at, tool.state.metres);
  if (!l) return '';
  const [x, y] = at(l.corner);
  return `<image class="picture" href="${esc(tool.url)}" width="${tool.state.width}" height="${tool.state.height}" preserveAspectRatio="none" transform="translate(${round(x)} ${round(y)}) rotate(${round(l.turn)}) scale(${round(l.scale * k)})"/>`;
}
