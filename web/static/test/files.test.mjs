import test from 'node:test';
import assert from 'node:assert/strict';
import { foreign, added, kinded, looksLikeData, planOf, readFile } from '../notebook/files.js';
import { choices, sorted } from '../notebook/names.js';
import { vocabulary } from './given.mjs';

const feature = (type, properties = {}, id = undefined) => ({ type: 'Feature', ...(id === undefined ? {} : { id }), properties, geometry: { type, coordinates: [] } });
const collection = (features, more = {}) => JSON.stringify({ type: 'FeatureCollection', ...more, features });

test('a plan is told from plain GeoJSON', () => {
  const plan = readFile('a', collection([feature('Polygon', { kind: 'parcel' })], { holding: { name: 'X' } }));
  assert.deepEqual([plan.plan, plan.unkinded, plan.total], [true, 0, 1]);
  const bare = readFile('b', collection([feature('Polygon'), feature('MultiPolygon'), feature('LineString'), feature('Point'), { type: 'Feature', properties: null, geometry: null }]));
  assert.deepEqual([bare.plan, bare.unkinded, bare.counts], [false, 5, { areas: 2, lines: 1, points: 1, other: 1 }]);
  assert.equal(readFile('c', collection([feature('Polygon', { kind: 'bed' }), feature('Point')])).plan, true);
});

test('a single feature, a bare geometry and a collection of geometries are read too', () => {
  for (const data of [feature('LineString'), { type: 'LineString', coordinates: [] }, { type: 'GeometryCollection', geometries: [{ type: 'LineString', coordinates: [] }] }]) {
    assert.equal(readFile('x', JSON.stringify(data)).counts.lines, 1);
  }
});

test('what cannot be read is said by a key of the catalogue', () => {
  assert.equal(readFile('x', '{').wrong, 'files.not-json');
  assert.equal(readFile('x', '').wrong, 'files.not-json');
  assert.equal(readFile('x', ' <?xml version="1.0"?><gpx/>').wrong, 'files.not-json');
  for (const t of ['3', 'null', '[]', '"x"', '{}', '{"type":"Topology"}', '{"type":"FeatureCollection"}']) assert.equal(readFile('x', t).wrong, 'files.not-geojson', t);
});

test('a plan goes to the server to the letter', () => {
  const text = `\ufeff{"type": "FeatureCollection",\n "holding": {"name": "X"}, "features": [{"type":"Feature","id":9007199254740993,"properties":{"kind":"bed","n":1.0},"geometry":null}]}`;
  assert.equal(planOf(readFile('x', text), {}), text.slice(1));
});

test('plain things get the kind that was chosen and an id, keep all they had, and what is left out is left out', () => {
  const got = JSON.parse(planOf(readFile('Lane.geojson', collection([feature('Polygon', { mine: 1 }), feature('Point'), feature('LineString', { kind: 'fence' }, 'parcel-1')], { extra: true })), { areas: 'parcel', lines: 'hedge', points: '' }));
  assert.deepEqual(got.holding, { name: 'Lane' });
  assert.equal(got.extra, true);
  assert.deepEqual(got.features.map((f) => [f.id, f.properties]), [['parcel-2', { mine: 1, kind: 'parcel' }], ['parcel-1', { kind: 'fence' }]]);
});

test('a single geometry becomes a plan of one', () => {
  const got = JSON.parse(planOf(readFile('x.json', JSON.stringify({ type: 'Polygon', coordinates: [[1]] })), { areas: 'bed' }));
  assert.deepEqual(got.features, [{ type: 'Feature', properties: { kind: 'bed' }, geometry: { type: 'Polygon', coordinates: [[1]] }, id: 'bed-1' }]);
});

test('what is added never takes the place of what is there', () => {
  const put = added(kinded({ type: 'FeatureCollection', features: [feature('Point', { kind: 'plant' }, 'a'), feature('Point', { kind: 'plant' }, 'b'), feature('Point', { kind: 'plant' }, 'b'), feature('Point', { kind: 'plant' }, 7)] }, {}), ['a', '7']);
  assert.deepEqual(put.map((f) => f.id), [undefined, 'b', undefined, undefined]);
});

test('words are told from data', () => {
  assert.ok(looksLikeData('\ufeff {"a":1, "type" : "Point"}'));
  assert.ok(looksLikeData('<gpx version="1.1">'));
  for (const t of ['oak', '{oak}', 'type', '']) assert.equal(looksLikeData(t), false, t);
});

test('species are found by any name, the beginning of a word first, what suits first among equals', () => {
  const ids = (typed, ranked) => choices(vocabulary.species, typed, ranked).map((o) => o.species.id);
  assert.deepEqual(ids('whitethorn'), ['crataegus-monogyna']);
  assert.deepEqual(ids('quercus'), ['quercus-ilex', 'quercus-robur']);
  assert.deepEqual(ids('quercus', [{ id: 'quercus-robur' }]), ['quercus-robur', 'quercus-ilex']);
  assert.deepEqual(ids('OAK'), ['quercus-ilex', 'quercus-robur']);
  assert.deepEqual(ids('thorn'), ['crataegus-monogyna', 'hippophae']);
  assert.deepEqual(ids('zz'), []);
  assert.equal(ids('').length, vocabulary.species.length);
});

test('none of them is lost when they are sorted by what suits', () => {
  const list = choices(vocabulary.species, '', [{ id: 'quercus-robur', for: ['x'], against: null, barred: false }, { id: 'hippophae', against: ['law'], barred: true }, { id: 'quercus-ilex', against: ['cold'], barred: false }]);
  const got = sorted(list);
  assert.deepEqual(got.suits.map((o) => o.species.id), ['quercus-robur']);
  assert.deepEqual(got.not.map((o) => o.species.id), ['hippophae']);
  assert.deepEqual(got.others.map((o) => o.species.id), ['quercus-ilex', 'crataegus-monogyna']);
});

test('what other programs wrote goes to the server first', () => {
  const thing = (properties) => JSON.stringify({ type: 'FeatureCollection', features: [{ type: 'Feature', properties, geometry: null }] });
  assert.equal(foreign('<gpx/>'), true);
  assert.equal(foreign('PK\u0003\u0004'), true);
  assert.equal(foreign('SQLite format 3'), true);
  assert.equal(foreign(thing({ barrier: 'hedge' })), true);
  assert.equal(foreign(JSON.stringify({ type: 'FeatureCollection', crs: { type: 'name', properties: { name: 'EPSG:27700' } }, features: [] })), true);
  assert.equal(foreign(JSON.stringify({ type: 'FeatureCollection', crs: { type: 'name', properties: { name: 'urn:ogc:def:crs:OGC:1.3:CRS84' } }, features: [] })), false);
  assert.equal(foreign(thing({ kind: 'hedge', barrier: 'hedge' })), false, 'a plan of ours');
  assert.equal(foreign(thing({ name: 'Croft' })), false, 'asked what it is');
  assert.equal(foreign('{ broken'), false);
  assert.equal(foreign('  '), false);
});
