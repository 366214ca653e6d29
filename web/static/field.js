// What the overlays know: asks the server for the field that is wanted once the slider rests, takes back what is outdated, keeps what
// it was told by revision and year. Nothing here touches the document.

import { Away } from './api.js';
import { say } from './strings.js';

/** Milliseconds for which slider and plan rest before a field is asked for. */
export const RESTS = 150;
const KEPT = 60;
/** What of shows.field is a field of the server. */
const FIELDS = new Set(['shelter', 'light']);

/** What is wanted now: null for no overlay, else {which, year, leaf or month, key}. */
export function wanted(s) {
  const which = s.shows.field;
  if (!FIELDS.has(which) || !s.sheet || !s.holding) return null;
  const option = which === 'shelter' ? { leaf: s.shows.leaf ?? 'on' } : { month: s.shows.month ?? 'mean' };
  return { which, holding: s.holding, year: s.year, ...option, key: [s.holding, s.revision, which, s.year, ...Object.values(option)].join(' ') };
}

/**
 * @param page {store, api}
 * @param changed  called when there is something new to draw: (field) => void
 * @returns {{look: function, now: function}}
 */
export function createField(page, changed, { later = globalThis.setTimeout, stop = globalThis.clearTimeout } = {}) {
  const { store, api } = page;
  const kept = new Map();
  let clock = 0;
  let flying = null;
  // which: what is drawn; data: of which year; stale: it is not what is wanted; busy: the wanted one is on its way; wrong: why it is not.
  let field = { which: null, data: null, asked: null, stale: false, busy: false, wrong: '' };

  function put(part) {
    field = { ...field, ...part };
    changed(field);
  }

  function keep(key, data) {
    kept.delete(key);
    kept.set(key, data);
    if (kept.size > KEPT) kept.delete(kept.keys().next().value);
  }

  /** Looks at what is wanted; asks for it after a short rest where it is not known. */
  function look() {
    const want = wanted(store.get());
    if (want?.key === field.asked?.key && (field.busy || !field.stale)) return;
    stop(clock);
    flying?.abort();
    flying = null;
    if (!want) { put({ which: null, data: null, asked: null, stale: false, busy: false, wrong: '' }); return; }
    if (kept.has(want.key)) {
      const data = kept.get(want.key);
      keep(want.key, data);
      put({ which: want.which, data, asked: want, stale: false, busy: false, wrong: '' });
      return;
    }
    // What was drawn stays until the new one is there, unless it is of the other kind or of another holding.
    const stays = field.which === want.which && field.asked?.holding === want.holding;
    put({ which: want.which, data: stays ? field.data : null, asked: want, stale: true, busy: true, wrong: '' });
    clock = later(() => ask(want), RESTS);
  }

  async function ask(want) {
    const mine = new AbortController();
    flying = mine;
    try {
      const { data } = await api.field(want, mine.signal);
      keep(want.key, data);
      if (flying === mine) put({ data, stale: false, busy: false, wrong: '' });
    } catch (fault) {
      if (flying !== mine || fault.name === 'AbortError') return;
      const wrong = fault instanceof Away ? say('field.away') : [say('field.failed'), fault.message].join(' ');
      put({ busy: false, wrong });
      store.do('say', { kind: 'warn', text: wrong });
    } finally {
      if (flying === mine) flying = null;
    }
  }

  return { look, now: () => field };
}
