import test from 'node:test';
import assert from 'node:assert/strict';
import { circle, esc, paper } from '../draw/ink.js';
import { beside, evenly, stations, stretch, without as cut } from '../draw/line.js';
import { manner, plants, spacingOf } from '../draw/plants.js';
import { land, moistureOf } from '../draw/land.js';
import { lines } from '../draw/lines.js';
import { endsOf, openings } from '../draw/openings.js';
import { findings, markers } from '../draw/findings.js';
import { names } from '../draw/names.js';
import { bar, furniture } from '../draw/furniture.js';
import { drawing } from '../draw/drawing.js';
import { inUse } from '../draw/legend.js';
import { icon, signed } from '../draw/icons.js';
import { pens } from '../penlist.js';
import { words } from '../strings.js';
import { vocabulary } from './given.mjs';

const size = { w: 400, h: 400 };
const p = paper({ k: 2, x: 0, y: 0 }, size);
const square = (x, y, s) => ({ type: 'Polygon', coordinates: [[[x, y], [x + s, y], [x + s, y + s], [x, y + s], [x, y]]] });
const f = (id, kind, geometry, more = {}) => ({ id, kind, label: id, geometry, status: 'existing', sound: true, properties: { kind }, defaults: {}, plants: 0, ...more });
const sheet = (features, more = {}) => ({ features, species: [], plants: [], findings: [], holding: {}, wind_from_deg: 240, ...more });
const hedge = (more = {}) => f('hedge', 'hedge', { type: 'LineString', coordinates: [[0, 0], [50, 0]] }, { defaults: { width_m: 1.5 }, ...more });

test('metres become pixels of the layer: x east, y up', () => {
  assert.deepEqual(p.at([10, 20]), [220, 160]); // 2 px/m about the middle 200, 200
  assert.equal(p.line([[0, 0], [10, 0]]), 'M200 200L220 200');
  assert.equal(circle(10, 10, 4), 'M6 10a4 4 0 1 0 8 0a4 4 0 1 0 -8 0');
});

test('names from a file are text, never markup', () => {
  assert.equal(esc('<script>"\'&'), '&lt;script&gt;&quot;&#39;&amp;');
  assert.equal(esc('a\u0000b\u001fc'), 'abc');
  const hostile = '"><script>alert(1)</script>';
  const s = sheet([f('a', 'parcel', square(-80, -80, 160), { properties: { kind: 'parcel', name: hostile, moisture: '"/><b>' }, area_m2: 25600 })]);
  const out = drawing(s, { k: 2, x: 0, y: 0 }, size, { shows: { moisture: true } });
  assert.doesNotMatch(out, /<script|<b>|"\/>\s*<b/);
  assert.match(out, /&lt;script&gt;/);
});

test('a hedge without its gaps', () => {
  const line = [[0, 0], [50, 0]];
  const mm = (v) => (Array.isArray(v) ? v.map(mm) : Math.round(v * 1000) / 1000);
  const without = (...args) => mm(cut(...args));
  assert.deepEqual(without([line], [{ a: [10, 0], b: [14, 0] }]), [[[0, 0], [10, 0]], [[14, 0], [50, 0]]]);
  assert.deepEqual(without([line], [{ a: [14, 0], b: [10, 0] }]), without([line], [{ a: [10, 0], b: [14, 0] }]), 'whichever way the gap runs');
  assert.deepEqual(without([[[0, 0], [20, 0]], [[30, 0], [50, 0]]], [{ a: [20, 0], b: [30, 0] }]), [[[0, 0], [20, 0]], [[30, 0], [50, 0]]], 'what lies between two parts takes nothing');
  assert.deepEqual(without([line], [{ a: [0, 0], b: [50, 0] }]), []);
  assert.deepEqual(without([line], [{ a: [5, 0], b: [20, 0] }, { a: [15, 0], b: [30, 0] }]), [[[0, 0], [5, 0]], [[30, 0], [50, 0]]], 'gaps that overlap');
  assert.deepEqual(stretch([[0, 0], [10, 0], [10, 10]], 5, 15), [[5, 0], [10, 0], [10, 5]]);
});

test('beads come out even, stations stand along the line', () => {
  assert.equal(evenly(100, 9), 100 / 11);
  assert.equal(evenly(3, 9), 3);
  assert.deepEqual(stations([[0, 0], [10, 0], [10, 10]], 8, 4).map((s) => [s.at, Math.round(s.angle) + 0]), [[[4, 0], 0], [[10, 2], -90], [[10, 10], -90]], 'angles as seen, y down');
  assert.deepEqual(beside([[0, 0], [10, 0], [10, 10]], 1), [[0, 1], [9, 1], [9, 10]], 'left of the direction');
});

test('what is drawn follows the scale', () => {
  const rows = [{ spacing_m: 0.33 }];
  assert.equal(manner({ kind: 'hedge', rows }, 4, 1), 'beads'); // 1.3 px apart
  assert.equal(manner({ kind: 'hedge', rows }, 20, 1), 'canopy'); // 6.6 px
  assert.equal(manner({ kind: 'grove', spacing_m: 2 }, 1, 6), 'tint'); // 2 px
  assert.equal(manner({ kind: 'grove', spacing_m: 2 }, 3, 6), 'canopy'); // 6 px, crowns thrice the spacing
  assert.equal(manner({ kind: 'grove', spacing_m: 2 }, 10, 6), 'thicket'); // 20 px
  assert.equal(manner({ kind: 'grove', spacing_m: 6 }, 10, 6), 'rings');
  assert.equal(manner({ kind: 'orchard', spacing_m: 4 }, 3, 3), 'rings');
  assert.equal(manner({ kind: 'windbreak', rows: [{ spacing_m: 1.5 }] }, 2, 4), 'band');
  assert.equal(manner({ kind: 'plant' }, 0.1, 4), 'rings');
  assert.equal(spacingOf({ area_m2: 400, plants: 100 }), 2);
});

test('a plant is a ring as wide as its crown, with the mark of its group', () => {
  const s = sheet([f('o', 'orchard', square(-20, -20, 40), { spacing_m: 10 })], {
    species: [{ id: 'a', sign: 'fruit' }, { id: 'b', sign: 'conifer' }],
    plants: [[0, 0, 0, 0, 6, 1, 0, 1], [0, 1, 10, 0, 4, 1, 0, 2], [0, 0, 500, 500, 6, 1, 0, 3]],
  });
  const out = plants(s, p, [-100, -100, 100, 100]);
  assert.match(out, /M194 200a6 6 0 1 0 12 0/, 'a crown of 6 m is 12 px across at 2 px a metre');
  assert.match(out, /M220 196L/, 'a conifer is a triangle');
  assert.doesNotMatch(out, /M1194/, 'what is out of the layer is not drawn');
  assert.equal(plants(s, p, [-100, -100, 100, 100], { crowns: false }).includes('class="ring new"'), false);
});

test('old hedges are solid beads, new ones hollow', () => {
  const wide = paper({ k: 2, x: 0, y: 0 }, size);
  assert.doesNotMatch(plants(sheet([hedge()]), wide, [-200, -200, 200, 200]), /beads-new/);
  assert.match(plants(sheet([hedge({ status: 'planned' })]), wide, [-200, -200, 200, 200]), /beads-new/);
});

test('gaps have a bracket, gateways two posts along their hedge', () => {
  const gate = f('gate', 'gateway', { type: 'Point', coordinates: [25, 0.4] }, { defaults: { width_m: 4 } });
  const s = sheet([hedge({ openings: [{ from_m: 10, to_m: 14, length_m: 4, plants: 0, a: [10, 0], b: [14, 0] }, { from_m: 30, to_m: 34, length_m: 4, plants: 12, a: [30, 0], b: [34, 0] }, { length_m: 4, plants: 0, gateway: 'gate', a: [23, 0], b: [27, 0] }] }), gate]);
  assert.deepEqual(endsOf(gate, s), [[23, 0.4], [27, 0.4]]);
  const out = openings(s, p);
  assert.equal((out.match(/class="gap"/g) ?? []).length, 1);
  assert.match(out, /class="gap filled"/);
  assert.match(out, /class="posts"/);
  assert.equal(endsOf(f('x', 'gateway', null), s), null);
});

test('how wet the ground is', () => {
  assert.equal(moistureOf({ properties: { moisture: 'wet' }, defaults: { moisture: 'moist' } }), 'wet');
  assert.equal(moistureOf({ properties: {}, defaults: { moisture: 'moist' } }), 'moist');
  assert.equal(moistureOf({ properties: { sward: ['soft rush'] }, defaults: { moisture: 'moist' }, moisture_m2: { wet: 10, damp: 90 } }), 'damp');
  const wet = sheet([f('g', 'ground', square(0, 0, 10), { properties: { kind: 'ground', moisture: 'wet' } })]);
  assert.match(land(wet, p), /q-wet/);
  assert.match(land(wet, p, { moisture: true }), /class="tint wet"/);
});

test('every kind of the vocabulary and unknown ones are drawn, and things without a place are not', () => {
  const line = { type: 'LineString', coordinates: [[0, 0], [40, 0], [40, 30]] };
  for (const kind of ['watercourse', 'ditch', 'drain', 'service', 'road', 'track', 'path', 'fence', 'wall', 'screen', 'overhead_line', 'comet']) assert.match(lines(sheet([f('l', kind, line)]), p), /<path/, kind);
  for (const kind of ['parcel', 'ground', 'bed', 'protected', 'building', 'orchard', 'grove', 'watercourse', 'septic', 'comet']) assert.match(land(sheet([f('a', kind, square(0, 0, 9))]), p), kind === 'ground' ? /patch/ : /<path/, kind);
  assert.match(drawing(sheet([f('n', 'parcel', null), f('m', 'hedge', { type: 'LineString', coordinates: [[0, 0]] })]), { k: 1, x: 0, y: 0 }, size), /^<g class="hatches"><defs>/);
});

test('markers that would cover each other stand as one, the gravest in front; coming nearer parts them', () => {
  const list = [{ n: 1, severity: 'stop', x: 0, y: 0 }, { n: 2, severity: 'warn', x: 5, y: 0 }, { n: 3, severity: 'note', x: 100, y: 0 }, { n: 4, severity: 'note', x: null, y: null }, { n: 5, severity: 'warn', x: 100, y: 50, accepted: { reason: 'so' } }];
  const at = (k) => ([x, y]) => [x * k, -y * k];
  assert.deepEqual(markers({ findings: list }, at(1)).map((m) => m.all.map((q) => q.n)), [[1, 2], [3]]);
  assert.deepEqual(markers({ findings: list }, at(10)).map((m) => m.first.n), [1, 2, 3]);
  assert.equal(markers({ findings: list }, at(1), 2)[0].first.n, 2, 'the open one stands in front');
  const out = findings(markers({ findings: list }, at(1)));
  assert.match(out, /\+1/);
  assert.ok(out.indexOf('sev note') < out.indexOf('sev stop'), 'the gravest is drawn last');
});

test('names keep off warnings and each other', () => {
  const s = sheet([f('a', 'parcel', square(-90, -90, 180), { properties: { kind: 'parcel', name: 'Home Field' }, area_m2: 32400 })]);
  const free = names(s, p, []);
  assert.match(free, /Home Field/);
  assert.match(free, /3\.24 ha/);
  const [, x, y] = free.match(/translate\(([\d.]+) ([\d.]+)\)/).map(Number);
  const moved = names(s, p, [[x - 5, y - 5, x + 5, y + 5]]);
  assert.match(moved, /Home Field/);
  assert.notEqual(moved, free);
  assert.equal(names(s, p, [[0, 0, 400, 400]]), '', 'where there is no room there is no name');
  assert.equal(names(s, paper({ k: 0.1, x: 0, y: 0 }, size), []), '', 'far off there is none either');
});

test('the scale bar is true, and the wind arrow flies with the wind', () => {
  assert.deepEqual(bar(3, 150), { metres: 50, pixels: 150 });
  assert.match(furniture({ k: 3 }, size, { wind_from_deg: 240 }), /rotate\(420\)/);
  assert.doesNotMatch(furniture({ k: 3 }, size, {}), /class="wind"/);
});

test('the legend explains what stands on the sheet and nothing else', () => {
  const s = sheet([hedge(), f('w', 'ground', square(0, 0, 5), { properties: { kind: 'ground', moisture: 'wet' } }), f('t', 'plant', { type: 'Point', coordinates: [0, 0] })], { species: [{ sign: 'tree' }], plants: [[2, 0, 0, 0, 8, 0, 0, 1]], findings: [{ n: 1, severity: 'warn', x: 0, y: 0 }] });
  assert.deepEqual(inUse(s), ['wet', 'hedge-old', 'tree-old', 'warn']);
  assert.deepEqual(inUse(null), []);
  assert.deepEqual(inUse(s, { findings: false }), ['wet', 'hedge-old', 'tree-old']);
  for (const key of Object.keys(words).filter((k) => k.startsWith('sign.'))) assert.ok(signed.includes(key.slice(5)), `${key} has a sign`);
});

test('a pen for every kind and shape of the vocabulary, once, with words and a sign', () => {
  const { first, rest } = pens(vocabulary);
  const all = [...first, ...rest];
  for (const kind of vocabulary.kinds) {
    for (const [g, shape] of [['Polygon', 'polygon'], ['LineString', 'line'], ['Point', 'point']]) {
      assert.equal(all.some((q) => q.kind === kind.kind && q.shape === shape), kind.geometries.includes(g), `${kind.kind} ${g}`);
    }
  }
  assert.equal(new Set(all.map((q) => q.key)).size, all.length);
  for (const q of all) {
    assert.doesNotMatch(q.title, /^pen\./);
    assert.match(icon(q.key), /<path/);
    for (const word of ['species', 'mix', 'trees', 'rows']) assert.ok(!(word in q.props), 'nothing is planted that nobody chose');
  }
  assert.deepEqual(first.find((q) => q.key === 'wet')?.props, undefined, 'no pen for a kind that the server does not know');
});
