import test from 'node:test';
import assert from 'node:assert/strict';
import { landText, middle, winter } from '../notebook/text.js';
import { finding, sheet, square, thing, vocabulary } from './given.mjs';

const line = (...coordinates) => ({ type: 'LineString', coordinates });
const field = () => thing('top', 'parcel', square(0, 0, 100), { name: 'Top', soil: 'clay' }, { area_m2: 10000, moisture_m2: { moist: 8000, wet: 2000 } });
const flat = (entries) => entries.flatMap((e) => [e, ...flat(e.within)]);

test('everything on the sheet is told of once, and every finding too', () => {
  const things = [field(), thing('bed', 'bed', square(10, 10, 5)), thing('h', 'hedge', line([0, 0], [100, 0])), thing('odd', 'pergola', square(400, 0, 5)), thing('lost', 'fence', null), thing('tree', 'plant', { type: 'Point', coordinates: [50, 50] }, { species: 'oak' })];
  const text = landText(sheet(things, [finding(1), finding(2, { features: [] }), finding(3, { features: ['not there'] }), finding(4, { features: ['bed', 'h'] })]), vocabulary);
  const told = text.groups.flatMap((g) => flat(g.entries));
  assert.deepEqual(told.map((e) => e.id).sort(), things.map((f) => f.id).sort());
  assert.deepEqual([...text.findings, ...told.flatMap((e) => e.findings)].map((f) => f.n).sort(), [1, 2, 3, 4]);
  assert.deepEqual(text.findings.map((f) => f.n), [2, 3]);
  assert.equal(told.find((e) => e.id === 'bed').findings[0].n, 4);
  assert.match(told.find((e) => e.id === 'odd').kind, /pergola/);
});

test('what lies in a field is told under it, hedges by themselves', () => {
  const things = [field(), thing('bed', 'bed', square(10, 10, 5)), thing('row', 'fence', line([200, 0], [210, 0]), {}, { area: 'top' }), thing('h', 'hedge', line([0, 50], [100, 50])), thing('out', 'building', square(300, 0, 9))];
  const { groups } = landText(sheet(things), vocabulary);
  assert.deepEqual(groups.map((g) => [g.key, g.entries.map((e) => e.id)]), [['fields', ['top']], ['hedges', ['h']], ['rest', ['out']]]);
  assert.deepEqual(groups[0].entries[0].within.map((e) => e.id), ['bed', 'row']);
});

test('a hole in a field is not in it', () => {
  const holed = { type: 'Polygon', coordinates: [square(0, 0, 100).coordinates[0], square(40, 40, 20).coordinates[0]] };
  const { groups } = landText(sheet([thing('f', 'parcel', holed), thing('in', 'bed', square(10, 10, 4)), thing('hole', 'bed', square(48, 48, 4))]), vocabulary);
  assert.deepEqual(groups[0].entries[0].within.map((e) => e.id), ['in']);
});

test('a hedge has its length, its openings, and its gaps and gateways under it', () => {
  const h = thing('h', 'hedge', line([0, 0], [100, 0]), { name: 'Lane hedge', height_m: 1.3, last_cut: 2024 }, { length_m: 102.008, gap_percent: 11.27,
    openings: [{ from_m: 32, to_m: 38.5, length_m: 6.5, action: 'fill', plants: 0, would_take: 39, a: [32, 0], b: [38, 0] }, { from_m: 50, to_m: 53.6, length_m: 3.6, action: 'leave-open', plants: 0, would_take: 0, gateway: 'g', a: [50, 0], b: [54, 0] }] });
  const { groups } = landText(sheet([h, thing('g', 'gateway', { type: 'Point', coordinates: [52, 0] }), thing('gap', 'gap', line([32, 0.4], [38, 0.4])), thing('far', 'gap', line([70, 0], [72, 0]))]), vocabulary);
  const [entry] = groups.find((g) => g.key === 'hedges').entries;
  assert.equal(entry.says[0], 'Old hedge, 102.0 m.');
  assert.equal(entry.says[1], 'One gap and one gateway: 11.3 % open.');
  assert.equal(entry.says[2], 'Height 1.3 m, last cut 2024/25.');
  assert.deepEqual(entry.within.map((e) => e.id).sort(), ['g', 'gap']);
});

test('fields say their size, their ground and their soil', () => {
  const text = landText(sheet([field()], [], { parcels_m2: 10000, planned: 1, hedge_m: 12.34, holding: { planting_winter: 2026 } }), vocabulary);
  assert.deepEqual(text.says, ['1.00 ha in one field; 12.3 m of hedge.', '1 plant to plant in the winter of 2026/27.', 'The troublesome wind blows from 240°, WSW.']);
  assert.equal(text.groups[0].entries[0].says[0], '1.00 ha, 0.80 ha moist, 2,000 m² wet, clay.');
});

test('what could not be set out says why, in the words of the form, and tells no count', () => {
  const words = { ...vocabulary, common: [{ name: 'spacing_m' }] };
  const { groups } = landText(sheet([thing('r', 'row', line([0, 0], [30, 0]), {}, { status: 'planned', length_m: 30, plants: 0, failed: 'it states no spacing_m and the catalogue has none for what grows in it.' })]), words);
  assert.deepEqual(groups[0].entries[0].says, ['30.0 m.', 'Not set out: it states no “Spacing” and the catalogue has none for what grows in it.']);
});

test('an empty holding says how to go on', () => {
  const text = landText(sheet([]), vocabulary);
  assert.equal(text.groups.length, 0);
  assert.match(text.says[0], /Nothing is drawn yet/);
});

test('properties of the wrong form do not stop the text', () => {
  for (const bad of [{ mix: 'oak' }, { mix: [null, 3] }, { trees: [null] }, { rows: 4 }, { rows: [null] }, { protects: 'x' }, { species: 7 }, { notes: { a: 1 } }, { height_m: [1] }, { last_cut: 'long ago' }]) {
    for (const kind of ['hedge', 'windbreak', 'orchard', 'plant', 'building']) {
      const text = landText(sheet([thing('x', kind, line([0, 0], [1, 0]), bad)]), vocabulary);
      assert.ok(flat(text.groups[0].entries)[0].says.every((t) => typeof t === 'string'), `${kind} ${JSON.stringify(bad)}`);
    }
  }
});

test('a place stands for each geometry', () => {
  assert.deepEqual(middle(square(0, 0, 10)), [5, 5]);
  assert.deepEqual(middle(line([0, 0], [10, 0], [10, 30])), [10, 10]);
  assert.deepEqual(middle(line([1, 1], [1, 1])), [1, 1]);
  assert.deepEqual(middle({ type: 'MultiPolygon', coordinates: [square(0, 0, 2).coordinates] }), [1, 1]);
  assert.deepEqual(middle({ type: 'Point', coordinates: [3, 4] }), [3, 4]);
  assert.equal(middle(null), null);
  assert.equal(winter(2099), '2099/00');
});
