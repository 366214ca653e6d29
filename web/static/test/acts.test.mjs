import test from 'node:test';
import assert from 'node:assert/strict';
import { createStore, initial } from '../state.js';
import { createActs } from '../acts.js';
import { put, reshaped, parted, removed, rounded, whole } from '../tools/apply.js';
import { pace } from '../keys.js';

const hedge = { id: 'h', kind: 'hedge', label: 'Lane hedge', status: 'existing', properties: { kind: 'hedge', name: 'Lane hedge' }, defaults: {}, geometry: { type: 'LineString', coordinates: [[0, 0], [10, 0], [20, 0]] } };
const pen = { key: 'field', kind: 'parcel', shape: 'polygon', props: {}, title: 'Field' };

/** A page whose frames and server are in the test's hands. */
function page() {
  const store = createStore({ ...initial(), holding: 'x', sheet: { features: [hedge], plants: [], findings: [], species: [] } });
  const said = { edits: [], trials: [], still: 0 };
  const frames = [];
  const sync = { edit: (e) => said.edits.push(e), trial: (e) => said.trials.push(e), still: () => { said.still++; } };
  const acts = createActs({ store, sync }, (f) => frames.push(f));
  return { store, acts, said, frame: () => frames.splice(0).forEach((f) => f()) };
}
const set = (x, y) => ({ type: 'set', at: [x, y] });

test('coordinates are sent to the millimetre, outlines anticlockwise and holes clockwise', () => {
  assert.deepEqual(rounded([[1.00049, -2.00051]]), [[1, -2.001]]);
  // RFC 7946, section 3.1.6.
  const clockwise = [[0, 0], [0, 10], [10, 10], [10, 0], [0, 0]];
  const hole = [[2, 2], [4, 2], [4, 4], [2, 2]];
  const g = whole({ type: 'Polygon', coordinates: [clockwise, hole] });
  assert.deepEqual(g.coordinates, [[...clockwise].reverse(), [...hole].reverse()]);
  assert.deepEqual(whole(g), g);
  assert.deepEqual(whole({ type: 'MultiPolygon', coordinates: [[clockwise]] }).coordinates[0][0], [...clockwise].reverse());
});

test('edits from drafts', () => {
  assert.deepEqual(put({ kind: 'ground', props: { moisture: 'wet' }, title: 'Wet ground' }, { type: 'Point', coordinates: [1, 2] }),
    { note: 'Wet ground drawn', put: [{ type: 'Feature', properties: { kind: 'ground', moisture: 'wet' }, geometry: { type: 'Point', coordinates: [1, 2] } }], delete: [] });
  const moved = reshaped(hedge, { type: 'LineString', coordinates: [[0, 1], [5, 5]] });
  assert.deepEqual([moved.put[0].id, moved.put[0].properties, moved.delete], ['h', hedge.properties, []]);
  assert.deepEqual(removed(hedge), { note: 'Lane hedge deleted', put: [], delete: ['h'] });
  const two = parted(hedge, [{ type: 'LineString', coordinates: [[0, 0], [5, 0]] }, { type: 'LineString', coordinates: [[5, 0], [20, 0]] }]);
  assert.equal(two.put[0].id, 'h');
  assert.equal(two.put[1].id, undefined);
  assert.notEqual(two.put[1].properties.name, 'Lane hedge');
});

test('drawing: tried as the pointer moves, once a frame; one edit when it ends', () => {
  const { store, acts, said, frame } = page();
  acts.take(pen);
  acts.event(set(0, 0));
  acts.event(set(10, 0));
  for (let i = 0; i < 5; i++) acts.event({ type: 'move', at: [10, i + 1] });
  frame();
  assert.equal(said.trials.length, 1, 'five moves, one frame, one trial');
  assert.deepEqual(said.trials[0].put[0].geometry.coordinates[0], [[0, 0], [10, 0], [10, 5], [0, 0]]);
  acts.event(set(10, 5));
  acts.event({ type: 'end' });
  assert.equal(said.edits.length, 1);
  assert.equal(store.get().tool, null);
  said.edits[0].done(['parcel-1']);
  assert.equal(store.get().selected, 'parcel-1');
});

test('what was tried stays on the sheet until the server has it', () => {
  const { store, acts } = page();
  acts.take(pen);
  store.do('trial', { features: [], plants: [] });
  for (const c of [set(0, 0), set(10, 0), set(10, 5), { type: 'end' }]) acts.event(c);
  assert.notEqual(store.get().trial, null);
});

test('leaving asks for nothing and keeps nothing', () => {
  const { store, acts, said } = page();
  acts.take(pen);
  acts.event(set(0, 0));
  acts.event({ type: 'leave' });
  assert.deepEqual([store.get().tool, said.edits.length, said.still], [null, 0, 1]);
  acts.take(pen);
  acts.take(pen);
  assert.equal(store.get().tool, null, 'the same pen again lays it down');
});

test('pens for single things stay in hand', () => {
  const { store, acts, said } = page();
  acts.take({ key: 'tree', kind: 'plant', shape: 'point', props: {}, title: 'Tree', again: true });
  acts.event(set(1, 1));
  acts.event(set(2, 2));
  assert.equal(said.edits.length, 2);
  assert.equal(store.get().tool.pen.key, 'tree');
});

test('a drag is a draft, and one edit when let go; back where it was is none', () => {
  const { store, acts, said, frame } = page();
  acts.grab({ what: 'corner', id: 'h', corner: 1 });
  acts.event({ type: 'move', at: [10, 3] });
  frame();
  assert.deepEqual(said.trials[0].put[0].geometry.coordinates[1], [10, 3]);
  acts.event({ type: 'end' });
  assert.equal(said.edits.length, 1);
  said.edits[0].done(['h']);
  assert.deepEqual([store.get().selected, store.get().corner], ['h', 1]);
  acts.grab({ what: 'thing', id: 'h', from: [0, 0] });
  acts.event({ type: 'end' });
  assert.equal(said.edits.length, 1);
  acts.grab({ what: 'thing', id: 'nobody', from: [0, 0] });
  assert.equal(store.get().tool, null);
});

test('a second change is made on the first, though the server has neither yet', () => {
  const { store, acts, said } = page();
  acts.removeCorner('h', 1);
  store.do('queued', said.edits[0]);
  acts.addCorner('h', 0);
  assert.deepEqual(said.edits[1].put[0].geometry.coordinates, [[0, 0], [10, 0], [20, 0]]);
  acts.removeCorner('h', 0);
  assert.equal(said.edits.length, 2, 'of the two corners that the first change leaves none can go');
});

test('cutting, deleting, stepping through corners', () => {
  const { store, acts, said } = page();
  acts.split('h');
  acts.event({ type: 'move', at: [5, 2] });
  acts.event({ type: 'end' });
  assert.equal(said.edits[0].put.length, 2);
  store.do('select', { id: 'h' });
  acts.nextCorner(1);
  acts.nextCorner(1);
  assert.equal(store.get().corner, 1);
  acts.nextCorner(-1);
  acts.nextCorner(-1);
  assert.equal(store.get().corner, 2, 'and round again');
  acts.remove('h');
  assert.deepEqual([said.edits[1].delete, store.get().selected], [['h'], null]);
});

test('arrow keys go 0.1 m, with Shift 1 m, with Ctrl 10 m', () => {
  assert.deepEqual([{}, { shiftKey: true }, { ctrlKey: true }].map(pace), [0.1, 1, 10]);
});
