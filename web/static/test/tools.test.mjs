import test from 'node:test';
import assert from 'node:assert/strict';
import { line } from '../tools/line.js';
import { polygon } from '../tools/polygon.js';
import { point } from '../tools/point.js';
import { drag } from '../tools/drag.js';
import { split } from '../tools/split.js';
import { reading } from '../tools/reading.js';
import { typed, words } from '../legs.js';

const run = (tool, events, s = tool.begin({})) => events.reduce((state, e) => tool.step(Object.freeze(state), e), s);
const set = (x, y) => ({ type: 'set', at: [x, y] });
const move = (x, y) => ({ type: 'move', at: [x, y] });
const [end, leave, back] = [{ type: 'end' }, { type: 'leave' }, { type: 'back' }];
const near = (a, b) => a.forEach((v, i) => assert.ok(Math.abs(v - b[i]) < 1e-9, `${a} is not ${b}`));

test('a line: corner to corner, ended by Enter', () => {
  const s = run(line, [set(0, 0), move(5, 5), set(10, 0), move(20, 20), end]);
  assert.equal(s.ended, 'done');
  assert.deepEqual(line.geometry(s), { type: 'LineString', coordinates: [[0, 0], [10, 0]] });
});

test('a line of one corner is not ended, and says so', () => {
  const s = run(line, [set(0, 0), end]);
  assert.equal(s.ended, null);
  assert.equal(s.few, true);
  assert.equal(line.geometry(s), null);
  assert.equal(run(line, [set(1, 1)], s).few, false);
});

test('Backspace takes the last corner back, Escape leaves, and nothing follows', () => {
  const s = run(line, [set(0, 0), set(10, 0), set(20, 0), back]);
  assert.deepEqual(s.corners, [[0, 0], [10, 0]]);
  assert.deepEqual(run(line, [back, back, back], s).corners, []);
  const left = run(line, [leave], s);
  assert.equal(left.ended, 'left');
  assert.equal(line.step(left, set(3, 3)), left);
});

test('the same corner twice is one corner; 20 mm is the tolerance', () => {
  assert.equal(run(line, [set(0, 0), set(0, 0.019)]).corners.length, 1);
  assert.equal(run(line, [set(0, 0), set(0, 0.021)]).corners.length, 2);
});

test('typed legs: length and bearing; what is left out is as the pointer or the leg before has it', () => {
  const leg = (length, bearing) => ({ type: 'leg', length, bearing });
  near(run(line, [set(0, 0), leg(30, 90)]).corners[1], [30, 0]);
  near(run(line, [set(0, 0), move(7, 7), leg(Math.SQRT2 * 10)]).corners[1], [10, 10]); // pointer to the north-east
  near(run(line, [set(0, 0), move(0, 12), leg(undefined, 180)]).corners[1], [0, -12]); // pointer 12 m away
  near(run(line, [set(0, 0), leg(10, 90), leg(5)]).corners[2], [15, 0]); // straight on
  assert.equal(run(line, [leg(5, 90)]).corners.length, 0, 'no leg without a start');
  assert.equal(run(line, [set(0, 0), leg(-3, 90)]).corners.length, 1, 'no leg backwards');
});

test('a gap ends at its second corner', () => {
  const s = run(line, [set(0, 0), set(4, 0)], line.begin({ most: 2 }));
  assert.equal(s.ended, 'done');
});

test('an outline closes on its first corner or by Enter', () => {
  const corners = [set(0, 0), set(10, 0), set(10, 10)];
  const byFirst = run(polygon, [...corners, set(0, 0)]);
  assert.equal(byFirst.ended, 'done');
  assert.deepEqual(polygon.geometry(byFirst).coordinates, [[[0, 0], [10, 0], [10, 10], [0, 0]]]);
  assert.deepEqual(polygon.geometry(run(polygon, [...corners, end])).coordinates, polygon.geometry(byFirst).coordinates);
  assert.equal(run(polygon, [set(0, 0), set(10, 0), end]).ended, null);
});

test('while drawing, the pointer is the last corner, unless it stands on one', () => {
  const s = run(polygon, [set(0, 0), set(10, 0), move(10, 10)]);
  assert.deepEqual(polygon.geometry(s, true).coordinates[0], [[0, 0], [10, 0], [10, 10], [0, 0]]);
  assert.equal(polygon.geometry(s), null);
  assert.equal(polygon.geometry(run(polygon, [set(0, 0), set(10, 0), move(10, 0)]), true), null);
});

test('a single thing is one click', () => {
  const s = run(point, [move(1, 1), set(3, 4)]);
  assert.equal(s.ended, 'done');
  assert.deepEqual(point.geometry(s), { type: 'Point', coordinates: [3, 4] });
});

test('the reading while drawing', () => {
  // 3-4-5: from (30, 0) to (30, 40); the way back to (0, 0) is 50 m at 180 + atan(3/4) = 216.87 degrees; half of 30 x 40 is 600.
  const s = run(polygon, [set(0, 0), set(30, 0), move(30, 40)]);
  const r = reading('polygon', s);
  assert.deepEqual([r.leg.length, r.leg.bearing, r.total, r.area, r.closing.length], [40, 0, 70, 600, 50]);
  assert.ok(Math.abs(r.closing.bearing - 216.8698976) < 1e-6);
  assert.deepEqual(r.last, { length: 30, bearing: 90 });
  assert.equal(reading('line', run(line, [set(0, 0)])).leg, null);
  assert.equal(reading('line', s).area, null);
  assert.match(words('polygon', s).join(' '), /600 m² 70\.0 m in all/);
});

test('numbers as people type them', () => {
  for (const [text, want] of [['12', 12], ['12,5', 12.5], [' 3.25 m', 3.25], ['87°', 87], ['.5', 0.5], ['7.', 7], ['-4', -4]]) assert.equal(typed(text), want, text);
  assert.equal(typed('  '), undefined);
  for (const text of ['abc', '1.2.3', '12 apples']) assert.ok(Number.isNaN(typed(text)), text);
});

const hedge = { type: 'LineString', coordinates: [[0, 0], [10, 0], [20, 0]] };

test('dragging a corner, a new corner, a whole thing', () => {
  const corner = run(drag, [move(10, 5), move(10, 3), end], drag.begin({ what: 'corner', id: 'h', geometry: hedge, corner: 1 }));
  assert.deepEqual([corner.ended, corner.geometry.coordinates], ['done', [[0, 0], [10, 3], [20, 0]]]);
  const fresh = run(drag, [move(5, 2), end], drag.begin({ what: 'insert', id: 'h', geometry: hedge, corner: 0 }));
  assert.deepEqual(fresh.geometry.coordinates, [[0, 0], [5, 2], [10, 0], [20, 0]]);
  const thing = run(drag, [move(12, 7), move(13, 8), end], drag.begin({ what: 'thing', id: 'h', geometry: hedge, from: [10, 5] }));
  assert.deepEqual(thing.geometry.coordinates, [[3, 3], [13, 3], [23, 3]]);
  assert.deepEqual(hedge.coordinates[1], [10, 0], 'the feature itself is as it was');
});

test('arrow keys move what is in hand; leaving puts it back; letting go where it was is no edit', () => {
  const begin = () => drag.begin({ what: 'corner', id: 'h', geometry: hedge, corner: 2 });
  const nudge = (dx, dy) => ({ type: 'nudge', dx, dy });
  near(run(drag, [nudge(0.1, 0), nudge(0.1, 0), nudge(0, 1)], begin()).geometry.coordinates[2], [20.2, 1]);
  assert.deepEqual(run(drag, [nudge(1, 1), leave], begin()).geometry, hedge);
  assert.equal(run(drag, [end], begin()).ended, 'left');
  near(run(drag, [nudge(0, 0.1)], drag.begin({ what: 'insert', id: 'h', geometry: hedge, corner: 0 })).geometry.coordinates[1], [5, 0.1]);
});

test('cutting a line where the pointer is', () => {
  const s = run(split, [move(4, 3)], split.begin({ id: 'h', geometry: hedge }));
  assert.deepEqual([s.chainage, s.at], [4, [4, 0]]);
  const done = run(split, [set(12, -2)], s);
  assert.equal(done.ended, 'done');
  assert.deepEqual(split.pieces(done).map((g) => g.coordinates), [[[0, 0], [10, 0], [12, 0]], [[12, 0], [20, 0]]]);
  assert.equal(run(split, [set(-5, 0)], s).ended, null, 'not at the very end');
  assert.equal(run(split, [{ type: 'chainage', metres: 15 }, end], s).ended, 'done');
});
