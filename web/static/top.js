// The head of the page: what the holding is, undo and redo, and how the page looks.

import { h, patch } from './dom.js';
import { say, num, metres, area } from './strings.js';
import { winter } from './notebook/text.js';
import { mountPaper } from './paper.js';
import { mountYear } from './top-year.js';

const SIZES = ['90', '100', '115', '130', '150'];
const THEMES = ['auto', 'light', 'dark'];

const remember = (key, value) => {
  try {
    localStorage.setItem(key, value);
  } catch { /* without storage it holds until the page is closed */ }
};
const remembered = (key, otherwise) => {
  try {
    return localStorage.getItem(key) ?? otherwise;
  } catch {
    return otherwise;
  }
};

/** Mounts the head into an element. */
export function mountTop(root, page) {
  const { store } = page;
  let tree = null;
  let frame = 0;
  const year = mountYear(page, () => draw());
  const draw = () => { frame ||= requestAnimationFrame(now); };
  function now() {
    frame = 0;
    tree = patch(root, tree, view(store.get(), page, draw, year));
    const s = store.get();
    document.title = s.sheet ? `${s.sheet.name} · ${say('page.name')}` : say('page.name');
  }
  store.listen((s, changed) => {
    if (['sheet', 'year', 'pending', 'online', 'holdings', 'chapter', 'holding'].some((k) => changed.has(k))) draw();
  });
  document.addEventListener('keydown', (e) => shortcut(e, page));
  mountPaper(page);
  now();
}

/** Undo and redo from the keyboard, except where a text field has its own. */
function shortcut(e, page) {
  if (!(e.ctrlKey || e.metaKey) || e.altKey || /^(INPUT|TEXTAREA)$/.test(e.target.tagName)) return;
  const key = e.key.toLowerCase();
  if (key === 'z') e.shiftKey ? page.sync.redo() : page.sync.undo();
  else if (key === 'y') page.sync.redo();
  else return;
  e.preventDefault();
}

function view(s, page, draw, year) {
  const sheet = s.sheet;
  const chapter = (name) => () => {
    page.store.do('chapter', name);
    document.getElementById('notebook').focus();
  };
  return [
    h('h1', { key: 'name', title: sheet ? sheet.name : null }, sheet ? sheet.name : say('page.name')),
    sheet ? h('p', { key: 'figures', class: 'figures' }, figuresOf(sheet).map((t, i) => h('span', { key: `${i}` }, t))) : null,
    s.pending.length > 0 && !s.online ? h('p', { key: 'waiting', class: 'waiting' }, say(s.pending.length === 1 ? 'top.unsent-1' : 'top.unsent', { n: num(s.pending.length) })) : null,
    h('span', { key: 'spread', class: 'spread' }),
    sheet ? year(s) : null,
    h('span', { key: 'spread-too', class: 'spread' }),
    h('div', { key: 'edits', class: 'group' },
      h('button', { type: 'button', key: 'undo', disabled: !s.holding, onclick: () => page.sync.undo() }, say('top.undo')),
      h('button', { type: 'button', key: 'redo', disabled: !s.holding, onclick: () => page.sync.redo() }, say('top.redo')),
      h('button', { type: 'button', key: 'holdings', onclick: chapter('begin') }, say('top.holdings'))),
    h('div', { key: 'looks', class: 'group' },
      choice('theme', THEMES, document.documentElement.dataset.theme ?? 'auto', setTheme, draw),
      choice('text', SIZES, remembered('quickthorn.text', '100'), setText, draw),
      h('button', { type: 'button', key: 'print', disabled: !sheet, onclick: () => globalThis.print() }, say('top.print')),
      h('button', { type: 'button', key: 'list', class: 'main', disabled: !sheet, onclick: chapter('list') }, say('top.list'))),
  ];
}

function figuresOf(sheet) {
  const w = sheet.holding?.planting_winter;
  return [sheet.parcels_m2 > 0 && area(sheet.parcels_m2), sheet.hedge_m > 0 && say('top.hedge', { length: metres(sheet.hedge_m) }), w && say('top.winter', { winter: winter(w) })].filter(Boolean);
}

function choice(name, options, value, set, draw) {
  return h('select', { key: name, 'aria-label': say(`top.${name}`), value, onchange: (e) => { set(e.target.value); draw(); } },
    options.map((o) => h('option', { key: o, value: o }, say(name === 'text' ? 'top.text-size' : `top.theme-${o}`, { n: o }))));
}

function setTheme(v) {
  if (v === 'auto') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = v;
  remember('quickthorn.theme', v);
}

function setText(v) {
  document.documentElement.style.fontSize = v === '100' ? '' : `${v}%`;
  remember('quickthorn.text', v);
}
