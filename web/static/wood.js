// The cutting rota as the server has it, kept in the state by revision, and what is read out of it. Nothing here touches the document.

import { Away } from './api.js';
import { say } from './strings.js';

/** What the rota is kept by: another revision has another. */
export const keyOf = (s) => `${s.holding} ${s.revision}`;

/**
 * Asks for the rota of the plan shown. What was there stays, marked as stale, until the new one is.
 * @param page {store, api}
 * @returns {{look: function(boolean=)}} look(again): asks where the rota is not known; again also after it could not be had
 */
export function createWood({ store, api }) {
  let flying = null;

  async function look(again = false) {
    const s = store.get();
    if (!s.holding || !s.sheet || s.pending.length > 0) return;
    const key = keyOf(s);
    if (flying?.key === key || (s.wood?.key === key && !(again && s.wood.wrong))) return;
    flying?.abort.abort();
    const mine = flying = { key, abort: new AbortController() };
    const put = (part) => { if (flying === mine && store.get().holding === s.holding) store.do('wood', { key, holding: s.holding, ...part }); };
    const data = s.wood?.holding === s.holding ? s.wood.data : null;
    put({ data, stale: true, busy: true, wrong: '' });
    try {
      put({ data: (await api.wood(s.holding, mine.abort.signal)).data, stale: false, busy: false, wrong: '' });
    } catch (fault) {
      if (fault.name !== 'AbortError') put({ data, stale: true, busy: false, wrong: fault instanceof Away ? say('notebook.away') : fault.message });
    } finally {
      if (flying === mine) flying = null;
    }
  }

  return { look };
}

/** The winter that is looked at: the one chosen where the rota has it, else the first in which something is cut. */
export function winterIn(wood, chosen) {
  const list = wood.winters;
  if (list.some((w) => w.winter === chosen)) return chosen;
  return (list.find((w) => w.cut.length > 0) ?? list[0])?.winter ?? null;
}

/** Winters until a section is cut, from a winter on: 0 in that very one; null where the rota has no more cut of it. */
export function until(cuts, winter) {
  const next = cuts.find((w) => w >= winter);
  return next === undefined ? null : next - winter;
}

/** The bands of waiting, the soonest first: the most winters that belong to each, with its strength from 5 to 1. */
export const WAITS = [{ most: 0, n: 5 }, { most: 2, n: 4 }, { most: 5, n: 3 }, { most: 10, n: 2 }, { most: Infinity, n: 1 }];

/** How strongly a section is drawn: 5 where it is cut in the winter looked at, weaker the longer it waits, 0 where it is not cut again. */
export const strengthOf = (wait) => (wait === null ? 0 : WAITS.find((b) => wait <= b.most).n);

/** What a band of waiting is called, by its strength. */
export function waitWords(n) {
  const i = WAITS.findIndex((b) => b.n === n);
  if (i < 0) return say('cuts.never');
  if (i === 0) return say('cuts.now');
  const from = WAITS[i - 1].most + 1;
  return WAITS[i].most === Infinity ? say('cuts.over', { n: from - 1 }) : say('cuts.in', { from, to: WAITS[i].most });
}

/** A winter in words: 2027/28; counted from 1 where the plan names none. */
export const winterWords = (w) => (w >= 1000 ? `${w}/${String((w + 1) % 100).padStart(2, '0')}` : say('cuts.counted', { n: w }));

/** The same as it stands in a sentence: winter 2027/28; winter 3. */
export const aWinter = (w) => (w >= 1000 ? say('cuts.counted', { n: winterWords(w) }) : winterWords(w));
