import test from 'node:test';
import assert from 'node:assert/strict';
import { boxOf, bringIn, carry, fit, panBy, roundLength, toMetres, toPixels, zoomAt, LEAST_K, MOST_K } from '../view.js';

const size = { w: 800, h: 600 };
const near = (a, b, eps = 1e-9) => a.forEach((v, i) => assert.ok(Math.abs(v - b[i]) < eps, `${a} is not ${b}`));

test('metres to pixels and back', () => {
  const rows = [
    // By hand: k = 4, middle (10, 20): 5 m east is 20 px right of 400, 5 m north 20 px above 300.
    { v: { k: 4, x: 10, y: 20 }, m: [15, 25], p: [420, 280] },
    { v: { k: 4, x: 10, y: 20 }, m: [10, 20], p: [400, 300] },
    { v: { k: 0.5, x: -100, y: 0 }, m: [100, -100], p: [500, 350] },
  ];
  for (const { v, m, p } of rows) {
    near(toPixels(v, size, m), p);
    near(toMetres(v, size, p), m);
  }
});

test('panning moves the land with the hand', () => {
  // 40 px right at 4 px/m: the middle is 10 m further west; 20 px down: 5 m further north.
  assert.deepEqual(panBy({ k: 4, x: 0, y: 0 }, 40, 20), { k: 4, x: -10, y: 5 });
});

test('zooming keeps what is under the pointer, and stops at both ends', () => {
  for (const factor of [0.5, 1.3, 8, 1e6, 1e-6]) {
    const v = { k: 3, x: 12, y: -7 };
    const pixel = [123, 456];
    const next = zoomAt(v, size, pixel, factor);
    near(toMetres(next, size, pixel), toMetres(v, size, pixel), 1e-6);
    assert.ok(next.k >= LEAST_K && next.k <= MOST_K);
  }
});

test('fitting a box', () => {
  // 200 m by 100 m into 800 x 600 with 50 px round it: 700 / 200 = 3.5 px/m is the tighter of 3.5 and 5.
  assert.deepEqual(fit([0, 0, 200, 100], size, 50), { k: 3.5, x: 100, y: 50 });
  assert.equal(fit([5, 5, 5, 5], size).k, 24, 'a single point is not shown at an endless scale');
  assert.deepEqual(fit(null, size), { k: 4, x: 0, y: 0 });
});

test('a layer drawn for one view shows another by a transform', () => {
  // The oracle: where a point was drawn in the layer, moved by the transform, is where it belongs on the sheet.
  const drawn = { k: 4, x: 3, y: 8 };
  const over = 120;
  for (const view of [{ k: 4, x: 3, y: 8 }, { k: 4, x: -20, y: 30 }, { k: 9, x: 3, y: 8 }, { k: 1.7, x: 44, y: -13 }]) {
    const c = carry(drawn, view, size, over);
    for (const m of [[0, 0], [50, -20], [-7, 99]]) {
      const p = toPixels(drawn, size, m);
      const inLayer = [p[0] + over, p[1] + over];
      near([inLayer[0] * c.scale + c.x - over, inLayer[1] * c.scale + c.y - over], toPixels(view, size, m), 1e-6);
    }
  }
});

test('round lengths for the scale bar', () => {
  // 150 px at 3 px/m is 50 m; at 2.9 px/m 51.7 m, so 50; at 40 px/m 3.75 m, so 2; at 400 px/m 0.375 m, so 0.2.
  for (const [k, want] of [[3, 50], [2.9, 50], [40, 2], [400, 0.2], [0.1, 1000]]) assert.ok(Math.abs(roundLength(k, 150) - want) < 1e-9);
});

test('what is out of view is brought in, and the view stays where it can', () => {
  const v = { k: 4, x: 0, y: 0 };
  assert.equal(bringIn(v, size, [-10, -10, 10, 10]), v, 'in view: nothing moves');
  const to = bringIn(v, size, [200, 0, 200, 0], 40);
  assert.equal(to.k, 4);
  // The right edge lies 100 m east, less 40 px = 10 m of margin: 90 m. The point at 200 m needs 110 m.
  assert.ok(Math.abs(to.x - 110) < 1e-9);
  assert.equal(to.y, 0);
  assert.ok(bringIn(v, size, [0, 0, 1000, 0]).k < 1, 'what is too large is shown whole');
  assert.deepEqual(boxOf(v, size), [-100, -75, 100, 75]);
});
