import test from 'node:test';
import assert from 'node:assert/strict';
import { plantingList } from '../notebook/list.js';
import { COLUMNS, blank, evenly, readRows, rowsOf } from '../notebook/lists.js';

test('every list reads back as it stood, members without a column and all', () => {
  for (const [type, list] of [
    ['mix', [{ species: 'hawthorn', share_percent: 60 }, { species: 'hazel', share_percent: 40, mine: 1 }]],
    ['trees', [{ species: 'apple', cultivar: 'Bramley', rootstock: 'M9', form: 'bush', count: 3 }, { species: 'pear', count: 0 }]],
    ['trees', [{ species: 'apple', share_percent: 50 }, { species: 'pear', share_percent: 50 }]],
    ['trees', [{ species: 'apple' }]],
    ['windbreak rows', [{ species: 'alder', spacing_m: 1.5 }, { spacing_m: 2, mix: [{ species: 'oak', share_percent: 100 }] }, { species: 'birch' }]],
    ['cuts', [2026, { winter: 2030, from_m: 0, to_m: 40 }, { winter: 2031, mine: 'x' }]],
    ['sward', ['soft rush', { species: 'Yorkshire fog', percent: 60 }]],
    ['wind rose', [{ from_deg: 240, percent: 40, speed_m_s: 6 }]],
  ]) assert.deepEqual(readRows(type, rowsOf(type, list)), { value: list }, type);
});

test('a mix is whole when its shares add up to 100 within a half', () => {
  const mix = (...shares) => rowsOf('mix', shares.map((s, i) => ({ species: `s${i}`, share_percent: s })));
  for (const good of [[100], [99.5], [60, 40.5], [33.3, 33.3, 33.4], [60, 40]]) assert.ok(readRows('mix', mix(...good)).value, String(good));
  assert.match(readRows('mix', mix(60, 30)).wrong, /add up to 90 %; 10 % are missing/);
  assert.match(readRows('mix', mix(60, 60)).wrong, /120 %, which is 20 % too much/);
  assert.match(readRows('mix', mix(99.4)).wrong, /99\.4/);
});

test('what a line lacks is said, with its number', () => {
  const rows = [{ ...blank('mix'), species: 'oak', share_percent: '50' }, { ...blank('mix'), share_percent: '50' }];
  assert.deepEqual({ ...readRows('mix', rows), wrong: '' }, { wrong: '', row: 1, column: 'species' });
  assert.match(readRows('mix', rows).wrong, /^Line 2: the species is missing/);
  assert.match(readRows('mix', [{ ...blank('mix'), species: 'oak', share_percent: 'half' }]).wrong, /share takes a number from 0 to 100/);
  assert.match(readRows('cuts', [{ ...blank('cuts'), winter: '20.5' }]).wrong, /winter takes a whole number from 1,000 to 2200/);
  assert.match(readRows('cuts', [{ ...blank('cuts'), winter: '2026', from_m: '40', to_m: '40' }]).wrong, /ends before it begins/);
  assert.match(readRows('windbreak rows', [{ ...blank('windbreak rows'), spacing_m: '2' }]).wrong, /species is missing/);
});

test('trees have counts throughout or shares throughout', () => {
  const tree = (more) => ({ ...blank('trees'), species: 'apple', ...more });
  assert.match(readRows('trees', [tree({ count: '3', share_percent: '10' })]).wrong, /not both/);
  assert.match(readRows('trees', [tree({ count: '3' }), tree({})]).wrong, /every line a count/);
  assert.match(readRows('trees', [tree({ share_percent: '50' }), tree({})]).wrong, /every line/);
  assert.match(readRows('trees', [tree({ share_percent: '50' }), tree({ share_percent: '40' })]).wrong, /90 %/);
});

test('empty lines are passed over, and a list of them takes the property back', () => {
  assert.deepEqual(readRows('mix', [blank('mix'), { ...blank('mix'), species: 'oak', share_percent: '100' }]), { value: [{ species: 'oak', share_percent: 100 }] });
  for (const type of Object.keys(COLUMNS)) {
    assert.deepEqual(readRows(type, []), { unset: true }, type);
    assert.deepEqual(readRows(type, [blank(type)]), { unset: true }, type);
  }
});

test('a list of something else shows no rows instead of failing', () => {
  for (const v of [undefined, null, 'oak', 3, {}]) assert.deepEqual(rowsOf('mix', v), []);
  assert.equal(rowsOf('mix', [null, 3, 'oak']).length, 3);
});

test('a rose adds up to 100 percent at most', () => {
  const arm = (percent) => ({ from_deg: 240, percent, speed_m_s: 5 });
  assert.ok(readRows('wind rose', rowsOf('wind rose', [arm(60), arm(40)])).value);
  assert.match(readRows('wind rose', rowsOf('wind rose', [arm(60), arm(50)])).wrong, /110/);
});

test('equal shares add up to 100, whatever their number', () => {
  for (let n = 1; n <= 40; n++) {
    const shares = evenly(Array.from({ length: n }, () => blank('mix'))).map((r) => Number(r.share_percent));
    assert.equal(shares.reduce((a, b) => a + b, 0), 100, String(n));
    assert.ok(Math.max(...shares) - Math.min(...shares) <= 1);
  }
});

test('what is not in the planting list is said with the labels of the form', () => {
  const list = { total_plants: 0, notes: ['Not in this list: row 3, which is not set out. State its spacing_m, in metres.'], sundries: [], cautions: [] };
  const c = { s: { holding: 'a', revision: 1 }, ui: { fetched: new Map([['list', { key: 'a 1', data: list, words: null }]]) }, page: { api: { download: () => '' } }, vocabulary: { common: [], holding: [], kinds: [{ props: [{ name: 'spacing_m' }] }] } };
  const textOf = (k) => (Array.isArray(k) ? k.map(textOf).join('') : k === null ? '' : (k.text ?? '') + (k.kids ?? []).map(textOf).join(''));
  assert.match(textOf(plantingList(c)), /State its “Spacing”, in metres\./);
});
