import test from 'node:test';
import assert from 'node:assert/strict';
import { pageFor } from '../paper.js';

// A4 within margins of 14 and 12 mm: 182 mm wide upright, 269 mm wide on its side.
test('the plan takes the page on which it is largest, at a round scale that holds it', () => {
  for (const [box, name, scale] of [
    [[0, 0, 200, 190], 'tall', 1250], [[0, 0, 85, 101], 'tall', 500], [[0, 0, 250, 100], 'wide', 1000], [[0, 0, 0, 0], 'tall', 50], [null, 'tall', 500],
    [[0, 0, 85.001, 101], 'tall', 750], [[-5e5, 0, 5e5, 10], 'wide', 3891051],
  ]) {
    const got = pageFor(box);
    assert.deepEqual([got.page.name, got.scale], [name, scale], String(box));
  }
});
