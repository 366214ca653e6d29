// Shelter and light of the beds through the years, asked for a few years at a time, so that there is something to see soon and the
// asking can be counted and broken off. Kept in the state by revision. Nothing here touches the document.

import { Away } from './api.js';
import { say } from './strings.js';
import { calledIn } from './notebook/parts.js';
import { bedIn, keyOf, known } from './notebook/yearline.js';
import { LAST } from './year.js';

export const FIRST = [0, 5, 10, 15, 20, 25, 30];
export const EVERY = Array.from({ length: LAST + 1 }, (_, i) => i);
export const KINDS = ['shelter', 'light'];

/** Years asked for at once. */
const CHUNK = 2;

/** A file of answers for a holding as it is in a revision. */
const empty = (key) => ({ key, shelter: new Map(), light: new Map(), falls: new Map(), buildings: [], notes: new Map(), busy: false, wrong: '', goal: FIRST });

/** What is still to be asked for: [which, years], a few years at a time, both kinds in turn. */
export function missing(file, goal = file.goal) {
  const out = [];
  for (let i = 0; i < goal.length; i += CHUNK) {
    for (const which of KINDS) {
      const years = goal.slice(i, i + CHUNK).filter((y) => !file[which].has(y));
      if (years.length > 0) out.push([which, years]);
    }
  }
  return out;
}

/** How many of the years wanted are there, and how many are wanted. */
export const counted = (file) => ({ done: KINDS.reduce((n, which) => n + file.goal.filter((y) => file[which].has(y)).length, 0), of: file.goal.length * KINDS.length });

/** The file with one answer of the server put in. */
export function taken(file, which, data) {
  const years = new Map(file[which]);
  for (const y of data.years ?? []) years.set(y.year, y);
  const falls = new Map(file.falls);
  for (const f of data.falls_below ?? []) {
    const was = falls.get(f.id);
    if (!was || (f.year ?? Infinity) < (was.year ?? Infinity)) falls.set(f.id, f);
  }
  const notes = new Map(file.notes);
  notes.set(which, { said: data.said ?? [], source: data.source ?? '', unknown: data.unknown ?? [] });
  return { ...file, [which]: years, falls, notes, buildings: data.buildings?.length ? data.buildings : file.buildings };
}

/** The years of a bed, in order: [{year, hours, worst, wanted, wind, least, greatest, off}], with null for what was not asked yet. */
export function ofBed(file, id) {
  return [...new Set([...file.shelter.keys(), ...file.light.keys()])].sort((a, b) => a - b).map((year) => bedIn(file, id, year));
}

/** The beds that the answers tell of: [{id, name}], in the order of the plan. */
export function bedsIn(file, sheet) {
  const names = new Map();
  for (const which of KINDS) for (const y of file[which].values()) for (const b of y.beds) names.set(b.id, b.name);
  const order = new Map(sheet.features.map((f, i) => [f.id, i]));
  return [...names].map(([id, name]) => ({ id, name: calledIn(sheet, id, name) })).sort((a, b) => (order.get(a.id) ?? Infinity) - (order.get(b.id) ?? Infinity));
}

/**
 * Asks for what is wanted, in order, until it is there, the plan changes, or going is false.
 * @param going  whether the answers are still wanted
 */
export function createByYear(page) {
  const { store, api } = page;
  let flying = null;

  async function run(goal, going) {
    const s = store.get();
    const key = keyOf(s);
    if (flying?.key === key && flying.goal.length >= goal.length) return;
    flying?.abort.abort();
    const mine = flying = { key, goal, abort: new AbortController() };
    const now = () => known(store.get());
    const put = (part) => store.do('byYear', { ...now(), ...part });
    if (!now()) store.do('byYear', empty(key));
    put({ goal, busy: true, wrong: '' });
    try {
      for (const [which, years] of missing(now())) {
        if (flying !== mine || keyOf(store.get()) !== key || !going()) break;
        const { data } = await api.byYear(s.holding, which, years, mine.abort.signal);
        if (flying !== mine || !now()) break;
        store.do('byYear', taken(now(), which, data));
      }
    } catch (fault) {
      if (flying === mine && now() && fault.name !== 'AbortError') put({ wrong: fault instanceof Away ? say('notebook.away') : fault.message });
    } finally {
      if (flying === mine) {
        flying = null;
        if (now()) put({ busy: false });
      }
    }
  }

  return { run, busy: () => flying !== null };
}
