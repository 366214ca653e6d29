// The cutting sections on the sheet, with their legend and the winter below the land. Loaded when it is first asked for.

import { cutSwatch, cuts } from './draw/cuts.js';
import { h, patch } from './dom.js';
import { esc } from './draw/ink.js';
import { style } from './style.js';
import { say } from './strings.js';
import { createWood, aWinter, waitWords, winterIn, winterWords } from './wood.js';

/** The strengths in the order of the legend: what is cut first comes first. */
export const STRENGTHS = [5, 4, 3, 2, 1, 0];

/** The legend for paper: heading, and each band in words. */
export function legendMarkup(winter) {
  return `<b>${esc(say('cuts.title', { winter: aWinter(winter) }))}</b><ul>${STRENGTHS.map((n) => `<li>${cutSwatch(n)}<span>${esc(waitWords(n))}</span></li>`).join('')}</ul><span>${esc(say('cuts.numbers'))}</span>`;
}

/** Mounts the overlay: what the sheet draws over what grows, and its legend, which stands before the signs. */
export async function mountCuts(page) {
  await style('years.css');
  await style('wood.css');
  const { store } = page;
  const wood = page.wood ??= createWood(page);
  const legend = document.createElement('div');
  legend.className = 'field-legend cuts-legend';
  document.getElementById('pens').prepend(legend);
  let tree = null;

  const on = (s) => s.shows.field === 'cuts';
  const there = (s) => (on(s) && s.wood?.data?.wood.sections.length > 0 ? s.wood : null);
  page.above = (p) => {
    const s = store.get();
    const w = there(s);
    return w ? cuts(w.data, winterIn(w.data.wood, s.shows.winter), p, w.stale) : '';
  };
  page.aboveLegend = () => {
    const s = store.get();
    const w = there(s);
    return w && !w.stale ? `<div class="field-legend cuts-legend">${legendMarkup(winterIn(w.data.wood, s.shows.winter))}</div>` : '';
  };

  function draw(s) {
    legend.hidden = !on(s);
    const busy = Boolean(s.wood?.busy);
    legend.classList.toggle('busy', busy);
    legend.setAttribute('aria-busy', String(busy));
    tree = patch(legend, tree, on(s) ? view(s, busy) : []);
    for (const el of legend.querySelectorAll('[data-strength]:empty')) el.innerHTML = cutSwatch(Number(el.dataset.strength));
  }

  function view(s, busy) {
    const data = s.wood?.data?.wood;
    if (s.wood?.wrong) return h('span', { key: 'wrong', class: 'state' }, say('cuts.not-there'), ' ', h('button', { type: 'button', onclick: () => wood.look(true) }, say('notebook.again')));
    if (!data) return h('span', { key: 'busy', class: 'state' }, say('cuts.busy'));
    if (data.sections.length === 0) return h('span', { key: 'none', class: 'state' }, say('wood.none'));
    return [
      h('label', { key: 'winter', class: 'winter' }, h('b', null, say('cuts.from')), winterChooser(s, data, page)),
      busy ? h('span', { key: 'busy', class: 'state' }, say('cuts.busy')) : null,
      h('ul', { key: 'bands', tabindex: '0', 'aria-label': say('cuts.legend') }, STRENGTHS.map((n) => h('li', { key: `${n}` }, h('span', { 'data-strength': `${n}` }), h('span', null, waitWords(n))))),
      h('span', { key: 'numbers' }, say('cuts.numbers')),
    ];
  }

  store.listen((s, changed) => {
    if (!['shows', 'wood', 'revision', 'sheet', 'holding', 'pending', 'online'].some((k) => changed.has(k))) return;
    if (on(s)) wood.look(changed.has('online') && s.online);
    draw(store.get());
    if (on(s) || changed.has('shows')) page.redraw();
  });
  wood.look();
  draw(store.get());
  page.redraw();
}

/** The winter that overlay and chapter look at. */
export function winterChooser(s, wood, page, more = {}) {
  const now = winterIn(wood, s.shows.winter);
  return h('select', { ...more, value: `${now}`, onchange: (e) => page.store.do('shows', { winter: Number(e.target.value) }) },
    wood.winters.map((w) => h('option', { key: `${w.winter}`, value: `${w.winter}` }, winterWords(w.winter))));
}
