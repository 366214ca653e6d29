import test from 'node:test';
import assert from 'node:assert/strict';
import { meet, outline, survey, COMMON } from '../tools/tape.js';
import { fromForm, pegName, pegOrder } from '../panel-tape.js';
import { picture } from '../tools/picture.js';
import { lie, laid } from '../draw/pictures.js';
import { pictureName } from '../panel-picture.js';

const near = (a, b, eps = 1e-9) => a.forEach((v, i) => assert.ok(Math.abs(v - b[i]) < eps, `${a} is not ${b}`));

test('a peg from two lengths: the 3-4-5 triangle, to the left and to the right', () => {
  near(meet([0, 0], [30, 0], 50, 40, 'left'), [30, 40]);
  near(meet([0, 0], [30, 0], 50, 40, 'right'), [30, -40]);
  assert.equal(meet([0, 0], [100, 0], 30, 40, 'left'), null, '30 and 40 do not reach over 100');
  assert.equal(meet([0, 0], [10, 0], 50, 20, 'left'), null, 'nor does one lie within the other');
  near(meet([0, 0], [70, 0], 30, 40, 'left'), [30, 0], 1e-6);
});

test('a field of four sides and a diagonal, checked by the other diagonal', () => {
  // A rectangle of 60 by 80: base AB east, C by BC = 80 and AC = 100, D by AD = 80 and CD = 60; BD must be 100.
  const rows = (bd) => [
    { from: [0, 1], lengths: [100, 80], side: 'left' },
    { from: [0, 2], lengths: [80, 60], side: 'left', check: { from: 1, length: bd } },
  ];
  const s = survey({ start: [0, 0], base: { length: 60, bearing: 90 }, rows: rows(100.12) });
  near(s.pegs[2], [60, 80], 1e-9);
  near(s.pegs[3], [0, 80], 1e-9);
  assert.ok(Math.abs(s.checks[0].off - 0.12) < 1e-9);
  // Taped: 60 + 180 + 140 + 100.12 = 480.12 m; 0.12 m of it is 1 in 4,001.
  assert.ok(Math.abs(1 / s.worst - 4001) < 1);
  assert.ok(s.worst < COMMON);
  assert.deepEqual(outline(s.pegs, [0, 1, 2, 3]).coordinates[0].length, 5);
});

test('lengths that do not meet stop the survey at that peg and say which', () => {
  const s = survey({ start: [5, 5], base: { length: 100, bearing: 0 }, rows: [{ from: [0, 1], lengths: [10, 20], side: 'left' }, { from: [0, 2], lengths: [9, 9], side: 'left' }] });
  assert.deepEqual([s.pegs.length, s.bad], [2, { row: 0, why: 'apart' }]);
  assert.deepEqual(survey({ start: [0, 0], base: { length: NaN }, rows: [] }).pegs, [[0, 0]]);
  assert.equal(outline(s.pegs, [0, 1]), null);
});

test('the form of a survey', () => {
  assert.deepEqual([0, 25, 26, 27].map(pegName), ['A', 'Z', 'AA', 'AB']);
  assert.deepEqual(pegOrder('a, c b', 3), [0, 2, 1]);
  assert.deepEqual(pegOrder('ABD', 3), [0, 1], 'pegs that are not there are left out');
  const f = fromForm({ start: [0, 0], length: '60,5', bearing: '', rows: [{ from: [0, 1], lengths: ['100 m', '80'], side: 'left', checkFrom: '', check: '9' }, { from: [0, 1], lengths: ['', ''], side: 'left', checkFrom: '', check: '' }] });
  assert.deepEqual(f, { start: [0, 0], base: { length: 60.5, bearing: 90 }, rows: [{ from: [0, 1], lengths: [100, 80], side: 'left', check: null }] });
});

test('a picture lies where its two points say: scale, turn and shift', () => {
  // 200 px apart in the picture, 50 m apart on the ground along east: 0.25 m a pixel, not turned; y runs down in the picture.
  const l = lie([[100, 100], [300, 100]], [[0, 0], [50, 0]]);
  assert.equal(l.scale, 0.25);
  assert.ok(Math.abs(l.turn) < 1e-9);
  near(l.corner, [-25, 25]);
  near(l.at([100, 300]), [0, -50]);
  // The same two points lying north to south: the picture's east is now the ground's south, a quarter turn clockwise.
  const q = lie([[100, 100], [300, 100]], [[0, 0], [0, -50]]);
  assert.ok(Math.abs(q.turn - 90) < 1e-9);
  near(q.at([300, 100]), [0, -50]);
  assert.equal(lie([[1, 1], [1, 1]], [[0, 0], [1, 1]]), null);
});

test('laying a picture by two points of known distance', () => {
  let s = picture.begin({ name: 'plan.png', width: 400, height: 200, box: [-50, -50, 50, 50] });
  const first = lie(s.at, s.metres);
  near(first.at([200, 100]), [0, 0]); // in the middle of the view
  const A = first.at([50, 50]);
  const B = first.at([350, 50]);
  s = picture.step(s, { type: 'set', at: A });
  s = picture.step(s, { type: 'set', at: B });
  near(s.points[0], [50, 50], 1e-6);
  near(s.points[1], [350, 50], 1e-6);
  s = picture.step(s, { type: 'known', length: 120 });
  assert.ok(Math.abs(picture.apart(s) - 120) < 1e-9);
  const now = lie(s.at, s.metres);
  assert.ok(Math.abs(now.scale - 120 / 300) < 1e-9);
  near(now.at([50, 50]), A, 1e-6); // the first point stays
  const e = picture.entry(s);
  assert.deepEqual(Object.keys(e), ['name', 'width', 'height', 'at', 'metres']);
  assert.equal(laid({ pictures: [e] }).length, 1);
  assert.deepEqual(laid({ pictures: [{ name: 'x' }, null, { ...e, at: [[0, 0], ['a', 1]] }] }), []);
  assert.equal(picture.step(s, { type: 'back' }).points.length, 1);
});

test('names that the store takes for a picture', () => {
  for (const [file, want] of [['Höhe über.png', 'Ho-he-u-ber.png'], ['../../etc/passwd', 'etc-passwd'], ['plan.png', 'plan.png'], ['***', 'picture']]) assert.equal(pictureName(file), want);
  assert.match(pictureName(`${'a'.repeat(300)}.png`), /^[A-Za-z0-9][A-Za-z0-9._-]{0,79}$/);
});
