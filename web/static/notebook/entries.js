// Lists as little tables: rows are added and taken out, and the list goes into the plan once it is whole. Until then it is kept
// here, and what it lacks is said.

import { h } from '../dom.js';
import { say } from '../strings.js';
import { labelOf, plain } from './fields.js';
import { COLUMNS, blank, evenly, readRows, rowsOf } from './lists.js';
import { button, idOf } from './parts.js';
import { speciesBox } from './species.js';

const CARDS = new Set(['trees', 'windbreak rows']);

/** The rows being edited: what was typed and is not whole yet, else what stands in the plan. */
const rowsNow = (c, own, prop, id) => c.ui.drafts.get(id) ?? rowsOf(prop.type, own.values[prop.name]);

export function listEditor(c, own, prop, id) {
  const rows = rowsNow(c, own, prop, id);
  const put = (next) => takeRows(c, own, prop, id, next);
  const kit = { c, own, id, purpose: purposeOf(own, prop) };
  const shares = prop.type === 'mix' || (prop.type === 'trees' && rows.every((r) => r.count === ''));
  return [
    CARDS.has(prop.type) ? cards(kit, prop, rows, put) : table(kit, prop.type, rows, put, id),
    h('div', { class: 'acts', key: 'acts' },
      rows.length === 0 ? h('span', { class: 'quiet small instead', key: 'none' }, Array.isArray(own.values[prop.name]) ? say('field.none') : plain(prop.else) || say('field.none')) : null,
      button(say(`list.add.${prop.type.replaceAll(' ', '-')}`), () => put([...rows, blank(prop.type)])),
      shares && rows.length > 1 ? button(say('list.evenly'), () => put(evenly(rows)), { class: 'plain' }) : null,
      c.ui.drafts.has(id) ? button(say('list.back'), () => { c.ui.drafts.delete(id); c.ui.faults.delete(id); c.draw(); }, { class: 'plain' }) : null),
  ];
}

const purposeOf = (own, prop) => (prop.name === 'tree_mix' ? 'grove' : own.feature?.kind);

/** Takes rows over: into the plan where they are whole, into the draft where not. */
export function takeRows(c, own, prop, id, rows) {
  const got = readRows(prop.type, rows);
  const incomplete = rows.some((r) => COLUMNS[prop.type].every((k) => r[k.name].trim() === '') && !r.mix);
  if (got.wrong) {
    c.ui.drafts.set(id, rows);
    c.ui.faults.set(id, { words: got.wrong });
  } else {
    c.ui.faults.delete(id);
    if (incomplete && rows.length > 0) c.ui.drafts.set(id, rows);
    else c.ui.drafts.delete(id);
    const was = own.values[prop.name];
    if (got.unset ? was !== undefined && rows.length === 0 : JSON.stringify(was) !== JSON.stringify(got.value)) own.change(prop, got.unset ? undefined : got.value);
  }
  c.draw();
}

const replaced = (rows, i, part) => rows.map((r, j) => (j === i ? { ...r, ...part } : r));
const without = (rows, i) => rows.filter((_, j) => j !== i);

function cellOf({ c, own, id, purpose }, rows, i, col, put, path) {
  const cell = idOf(path, i, col.name);
  const label = say('list.cell', { what: labelOf(col.name), n: i + 1 });
  if (col.type === 'species') {
    return speciesBox(c, own, { id: cell, aids: { 'aria-label': label }, value: rows[i][col.name], placeholder: say('list.species'), purpose, put: (t) => put(replaced(rows, i, { [col.name]: t })) });
  }
  return h('input', { id: cell, type: 'text', inputmode: col.type === 'text' ? null : 'decimal', 'aria-label': label, value: rows[i][col.name], autocomplete: 'off', onchange: (e) => put(replaced(rows, i, { [col.name]: e.target.value })) });
}

function table(kit, type, rows, put, path) {
  if (rows.length === 0) return null;
  return h('table', { class: 'edit', key: 'table' },
    h('thead', null, h('tr', null, COLUMNS[type].map((k) => h('th', { key: k.name, scope: 'col', class: k.type === 'species' || k.type === 'text' ? 'words' : 'figure' }, `${labelOf(k.name)}${k.unit ? ` ${k.unit}` : ''}`)), h('th', { class: 'go' }, h('span', { class: 'unseen' }, say('list.remove'))))),
    h('tbody', null, rows.map((_, i) => h('tr', { key: `${i}` },
      COLUMNS[type].map((k) => h('td', { key: k.name, class: k.type === 'species' || k.type === 'text' ? null : 'figure' }, cellOf(kit, rows, i, k, put, path))),
      h('td', { class: 'go' }, remove(rows, i, put))))));
}

const remove = (rows, i, put) => h('button', { type: 'button', class: 'away', 'aria-label': say('list.remove-n', { n: i + 1 }), title: say('list.remove'), onclick: () => put(without(rows, i)) }, '×');

/** Trees and the rows of a windbreak have more to say than a table row holds. */
function cards(kit, prop, rows, put) {
  const belt = prop.type === 'windbreak rows';
  return h('ol', { class: 'bare', key: 'cards' }, rows.map((row, i) => h('li', { class: 'card', key: `${i}` },
    h('div', { class: 'head' }, h('span', null, say(belt ? (i === 0 ? 'list.first-row' : 'list.nth-row') : 'list.nth', { n: i + 1 })), remove(rows, i, put)),
    belt ? beltRow(kit, rows, i, put) : treeRow(kit, rows, i, put))));
}

function treeRow(kit, rows, i, put) {
  const [first, ...rest] = COLUMNS.trees;
  return [cellOf(kit, rows, i, first, put, kit.id), h('div', { class: 'grid' }, rest.map((k) => h('label', { key: k.name }, `${labelOf(k.name)}${k.unit ? ` ${k.unit}` : ''}`, cellOf(kit, rows, i, k, put, kit.id))))];
}

function beltRow(kit, rows, i, put) {
  const [species, spacing] = COLUMNS['windbreak rows'];
  const row = rows[i];
  const mix = (next) => put(replaced(rows, i, { mix: next }));
  return [
    row.mix
      ? h('div', { key: 'mix' }, table(kit, 'mix', row.mix, mix, idOf(kit.id, i, 'mix')),
        h('div', { class: 'acts' }, button(say('list.add.mix'), () => mix([...row.mix, blank('mix')])), row.mix.length > 1 ? button(say('list.evenly'), () => mix(evenly(row.mix)), { class: 'plain' }) : null,
          button(say('list.one-species'), () => put(replaced(rows, i, { mix: undefined, species: row.mix[0]?.species ?? '' })), { class: 'plain' })))
      : h('div', { key: 'one' }, cellOf(kit, rows, i, species, put, kit.id),
        button(say('list.make-mix'), () => put(replaced(rows, i, { mix: [{ rest: {}, species: row.species, share_percent: '100' }], species: '' })), { class: 'plain' })),
    h('div', { class: 'grid', key: 'spacing' }, h('label', null, `${labelOf('spacing_m')} m`, cellOf(kit, rows, i, spacing, put, kit.id))),
  ];
}
