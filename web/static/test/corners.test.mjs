import test from 'node:test';
import assert from 'node:assert/strict';
import { corners, deleteCorner, insertCorner, moveAll, moveCorner, setChainage, setCorner, setLeg, splitAt } from '../corners.js';
import { lengthOf } from '../measure.js';

const line = { type: 'LineString', coordinates: [[0, 0], [10, 0], [10, 10]] };
const ring = { type: 'Polygon', coordinates: [[[0, 0], [10, 0], [10, 10], [0, 10], [0, 0]], [[4, 4], [4, 6], [6, 6], [4, 4]]] };
const many = { type: 'MultiPolygon', coordinates: [[[[0, 0], [1, 0], [0, 1], [0, 0]]], [[[5, 5], [6, 5], [5, 6], [5, 5]]]] };
const frozen = (g) => JSON.parse(JSON.stringify(g));

test('corners of a line with chainage and legs', () => {
  const all = corners(line);
  assert.deepEqual(all.map((c) => [c.i, c.chainage, c.leg, c.bearing]), [[0, 0, null, null], [1, 10, 10, 90], [2, 20, 10, 0]]);
});

test('the position that closes a ring is no corner; the first has the closing leg', () => {
  const all = corners(ring);
  assert.equal(all.length, 7);
  assert.deepEqual([all[0].leg, all[0].bearing, all[4].hole], [10, 180, true]);
});

test('changes by corner, and nothing else changes', () => {
  const was = frozen(ring);
  const g = setCorner(ring, 0, [-1, -1]);
  assert.deepEqual(g.coordinates[0], [[-1, -1], [10, 0], [10, 10], [0, 10], [-1, -1]]);
  assert.deepEqual(g.coordinates[1], ring.coordinates[1]);
  assert.deepEqual(ring, was, 'the argument is as it was');
  assert.deepEqual(moveCorner(many, 4, 1, 0).coordinates[1][0][1], [7, 5]);
  assert.deepEqual(setCorner(many, 3, [9, 9]).coordinates[1][0], [[9, 9], [6, 5], [5, 6], [9, 9]]);
  assert.deepEqual(setCorner({ type: 'Point', coordinates: [1, 2] }, 0, [3, 4]), { type: 'Point', coordinates: [3, 4] });
  assert.equal(setCorner(line, 7, [0, 0]), null);
});

test('a corner by leg: length and bearing from the one before', () => {
  const g = setLeg(line, 2, 5, 90);
  g.coordinates[2].forEach((v, i) => assert.ok(Math.abs(v - [15, 0][i]) < 1e-9));
  assert.equal(setLeg(line, 0, 5, 90), null, 'the start of a line has no leg');
});

test('a corner slid along the line to a chainage', () => {
  assert.deepEqual(setChainage(line, 1, 12).coordinates[1], [10, 2]);
  assert.equal(setChainage(line, 1, 20), null, 'not on the next corner');
  assert.equal(setChainage(line, 1, 0), null, 'nor on the one before');
  assert.deepEqual(setChainage(line, 2, 25).coordinates[2].map((v) => Math.round(v)), [10, 15], 'the end goes on straight');
});

test('corners put in and taken out', () => {
  assert.deepEqual(insertCorner(line, 0).coordinates, [[0, 0], [5, 0], [10, 0], [10, 10]]);
  assert.deepEqual(insertCorner(ring, 3).coordinates[0], [[0, 0], [10, 0], [10, 10], [0, 10], [0, 5], [0, 0]], 'after the last comes the closing leg');
  assert.equal(insertCorner(line, 2), null, 'no leg follows the end');
  assert.deepEqual(insertCorner(line, 2, [10, 12]).coordinates.at(-1), [10, 12]);
  assert.deepEqual(deleteCorner(line, 1).coordinates, [[0, 0], [10, 10]]);
  assert.equal(deleteCorner(deleteCorner(line, 1), 0), null, 'a line keeps two');
  assert.deepEqual(deleteCorner(ring, 0).coordinates[0], [[10, 0], [10, 10], [0, 10], [10, 0]], 'the ring stays closed');
  assert.equal(deleteCorner(ring, 4), null, 'a ring keeps three');
});

test('a whole thing moved', () => {
  assert.deepEqual(moveAll(line, 1, -2).coordinates, [[1, -2], [11, -2], [11, 8]]);
  assert.deepEqual(moveAll({ type: 'Point', coordinates: [0, 0] }, 1, 1).coordinates, [1, 1]);
});

test('a line cut in two: nothing is lost, nothing is drawn twice', () => {
  const [a, b] = splitAt(line, 12);
  assert.deepEqual([a.coordinates, b.coordinates], [[[0, 0], [10, 0], [10, 2]], [[10, 2], [10, 10]]]);
  for (const at of [0.5, 9.999, 10, 10.001, 19]) {
    const two = splitAt(line, at);
    assert.ok(Math.abs(lengthOf(two[0].coordinates) - at) < 1e-6);
    assert.ok(Math.abs(lengthOf(two[1].coordinates) - (20 - at)) < 1e-6);
  }
  for (const at of [0, 20, 25, -1]) assert.equal(splitAt(line, at), null);
  assert.equal(splitAt(ring, 5), null);
});

test('a line of several parts is cut by chainage along its parts', () => {
  const g = { type: 'MultiLineString', coordinates: [[[0, 0], [10, 0]], [[14, 0], [24, 0]]] };
  const [a, b] = splitAt(g, 13);
  assert.deepEqual(a, { type: 'MultiLineString', coordinates: [[[0, 0], [10, 0]], [[14, 0], [17, 0]]] });
  assert.deepEqual(b, { type: 'LineString', coordinates: [[17, 0], [24, 0]] });
  assert.deepEqual(splitAt(g, 10).map((x) => x.type), ['LineString', 'LineString'], 'between the parts: one each');
});
