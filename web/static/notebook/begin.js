// The chapter "begin": the holdings there are, a new one, and the ways of getting the land in without a map.

import { h } from '../dom.js';
import { say, num } from '../strings.js';
import { Refused } from '../api.js';
import { position } from './fields.js';
import { added, kinded, planOf } from './files.js';
import { takeFile, takeText } from './drop.js';
import { button } from './parts.js';
import { pens } from '../penlist.js';

const GROUPS = { areas: ['Polygon', 'MultiPolygon'], lines: ['LineString', 'MultiLineString'], points: ['Point'] };
const FIRST = { areas: 'parcel', lines: 'hedge', points: 'plant' };
const when = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });

export function begin(c) {
  const ui = c.ui.begin;
  return [
    c.s.incoming ? incoming(c, c.s.incoming) : null,
    h('section', { key: 'there', 'aria-labelledby': 'begin-there' }, h('h2', { id: 'begin-there' }, say('begin.there')),
      c.s.holdings.length === 0 ? h('p', { class: 'quiet' }, say('begin.none'))
        : h('ul', { class: 'bare' }, c.s.holdings.map((o) => h('li', { key: o.id, class: 'acts' },
          h('button', { type: 'button', class: 'line', 'aria-current': o.id === c.s.holding ? 'true' : null, onclick: () => open(c, o.id) }, o.name || o.id),
          h('span', { class: 'small quiet' }, o.id === c.s.holding ? say('begin.open-now') : changedOn(o)),
          h('a', { class: 'small', href: `/#${encodeURIComponent(o.id)}`, target: '_blank', rel: 'noopener' }, say('begin.beside'), h('span', { class: 'unseen' }, ` ${o.name}`)))))),
    h('section', { key: 'new', 'aria-labelledby': 'begin-new' }, h('h2', { id: 'begin-new' }, say('begin.new')), newHolding(c, ui)),
    h('section', { key: 'how', 'aria-labelledby': 'begin-how' }, h('h2', { id: 'begin-how' }, say('begin.how')), ways(c, ui)),
  ];
}

const changedOn = (o) => {
  const d = new Date(o.changed);
  return Number.isNaN(d.getTime()) ? '' : say('begin.changed', { when: when.format(d) });
};

async function open(c, id, chapter = 'land') {
  try {
    c.page.store.do('incoming', null);
    await c.page.open(id);
    c.page.store.do('chapter', chapter);
  } catch (fault) {
    c.tell('stop', wordsOf(fault));
  }
}

const wordsOf = (fault) => (fault instanceof Refused ? [fault.message, fault.problem.mend].filter(Boolean).join(' ') : say('notebook.away'));

async function create(c, plan, where) {
  try {
    const { data } = await c.page.api.create(plan);
    const { data: list } = await c.page.api.holdings();
    c.page.store.do('holdings', list);
    c.ui.begin = {};
    await open(c, data.id);
    c.tell('note', say('begin.made', { name: data.name ?? data.id }));
  } catch (fault) {
    c.ui.begin[where] = wordsOf(fault);
    c.draw();
  }
}

/** A field of this chapter, whose text is kept until it is used. */
function box(c, ui, name, more = {}) {
  const id = `begin-${name}`;
  return h('label', { key: name, for: id }, say(`begin.${name}`), h('input', { id, type: 'text', autocomplete: 'off', value: ui[name] ?? '', oninput: (e) => { ui[name] = e.target.value; }, onchange: (e) => { ui[name] = e.target.value; c.draw(); }, ...more }));
}

function newHolding(c, ui) {
  const make = () => {
    const at = position({ lat: ui.lat ?? '', lon: ui.lon ?? '' });
    ui.newWrong = at.wrong ?? '';
    if (at.wrong) {
      c.draw();
      return;
    }
    const plan = {};
    if (ui.name?.trim()) plan.name = ui.name.trim();
    if (at.value) plan.origin = at.value;
    create(c, plan, 'newWrong');
  };
  const wrong = ui.newWrong ? { 'aria-describedby': 'begin-wrong' } : {};
  return h('div', null,
    h('p', null, say('begin.new-why')),
    h('div', { class: 'line-up' }, box(c, ui, 'name')),
    h('div', { class: 'line-up' }, box(c, ui, 'lat', { inputmode: 'decimal', placeholder: say('begin.lat-like'), ...wrong }), box(c, ui, 'lon', { inputmode: 'decimal', placeholder: say('begin.lon-like'), ...wrong })),
    h('p', { class: 'small quiet' }, say('begin.place-why')),
    ui.newWrong ? h('p', { id: 'begin-wrong', class: 'wrong' }, ui.newWrong) : null,
    h('div', { class: 'acts' }, button(say('begin.make'), make, { class: 'main' })));
}

function ways(c, ui) {
  const starts = {
    trace: c.page.panels && (() => c.page.panels.picture()),
    tape: c.page.panels && (() => c.page.panels.tape()),
    legs: c.page.acts && (() => { const pen = pens(c.vocabulary).first.find((k) => k.kind === 'parcel'); if (pen) c.page.acts.take(pen); c.page.plan?.focus(); }),
  };
  const pen = (name) => (starts[name] && c.sheet ? h('div', { key: `${name}-do`, class: 'acts' }, button(say(`begin.${name}-do`), () => { starts[name](); c.toSheet(); })) : null);
  const way = (key, ...more) => h('li', { key }, h('h3', null, say(`begin.${key}`)), h('p', null, say(`begin.${key}-why`)), more);
  return h('ol', { class: 'bare begin' },
    way('file',
      h('div', { class: 'line-up' }, h('label', { for: 'begin-file' }, say('begin.choose'), h('input', { id: 'begin-file', type: 'file', accept: '.geojson,.json,.gpx,.kml,.kmz,.gpkg,application/geo+json,application/json', onchange: (e) => { if (e.target.files[0]) takeFile(c.page, e.target.files[0]); e.target.value = ''; } }))),
      h('div', { class: 'line-up' }, h('label', { for: 'begin-paste' }, say('begin.paste'), h('textarea', { id: 'begin-paste', rows: '3', spellcheck: 'false', value: ui.paste ?? '', oninput: (e) => { ui.paste = e.target.value; } }))),
      h('div', { class: 'acts' }, button(say('begin.paste-do'), () => { if (ui.paste?.trim()) takeText(c.page, say('files.pasted'), ui.paste); }))),
    way('trace', pen('trace')), way('tape', pen('tape')), way('legs', pen('legs')));
}

/** A file that came in: what it holds, what its lines and areas are, and where it goes. */
function incoming(c, file) {
  const ui = c.ui.begin;
  const close = button(say('files.leave'), () => { c.page.store.do('incoming', null); c.ui.begin = {}; c.draw(); }, { class: 'plain' });
  if (file.wrong) return h('section', { key: 'incoming', class: 'incoming', 'aria-label': say('files.title', { name: file.name }) }, h('h3', null, file.name), h('p', { class: 'wrong' }, file.wrong), h('div', { class: 'acts' }, close));
  ui.kinds ??= { ...FIRST };
  const name = c.sheet?.name;
  return h('section', { key: 'incoming', class: 'incoming', 'aria-label': say('files.title', { name: file.name }) },
    h('h3', null, say('files.title', { name: file.name })),
    h('p', null, say(file.total === 1 ? 'files.holds-1' : file.plan ? 'files.holds-plan' : 'files.holds', { n: num(file.total) })),
    file.notes?.length ? h('ul', { class: 'words small', 'aria-label': say('files.notes') }, file.notes.map((t, i) => h('li', { key: `${i}` }, t))) : null,
    file.unkinded > 0 ? h('div', { class: 'form', role: 'group', 'aria-label': say('files.kinds') }, h('p', { class: 'wide small quiet' }, say('files.kinds')),
      Object.keys(GROUPS).filter((g) => file.counts[g] > 0).map((g) => kindOf(c, ui, g, file.counts[g]))) : null,
    ui.fileWrong ? h('p', { class: 'wrong' }, ui.fileWrong) : null,
    h('div', { class: 'acts' },
      button(say('files.as-new'), () => create(c, planOf(file, ui.kinds), 'fileWrong'), { class: file.plan || !c.s.holding ? 'main' : null }),
      c.s.holding && name ? button(say('files.add', { name }), () => add(c, file, ui), { class: file.plan ? null : 'main' }) : null, close));
}

function kindOf(c, ui, group, n) {
  const id = `begin-kind-${group}`;
  return h('div', { class: 'field', key: group }, h('div', { class: 'what' }, h('label', { for: id }, say(`files.${group}`, { n: num(n) }))),
    h('select', { id, value: ui.kinds[group], onchange: (e) => { ui.kinds[group] = e.target.value; c.draw(); } },
      c.vocabulary.kinds.filter((k) => GROUPS[group].some((t) => k.geometries.includes(t))).map((k) => h('option', { key: k.kind, value: k.kind }, k.title)),
      h('option', { value: '', key: '' }, say('files.leave-out'))));
}

function add(c, file, ui) {
  const put = added(kinded(file.data, ui.kinds), c.s.sheet.features.map((f) => f.id));
  if (put.length === 0) {
    ui.fileWrong = say('files.nothing');
    c.draw();
    return;
  }
  c.page.sync.edit({ note: say('note.file', { name: file.name.slice(0, 120), n: num(put.length) }), put, delete: [], metres: false, done: () => {
    c.page.store.do('incoming', null);
    c.page.store.do('chapter', 'land');
    c.tell('note', say('files.added', { n: num(put.length) }));
  } });
}
