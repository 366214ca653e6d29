// Scale bar, north and wind: drawn on the sheet itself, in pixels, outside the land's own layer so that they stay where they are.

import { n1, path } from './ink.js';
import { roundLength } from '../view.js';
import { num, say } from '../strings.js';

/** The scale bar for a scale, with the length of its bar in metres. */
export function bar(k, most = 150) {
  const metres = roundLength(k, most);
  return { metres, pixels: metres * k };
}

const length = (m) => (m >= 1000 ? `${num(m / 1000, m % 1000 ? 1 : 0)} km` : m >= 1 ? `${num(m)} m` : `${num(m * 100)} cm`);

/**
 * @param view {k}  @param size {w, h}  @param sheet with wind_from_deg
 */
export function furniture(view, size, sheet) {
  const { metres, pixels } = bar(view.k, Math.min(150, size.w * 0.35));
  const y = size.h - 30;
  const x = 20;
  const half = n1(pixels / 2);
  const end = n1(pixels);
  const scale = `<g class="bar" transform="translate(${x} ${y})"><rect class="furniture-ground" x="-12" y="-11" width="${n1(end + 34)}" height="36" rx="8"/>${path('bar-solid', `M0-1.500h${half}v3h${-half}Z`)}${path('bar-line', `M0 0h${end}M0-5v10M${half}-4v8M${end}-5v10`)}`
    + `<text x="0" y="19">0</text>${half > 44 ? `<text x="${half}" y="19">${length(metres / 2)}</text>` : ''}<text x="${end}" y="19">${length(metres)}</text></g>`;
  // On a small sheet both are smaller, side by side in the corner.
  const small = size.w < 480 || size.h < 300;
  const place = (i) => (small ? `translate(${size.w - 26 - i * 44} 40) scale(.78)` : `translate(${size.w - 42} ${50 + i * 66})`);
  const ground = (top, h) => `<rect class="furniture-ground" x="-34" y="${top}" width="68" height="${h}" rx="8"/>`;
  const north = `<g class="north" transform="${place(0)}">${ground(-42, 74)}${path('north-line', 'M0 26V-20M-6-8 0-22 6-8')}<text y="-27">N</text></g>`;
  const from = sheet?.wind_from_deg;
  if (from === undefined || from === null) return scale + north;
  // The arrow flies with the wind: towards the bearing opposite to the one it blows from.
  const wind = `<g class="wind" transform="${place(1)}">${ground(-30, 78)}<g transform="rotate(${n1(from + 180)})">${path('wind-line', 'M0 22V-20M-5-9 0-21 5-9')}${path('wind-breath', 'M-8 20q4-5 0-11M8 20q-4-5 0-11')}</g><text y="40">${say('sheet.wind', { deg: num(from) })}</text></g>`;
  return scale + north + wind;
}
