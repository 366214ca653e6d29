// Shelter and light as bands on the ground, drawn under everything that stands or grows. One hue for each, stronger the less wind or
// sun there is; dots or strokes grow denser with it, so that a band is known without colour, and on paper.

import { n1, path } from './ink.js';
import { num, say } from '../strings.js';

/** Edges of the bands, as the server draws them: percent of the open wind, hours of sun a day. */
const EDGES = { shelter: [0, 20, 40, 60, 80], light: [0, 2, 4, 6, 8, 10] };

/** Pixels between the marks of a band, by its strength: 1 faint to 5 strong. */
const EVERY = [0, 26, 19, 14, 10, 7];

/** How strongly a band is drawn: 5 where least wind or sun is left, 0 for not at all. */
export function strength(which, from) {
  const edges = EDGES[which];
  const at = edges.findLastIndex((e) => e <= from + 1e-9);
  return Math.max(0, 5 - Math.max(0, at));
}

/** Dots for shelter, slanting strokes for light: one tile of a pattern. */
const tile = (which, every) => (which === 'shelter' ? `M${n1(every / 4)} ${n1(every / 4)}h.01M${n1(every * 3 / 4)} ${n1(every * 3 / 4)}h.01` : `M0 ${n1(every / 2)}h${every}`);

function patterns(which, p) {
  const [ox, oy] = p.origin.map(n1);
  const turn = which === 'light' ? ' rotate(-45)' : '';
  return `<defs>${EVERY.map((every, i) => (i === 0 ? '' : `<pattern id="f-${which}-${i}" width="${every}" height="${every}" patternUnits="userSpaceOnUse" patternTransform="translate(${ox} ${oy})${turn}"><path class="f-mark ${which}" d="${tile(which, every)}"/></pattern>`)).join('')}</defs>`;
}

/**
 * The bands of a field as SVG.
 * @param which  shelter or light  @param data of the server: {bands: [{from, to, rings}]}  @param p paper (see ink.js)
 * @param stale  the bands are of another year or of the plan before a change
 */
export function bands(which, data, p, stale = false) {
  let out = '';
  for (const b of data.bands ?? []) {
    const n = strength(which, b.from);
    const d = p.rings(b.rings ?? []);
    if (n === 0 || !d) continue;
    out += path(`f-tint ${which} f${n}`, d, ' fill-rule="evenodd"') + path('none', d, ` fill="url(#f-${which}-${n})" fill-rule="evenodd"`);
  }
  return out ? `<g class="field${stale ? ' stale' : ''}">${patterns(which, p)}${out}</g>` : '';
}

/** A swatch of a band, 30 by 20 pixels, with marks of its own, so that it needs nothing of the sheet. */
export function swatch(which, n) {
  const every = EVERY[n];
  let d = '';
  if (which === 'shelter') {
    for (let i = 0; every && i * every / 2 < 20; i++) for (let x = every / 4 + (i % 2) * every / 2; x < 29; x += every) d += `M${n1(x)} ${n1(every / 4 + i * every / 2)}h.01`;
  } else {
    const step = every * Math.SQRT2;
    for (let c = every && step / 2; every && c < 50; c += step) d += `M${n1(Math.max(0, c - 20))} ${n1(Math.min(20, c))}L${n1(Math.min(30, c))} ${n1(Math.max(0, c - 30))}`;
  }
  return `<svg class="icon" viewBox="0 0 30 20" width="30" height="20" fill="none" aria-hidden="true">${path(`f-tint ${which} f${n}`, 'M.5.5h29v19h-29Z')}${path(`f-mark ${which}`, d)}</svg>`;
}

/** What a band means, with its figures: "calm: 20 to 40 %". */
export function bandWords(which, b) {
  const open = b.to === null || b.to === undefined || (which === 'light' && b.from >= 10);
  const figures = b.from <= 0 ? say(`field.under-${which}`, { to: num(b.to) }) : open ? say(`field.over-${which}`, { from: num(b.from) }) : say(`field.band-${which}`, { from: num(b.from), to: num(b.to) });
  return b.words ? say('field.band', { words: b.words, figures }) : figures;
}

/** The lines of the legend, the strongest first: [{n, words}], and what is left bare. */
export function legendOf(which, data) {
  const list = (data.bands ?? []).map((b) => ({ n: strength(which, b.from), words: bandWords(which, b) }));
  return which === 'shelter' ? [...list, { n: 0, words: say('field.open-wind') }] : list;
}
