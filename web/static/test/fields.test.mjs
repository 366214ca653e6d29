import test from 'node:test';
import assert from 'node:assert/strict';
import { compass, elseOf, fieldsOf, inWords, kindsFor, labelOf, number, ordered, plain, position, read, shown, unitOf, withProperty } from '../notebook/fields.js';
import { prop, vocabulary } from './given.mjs';

test('a form has every property of the kind and every common one, once, the name first and the notes last', () => {
  for (const k of vocabulary.kinds) {
    const names = fieldsOf(vocabulary, k.kind).map((p) => p.name);
    assert.equal(names[0], 'name');
    assert.equal(names.at(-1), 'notes');
    assert.deepEqual([...names].sort(), [...k.props, ...vocabulary.common].map((p) => p.name).sort());
  }
});

test('a kind that is not known still has the common properties', () => {
  assert.deepEqual(fieldsOf(vocabulary, 'pergola').map((p) => p.name), ['name', 'status', 'planted', 'area', 'notes']);
});

test('only kinds that can be drawn so are offered', () => {
  assert.deepEqual(kindsFor(vocabulary, 'Point').map((k) => k.kind), ['gap', 'gateway', 'plant']);
});

test('numbers are read as people type them', () => {
  for (const [typed, want] of [['2.5', 2.5], ['2,5', 2.5], [' 2.5 m', 2.5], ['1 200', 1200], ['1,200.5', 1200.5], ['1,234', 1.234], ['-3', -3], ['.5', 0.5], ['40 %', 40], ['6 hours', 6], ['250°', 250], ['1e2', 100]]) {
    assert.equal(number(typed), want, typed);
  }
  for (const typed of ['', 'm', 'two', '2.5.1', '2 metres wide', '--2', '0x10', 'Infinity', 'NaN']) assert.ok(Number.isNaN(number(typed)), typed);
});

test('what a field takes: the value, nothing, or words that say what it wants', () => {
  const height = prop('height_m', 'number', { unit: 'm', least: 0.1, most: 60 });
  const free = prop('x', 'number');
  const cases = [
    [height, '1.3', { value: 1.3 }], [height, '0.1', { value: 0.1 }], [height, '60', { value: 60 }], [height, '', { unset: true }], [height, '   ', { unset: true }],
    [free, '99999', { value: 99999 }], [prop('rows', 'integer', { least: 1, most: 6 }), '2', { value: 2 }],
    [prop('w', 'winter'), '2026', { value: 2026 }], [prop('w', 'winter'), '2026/27', { value: 2026 }], [prop('w', 'winter'), '2026-2027', { value: 2026 }],
    [prop('b', 'bearing', { default: 'auto' }), 'Auto', { value: 'auto' }], [prop('b', 'bearing', { default: 240 }), 'sw', { value: 225 }], [prop('b', 'bearing'), '360', { value: 360 }],
    [prop('y', 'yes or no'), 'yes', { value: true }], [prop('y', 'yes or no'), 'no', { value: false }], [prop('t', 'text'), ' oak ', { value: 'oak' }],
    [prop('c', 'choice', { allowed: ['a', 'b'] }), 'b', { value: 'b' }], [prop('o', 'object'), '{"a": 1}', { value: { a: 1 } }], [prop('o', 'objects'), '[1]', { value: [1] }],
  ];
  for (const [p, typed, want] of cases) assert.deepEqual(read(p, typed), want, `${p.type} ${typed}`);
  for (const [p, typed, words] of [
    [height, '0.05', /from 0\.1 to 60 m\.$/], [height, '61', /from 0\.1 to 60 m\.$/], [height, 'tall', /Height takes a number/], [free, 'tall', /takes a number\.$/], [prop('rows', 'integer', { least: 1, most: 6 }), '2.5', /whole number from 1 to 6\.$/],
    [prop('w', 'winter'), '26', /2026/], [prop('b', 'bearing', { default: 240 }), 'auto', /bearing/], [prop('b', 'bearing', { default: 'auto' }), '361', /auto/], [prop('c', 'choice', { allowed: ['a'] }), 'z', /one of a/],
    [prop('o', 'object'), '[1]', /could not be read/], [prop('o', 'object'), '{', /could not be read/],
  ]) assert.match(read(p, typed).wrong ?? '', words, `${p.type} ${typed}`);
});

test('what is shown reads back as the same value', () => {
  for (const [p, v] of [[prop('h', 'number'), 1.25], [prop('r', 'integer'), 3], [prop('y', 'yes or no'), true], [prop('y', 'yes or no'), false], [prop('b', 'bearing', { default: 'auto' }), 'auto'], [prop('w', 'winter'), 2026], [prop('t', 'text'), 'a, b'], [prop('o', 'object'), { a: [1] }]]) {
    assert.deepEqual(read(p, shown(p, v)), { value: v }, p.type);
  }
});

test('in grey stands what was used, else the default, else the words for it', () => {
  assert.equal(elseOf(prop('row_gap_m', 'number', { default: null, else: "the rule set's" }), { row_gap_m: 0.4 }), '0.4');
  assert.equal(elseOf(prop('dwelling', 'yes or no', { default: false }), {}), 'no');
  assert.equal(elseOf(prop('x', 'number', { else: 'unknown' })), 'unknown');
  assert.equal(elseOf(prop('grazed_by', 'choices', { default: [] })), 'none');
  assert.equal(elseOf(prop('row_spacing_m', 'number', { else: 'as spacing_m' })), 'as “Spacing”');
});

test('labels and units are words', () => {
  assert.equal(labelOf('row_gap_m'), 'Row gap');
  assert.equal(labelOf('ph'), 'pH');
  assert.equal(unitOf({ unit: 'per metre' }), 'a metre');
  assert.equal(unitOf({ unit: 'degrees' }), '°');
  assert.equal(unitOf({ unit: 'm' }), 'm');
  assert.equal(plain('replaces wind_from_deg'), 'replaces “Wind from”');
  assert.equal(plain(undefined), '');
  for (const k of vocabulary.kinds) for (const p of fieldsOf(vocabulary, k.kind)) assert.doesNotMatch(labelOf(p.name), /_/);
});

test('the order of choices matters where the default has one', () => {
  assert.equal(ordered(vocabulary.holding[2]), true);
  assert.equal(ordered(prop('g', 'choices', { default: [] })), false);
});

test('a place is latitude and longitude within the globe', () => {
  assert.deepEqual(position({ lat: '53,9851', lon: '-2.5853' }), { value: [-2.5853, 53.9851] });
  assert.deepEqual(position({ lat: '', lon: ' ' }), { unset: true });
  assert.match(position({ lat: '153', lon: '0' }).wrong, /Latitude/);
  assert.match(position({ lat: '53', lon: '' }).wrong, /Longitude/);
});

test('bearings have names', () => {
  for (const [deg, name] of [[0, 'N'], [250, 'WSW'], [359, 'N'], [-90, 'W'], [720, 'N'], [11.24, 'N'], [11.26, 'NNE']]) assert.equal(compass(deg), name, String(deg));
});

test('a property is changed in its place, an emptied one goes, and nothing else is touched', () => {
  const was = Object.freeze({ kind: 'hedge', height_m: 1, mine: { deep: [1] } });
  assert.deepEqual(Object.keys(withProperty(was, 'height_m', 2)), ['kind', 'height_m', 'mine']);
  assert.deepEqual(withProperty(was, 'height_m', undefined), { kind: 'hedge', mine: { deep: [1] } });
  assert.equal(withProperty(was, 'height_m', 2).mine, was.mine);
});

test('messages name properties by the labels of the form, and leave names and ids as they are', () => {
  const [known] = vocabulary.kinds.flatMap((k) => k.props.map((p) => p.name)).filter((n) => n.includes('_'));
  assert.equal(inWords(vocabulary, `State its ${known}, or the hedge_row-1's \`${known}\`.`), `State its “${labelOf(known)}”, or the hedge_row-1's “${labelOf(known)}”.`);
  assert.equal(inWords(vocabulary, 'my_own_word stays'), 'my_own_word stays');
  assert.equal(inWords(vocabulary, undefined), '');
});
