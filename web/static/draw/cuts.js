// The sections of the rota on the sheet: a band along each length of hedge and over each coupe, stronger and more densely struck the
// sooner it is cut, with the number of winters until then, so that it is known without colour, and on paper.

import { esc, n1, path } from './ink.js';
import { beside } from './line.js';
import { strengthOf, until } from '../wood.js';

/** Pixels between the strokes of a band, by its strength: 1 faint to 5 strong. */
const EVERY = [0, 22, 15, 10, 7, 5];
/** Pixels of a section below which its number is left out. */
const LEAST = 22;
/** Breadth of the band of a hedge: metres, and least and most pixels. */
const BROAD = { m: 5, least: 13, most: 34 };

/** The letter or number that stands at a section: winters until it is cut. */
export const mark = (wait) => (wait === null ? '–' : String(wait));

function patterns(p) {
  const [ox, oy] = p.origin.map(n1);
  return `<defs>${EVERY.map((every, i) => (i === 0 ? '' : `<pattern id="c-${i}" width="${every}" height="${every}" patternUnits="userSpaceOnUse" patternTransform="translate(${ox} ${oy}) rotate(-45)"><path class="c-mark" d="M0 ${n1(every / 2)}h${every}${i === 5 ? `M${n1(every / 2)} 0v${every}` : ''}"/></pattern>`)).join('')}</defs>`;
}

/** Length of a line in metres, and the point and direction half way along it. */
export function halfway(line) {
  const pieces = line.slice(1).map((b, i) => ({ a: line[i], b, d: Math.hypot(b[0] - line[i][0], b[1] - line[i][1]) }));
  const length = pieces.reduce((s, e) => s + e.d, 0);
  let left = length / 2;
  for (const { a, b, d } of pieces) {
    if (left <= d && d > 0) {
      const t = left / d;
      return { length, at: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])], along: [(b[0] - a[0]) / d, (b[1] - a[1]) / d] };
    }
    left -= d;
  }
  return { length, at: line[0], along: [1, 0] };
}

/** The ring round a line, so many metres from it on either side. */
const around = (line, off) => [...beside(line, off), ...beside(line, -off).reverse()];

/**
 * The overlay as SVG.
 * @param data of the server for the page: {wood: {sections}, sections: shapes}  @param winter looked at  @param p paper (see ink.js)
 * @param stale  the rota is of the plan before a change
 */
export function cuts(data, winter, p, stale = false) {
  const shapes = new Map(data.sections.map((s) => [s.id, s]));
  const broad = Math.min(BROAD.most, Math.max(BROAD.least, BROAD.m * p.k));
  const bands = [];
  const numbers = [];
  for (const s of data.wood.sections) {
    const shape = shapes.get(s.id);
    if (!shape) continue;
    const wait = until(s.cuts, winter);
    const n = strengthOf(wait);
    const long = shape.path?.length > 1;
    const d = long ? p.rings([around(shape.path, broad / 2 / p.k)]) : (shape.rings ?? []).map((rings) => p.rings(rings)).join('');
    if (!d) continue;
    bands.push((long ? path('c-ground', d) : '') + path(`c-area c${n}`, d, ' fill-rule="evenodd"') + (n > 0 ? path('none', d, ` fill="url(#c-${n})" fill-rule="evenodd"`) : ''));
    const h = long ? halfway(shape.path) : null;
    if ((h ? h.length : Math.sqrt(s.area_m2)) * p.k < LEAST) continue;
    const [x, y] = p.at(h ? h.at : shape.at);
    const off = h ? broad / 2 + 10 : 0;
    numbers.push(text(n, wait, x + (h ? h.along[1] * off : 0), y + (h ? h.along[0] * off : 0)));
  }
  return bands.length ? `<g class="cuts${stale ? ' stale' : ''}">${patterns(p)}${bands.join('')}${numbers.join('')}</g>` : '';
}

const text = (n, wait, x, y) => `<text class="c-n c${n}" x="${n1(x)}" y="${n1(y + 4.5)}">${esc(mark(wait))}</text>`;

/** A swatch of a band, 30 by 20 pixels, with strokes of its own. */
export function cutSwatch(n) {
  const step = EVERY[n] * Math.SQRT2;
  let d = '';
  for (let c = n && step / 2; n && c < 50; c += step) {
    d += `M${n1(Math.max(0, c - 20))} ${n1(Math.min(20, c))}L${n1(Math.min(30, c))} ${n1(Math.max(0, c - 30))}`;
    if (n === 5) d += `M${n1(Math.max(0, c - 20))} ${n1(20 - Math.min(20, c))}L${n1(Math.min(30, c))} ${n1(20 - Math.max(0, c - 30))}`;
  }
  return `<svg class="icon" viewBox="0 0 30 20" width="30" height="20" fill="none" aria-hidden="true">${path(`c-area c${n}`, 'M1 1h28v18h-28Z')}${path('c-mark', d)}</svg>`;
}
