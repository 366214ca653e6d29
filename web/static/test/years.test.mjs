import test from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { BEGINS, LAST, inYear, remember, remembered, seasonOf, stepped, stretchWords, sunWords, winterOf, within, yearWords } from '../year.js';
import { crowns, hedgeWidth, sizesIn } from '../draw/grown.js';
import { plants } from '../draw/plants.js';
import { paper } from '../draw/ink.js';
import { bandWords, bands, legendOf, strength, swatch } from '../draw/bands.js';
import { across, chart, hoursTop, lineThrough, yearAt, yearsTable } from '../draw/chart.js';
import { EVERY, FIRST, bedsIn, counted, createByYear, missing, ofBed, taken } from '../byyear.js';
import { bedWords, sizeWords, yearLine } from '../notebook/yearline.js';
import { beds, changes, notes, shares } from '../notebook/years.js';
import { createField, wanted } from '../field.js';
import { legendMarkup, titleOf } from '../overlay.js';
import { createStore, initial } from '../state.js';
import { Away, Refused } from '../api.js';
import { finding, sheet, square, thing } from './given.mjs';

const p = paper({ k: 2, x: 0, y: 0 }, { w: 400, h: 400 });
const turn = () => new Promise((r) => { setImmediate(r); });

test('a year in words, with its winter where the planting winter is known', () => {
  assert.equal(yearWords(0, { planting_winter: 2026 }), 'at planting, winter 2026/27');
  assert.equal(yearWords(7, { planting_winter: 2026 }), 'year 7, winter 2033/34');
  assert.equal(yearWords(7, {}), 'year 7');
  assert.equal(yearWords(7, null), 'year 7');
  for (const odd of ['2026', null, 2026.5]) assert.equal(winterOf(3, { planting_winter: odd }), '', 'what is no winter is not counted on');
  assert.equal(stretchWords({ from: 7, mid: 9, to: 12 }), 'years 7 to 12');
  assert.equal(stretchWords({ from: 0, mid: 1, to: 3 }), 'from planting to year 3');
  assert.equal(stretchWords({ from: 9, mid: 9, to: 9 }), 'year 9');
  assert.equal(stretchWords({ from: 0, mid: 0, to: 0 }), 'at planting');
});

test('keys take the slider a year, five years, or to its ends', () => {
  const from = { ArrowRight: 8, ArrowUp: 8, ArrowLeft: 6, ArrowDown: 6, PageUp: 12, PageDown: 2, Home: 0, End: LAST };
  for (const [key, to] of Object.entries(from)) assert.equal(stepped(key, 7), to, key);
  assert.equal(stepped('Tab', 7), null);
  assert.deepEqual([stepped('PageDown', 3), stepped('PageUp', 28), stepped('ArrowLeft', 0), stepped('ArrowRight', 30)], [0, 30, 0, 30]);
  assert.deepEqual([within(-3), within(99), within('12'), within('x')], [0, 30, 12, 0]);
});

test('each holding keeps its year for the session', () => {
  const kept = new Map();
  const box = { getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => kept.set(k, v) };
  assert.equal(remembered('a', box), BEGINS);
  remember('a', 0, box);
  assert.deepEqual([remembered('a', box), remembered('b', box)], [0, BEGINS]);
  const shut = { getItem() { throw new Error('no'); }, setItem() { throw new Error('no'); } };
  remember('a', 3, shut);
  assert.equal(remembered('a', shut), BEGINS);
});

// An apple planted in year 2, an oak that stands, and one of which nothing is known.
const years = (f) => EVERY.map(f);
const stand = () => sheet([thing('o', 'orchard', square(-20, -20, 40), {}, { spacing_m: 10, plants: 2 }), thing('t', 'plant', { type: 'Point', coordinates: [0, 50] })], [], {
  species: [{ id: 'a', sign: 'fruit' }, { id: 'b', sign: 'tree' }],
  sizes: [{ spread: years((y) => (y < 2 ? 0 : (y - 2) / 4)), height: years((y) => (y < 2 ? 0 : (y - 2) / 5)), rests: '' }, { spread: years(() => 12), height: years(() => 15), rests: '' }, { spread: null, height: null, rests: '' }],
  plants: [[0, 0, 0, 0, 6, 1, 0, 1, 0], [0, 0, 10, 0, 6, 1, 0, 2, 2], [1, 1, 0, 50, 14, 0, 0, 1, 1]],
});

test('a crown is as wide as its series says in the year, a dot before it is planted', () => {
  const s = stand();
  assert.deepEqual(s.plants.map(crowns(s, 10)), [2, null, 12]);
  assert.deepEqual(s.plants.map(crowns(s, 1)), [0, null, 12]);
  assert.deepEqual(s.plants.map(crowns(s)), [6, 6, 14], 'without a year as when grown');
  assert.deepEqual(s.plants.map(crowns({ ...s, sizes: [] }, 10)), [6, 6, 14], 'and where the sheet has no series');
  const box = [-100, -100, 100, 100];
  assert.match(plants(s, p, box, { year: 10 }), /class="ring new" d="M198 200a2 2/, 'year 10: 2 m are 4 px across');
  assert.match(plants(s, p, box, { year: 30 }), /class="ring new" d="M193 200a7 7/, 'year 30: 7 m');
  const early = plants(s, p, box, { year: 0 });
  assert.doesNotMatch(early, /ring new/);
  assert.match(early, /class="stem" d="M198\.4 200a1\.6 1\.6/);
  assert.match(early, /class="ring unknown"/);
});

test('a windbreak or row with no plant set out is drawn as a line, one with plants by its plants', () => {
  const line = { type: 'LineString', coordinates: [[0, 0], [50, 0]] };
  const box = [-100, -100, 100, 100];
  for (const kind of ['windbreak', 'row']) {
    assert.match(plants(sheet([thing('w', kind, line, {}, { plants: 0 })]), p, box), /class="unset" d="M200 200L300 200"/, kind);
    assert.doesNotMatch(plants(sheet([thing('w', kind, line, {}, { plants: 9 })]), p, box), /unset/, `${kind}: its plants may lie out of sight`);
  }
});

test('hedges are as wide as they are in the year, else as stated', () => {
  const f = thing('h', 'hedge', { type: 'LineString', coordinates: [[0, 0], [50, 0]] }, { width_m: 2 }, { grows: { width: years((y) => Math.min(1.5, 0.1 * y)), height: years((y) => 0.2 * y) } });
  assert.deepEqual([hedgeWidth(f, 10), hedgeWidth(f, 30), hedgeWidth(f, 0), hedgeWidth(f)], [1, 1.5, 2, 2]);
  assert.deepEqual(sizesIn(sheet([f]), f, 10), { height: [2, 2], spread: [1, 1] });
  const belt = thing('w', 'windbreak', f.geometry, {}, { grows: [{ width: years(() => 2), height: years((y) => y / 10) }, { width: years(() => 3), height: null }] });
  assert.deepEqual(sizesIn(sheet([belt]), belt, 20), { height: [2, 2], spread: [2, 3] });
});

test('the line of an entry tells how high and wide it is in the year', () => {
  const s = stand();
  assert.equal(sizeWords(s, s.features[0], 12), '2.0 m high, 2.5 m wide.');
  const old = (properties) => sizeWords(s, { ...s.features[0], kind: 'hedge', status: 'existing', properties, grows: { width: years(() => 1.5), height: years(() => 2) } }, 12);
  assert.equal(old({}), '2.0 m high, 1.5 m wide. That is taken so, because neither its height nor its planting is stated.');
  assert.equal(old({ height_m: 2 }), '2.0 m high, 1.5 m wide.');
  assert.equal(sizeWords(s, s.features[0], 1), '', 'nothing before it is planted');
  assert.equal(yearLine({ ...initial(), year: 12 }, s, s.features[1]), 'In year 12: 15 m high, 12 m wide.');
});

const square2 = [[[0, 0], [10, 0], [10, 10], [0, 10], [0, 0]], [[2, 2], [4, 2], [4, 4], [2, 4], [2, 2]]];

test('bands: stronger the less wind or sun there is; open wind and open sky are bare', () => {
  assert.deepEqual([0, 20, 40, 60, 80].map((v) => strength('shelter', v)), [5, 4, 3, 2, 1]);
  assert.deepEqual([0, 2, 4, 6, 8, 10].map((v) => strength('light', v)), [5, 4, 3, 2, 1, 0]);
  const out = bands('shelter', { bands: [{ from: 20, to: 40, words: 'calm', rings: square2 }, { from: 60, to: 80, words: 'x', rings: [] }] }, p);
  assert.match(out, /<path class="f-tint shelter f4" d="M200 200L220 200L220 180L200 180L200 200ZM204 196/);
  assert.match(out, /fill="url\(#f-shelter-4\)" fill-rule="evenodd"/);
  assert.equal(out.match(/f-tint/g).length, 1, 'a band without rings is not drawn');
  assert.match(bands('light', { bands: [{ from: 0, to: 2, rings: square2 }] }, p, true), /class="field stale"/);
  assert.equal(bands('light', { bands: [{ from: 10, to: null, rings: square2 }] }, p), '');
});

test('bands differ by their marks as well: each strength has its own distance, densest where least is left', () => {
  for (const which of ['shelter', 'light']) {
    const count = (n) => swatch(which, n).match(/d="([^"]*)"\/>(?:<\/svg>)/)?.[1].split('M').length ?? 0;
    const marks = [1, 2, 3, 4, 5].map(count);
    assert.deepEqual([...marks].sort((a, b) => a - b), marks, `${which}: ${marks}`);
    assert.equal(new Set(marks).size, 5, `${which}: ${marks}`);
  }
});

test('the legend says each band in words and numbers', () => {
  assert.equal(bandWords('shelter', { from: 20, to: 40, words: 'calm' }), 'calm: 20 to 40 %');
  assert.equal(bandWords('shelter', { from: 0, to: 20, words: 'very calm' }), 'very calm: under 20 % of open wind');
  assert.equal(bandWords('light', { from: 4, to: 6, words: 'part sun' }), 'part sun: 4 to 6 hours');
  assert.equal(bandWords('light', { from: 10, to: null, words: 'full sun' }), 'full sun: 10 hours and more');
  assert.equal(bandWords('light', { from: 10, words: '' }), '10 hours and more');
  assert.deepEqual(legendOf('shelter', { bands: [{ from: 0, to: 20, words: 'a' }] }).map((l) => l.n), [5, 0]);
  const field = { which: 'light', data: { bands: [{ from: 0, to: 2, words: '<b>' }] }, asked: { which: 'light', year: 7, month: '6' }, busy: true, wrong: '' };
  const out = legendMarkup(field, { holding: { planting_winter: 2026 } });
  assert.match(out, /Direct sun a day, year 7, winter 2033\/34, in June/);
  assert.match(out, /being worked out for year 7/);
  assert.doesNotMatch(out, /<b>:/, 'words are text');
  assert.equal(titleOf({ which: 'shelter', year: 0, leaf: 'off' }, {}), 'Wind left, at planting, trees bare');
});

test('south of the equator the sun is told from October to March', () => {
  const north = { origin: [-2.5, 54] };
  const south = { origin: [172, -43.5] };
  assert.deepEqual([seasonOf(north), seasonOf(null), seasonOf(south)], ['April to September', 'April to September', 'October to March']);
  assert.deepEqual(['mean', '4', '6', '9'].map((m) => sunWords(m, north)), ['mean of April to September', 'in April', 'in June', 'in September']);
  // The keys stay 4 to 9; the fourth is the first month of the season (October), as the hours of the beds have it.
  assert.deepEqual(['mean', '4', '6', '9'].map((m) => sunWords(m, south)), ['mean of October to March', 'in October', 'in December', 'in March']);
  assert.equal(titleOf({ which: 'light', year: 3, month: '7' }, south), 'Direct sun a day, year 3, in January');
});

test('a bed that cannot be worked with is not denied', () => {
  const kept = { shelter: new Map(FIRST.map((y) => [y, { beds: [] }])), light: new Map(FIRST.map((y) => [y, { beds: [] }])), falls: new Map(), goal: FIRST };
  const says = (...features) => textOf(beds({ s: initial(), sheet: sheet(features) }, kept, () => {}, {}));
  assert.match(says(), /There is no bed on the plan/);
  assert.doesNotMatch(says(thing('b', 'bed', square(0, 0, 10))), /There is no bed/);
  assert.match(says(thing('b', 'bed', square(0, 0, 10))), /No bed can be worked with as it is drawn/);
});

test('what the years rest on names properties by their labels', () => {
  const kept = { notes: new Map([['light', { said: ['Shed states no height_m and is taken as 5 m high.'], unknown: [{ why: 'State height_m.' }], source: '' }]]) };
  const c = { vocabulary: { common: [], holding: [], kinds: [{ props: [{ name: 'height_m' }] }] } };
  assert.match(textOf(notes(c, kept)), /Shed states no “Height” and is taken as 5 m high\..*State “Height”\./);
});

test('at planting is no year to be in', () => {
  assert.deepEqual([inYear(0, null), inYear(7, null), inYear(0, { planting_winter: 2026 })], ['at planting', 'in year 7', 'at planting, winter 2026/27']);
  const belt = thing('b', 'windbreak', { type: 'LineString', coordinates: [[0, 0], [50, 0]] }, {}, { status: 'planned', grows: [{ width: years(() => 1), height: years((y) => 0.5 + y) }] });
  assert.equal(yearLine({ ...initial(), year: 0 }, sheet([belt]), belt), 'At planting: 0.5 m high, 1.0 m wide.');
});

test('names and signs keep their contrast over the strongest band (WCAG 2.2, 1.4.3 and 1.4.11)', () => {
  const css = readFileSync(new URL('../style.css', import.meta.url), 'utf8');
  const own = readFileSync(new URL('../years.css', import.meta.url), 'utf8');
  const tints = [...own.matchAll(/\.f-tint\.f(\d) \{ fill-opacity: ([\d.]+); \}/g)].map((m) => Number(m[2]));
  assert.deepEqual([...tints].sort(), tints);
  assert.equal(tints.length, 6);
  const rgb = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
  const lum = (c) => c.map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const ratio = (a, b) => { const [x, y] = [lum(a), lum(b)].sort((m, n) => n - m); return (x + 0.05) / (y + 0.05); };
  for (const selector of [':root {', ':root[data-theme="dark"]']) {
    const t = Object.fromEntries([...css.slice(css.indexOf(selector)).match(/\{([^}]*)\}/)[1].matchAll(/--([\w-]+):\s*(#[0-9a-f]{6})\b/g)].map((m) => [m[1], rgb(m[2])]));
    for (const hue of ['calm', 'shade']) {
      const on = (n) => t[hue].map((v, i) => v * tints[n] + t.paper[i] * (1 - tints[n]));
      assert.ok(ratio(t.ink, on(5)) >= 4.5, `${selector} ink on ${hue}: ${ratio(t.ink, on(5))}`);
      for (const sign of ['leaf', 'water', 'stop', 'focus']) assert.ok(ratio(t[sign], on(5)) >= 3, `${selector} ${sign} on ${hue}: ${ratio(t[sign], on(5))}`);
      assert.ok(ratio(t[hue], t.paper) >= 3, `${selector} the line of ${hue}`);
      for (let n = 1; n <= 5; n++) assert.ok(ratio(on(n), on(n - 1)) > 1, `${hue} ${n} differs from ${n - 1}`);
    }
  }
});

const rows = () => [0, 5, 10, 30].map((year) => ({ year, hours: 9 - year / 5, worst: 8 - year / 5, wanted: 6, taken: [], wind: 100 - year, least: 90 - year, greatest: 100, off: 100 - year / 2, by: [] }));

test('a chart: years stand where they belong, a press finds them again', () => {
  for (const y of EVERY) assert.equal(yearAt(across(y) / 400), y);
  assert.deepEqual([yearAt(0), yearAt(1), yearAt(-1)], [0, 30, 0]);
  assert.equal(lineThrough([[0, 1], [30, 2]], (v) => v * 10), 'M34 10L388 20');
  assert.equal(hoursTop([{ hours: 9, wanted: 6 }, { hours: null, wanted: null }]), 10);
  assert.equal(hoursTop([]), 4);
});

const find = (tree, test_) => (test_(tree) ? [tree] : []).concat((tree.kids ?? []).flatMap((k) => find(k, test_)));
const textOf = (tree) => (tree.text ?? '') + (tree.kids ?? []).map(textOf).join('');
const cls = (c) => (k) => k.props?.class === c;

test('a chart draws sun, what is wanted and wind, and marks the year shown', () => {
  const c = chart(rows(), { year: 10, label: 'Sun on it', onyear() {} });
  assert.equal(c.props.role, 'img');
  assert.equal(c.props['aria-label'], 'Sun on it');
  assert.equal(find(c, cls('sun'))[0].props.d.match(/[ML]/g).length, 4);
  assert.match(textOf(c), /6 wanted/);
  assert.match(find(c, cls('now'))[0].props.d, /^M152 /);
  assert.match(textOf(c), /7\.0 h/);
  assert.match(textOf(c), /90 %/);
  const bare = chart([], { year: 3, label: '', onyear() {} });
  assert.equal(find(bare, cls('wanted')).length, 0);
});

test('the same figures stand in a table: a caption, heads of rows and columns, a button a year', () => {
  const pressed = [];
  const t = yearsTable(rows(), { year: 10, caption: 'Bed', onyear: (y) => pressed.push(y) });
  assert.equal(textOf(find(t, (k) => k.tag === 'caption')[0]), 'Bed');
  assert.equal(find(t, (k) => k.tag === 'th' && k.props.scope === 'col').length, 5);
  const heads = find(t, (k) => k.tag === 'th' && k.props.scope === 'row');
  assert.equal(heads.length, 4);
  find(heads[3], (k) => k.tag === 'button')[0].props.onclick();
  assert.deepEqual(pressed, [30]);
  assert.deepEqual(find(t, (k) => k.tag === 'tr' && k.props.class === 'here').map(textOf), ['107.06.09095']);
  assert.equal(find(yearsTable(rows().map((r) => ({ ...r, off: null })), { year: 0, caption: '', onyear() {} }), (k) => k.tag === 'th' && k.props.scope === 'col').length, 4);
});

const answer = (which, list, more = {}) => ({ data: { years: list.map((year) => ({ year, beds: [which === 'light' ? { id: 'b', name: 'Bed', mean_hours: 9 - year / 5, worst_hours: 1, wanted_hours: 6, taken_by: [] } : { id: 'b', name: 'Bed', mean_wind_percent: 100 - year, leaf_off: { mean_wind_percent: 99 }, by: [] }] })), ...more } });
const blank = () => ({ key: 'k', shelter: new Map(), light: new Map(), falls: new Map(), buildings: [], notes: new Map(), goal: FIRST });

test('answers are put together by year; what is missing is asked in turn', () => {
  assert.deepEqual(missing(blank()).slice(0, 3), [['shelter', [0, 5]], ['light', [0, 5]], ['shelter', [10, 15]]]);
  let file = taken(blank(), 'light', answer('light', [10, 15], { falls_below: [{ id: 'b', year: 15 }] }).data);
  file = taken(file, 'light', answer('light', [12, 14], { falls_below: [{ id: 'b', year: 14 }] }).data);
  file = taken(file, 'shelter', answer('shelter', [10]).data);
  assert.equal(file.falls.get('b').year, 14, 'the first year counts');
  assert.deepEqual(counted(file), { done: 3, of: 14 });
  assert.deepEqual(ofBed(file, 'b').map((r) => [r.year, r.hours, r.wind]), [[10, 7, 90], [12, 6.6, null], [14, 6.2, null], [15, 6, null]]);
  assert.deepEqual(bedsIn(file, { features: [] }), [{ id: 'b', name: 'Bed' }]);
  for (const y of [...file.shelter.values(), ...file.light.values()]) for (const b of y.beds) b.name = '';
  assert.deepEqual(bedsIn(file, { features: [{ id: 'b', label: 'bed b' }] }), [{ id: 'b', name: 'bed b' }], 'as under Land');
  assert.equal(bedWords(ofBed(file, 'b')[0]), '7.0 hours of direct sun a day, 6 wanted. 90 % of the open wind is left.');
});

test('asking goes on until all is there, and starts anew when the plan has changed', async () => {
  const store = createStore({ ...initial(), holding: 'h', revision: 1, sheet: sheet([]) });
  const asked = [];
  const api = { byYear: async (id, which, list) => { asked.push([which, ...list]); if (asked.length === 3) store.do('sheet', { sheet: sheet([]), revision: 2 }); return answer(which, list); } };
  const asking = createByYear({ store, api });
  await asking.run(FIRST, () => true);
  assert.equal(asked.length, 3, 'what belongs to the plan before the change is broken off');
  await asking.run(FIRST, () => true);
  const { byYear } = store.get();
  assert.deepEqual([byYear.key, byYear.busy, byYear.shelter.size, byYear.light.size], ['h 2', false, 7, 7]);
  const was = asked.length;
  await asking.run(FIRST, () => true);
  assert.equal(asked.length, was, 'nothing is asked twice');
  await asking.run(EVERY, () => false);
  assert.equal(asked.length, was, 'nor when nobody looks');
});

test('when the server is away it is said, and what came stays', async () => {
  const store = createStore({ ...initial(), holding: 'h', revision: 1, sheet: sheet([]) });
  let n = 0;
  const asking = createByYear({ store, api: { byYear: async (id, which, list) => { if (++n > 2) throw new Away('x'); return answer(which, list); } } });
  await asking.run(FIRST, () => true);
  assert.match(store.get().byYear.wrong, /does not answer/);
  assert.equal(store.get().byYear.shelter.size, 2);
  assert.equal(asking.busy(), false);
});

test('what changes is told in the order of years, findings that say when among it, nothing twice', () => {
  const s = sheet([], [finding(1, { message: 'Crowns meet.', years: { from: 8, mid: 9, to: 10 } }), finding(2), finding(3, { years: { from: 1, mid: 2, to: 3 }, accepted: { reason: 'so' } })], {
    events: [{ from: 3, mid: 4, to: 6, text: 'The hedge can be laid.', features: ['h'], x: 1, y: 2 }, { from: 8, mid: 9, to: 10, text: 'Crowns meet.', features: [] }, { from: 40, mid: 44, to: 50, text: 'Late.', features: [] }] });
  assert.deepEqual(changes(s).map((g) => [g.year, g.changes.map((c) => c.text)]), [[4, ['The hedge can be laid.']], [9, ['Crowns meet.']], [30, ['Late.']]]);
  assert.equal(changes(s)[1].changes[0].finding.n, 1);
  assert.deepEqual(changes(sheet([])), []);
});

/** A field with a clock that is turned by hand and a server whose answers are given one by one. */
function overlay(state = {}) {
  const store = createStore({ ...initial(), holding: 'h', revision: 1, sheet: sheet([]), shows: { ...initial().shows, field: 'shelter' }, ...state });
  const waits = [];
  const asked = [];
  const api = { field: (want, signal) => new Promise((give, refuse) => { asked.push({ want, give: (data) => give({ data }), refuse, signal }); signal.addEventListener('abort', () => refuse(Object.assign(new Error('a'), { name: 'AbortError' }))); }) };
  const seen = [];
  const field = createField({ store, api }, (f) => seen.push(f), { later: (f) => { waits.push(f); return waits.length; }, stop: (i) => { if (i) waits[i - 1] = null; } });
  return { store, field, asked, seen, rest: () => { for (const f of waits.splice(0, waits.length, ...waits.map(() => null))) f?.(); } };
}

test('a field is asked for once the slider rests, and what is drawn stays meanwhile', async () => {
  const o = overlay();
  o.field.look();
  for (const year of [11, 12, 13]) { o.store.do('year', year); o.field.look(); }
  assert.equal(o.asked.length, 0, 'not while it moves');
  o.rest();
  assert.deepEqual(o.asked.map((a) => a.want.year), [13]);
  o.asked[0].give({ bands: [] });
  await turn();
  assert.deepEqual([o.field.now().stale, o.field.now().busy], [false, false]);
  o.store.do('year', 14);
  o.field.look();
  assert.deepEqual([o.field.now().stale, o.field.now().busy, o.field.now().data !== null], [true, true, true]);
  o.rest();
  o.store.do('year', 15);
  o.field.look();
  assert.equal(o.asked[1].signal.aborted, true, 'what is outdated is taken back');
  o.rest();
  o.asked[2].give({ bands: [1] });
  await turn();
  assert.deepEqual(o.field.now().data, { bands: [1] });
  o.store.do('year', 13);
  o.field.look();
  o.rest();
  assert.equal(o.asked.length, 3, 'what was told once is kept');
  assert.deepEqual(o.field.now().data, { bands: [] });
  o.store.do('sheet', { sheet: sheet([]), revision: 2 });
  o.field.look();
  o.rest();
  assert.equal(o.asked.length, 4, 'until the plan changes');
});

test('one kind does not stand in for the other, nor one holding for another', () => {
  const o = overlay();
  assert.equal(wanted(o.store.get()).key, 'h 1 shelter 10 on');
  o.field.look();
  o.store.do('shows', { field: 'light' });
  o.field.look();
  assert.equal(o.field.now().data, null);
  assert.equal(wanted(o.store.get()).key, 'h 1 light 10 mean');
  o.store.do('shows', { field: null });
  o.field.look();
  assert.deepEqual([o.field.now().asked, o.field.now().which], [null, null]);
  assert.equal(wanted({ ...o.store.get(), sheet: null }), null);
});

test('what could not be worked out is said in plain words, and asked for again', async () => {
  const o = overlay();
  o.field.look();
  o.rest();
  o.asked[0].refuse(new Refused(422, { detail: 'The plan has no wind.' }));
  await turn();
  assert.match(o.store.get().message.text, /could not be worked out\. The plan has no wind\./);
  assert.equal(o.field.now().busy, false);
  o.field.look();
  o.rest();
  o.asked[1].refuse(new Away('x'));
  await turn();
  assert.match(o.store.get().message.text, /does not answer/);
});

test('shares too small to be told in whole percents are left out', () => {
  assert.equal(shares([{ name: 'Belt', share_percent: 99.6 }, { id: 'wall', share_percent: 0.5 }, { name: 'Dry wall', share_percent: 0.4 }]), 'Belt 100 %, wall 1 %');
  assert.equal(shares([{ name: 'Dry wall', share_percent: 0.1 }]), '');
});
