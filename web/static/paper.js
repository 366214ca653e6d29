// The plan on paper: drawn afresh for an A4 page when the browser prints, at the largest round scale that holds all of it, with
// its signs explained below.

import { drawing } from './draw/drawing.js';
import { furniture } from './draw/furniture.js';
import { inUse } from './draw/legend.js';
import { icon } from './draw/icons.js';
import { say, num } from './strings.js';
import { inYear } from './year.js';

const PIXELS = 96 / 25.4; // a millimetre in CSS pixels
const FIELDS = 16; // mm for the legend of shelter or light
const EDGE = 6; // mm kept free round the land
// Room for the drawing on A4 within the margins of print.css, after its heading and its legend, in mm.
const PAGES = [{ name: 'tall', w: 182, h: 214 }, { name: 'wide', w: 269, h: 134 }];
const SCALES = [50, 100, 200, 250, 300, 400, 500, 750, 1000, 1250, 1500, 2000, 2500, 4000, 5000, 7500, 10000, 15000, 20000, 25000, 50000, 100000];

/** The page and the scale on which a box [west, south, east, north] is largest; 1 to 500 for nothing. less is how many
 * mm of its height are taken by another legend. */
export function pageFor(box, less = 0) {
  const need = (p) => (box ? Math.max((box[2] - box[0]) * 1000 / (p.w - 2 * EDGE), (box[3] - box[1]) * 1000 / (p.h - less - 2 * EDGE)) : 500);
  const fits = PAGES.map((page) => ({ page, scale: SCALES.find((s) => s >= need(page) - 1e-9) ?? Math.ceil(need(page)) }));
  return fits.reduce((best, f) => (f.scale < best.scale ? f : best));
}

/** Draws the plan whenever something is printed, and takes it away afterwards. */
export function mountPaper(page) {
  let sheet = null;
  const away = () => { sheet?.remove(); sheet = null; };
  globalThis.addEventListener('beforeprint', () => {
    away();
    const s = page.store.get();
    if (s.sheet && document.documentElement.dataset.print !== 'chapter') document.body.prepend(sheet = draw(s, page));
  });
  globalThis.addEventListener('afterprint', away);
}

function draw(s, page) {
  const fields = (page.underLegend?.() ?? '') + (page.aboveLegend?.() ?? '');
  const less = fields ? FIELDS : 0;
  const { page: { name, w, h: full }, scale } = pageFor(s.sheet.box, less);
  const h = full - less;
  const size = { w: Math.round(w * PIXELS), h: Math.round(h * PIXELS) };
  const [west, south, east, north] = s.sheet.box ?? [0, 0, 0, 0];
  const view = { k: 1000 / scale * PIXELS, x: (west + east) / 2, y: (south + north) / 2 };
  const shows = { ...s.shows, picture: false, year: s.year };
  const el = document.createElement('section');
  el.id = 'paper';
  el.className = name;
  const title = document.createElement('h1');
  title.textContent = s.sheet.name;
  const plan = document.createElement('div');
  plan.className = 'plan';
  const svg = (inner) => `<svg width="${w}mm" height="${h}mm" viewBox="0 0 ${size.w} ${size.h}" fill="none">${inner}</svg>`;
  plan.innerHTML = svg(drawing(s.sheet, view, size, { shows, under: page.under, above: page.above, pictureAddress: (n) => page.api.picture(s.holding, n) }) + `<g class="furniture">${furniture(view, size, s.sheet)}</g>`);
  const words = document.createElement('p');
  words.textContent = [say('paper.year', { when: inYear(s.year, s.sheet.holding) }), say('paper.scale', { scale: num(scale) })].join(' ');
  const legend = document.createElement('ul');
  legend.className = 'signs';
  legend.innerHTML = inUse(s.sheet, shows).map((k) => `<li>${icon(k)}<span>${say(`sign.${k}`)}</span></li>`).join('');
  el.append(title, plan, words, legend);
  legend.insertAdjacentHTML('beforebegin', fields);
  return el;
}
