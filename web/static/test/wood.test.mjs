import test from 'node:test';
import assert from 'node:assert/strict';
import { including, pinned, without } from '../pins.js';
import { aWinter, createWood, keyOf, strengthOf, until, waitWords, WAITS, winterIn, winterWords } from '../wood.js';
import { cutSwatch, cuts, halfway, mark } from '../draw/cuts.js';
import { atShare, PANELS, roundTop, woodChart, woodTable } from '../draw/woodchart.js';
import { age, gives } from '../notebook/wood.js';
import { balanceWords, dayIn, lacking, others, units } from '../notebook/woodwords.js';
import { STRENGTHS, legendMarkup } from '../cuts-overlay.js';
import { wanted } from '../field.js';
import { paper } from '../draw/ink.js';
import { createStore } from '../state.js';
import { Away } from '../api.js';
import { sheet } from './given.mjs';

const all = (k) => k.text ?? (k.kids ?? []).map(all).join('');
const r = (mid, low = mid, high = mid) => ({ low, mid, high });
const winterRow = (winter, more = {}) => ({
  winter, cut_m: 0, cut_m2: 0, cut: [], dry_t: r(0), logs_stacked_m3: r(0), ready_winter: null, heat_made_kwh: r(0), heat_ready_kwh: r(0), heat_wanted_kwh: 900, heat_used_kwh: r(0), heat_short_kwh: r(0),
  heat_carried_kwh: r(0), chip_made_m3: r(0), chip_needed_m3: 2, chip_left_m3: r(0), chip_short_m3: r(0), chip_uses: [], ...more,
});
const section = (id, more = {}) => ({ id, feature: id.split('/')[0], from_m: 0, to_m: 40, cuts: [2028, 2043], label: `${id}, 0 to 40 m`, method: 'coppice', area_m2: 0, grown_since: 2012, pinned: [], forbidden: [], ...more });
const answer = (sections, winters, more = {}) => ({
  wood: { sections, winters, rota: { area_control_m_per_year: 6, greatest_share_percent: 9.9, share_limit_percent: 10 }, shortfall: { heat_kwh_per_year: 0, from_winter: 2029, closed_by: [] }, ...more },
  sections: sections.map((s) => ({ id: s.id, path: s.area_m2 ? undefined : [[0, 0], [40, 0]], rings: s.area_m2 ? [[[[0, 0], [20, 0], [20, 20], [0, 20], [0, 0]]]] : undefined, at: [20, 0], stop: [] })),
});

test('a winter stated for a stretch is put in, and taken out, without touching the rest', () => {
  assert.deepEqual(including(undefined, 2030, 0, Infinity), [2030], 'all of it is a bare number');
  assert.deepEqual(including(undefined, 2030, 25, 50), [{ winter: 2030, from_m: 25, to_m: 50 }]);
  assert.deepEqual(including([2028], 2030, 0, 25), [2028, { winter: 2030, to_m: 25 }]);
  assert.deepEqual(including([{ winter: 2030, to_m: 25 }], 2030, 25, 50), [{ winter: 2030, to_m: 50 }], 'what touches becomes one');
  assert.deepEqual(including([{ winter: 2030, to_m: 25 }], 2030, 30, 50), [{ winter: 2030, to_m: 25 }, { winter: 2030, from_m: 30, to_m: 50 }]);
  assert.deepEqual(without([2030], 2030, 25, 50), [{ winter: 2030, to_m: 25 }, { winter: 2030, from_m: 50 }], 'a winter of the whole stays for the rest');
  assert.deepEqual(without([{ winter: 2030, from_m: 25, to_m: 50 }, 2040], 2030, 25, 50), [2040]);
  assert.deepEqual(without([2030], 2031, 0, 50), [2030]);
  assert.deepEqual(without(undefined, 2031, 0, 50), []);
});

test('stating a winter and taking it back leaves what was stated elsewhere, for any order', () => {
  let seed = 7;
  const random = (n) => { seed = (seed * 1103515245 + 12345) % 2147483648; return seed % n; };
  const covers = (list, winter, at) => (list ?? []).some((e) => { const x = typeof e === 'number' ? { winter: e } : e; return x.winter === winter && at >= (x.from_m ?? 0) && at <= (x.to_m ?? Infinity); });
  for (let round = 0; round < 300; round++) {
    let list = [];
    const told = new Map();
    for (let step = 0; step < 12; step++) {
      const [winter, k, put] = [2026 + random(3), random(5), random(2) === 0];
      const [a, b] = [k * 20, k === 4 ? Infinity : k * 20 + 20];
      const before = JSON.stringify(list);
      const next = put ? including(list, winter, a, b) : without(list, winter, a, b);
      assert.equal(JSON.stringify(list), before, 'the list given is not altered');
      list = next;
      told.set(`${winter} ${k}`, put);
    }
    for (let winter = 2026; winter < 2029; winter++) for (let k = 0; k < 5; k++) assert.equal(covers(list, winter, k * 20 + 10), told.get(`${winter} ${k}`) ?? false, JSON.stringify(list));
  }
});

test('cut in and not in exclude each other; what is empty is taken away', () => {
  const was = { kind: 'hedge', cut_in: [2030], name: 'x' };
  const s = { from_m: 0, to_m: 38.123 };
  assert.deepEqual(pinned(was, s, 2030, 'not', 80), { kind: 'hedge', name: 'x', cut_in: [{ winter: 2030, from_m: 38.123 }], not_in: [{ winter: 2030, to_m: 38.123 }] });
  assert.deepEqual(pinned({ kind: 'hedge', not_in: [{ winter: 2030, to_m: 38.123 }] }, s, 2030, 'free', 80), { kind: 'hedge' });
  assert.deepEqual(pinned({ kind: 'hedge' }, { from_m: 40, to_m: 79.99 }, 2031, 'cut', 80), { kind: 'hedge', cut_in: [{ winter: 2031, from_m: 40 }] }, 'the last section runs to the end');
  assert.deepEqual(was, { kind: 'hedge', cut_in: [2030], name: 'x' });
});

test('how long a section waits, in bands, words and a number', () => {
  assert.deepEqual([until([2028, 2043], 2028), until([2028, 2043], 2029), until([2028], 2029), until([], 2029)], [0, 14, null, null]);
  assert.deepEqual([0, 1, 2, 3, 5, 6, 10, 11, 30, null].map(strengthOf), [5, 4, 4, 3, 3, 2, 2, 1, 1, 0]);
  assert.deepEqual(STRENGTHS.map(waitWords), ['cut in this winter: 0', 'in 1 to 2 winters', 'in 3 to 5 winters', 'in 6 to 10 winters', 'in more than 10 winters', 'not again in the rota: –']);
  assert.equal(WAITS.length + 1, STRENGTHS.length);
  assert.deepEqual([mark(0), mark(12), mark(null)], ['0', '12', '–']);
  assert.deepEqual([winterWords(2027), winterWords(2099), winterWords(3)], ['2027/28', '2099/00', 'winter 3']);
  assert.deepEqual([aWinter(2027), aWinter(3)], ['winter 2027/28', 'winter 3'], 'a counted winter is called one once');
});

test('the winter looked at is the one chosen, else the first that cuts', () => {
  const wood = { winters: [winterRow(2026), winterRow(2027, { cut: ['a/1'] }), winterRow(2028)] };
  assert.deepEqual([winterIn(wood, null), winterIn(wood, 2028), winterIn(wood, 1999)], [2027, 2028, 2027]);
  assert.equal(winterIn({ winters: [winterRow(2026)] }, null), 2026);
  assert.equal(winterIn({ winters: [] }, null), null);
});

test('the overlay draws each section by its wait, told apart without colour', () => {
  const p = paper({ k: 4, x: 20, y: 0 }, { w: 600, h: 400 });
  const data = answer([section('a/1'), section('a/2', { cuts: [2031] }), section('g/1', { cuts: [], area_m2: 400 })], []);
  const now = cuts(data, 2028, p);
  for (const n of [5, 3, 0]) assert.match(now, new RegExp(`c-area c${n}`));
  assert.match(now, /fill="url\(#c-5\)"/);
  assert.doesNotMatch(now, /fill="url\(#c-0\)"/, 'what is not cut again has no strokes');
  assert.deepEqual([...now.matchAll(/<text[^>]*>([^<]*)</g)].map((m) => m[1]), ['0', '3', '–']);
  assert.match(cuts(data, 2029, p), />14</);
  assert.match(cuts(data, 2028, p, true), /class="cuts stale"/);
  assert.doesNotMatch(cuts(data, 2028, paper({ k: 0.2, x: 0, y: 0 }, { w: 100, h: 100 })), /<text/, 'small ones have no number');
  assert.equal(cuts(answer([], []), 2028, p), '');
  assert.equal(new Set(STRENGTHS.map(cutSwatch)).size, STRENGTHS.length);
  assert.match(legendMarkup(2028), /from winter 2028\/29/);
  assert.deepEqual(halfway([[0, 0], [10, 0], [10, 30]]), { length: 40, at: [10, 10], along: [0, 1] });
});

test('the overlay of cutting asks for no field', () => {
  const store = createStore();
  store.do('open', 'demo');
  store.do('sheet', { sheet: sheet([]), revision: 1 });
  for (const [field, which] of [['cuts', undefined], ['light', 'light'], ['shelter', 'shelter'], [null, undefined]]) {
    store.do('shows', { field });
    assert.equal(wanted(store.get())?.which, which);
  }
});

test('the rota is asked for once a revision; the old one stays until the new one is there', async () => {
  const store = createStore();
  let asked = 0;
  let give = null;
  const wood = createWood({ store, api: { wood: () => { asked += 1; return new Promise((ok, no) => { give = { ok: (data) => ok({ data }), no }; }); } } });
  const turn = () => new Promise((ok) => { setImmediate(ok); });
  wood.look();
  assert.equal(asked, 0, 'nothing is open');
  store.do('open', 'demo');
  store.do('sheet', { sheet: sheet([]), revision: 1 });
  wood.look();
  wood.look();
  assert.equal(asked, 1);
  give.ok('first');
  await turn();
  assert.deepEqual(store.get().wood, { key: 'demo 1', holding: 'demo', data: 'first', stale: false, busy: false, wrong: '' });
  wood.look();
  assert.equal(asked, 1, 'it is known');
  store.do('queued', { note: 'x' });
  store.do('sheet', { sheet: sheet([]), revision: 2 });
  wood.look();
  assert.equal(asked, 1, 'what waits is sent first');
  store.do('sent');
  wood.look();
  assert.deepEqual([asked, store.get().wood.data, store.get().wood.stale], [2, 'first', true]);
  give.no(new Away());
  await turn();
  assert.match(store.get().wood.wrong, /does not answer/);
  wood.look();
  assert.equal(asked, 2, 'it is not asked for again by itself');
  wood.look(true);
  give.ok('second');
  await turn();
  assert.deepEqual([asked, store.get().wood.data, store.get().wood.key], [3, 'second', keyOf(store.get())]);
  store.do('sheet', { sheet: sheet([]), revision: 3 });
  wood.look();
  store.do('open', 'other');
  give.ok('late');
  await turn();
  assert.equal(store.get().wood, null, 'another holding has another rota');
});

test('charts have round heights and a winter under every place', () => {
  assert.deepEqual([0, 0.7, 1, 1.3, 3, 5, 7, 12, 900, 12000].map(roundTop), [1, 1, 1, 2, 4, 6, 10, 20, 1000, 20000]);
  for (let n = 1; n <= 30; n++) assert.deepEqual([atShare(0, n), atShare(1, n)], [0, n - 1]);
  const winters = [winterRow(2026), winterRow(2027, { cut_m: 38, dry_t: r(1.6, 1.3, 2), ready_winter: 2030, heat_used_kwh: r(900, 700, 900) })];
  const flat = (k) => [k, ...(k.kids ?? []).flatMap(flat)];
  const chart = woodChart(winters, { winter: 2027, label: 'said', onwinter: () => {} });
  assert.equal(chart.props['aria-label'], 'said');
  assert.equal(flat(chart).filter((k) => k.props?.class?.startsWith?.('panel')).length, PANELS.length);
  for (const k of flat(chart)) assert.doesNotMatch(JSON.stringify(k.props ?? {}), /NaN|Infinity|undefined/);
  let pressed = 0;
  const table = flat(woodTable(winters, { winter: 2027, onwinter: (w) => { pressed = w; } }));
  table.find((k) => k.props?.['aria-current'] === 'true').props.onclick();
  assert.equal(pressed, 2027);
  const words = table.filter((k) => k.text !== undefined).map((k) => k.text);
  assert.ok(words.includes('2030/31') && words.includes('1.60'));
  assert.ok(!words.includes('grove, m²'), 'a column of noughts is left out');
});

test('the balance in words: heated, short, or nothing asked', () => {
  const w = [winterRow(2029, { heat_short_kwh: r(0, 300, 0) })];
  assert.match(balanceWords(answer([], w))[0], /^The house is heated: 900 kWh/);
  assert.match(balanceWords(answer([], w))[1], /1 winter would run short/);
  const short = answer([], [winterRow(2029)], { shortfall: { heat_kwh_per_year: 450, from_winter: 2029, closed_by: [{ what: 'fuel hedge', quantity: 77, unit: 'm', rests_on: 'who, 2012' }] } });
  assert.match(balanceWords(short)[0], /450 kWh \(50 %\) are lacking/);
  const nearly = (kwh) => balanceWords(answer([], [winterRow(2029)], { shortfall: { heat_kwh_per_year: kwh, from_winter: 2029, closed_by: [] } }))[0];
  assert.match(nearly(3), /^The house is nearly heated: of 900 kWh wanted a year, 3 kWh \(under 1 %\) are lacking/);
  assert.match(nearly(80), /nearly heated.* 80 kWh \(9 %\)/);
  assert.match(nearly(90), /^The wood does not heat the house/);
  assert.match(all(lacking(short)), /77 m of fuel hedge\. Source: who, 2012/);
  assert.equal(lacking(answer([], w)), null);
  assert.match(balanceWords(answer([], [winterRow(2029, { heat_wanted_kwh: 0 })]))[0], /^No heat is asked for/);
  assert.match(balanceWords(answer([], w, { logs_kept: false }))[0], /^No logs are kept: .* under Holding/);
  assert.match(balanceWords(answer([], [winterRow(2029, { chip_needed_m3: 0 })])).at(-1), /none is wanted: say under Holding/);
  assert.match(gives(winterRow(2027, { cut_m: 38, dry_t: r(1.6, 1.3, 2), ready_winter: 2030 })), /^38 m of hedge: 1\.6 \(1\.3 to 2\.0\) t .* dry by winter 2030\/31\.$/);
  assert.match(gives(winterRow(3, { cut_m2: 38, ready_winter: 5 })), / dry by winter 5\.$/);
  const counted = answer([], [winterRow(3)], { shortfall: { heat_kwh_per_year: 450, from_winter: 3, closed_by: [] } });
  assert.match(balanceWords(counted)[0], / on average from winter 3 on\./);
  assert.equal(age(section('a/1'), 2028), 16);
  assert.equal(age(section('a/1'), 2043), 15);
  assert.equal(units('5 m3 and 20 m2, m30'), '5 m³ and 20 m², m30');
});

test('a year’s cutting tells of hedges and groves where there are any', () => {
  const w = [winterRow(2029, { cut_m: 20, cut_m2: 300 }), winterRow(2030)];
  const says = (...sections) => balanceWords(answer(sections, w))[1];
  const grove = section('g/1', { area_m2: 600 });
  assert.match(says(section('a/1')), /^A year’s cutting is 10 m of hedge on average \(length over usual age is 6 m\): .* At most 9\.9 % of all hedge/);
  assert.match(says(section('a/1'), grove), /^A year’s cutting is 10 m of hedge on average \(length over usual age is 6 m\) and 150 m² of grove: .* At most 9\.9 % of all hedge/);
  assert.match(says(grove), /^A year’s cutting is 150 m² of grove on average: /);
  assert.doesNotMatch(says(grove), /hedge/);
});

test('a chart with nothing in it is left out', () => {
  const flat = (k) => [k, ...(k.kids ?? []).flatMap(flat)];
  const panels = (more) => flat(woodChart([winterRow(2029, more)], { winter: 2029, label: '', onwinter: () => {} })).map((k) => k.props?.class).filter((c) => c?.startsWith?.('panel')).map((c) => c.split(' ')[1]);
  assert.deepEqual(panels({ dry_t: r(1) }), ['cut', 'heat', 'chip'], 'what is wanted and not there is shown');
  assert.deepEqual(panels({ dry_t: r(1), heat_wanted_kwh: 0 }), ['cut', 'chip']);
  assert.equal(woodChart([winterRow(2029, { heat_wanted_kwh: 0, chip_needed_m3: 0 })], { winter: 2029, label: '', onwinter: () => {} }), null);
});

test('what the wood rests on names properties by their labels', () => {
  const data = answer([], [winterRow(2029)], { store: { winters: 0 }, notes: ['the heat wanted is not stated (heat_kwh_per_year), so the rota aims at even logs only'] });
  const c = { vocabulary: { common: [], holding: [{ name: 'heat_kwh_per_year' }], kinds: [] } };
  assert.match(all(others(c, { ...data, woods: [] })), /The heat wanted is not stated \(“Heat wanted a year”\), so/);
});

test('days of a winter: those before June are of the year after, the closed season ends in it', () => {
  assert.equal(dayIn('11-01', 2027), '1 November 2027');
  assert.equal(dayIn('03-31', 2027), '31 March 2028');
  assert.equal(dayIn('08-31', 2027, true), '31 August 2028');
  assert.equal(dayIn('03-31', 3), '31 March');
});
