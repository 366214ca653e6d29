import test from 'node:test';
import assert from 'node:assert/strict';
import { along, atChainage, bearing, boxRound, distance, inside, lengthOf, middle, nearestOn, nearestOnLine, partsOf, positions, roomy, signedArea } from '../measure.js';

const close = (a, b, eps = 1e-9) => assert.ok(Math.abs(a - b) < eps, `${a} is not ${b}`);

test('bearings run clockwise from north', () => {
  for (const [to, want] of [[[0, 1], 0], [[1, 0], 90], [[0, -1], 180], [[-1, 0], 270], [[1, 1], 45], [[-1, 1], 315]]) close(bearing([0, 0], to), want);
  assert.equal(bearing([3, 3], [3, 3]), 0);
});

test('a leg by length and bearing comes back as that length and bearing', () => {
  for (const deg of [0, 17, 90, 123.4, 180, 269, 359.5]) {
    const p = along([12, -4], 37.5, deg);
    close(distance([12, -4], p), 37.5);
    close(bearing([12, -4], p), deg, 1e-6);
  }
});

test('lengths and areas', () => {
  close(lengthOf([[0, 0], [3, 4], [3, 10]]), 11); // 3-4-5 triangle and 6 m
  assert.equal(lengthOf([]), 0);
  close(signedArea([[0, 0], [10, 0], [10, 5], [0, 5]]), 50);
  close(signedArea([[0, 0], [0, 5], [10, 5], [10, 0], [0, 0]]), -50); // clockwise, closed
  close(signedArea([[1e6, 1e6], [1e6 + 3, 1e6], [1e6, 1e6 + 4]]), 6); // far from the origin nothing is lost
});

test('the nearest place on a line', () => {
  assert.deepEqual(nearestOn([0, 0], [10, 0], [4, 3]), { at: [4, 0], t: 0.4, d: 3 });
  close(nearestOn([0, 0], [10, 0], [-3, 4]).d, 5);
  close(nearestOn([2, 2], [2, 2], [5, 6]).d, 5); // a piece of no length
  const near = nearestOnLine([[0, 0], [10, 0], [10, 10]], [12, 6]);
  assert.deepEqual([near.at, near.i, near.chainage, near.d], [[10, 6], 1, 16, 2]);
});

test('places by chainage', () => {
  const line = [[0, 0], [10, 0], [10, 10]];
  assert.deepEqual(atChainage(line, 4), [4, 0]);
  assert.deepEqual(atChainage(line, 15), [10, 5]);
  assert.deepEqual(atChainage(line, 99), [10, 10]);
  assert.deepEqual(atChainage(line, -1), [0, 0]);
});

test('inside, with holes', () => {
  const rings = [[[0, 0], [10, 0], [10, 10], [0, 10], [0, 0]], [[4, 4], [6, 4], [6, 6], [4, 6], [4, 4]]];
  assert.equal(inside(rings, [2, 2]), true);
  assert.equal(inside(rings, [5, 5]), false);
  assert.equal(inside(rings, [11, 5]), false);
});

test('the middle is well inside', () => {
  const square = [[[0, 0], [10, 0], [10, 10], [0, 10], [0, 0]]];
  const m = middle(square);
  assert.ok(Math.hypot(m.at[0] - 5, m.at[1] - 5) < 0.7);
  // An L: the deepest place is 2.93 m from the walls of the elbow (5 (2 - sqrt 2)) and never in the missing quarter.
  const ell = [[[0, 0], [10, 0], [10, 5], [5, 5], [5, 10], [0, 10], [0, 0]]];
  const e = middle(ell);
  assert.ok(inside(ell, e.at));
  assert.ok(e.d > 2.5 && e.d < 2.94);
  assert.equal(middle([[]]), null);
  assert.ok(roomy(ell).every((c) => inside(ell, c.at)));
});

test('parts, positions and boxes of geometries', () => {
  assert.deepEqual(partsOf(null), { points: [], lines: [], polygons: [] });
  assert.equal(positions({ type: 'MultiPolygon', coordinates: [[[[0, 0], [1, 0], [0, 1], [0, 0]]]] }).length, 4);
  assert.deepEqual(boxRound([[3, -1], [-2, 5]]), [-2, -1, 3, 5]);
  assert.equal(boxRound([]), null);
});
