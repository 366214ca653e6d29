// Puts the page together: the store, the server, the sheet, the pens, the notebook, and what listens to what.

import { createStore } from './state.js';
import { api } from './api.js';
import { createSync } from './sync.js';
import { mountSheet } from './sheet.js';
import { mountPens } from './pens.js';
import { mountTop } from './top.js';
import { mountNotebook } from './notebook.js';
import { mountStatus } from './status.js';
import { say } from './strings.js';
import { remembered } from './year.js';

const store = createStore();
const sync = createSync(store);
const page = { store, sync, api };
globalThis.quickthorn = page; // for the browser's console, and for the tests

for (const e of document.querySelectorAll('[data-say]')) e.textContent = say(e.dataset.say);

mountTop(document.getElementById('top'), page);
mountSheet(document.getElementById('land'), page);
mountPens(document.getElementById('pens'), page);
mountNotebook(document.getElementById('notebook'), page);

const line = mountStatus(document.getElementById('status'), document.getElementById('close'), store);

store.listen((s, changed) => {
  if (changed.has('message')) line.show(s.message);
  if (changed.has('holding') && s.holding) location.hash = encodeURIComponent(s.holding);
});

// What lies over the land is loaded when it is first wanted.
const overlays = { fields: () => import('./overlay.js').then((m) => m.mountOverlay(page)), cuts: () => import('./cuts-overlay.js').then((m) => m.mountCuts(page)) };
const mounted = {};
store.listen((s) => {
  const which = s.shows.field === 'cuts' ? 'cuts' : 'fields';
  if (!s.shows.field || mounted[which]) return;
  mounted[which] = overlays[which]().catch(() => {
    delete mounted[which];
    store.do('shows', { field: null });
    store.do('say', { kind: 'warn', text: say('notebook.away') });
  });
});

/** Opens a holding: its sheet, what was not sent before a reload, and its place in the address. */
page.open = async (id) => {
  store.do('open', id);
  store.do('year', remembered(id));
  await sync.refresh();
  await sync.resume(id);
};

async function begin() {
  const [words, list] = await Promise.all([api.vocabulary(), api.holdings()]);
  store.do('vocabulary', words.data);
  store.do('holdings', list.data);
  const wanted = decodeURIComponent(location.hash.slice(1));
  const id = list.data.some((h) => h.id === wanted) ? wanted : list.data[0]?.id;
  if (id) await page.open(id);
  else store.do('chapter', 'begin');
  sync.follow();
  document.documentElement.dataset.ready = 'yes';
}

begin().catch((fault) => store.do('say', { kind: 'stop', text: fault.message }));

globalThis.addEventListener('hashchange', () => {
  const id = decodeURIComponent(location.hash.slice(1));
  if (id && id !== store.get().holding && store.get().holdings.some((h) => h.id === id)) page.open(id);
});
