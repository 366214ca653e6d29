// The corners of a thing as a table: everything that dragging does, done by typing. Also splits a line at a chainage.

import { h } from '../dom.js';
import { say, num, metres } from '../strings.js';
import { asPut, latest } from '../state.js';
import { corners, setCorner, setChainage, insertCorner, deleteCorner, splitAt } from '../corners.js';
import { button, idOf } from './parts.js';
import { number } from './fields.js';

const MOST = 120;

/** The table for a feature, closed until it is opened. */
export function cornerTable(c, f) {
  const g = f.geometry;
  if (!g) return h('p', { key: 'corners', class: 'quiet small' }, say('corners.none'));
  const list = corners(g);
  const point = g.type === 'Point';
  const line = g.type === 'LineString' || g.type === 'MultiLineString';
  const kit = { c, f, g, list, point, line, name: f.label ?? f.id };
  const head = (words) => h('th', { scope: 'col' }, words);
  return h('details', { key: 'corners' },
    h('summary', null, point ? say('corners.place') : say('corners.title', { n: num(list.length) })),
    h('p', { class: 'small quiet' }, say('corners.help')),
    h('table', { class: 'edit' },
      h('thead', null, h('tr', null, head(say('corners.n')), head(say('corners.east')), head(say('corners.north')), point ? null : head(say('corners.chainage')), point ? null : h('th', null, h('span', { class: 'unseen' }, say('corners.do'))))),
      h('tbody', null, list.slice(0, MOST).map((at) => row(kit, at)))),
    list.length > MOST ? h('p', { class: 'small quiet' }, say('corners.more', { n: num(list.length - MOST) })) : null,
    line ? split(kit) : null);
}

function put({ c, f }, geometry, note, refused) {
  const now = latest(c.page.store.get(), f.id);
  if (now && geometry) c.page.sync.edit({ note, put: [asPut({ ...now, geometry })], delete: [] });
  else if (!geometry) c.tell('warn', refused);
}

const short = (v) => String(Math.round(v * 1000) / 1000);

function cell(kit, at, axis, now, words, change) {
  const { c, f, name } = kit;
  const id = idOf('corner', f.id, at.i, axis);
  const wrong = c.ui.faults.get(id);
  return h('td', { key: axis }, h('input', {
    id, type: 'text', inputmode: 'decimal', autocomplete: 'off', value: wrong ? wrong.text : short(now), 'aria-label': say('corners.cell', { what: words, n: at.i + 1 }), 'aria-invalid': wrong ? 'true' : null,
    onfocus: () => { if (c.s.selected === f.id && c.s.corner !== at.i) c.page.store.do('corner', at.i); },
    onchange: (e) => {
      const v = number(e.target.value);
      const next = Number.isNaN(v) ? null : change(v);
      if (next) c.ui.faults.delete(id);
      else c.ui.faults.set(id, { text: e.target.value });
      put(kit, next, say('note.corner', { name, n: at.i + 1 }), say(Number.isNaN(v) ? 'corners.wants' : 'corners.not-between'));
      c.draw();
    },
  }));
}

function row(kit, at) {
  const { c, g, list, point, line, name } = kit;
  const next = list[at.i + 1];
  const last = !next || next.part !== at.part || next.hole !== at.hole;
  const first = at.n === 0;
  const n = at.i + 1;
  return h('tr', { key: `${at.i}`, class: c.s.corner === at.i ? 'here' : null },
    h('th', { scope: 'row' }, num(n)),
    cell(kit, at, 'x', at.at[0], say('corners.east'), (v) => setCorner(g, at.i, [v, at.at[1]])),
    cell(kit, at, 'y', at.at[1], say('corners.north'), (v) => setCorner(g, at.i, [at.at[0], v])),
    point ? null : line && !first && !last ? cell(kit, at, 'chainage', at.chainage, say('corners.chainage'), (v) => setChainage(g, at.i, v)) : h('td', { key: 'chainage', class: 'num' }, metres(at.chainage ?? 0)),
    point ? null : h('td', { key: 'do', class: 'pair' },
      line && last ? null : h('button', { type: 'button', key: 'in', class: 'away', title: say('corners.insert'), 'aria-label': say('corners.insert-n', { n }), onclick: () => put(kit, insertCorner(g, at.i), say('note.corner-in', { name, n }), say('corners.kept')) }, '+'),
      h('button', { type: 'button', key: 'out', class: 'away', title: say('corners.delete'), 'aria-label': say('corners.delete-n', { n }), onclick: () => put(kit, deleteCorner(g, at.i), say('note.corner-out', { name, n }), say('corners.kept')) }, '×')));
}

/** A line in two at so many metres from its start; the second part is a thing of its own with the same properties. */
function split({ c, f, g, list, name }) {
  const id = idOf('split', f.id);
  const wrong = c.ui.faults.get(id);
  const whole = metres(f.length_m ?? Math.max(...list.map((r) => r.chainage ?? 0)));
  const cut = () => {
    const text = document.getElementById(id).value;
    const at = number(text);
    const parts = Number.isNaN(at) ? null : splitAt(g, at);
    if (parts) c.ui.faults.delete(id);
    else c.ui.faults.set(id, { text, words: say('split.wants', { length: whole }) });
    const now = latest(c.page.store.get(), f.id);
    if (parts && now) {
      const second = { ...now.properties };
      if (second.name) second.name = say('split.name', { name: second.name });
      c.page.sync.edit({ note: say('note.split', { name, at: metres(at) }), delete: [], put: [asPut({ ...now, geometry: parts[0] }), { type: 'Feature', properties: second, geometry: parts[1] }], done: () => c.tell('note', say('split.done', { name })) });
    }
    c.draw();
  };
  return h('div', { key: 'split' },
    h('div', { class: 'line-up' },
      h('label', { for: id }, say('split.at'), h('input', { id, type: 'text', inputmode: 'decimal', autocomplete: 'off', value: wrong ? wrong.text : '', placeholder: say('split.place', { length: whole }), 'aria-invalid': wrong ? 'true' : null, 'aria-describedby': wrong ? `${id}-wrong` : null })),
      button(say('split.do'), cut)),
    wrong ? h('p', { id: `${id}-wrong`, class: 'wrong' }, wrong.words) : null);
}
