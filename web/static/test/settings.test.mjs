import test from 'node:test';
import assert from 'node:assert/strict';
import { acceptance, changed, idle } from '../notebook/settings.js';
import { grouped } from '../notebook/warnings.js';
import { measured } from '../notebook/finding.js';
import { finding } from './given.mjs';

test('accepting writes the finding as it is now, and keeps all else', () => {
  const was = Object.freeze({ name: 'Larkmoor', mine: { a: 1 }, accepted: Object.freeze([{ key: 'k1', reason: 'old' }]) });
  const entry = acceptance(finding(2, { measured: 6.5, limit: 5, source: 'Defra 2007' }), '  the cows come through ');
  assert.deepEqual(entry, { key: 'k2', reason: 'the cows come through', measured: 6.5, limit: 5, source: 'Defra 2007' });
  const now = changed(was, { accept: [entry] });
  assert.deepEqual(now, { name: 'Larkmoor', mine: { a: 1 }, accepted: [{ key: 'k1', reason: 'old' }, entry] });
});

test('a measure of 0 is a measure; what was not measured is not written', () => {
  assert.deepEqual(acceptance(finding(1, { measured: 0, limit: 0, source: '' }), 'x'), { key: 'k1', reason: 'x', measured: 0, limit: 0 });
  assert.deepEqual(acceptance(finding(1, { source: '' }), 'x'), { key: 'k1', reason: 'x' });
});

test('accepting again replaces, withdrawing takes out, and the last one takes the list along', () => {
  const twice = changed({ accepted: [{ key: 'a', reason: '1' }] }, { accept: [{ key: 'a', reason: '2' }] });
  assert.deepEqual(twice.accepted, [{ key: 'a', reason: '2' }]);
  assert.deepEqual(changed(twice, { withdraw: ['a'] }), {});
  assert.deepEqual(changed({ accepted: [{ key: 'a' }, { key: 'b' }] }, { withdraw: ['a', 'zz'] }), { accepted: [{ key: 'b' }] });
});

test('settings are set and taken back; a holding that said nothing yet will do', () => {
  assert.deepEqual(changed(null, { set: { name: 'A' } }), { name: 'A' });
  assert.deepEqual(changed({ name: 'A', bundle: 50 }, { unset: ['bundle'], set: { name: 'B' } }), { name: 'B' });
});

test('changes say what to do, so two of them hold in either order', () => {
  const a = { accept: [{ key: 'a', reason: '1' }] };
  const b = { set: { bundle: 50 } };
  assert.deepEqual(changed(changed({}, a), b), changed(changed({}, b), a));
  assert.deepEqual(JSON.parse(JSON.stringify(a)), a, 'they are kept as text while the server is away');
});

test('acceptances that nothing asks for are found', () => {
  assert.deepEqual(idle({ accepted: [{ key: 'k1' }, { key: 'gone' }] }, [finding(1)]), [{ key: 'gone' }]);
  assert.deepEqual(idle(null, []), []);
});

test('findings stand gravest first, by rule, and a caution that all of a rule share is said once', () => {
  const all = [finding(1, { severity: 'stop', rule: 'a', cautions: ['x', 'y'] }), finding(2, { severity: 'stop', rule: 'a', cautions: ['y'] }), finding(3, { severity: 'note', rule: 'b' }), finding(4, { severity: 'warn', rule: 'a', accepted: { key: 'k4', reason: 'r' } })];
  const groups = grouped(all);
  assert.deepEqual(groups.map((g) => [g.severity, g.rules.map((r) => [r.rule, r.cautions, r.findings.map((f) => f.n)])]), [['stop', [['a', ['y'], [1, 2]]]], ['warn', [['a', [], [4]]]], ['note', [['b', [], [3]]]]]);
  assert.deepEqual(grouped(all, 'note').flatMap((g) => g.rules.flatMap((r) => r.findings.map((f) => f.n))), [3]);
  assert.deepEqual(grouped(all, 'accepted').flatMap((g) => g.rules.flatMap((r) => r.findings.map((f) => f.n))), [4]);
  assert.equal(grouped(all).flatMap((g) => g.rules.flatMap((r) => r.findings)).length, all.length, 'none is lost');
});

test('measured against limit, in words', () => {
  assert.equal(measured(finding(1, { measured: 6.5, limit: 5, unit: 'm' })), 'Measured 6.50 m, limit 5 m.');
  assert.equal(measured(finding(1, { measured: 1, unit: 'plants' })), 'Measured 1 plant.');
  assert.equal(measured(finding(1, { measured: 26.389, limit: 40, unit: 'percent' })), 'Measured 26.4 %, limit 40 %.');
  assert.equal(measured(finding(1)), '');
});
