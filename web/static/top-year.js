// The years slider at the top of the page: from planting to thirty years on. The drawing follows at once; what it came to is said to
// a screen reader once the slider rests.

import { h } from './dom.js';
import { say } from './strings.js';
import { LAST, remember, stepped, winterOf, within, yearWords } from './year.js';

/** Milliseconds for which the slider rests before its year is announced. */
const RESTS = 700;

/** Keeps the year of each holding, and announces it. Returns how the head of the page shows it. */
export function mountYear(page, draw) {
  const { store } = page;
  let said = '';
  let clock = 0;
  store.listen((s, changed) => {
    if (!changed.has('year') || !s.holding) return;
    remember(s.holding, s.year);
    clearTimeout(clock);
    clock = setTimeout(() => {
      said = yearWords(store.get().year, store.get().sheet?.holding);
      draw();
    }, RESTS);
  });
  return (s) => view(page, s, said);
}

function view({ store }, s, said) {
  const words = yearWords(s.year, s.sheet?.holding);
  const winter = winterOf(s.year, s.sheet?.holding);
  const to = (year) => store.do('year', within(year));
  const step = (key, by, sign) => h('button', { key, type: 'button', class: 'step', disabled: by < 0 ? s.year <= 0 : s.year >= LAST, 'aria-label': say(`year.${key}`), title: say(`year.${key}`), onclick: () => to(store.get().year + by) }, sign);
  return h('div', { key: 'year', class: 'year', role: 'group', 'aria-label': say('year.label') },
    step('back', -1, '−'),
    h('input', {
      key: 'slider', id: 'year', type: 'range', min: '0', max: String(LAST), step: '1', value: String(s.year), 'aria-label': say('year.label'), 'aria-valuetext': words,
      oninput: (e) => to(e.target.value),
      onkeydown: (e) => {
        const year = e.altKey || e.ctrlKey || e.metaKey ? null : stepped(e.key, store.get().year);
        if (year === null) return;
        e.preventDefault();
        to(year);
      },
    }),
    step('on', 1, '+'),
    h('span', { key: 'words', class: 'words', 'aria-hidden': 'true' }, h('b', null, yearWords(s.year, null)), h('span', null, winter ? say('top.winter', { winter }) : '')),
    h('output', { key: 'said', for: 'year', class: 'unseen' }, said));
}
