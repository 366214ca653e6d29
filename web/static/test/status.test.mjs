import test from 'node:test';
import assert from 'node:assert/strict';
import { mountStatus, STANDS } from '../status.js';
import { createStore } from '../state.js';

function bench() {
  const store = createStore();
  const line = { textContent: '' };
  let press;
  const close = { addEventListener: (_, f) => { press = f; }, hidden: false };
  let waiting = null;
  const status = mountStatus(line, close, store, { later: (f, ms) => { waiting = { f, ms }; return 1; }, stop: () => { waiting = null; } });
  store.listen((s, changed) => { if (changed.has('message')) status.show(s.message); });
  return { store, line, close, press: () => press(), get waiting() { return waiting; } };
}

test('a note goes by itself', () => {
  const b = bench();
  b.store.do('say', { kind: 'note', text: 'Field drawn.' });
  assert.equal(b.line.textContent, 'Field drawn.');
  assert.equal(b.close.hidden, false);
  assert.equal(b.waiting.ms, STANDS);
  b.waiting.f();
  assert.equal(b.line.textContent, '');
  assert.equal(b.close.hidden, true);
});

test('what matters stays until it is closed', () => {
  for (const kind of ['warn', 'stop']) {
    const b = bench();
    b.store.do('say', { kind: 'note', text: 'Field drawn.' });
    b.store.do('say', { kind, text: 'The server does not answer.' });
    assert.equal(b.waiting, null, 'the clock of the note before it is stopped');
    assert.equal(b.line.textContent, 'The server does not answer.');
    b.press();
    assert.equal(b.line.textContent, '');
    assert.equal(b.close.hidden, true);
  }
});
