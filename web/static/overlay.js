// The overlay on the sheet: wind left or hours of sun as bands, with its legend below the land. Loaded when it is first asked for.

import { bands, legendOf, swatch } from './draw/bands.js';
import { createField } from './field.js';
import { esc } from './draw/ink.js';
import { style } from './style.js';
import { say } from './strings.js';
import { sunWords, yearWords } from './year.js';

/** What the legend is headed by: what is shown, in which year, and how. */
export function titleOf(want, sheet) {
  const how = want.which === 'shelter' ? say(`field.leaf-${want.leaf}`) : sunWords(want.month, sheet);
  return say(`field.title-${want.which}`, { year: yearWords(want.year, sheet?.holding), how });
}

/** The legend as markup: heading, bands in words and numbers, and whether the next one is on its way. */
export function legendMarkup(field, sheet) {
  const { which, data, asked, busy, wrong } = field;
  const lines = data ? legendOf(which, data).map(({ n, words }) => `<li>${swatch(which, n)}<span>${esc(words)}</span></li>`).join('') : '';
  const state = busy ? `<span class="state">${esc(say('field.busy', { year: yearWords(asked.year, null) }))}</span>` : wrong ? `<span class="state">${esc(say('field.not-there'))}</span>` : '';
  return `<b>${esc(titleOf(asked, sheet))}</b>${state}${lines ? `<ul tabindex="0" aria-label="${esc(say('field.legend'))}">${lines}</ul>` : ''}`;
}

/** Mounts the overlay: what the sheet draws under everything, and its legend, which stands before the signs. */
export async function mountOverlay(page) {
  await style('years.css');
  const { store } = page;
  const legend = document.createElement('div');
  legend.className = 'field-legend';
  legend.hidden = true;
  document.getElementById('pens').prepend(legend);
  let markup = '';

  const field = createField(page, (now) => {
    legend.hidden = !now.asked;
    legend.classList.toggle('busy', now.busy);
    legend.setAttribute('aria-busy', String(now.busy));
    const next = now.asked ? legendMarkup(now, store.get().sheet) : '';
    if (next !== markup) legend.innerHTML = markup = next;
    page.redraw();
  });
  page.under = (p) => {
    const { which, data, stale } = field.now();
    return data ? bands(which, data, p, stale) : '';
  };
  page.underLegend = () => {
    const now = field.now();
    return now.data && !now.stale ? `<div class="field-legend">${legendMarkup(now, store.get().sheet)}</div>` : '';
  };
  store.listen((s, changed) => {
    if (['shows', 'year', 'revision', 'sheet', 'holding'].some((k) => changed.has(k)) || (changed.has('online') && s.online && field.now().wrong)) field.look();
  });
  field.look();
}
