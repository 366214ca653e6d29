// A survey with a tape alone, as a small form: what was taped goes in, the pegs stand on the sheet, and the closing error is said.

import { h, patch } from './dom.js';
import { outline, survey, COMMON } from './tools/tape.js';
import { put } from './tools/apply.js';
import { pens } from './penlist.js';
import { typed } from './legs.js';
import { metres, num, say } from './strings.js';

/** A, B, ... Z, AA, ... */
export const pegName = (i) => (i < 26 ? String.fromCharCode(65 + i) : pegName(Math.floor(i / 26) - 1) + pegName(i % 26));

/** Peg numbers of names as typed: "A B C", "abc", "A, B, C". */
export function pegOrder(text, n) {
  const names = /[\s,;-]/.test(text.trim()) ? text.trim().split(/[\s,;-]+/) : [...text.trim()];
  return names.map((t) => { for (let i = 0; i < n; i++) if (pegName(i) === t.toUpperCase()) return i; return -1; }).filter((i) => i >= 0);
}

/** The survey that a form describes: rows that are not filled in are left out. */
export function fromForm(form) {
  const rows = [];
  for (const r of form.rows) {
    const lengths = r.lengths.map(typed);
    if (!lengths.every((v) => v > 0)) break;
    const check = typed(r.check);
    rows.push({ from: r.from, lengths, side: r.side, check: r.checkFrom !== '' && check > 0 ? { from: Number(r.checkFrom), length: check } : null });
  }
  return { start: form.start, base: { length: typed(form.length) ?? NaN, bearing: typed(form.bearing) ?? 90 }, rows };
}

const row = (n) => ({ from: [0, Math.min(n - 1, 1)], lengths: ['', ''], side: 'left', checkFrom: '', check: '' });

export function mountTape(panel, page) {
  const { store } = page;
  let tree = null;

  const set = (form) => {
    const s = survey(fromForm(form));
    const order = form.order.trim() ? pegOrder(form.order, s.pegs.length) : s.pegs.map((_, i) => i);
    const links = order.length > 1 && s.pegs.length > 1 ? order.map((p, i) => [s.pegs[p], s.pegs[order[(i + 1) % order.length]]]) : [];
    store.do('letGo', { ...store.get().tool, form, marks: s.pegs, links, names: s.pegs.map((_, i) => pegName(i)), state: { ...s, order } });
  };
  page.feeds.tape = (at) => { const { tool } = store.get(); set({ ...tool.form, start: at }); };

  function make() {
    const { tool } = store.get();
    const g = outline(tool.state.pegs, tool.state.order);
    if (!g) return;
    const field = pens(store.get().vocabulary).first.find((p) => p.key === 'field');
    store.do('letGo');
    page.sync.edit({ ...put(field, g), done: (ids) => store.do('select', { id: ids[0] }) });
  }

  const input = (key, label, value, change, unit) => h('label', { key }, h('span', null, label), h('span', { class: 'with-unit' },
    h('input', { type: 'text', inputmode: 'decimal', autocomplete: 'off', value, oninput: (e) => change(e.target.value) }), unit));
  const choice = (key, label, value, options, change) => h('label', { key }, h('span', null, label),
    h('select', { value, onchange: (e) => change(e.target.value) }, options.map(([v, words]) => h('option', { value: v, selected: String(v) === String(value) ? true : null }, words))));

  function pegRow(form, r, i) {
    const n = i + 2;
    const alter = (part) => set({ ...form, rows: form.rows.map((x, j) => (j === i ? { ...x, ...part } : x)) });
    const pegs = Array.from({ length: n }, (_, j) => [j, pegName(j)]);
    const two = (j, v, list) => list.map((x, m) => (m === j ? v : x));
    return h('fieldset', { key: `row-${i}` }, h('legend', null, say('tape.peg', { name: pegName(n) })),
      [0, 1].flatMap((j) => [
        choice(`f${j}`, say('tape.from'), r.from[j], pegs, (v) => alter({ from: two(j, Number(v), r.from) })),
        input(`l${j}`, say('read.length').split(' ')[0], r.lengths[j], (v) => alter({ lengths: two(j, v, r.lengths) }), 'm'),
      ]),
      choice('side', say('tape.side'), r.side, [['left', say('tape.left')], ['right', say('tape.right')]], (v) => alter({ side: v })),
      choice('check', say('tape.check'), r.checkFrom, [['', say('tape.none')], ...pegs], (v) => alter({ checkFrom: v })),
      r.checkFrom === '' ? null : input('cl', say('read.length').split(' ')[0], r.check, (v) => alter({ check: v }), 'm'));
  }

  function said(state) {
    const out = state.checks.map((c) => say('tape.off', { name: pegName(c.peg), off: metres(Math.abs(c.off)) }));
    if (state.bad?.why === 'apart') out.push(say('tape.apart', { name: pegName(state.bad.row + 2) }));
    if (state.worst !== null && state.worst > 0 && state.worst <= COMMON) out.push(say('tape.well', { n: num(Math.floor(1 / state.worst)) }));
    return out.map((t, i) => h('p', { key: `${i}` }, t));
  }

  return {
    open() {
      const { tool, view } = store.get();
      if (tool?.name === 'tape') { page.acts.leave(); return; }
      page.sync.still();
      store.do('select', { id: null });
      store.do('tool', { name: 'tape', by: 'pointer' });
      set({ start: [Math.round(view.x), Math.round(view.y)], length: '', bearing: '90', rows: [row(2)], order: '' });
    },
    draw(s) {
      const { form, state } = s.tool;
      if (!form) return;
      const n = form.rows.length + 2;
      tree = patch(panel, panel.dataset.of === 'tape' ? tree : (panel.textContent = '', null), [
        h('h2', { key: 'h' }, say('tape.title')),
        h('p', { key: 'help', class: 'small' }, say('tape.help')),
        h('fieldset', { key: 'base' }, h('legend', null, say('tape.base')),
          input('l', say('read.length').split(' ')[0], form.length, (v) => set({ ...form, length: v }), 'm'),
          input('b', say('tape.bearing'), form.bearing, (v) => set({ ...form, bearing: v }), '°')),
        form.rows.map((r, i) => pegRow(form, r, i)),
        h('div', { key: 'say', class: 'small', role: 'status' }, said(state)),
        h('div', { key: 'more', class: 'deeds' },
          h('button', { key: 'add', type: 'button', onclick: () => set({ ...form, rows: [...form.rows, row(n)] }) }, say('tape.add')),
          form.rows.length > 1 ? h('button', { key: 'less', type: 'button', onclick: () => set({ ...form, rows: form.rows.slice(0, -1) }) }, say('tape.less', { name: pegName(n - 1) })) : null),
        h('label', { key: 'order' }, h('span', null, say('tape.order')), h('input', { type: 'text', autocomplete: 'off', value: form.order, placeholder: state.pegs.map((_, i) => pegName(i)).join(' '), oninput: (e) => set({ ...form, order: e.target.value }) })),
        h('div', { key: 'end', class: 'deeds' },
          h('button', { key: 'make', type: 'button', class: 'main', disabled: state.order.length < 3, onclick: make }, say('tape.make')),
          h('button', { key: 'leave', type: 'button', onclick: () => page.acts.leave() }, say('do.leave'))),
      ]);
      panel.dataset.of = 'tape';
    },
  };
}
