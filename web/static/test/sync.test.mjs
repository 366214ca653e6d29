import test from 'node:test';
import assert from 'node:assert/strict';
import { createStore, initial } from '../state.js';
import { createSync } from '../sync.js';
import { based, rebased, same } from '../rebase.js';
import { Away, Refused } from '../api.js';

const shed = (properties, x = 0) => ({ id: 'shed', kind: 'building', properties: { kind: 'building', ...properties }, geometry: { type: 'Point', coordinates: [x, 0] } });
const put = (f) => ({ type: 'Feature', id: f.id, properties: f.properties, geometry: f.geometry });
const sheetOf = (...features) => ({ features, holding: {} });

test('a change is put on top of what others changed, property by property', () => {
  const state = { ...initial(), sheet: sheetOf(shed({ name: 'Shed', height_m: 3, notes: 'old' })) };
  const mine = based(state, { note: 'n', put: [put(shed({ name: 'Shed', height_m: 4 }))], delete: [] }); // height changed, notes taken away
  const now = sheetOf(shed({ name: 'Barn', height_m: 3, notes: 'old', dwelling: true }, 7));
  const sent = rebased(mine, now);
  assert.deepEqual(sent.put[0].properties, { kind: 'building', name: 'Barn', height_m: 4, dwelling: true });
  assert.deepEqual(sent.put[0].geometry.coordinates, [7, 0], 'the shape is theirs, who moved it');
  const moved = based(state, { note: 'n', put: [put(shed({ name: 'Shed', height_m: 3, notes: 'old' }, 2))], delete: [] });
  assert.deepEqual(rebased(moved, now).put[0].geometry.coordinates, [2, 0], 'and ours where we moved it');
  assert.equal(rebased(moved, now).put[0].properties.name, 'Barn');
});

test('what is gone already is not deleted twice; what somebody deleted and we changed comes back', () => {
  const state = { ...initial(), sheet: sheetOf(shed({})) };
  assert.deepEqual(rebased(based(state, { note: 'n', put: [], delete: ['shed'] }), sheetOf()).delete, []);
  assert.deepEqual(rebased(based(state, { note: 'n', put: [], delete: ['shed'] }), state.sheet).delete, ['shed']);
  assert.equal(rebased(based(state, { note: 'n', put: [put(shed({ name: 'x' }))], delete: [] }), sheetOf()).put.length, 1);
});

test('a new thing has an id from the start: sent twice it is one thing, and never another window’s', () => {
  const state = { ...initial(), sheet: sheetOf({ ...shed({}), id: 'building-1' }) };
  const { id, ...fresh } = put(shed({ name: 'New' }));
  assert.equal(id, 'shed');
  const edit = based(state, { note: 'n', put: [fresh, fresh], delete: [] });
  assert.deepEqual(edit.put.map((f) => f.id), ['building-2', 'building-3']);
  const there = { ...shed({ name: 'New' }), id: 'building-2' };
  const again = rebased(edit, sheetOf({ ...there, geometry: { type: 'Point', coordinates: [0.001, 0] } }));
  assert.deepEqual([again.put.map((f) => f.id), again.ids], [['building-3'], ['building-2', 'building-3']]);
  const theirs = rebased(edit, sheetOf({ ...shed({ name: 'Theirs' }), id: 'building-2' }));
  assert.equal(new Set([...theirs.ids, 'building-2']).size, 3);
});

test('a fix in longitude and latitude is not put over a shape that somebody changed', () => {
  const state = { ...initial(), sheet: sheetOf(shed({})) };
  const fix = based(state, { note: 'n', put: [put(shed({ height_m: 2 }, -2.58))], delete: [], metres: false });
  assert.equal(rebased(fix, sheetOf(shed({}, 5))), null);
  const sent = rebased(fix, sheetOf(shed({ name: 'Barn' })));
  assert.deepEqual(sent.put[0].geometry.coordinates, [-2.58, 0]);
  assert.deepEqual(sent.put[0].properties, { kind: 'building', name: 'Barn', height_m: 2 });
});

test('lengths that the server rounds are the same', () => {
  assert.ok(same([1, { a: 2.0004 }], [1, { a: 2 }]));
  assert.ok(!same([1, 2], [1, 2, 3]));
  assert.ok(!same({ a: 1 }, { b: 1 }));
  assert.ok(!same([], {}));
  assert.ok(!same(null, {}));
  assert.ok(!same(1, 1.002));
});

/** A page with a server that answers as the test says, one answer after another. */
function page(answers, sheets) {
  const kept = new Map();
  const box = { getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => kept.set(k, v) };
  const store = createStore({ ...initial(), holding: 'h', revision: 1, sheet: sheets[0] });
  const asked = [];
  const waiting = [];
  const api = {
    edit: async (holding, revision, edit) => {
      asked.push({ revision, ...edit });
      const a = answers.shift();
      if (a instanceof Error) throw a;
      return a;
    },
    sheet: async () => ({ data: sheets[1], revision: 2 }),
  };
  const sync = createSync(store, { api, box, later: (f) => { waiting.push(f); } });
  return { store, sync, asked, box, next: () => waiting.shift()() };
}

test('another window was quicker: the edit goes out again on top of it', async () => {
  const first = sheetOf(shed({ name: 'Shed' }));
  const second = sheetOf(shed({ name: 'Barn' }));
  const p = page([new Refused(412, {}), { data: { sheet: second, ids: ['shed'] }, revision: 3 }], [first, second]);
  await p.sync.edit({ note: 'n', put: [put(shed({ name: 'Shed', notes: 'mine' }))], delete: [] });
  assert.equal(p.store.get().pending.length, 1);
  await p.next();
  assert.deepEqual(p.asked.map((a) => [a.revision, a.put[0].properties.name]), [[1, 'Shed'], [2, 'Barn']]);
  assert.equal(p.asked[1].put[0].properties.notes, 'mine');
  assert.equal('base' in p.asked[1], false);
  assert.equal(p.store.get().pending.length, 0);
});

test('the answer was lost on the way: nothing is put twice', async () => {
  const first = sheetOf();
  const second = sheetOf({ ...shed({ name: 'New' }), id: 'building-1' });
  const p = page([new Away('cut off'), new Refused(412, {})], [first, second]);
  const { id, ...fresh } = put(shed({ name: 'New' }));
  let done = null;
  await p.sync.edit({ note: 'n', put: [fresh], delete: [], done: (ids) => { done = ids; } });
  assert.equal(id, 'shed');
  assert.match(p.box.getItem('quickthorn.unsent'), /building-1/);
  await p.next();
  await p.next();
  assert.deepEqual([p.asked.length, done, p.store.get().pending.length], [2, ['building-1'], 0]);
  assert.equal(JSON.parse(p.box.getItem('quickthorn.unsent')).pending.length, 0);
});

test('what is refused is let go and said; what waits behind it is sent', async () => {
  const s = sheetOf(shed({}));
  const p = page([new Away('off'), new Refused(422, { detail: 'A height is more than 0.', mend: 'Say 3.' }), { data: { ids: ['shed'] }, revision: 2 }], [s, s]);
  await p.sync.edit({ note: 'one', put: [put(shed({ height_m: -1 }))], delete: [] });
  await p.sync.edit({ note: 'two', put: [put(shed({ name: 'x' }))], delete: [] }).catch(() => {});
  while (p.store.get().pending.length > 0) await p.next();
  assert.deepEqual(p.asked.map((a) => a.note), ['one', 'one', 'two']);
  assert.equal(p.store.get().sheet, s, 'a sheet that was left out is asked for');
});

test('a sheet without the slow rules is asked for whole once the page has rested', async () => {
  const quick = { ...sheetOf(shed({})), later: ['light.bed'] };
  const whole = { ...sheetOf(shed({})), later: [] };
  const p = page([{ data: { sheet: quick, ids: ['shed'] }, revision: 2 }], [sheetOf(), whole]);
  await p.sync.edit({ note: 'n', put: [put(shed({}))], delete: [] });
  assert.equal(p.store.get().sheet, quick);
  p.store.do('tool', { name: 'hand' });
  await p.next();
  assert.equal(p.store.get().sheet, quick, 'not while something is dragged');
  p.store.do('tool', null);
  await p.next();
  await new Promise((done) => { setTimeout(done, 0); });
  assert.equal(p.store.get().sheet, whole);
  assert.throws(() => p.next(), 'and not again');
});

test('an answer that an edit overtook is let go, and a trial outlives the rest of its own sheet', async () => {
  const store = createStore({ ...initial(), holding: 'h', revision: 5, sheet: { ...sheetOf(shed({})), later: ['light.bed'] } });
  let give;
  const api = { sheet: () => new Promise((r) => { give = r; }) };
  const sync = createSync(store, { api, box: null, later: () => {} });
  const asked = sync.refresh();
  store.do('sheet', { sheet: sheetOf(shed({ name: 'newer' })), revision: 6 });
  give({ data: sheetOf(shed({ name: 'older' })), revision: 5 });
  await asked;
  assert.deepEqual([store.get().revision, store.get().sheet.features[0].properties.name], [6, 'newer']);
  const other = sync.refresh();
  store.do('open', 'g');
  give({ data: sheetOf(shed({})), revision: 7 });
  await other;
  assert.equal(store.get().sheet, null, 'nor is it taken for another holding');

  store.do('sheet', { sheet: sheetOf(shed({})), revision: 1 });
  store.do('tool', { name: 'drag', state: {} });
  store.do('trial', sheetOf());
  store.do('sheet', { sheet: sheetOf(shed({})), revision: 1 });
  assert.notEqual(store.get().trial, null);
  store.do('sheet', { sheet: sheetOf(shed({})), revision: 2 });
  assert.equal(store.get().trial, null);
});

test('a trial is told to the letter as the change itself, so that the server knows it again', async () => {
  const sheet = sheetOf(shed({ name: 'Shed', height_m: 3 }));
  const p = page([{ data: { sheet, ids: [] }, revision: 2 }, { data: { sheet, ids: [] }, revision: 3 }], [sheet, sheet]);
  const tried = [];
  const sync = createSync(p.store, { api: { trial: async (_, body) => { tried.push(JSON.stringify([body.put, body.delete])); return { data: sheet }; }, edit: async (h, r, e) => { p.asked.push(e); return { data: { sheet, ids: [] }, revision: r + 1 }; } }, box: null, later: () => {} });
  // The properties come in another order than the sheet has them, and the new thing without an id.
  for (const f of [{ properties: { name: 'Shed', height_m: 3, kind: 'building' }, geometry: { type: 'Point', coordinates: [4, 0] }, id: 'shed', type: 'Feature' }, { type: 'Feature', properties: { kind: 'well' }, geometry: { type: 'Point', coordinates: [1, 1] } }]) {
    await sync.trial({ note: 'n', put: [f], delete: [] });
    await sync.edit({ note: 'n', put: [f], delete: [] });
    assert.equal(tried.at(-1), JSON.stringify([p.asked.at(-1).put, p.asked.at(-1).delete]));
  }
  assert.match(tried[1], /"well-1"/);
});
