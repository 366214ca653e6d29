import test from 'node:test';
import assert from 'node:assert/strict';
import { snap } from '../snap.js';
import { hits, next } from '../hit.js';

const feature = (id, kind, geometry, more = {}) => ({ id, kind, geometry, properties: {}, defaults: {}, ...more });
const field = feature('field', 'parcel', { type: 'Polygon', coordinates: [[[0, 0], [100, 0], [100, 80], [0, 80], [0, 0]]] });
const bed = feature('bed', 'bed', { type: 'Polygon', coordinates: [[[40, 40], [60, 40], [60, 50], [40, 50], [40, 40]]] });
const hedge = feature('hedge', 'hedge', { type: 'LineString', coordinates: [[0, 30], [100, 30]] }, { defaults: { width_m: 2 } });
const oak = feature('oak', 'plant', { type: 'Point', coordinates: [20, 60] });
const gate = feature('gate', 'gateway', { type: 'Point', coordinates: [50, 30] }, { defaults: { width_m: 4 } });
const sheet = { features: [field, bed, hedge, oak, gate], plants: [[3, 0, 20, 60, 10, 0, 0, 1]] };

test('corners go before lines, and what is far is left alone', () => {
  assert.deepEqual(snap(sheet, [0.5, 0.4], 1), { at: [0, 0], to: 'corner', id: 'field' });
  assert.deepEqual(snap(sheet, [30, 0.6], 1), { at: [30, 0], to: 'line', id: 'field' });
  assert.deepEqual(snap(sheet, [30, 15], 1), { at: [30, 15], to: null, id: null });
  // 0.9 m from a corner and 0.1 m from a line: the corner.
  assert.equal(snap(sheet, [0.9, 0.1], 1).to, 'corner');
});

test('a thing does not snap to itself, but to the first corner of its own draft', () => {
  assert.equal(snap(sheet, [50, 30.2], 1, { skip: 'hedge' }).id, 'gate');
  assert.deepEqual(snap(sheet, [9.8, 15], 1, { more: [[10, 15]] }), { at: [10, 15], to: 'corner', id: null });
  assert.deepEqual(snap(null, [1, 2], 5), { at: [1, 2], to: null, id: null });
});

test('what lies under a place: single things, then lines, then the smallest area', () => {
  assert.deepEqual(hits(sheet, [50, 45], 1), ['bed', 'field']);
  assert.deepEqual(hits(sheet, [80, 31.5], 1), ['hedge', 'field'], 'a hedge is as wide as it is, and the reach');
  assert.deepEqual(hits(sheet, [51, 30.5], 1), ['gate', 'hedge', 'field']);
  assert.deepEqual(hits(sheet, [20.5, 60], 1), ['oak', 'field']);
  assert.deepEqual(hits(sheet, [24, 60], 1), ['oak', 'field'], 'under its crown of 10 m');
  assert.deepEqual(hits(sheet, [300, 300], 1), []);
});

test('clicking again goes through what lies there', () => {
  assert.equal(next(['a', 'b'], null), 'a');
  assert.equal(next(['a', 'b'], 'a'), 'b');
  assert.equal(next(['a', 'b'], 'b'), 'a');
  assert.equal(next(['a', 'b'], 'elsewhere'), 'a');
  assert.equal(next([], 'a'), null);
});
