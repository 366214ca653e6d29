// The form of a thing: every property its kind may have, as the vocabulary says, with what holds where nothing is stated.

import { h } from '../dom.js';
import { say } from '../strings.js';
import { asPut, latest } from '../state.js';
import { elseOf, fieldsOf, kindsFor, labelOf, ordered, plain, read, shown, unitOf, withProperty } from './fields.js';
import { button, idOf } from './parts.js';
import { COLUMNS } from './lists.js';
import { listEditor } from './entries.js';
import { speciesBox } from './species.js';
import { cornerTable } from './corners-table.js';

/** The form of the feature with that id. */
export function featureForm(c, id) {
  const f = latest(c.s, id);
  if (!f) return null;
  const spec = c.vocabulary.kinds.find((k) => k.kind === f.kind);
  return [
    spec ? h('p', { class: 'small quiet' }, `${spec.help}.`) : null,
    h('div', { class: 'form', role: 'group', 'aria-label': say('form.of', { name: f.label ?? id }) },
      kindField(c, f),
      fieldsOf(c.vocabulary, f.kind).map((p) => field(c, owner(c, f), p))),
    cornerTable(c, f),
    h('div', { class: 'acts' },
      button(say('form.close'), () => c.open(null)),
      button(say('form.delete', { name: f.label ?? id }), () => {
        c.page.sync.edit({ note: say('note.deleted', { name: f.label ?? id }), put: [], delete: [id], done: () => c.tell('note', say('form.deleted', { name: f.label ?? id })) });
        c.page.store.do('select', { id: null });
      })),
  ];
}

/**
 * Who a field belongs to: a feature or the holding. key tells its fields apart from others', values are what is stated, used what
 * holds for the rest, change(name, value) states or (undefined) takes back.
 */
function owner(c, f) {
  return {
    key: f.id, values: f.properties, used: f.defaults ?? {}, feature: f,
    change: (prop, value) => {
      const now = latest(c.page.store.get(), f.id);
      if (!now) return;
      const name = now.label || f.id;
      const what = labelOf(prop.name).toLowerCase();
      const note = value === undefined ? say('note.unset', { name, what }) : say('note.set', { name, what, value: brief(prop, value) });
      c.page.sync.edit({ note, put: [asPut({ ...now, properties: withProperty(now.properties, prop.name, value) })], delete: [] });
    },
  };
}

const brief = (prop, value) => {
  const text = Array.isArray(value) ? value.map((e) => (typeof e === 'object' ? e.species ?? e.winter ?? '' : e)).filter(Boolean).join(', ') : shown(prop, value);
  return text.length > 80 ? `${text.slice(0, 79)}…` : `${text} ${unitOf(prop)}`.trim();
};

/** What it is: the kinds that can be drawn so. */
function kindField(c, f) {
  const id = idOf('f', f.id, 'kind');
  const kinds = f.geometry ? kindsFor(c.vocabulary, f.geometry.type) : c.vocabulary.kinds;
  const known = kinds.some((k) => k.kind === f.kind);
  return h('div', { class: 'field', key: 'kind' },
    h('div', { class: 'what' }, h('label', { for: id }, say('form.kind'))),
    h('select', { id, value: f.kind ?? '', onchange: (e) => {
      const now = latest(c.page.store.get(), f.id);
      const spec = c.vocabulary.kinds.find((k) => k.kind === e.target.value);
      if (now && spec) c.page.sync.edit({ note: say('note.kind', { name: now.label || f.id, kind: spec.title }), put: [asPut({ ...now, properties: { ...now.properties, kind: spec.kind } })], delete: [] });
    } }, known ? null : h('option', { key: 'own', value: f.kind ?? '' }, f.kind || say('form.no-kind')),
    kinds.map((k) => h('option', { key: k.kind, value: k.kind }, k.title))));
}

/** One property: its label and what it is for, its field, and what is wrong with what stands there. */
export function field(c, own, prop) {
  const id = idOf('f', own.key, prop.name);
  const wrong = c.ui.faults.get(id);
  const help = h('small', { id: `${id}-help`, key: 'help' }, plain(prop.help));
  const said = wrong ? h('p', { id: `${id}-wrong`, key: 'wrong', class: 'wrong' }, wrong.words) : null;
  const aids = { 'aria-describedby': [`${id}-help`, wrong && `${id}-wrong`].filter(Boolean).join(' '), 'aria-invalid': wrong ? 'true' : null };
  if (COLUMNS[prop.type]) {
    return h('fieldset', { class: 'wide', key: prop.name }, h('legend', null, labelOf(prop.name), help), listEditor(c, own, prop, id), said);
  }
  if (prop.type === 'choices' || prop.type === 'ids') {
    return h('fieldset', { class: 'wide', key: prop.name, 'aria-describedby': `${id}-help` }, h('legend', null, labelOf(prop.name), help), prop.type === 'ids' ? idTicks(c, own, prop, id) : ticks(c, own, prop, id), said);
  }
  return h('div', { class: 'field', key: prop.name },
    h('div', { class: 'what' }, h('label', { for: id }, labelOf(prop.name)), help),
    h('div', { class: 'value' }, control(c, own, prop, id, aids, wrong), said));
}

/** Takes what stands in a field: an emptied field takes the property back. */
export function take(c, own, prop, id, text) {
  const got = read(prop, text);
  const was = own.values[prop.name];
  if (got.wrong) {
    c.ui.faults.set(id, { words: got.wrong, text });
  } else {
    c.ui.faults.delete(id);
    if (got.unset ? was !== undefined : JSON.stringify(was) !== JSON.stringify(got.value)) own.change(prop, got.unset ? undefined : got.value);
  }
  c.draw();
}

function control(c, own, prop, id, aids, wrong) {
  const value = wrong ? wrong.text : shown(prop, own.values[prop.name]);
  const put = (e) => take(c, own, prop, id, e.target.value);
  switch (prop.type) {
    case 'choice': return select(id, aids, value, prop.allowed.map((a) => [a, a]), elseOf(prop, own.used), put);
    case 'yes or no': return select(id, aids, value, ['yes', 'no'].map((a) => [a, say(`field.${a}`)]), elseOf(prop, own.used), put);
    case 'id': return select(id, aids, value, areas(c, own).map((f) => [f.id, f.label]), elseOf(prop, own.used), put);
    case 'species': return speciesBox(c, own, { id, aids, value, placeholder: elseOf(prop, own.used), purpose: own.feature?.kind, put: (text) => take(c, own, prop, id, text) });
    case 'object':
    case 'objects': return h('textarea', { id, ...aids, value, placeholder: elseOf(prop, own.used), onchange: put, spellcheck: 'false' });
    case 'text':
      if (prop.name === 'notes') return h('textarea', { id, ...aids, value, onchange: put });
      return h('input', { id, ...aids, type: 'text', value, placeholder: elseOf(prop, own.used), onchange: put, autocomplete: 'off' });
    default: return h('div', { class: 'measure' },
      h('input', { id, ...aids, type: 'text', inputmode: prop.type === 'bearing' ? null : 'decimal', value, placeholder: elseOf(prop, own.used), onchange: put, autocomplete: 'off' }),
      unitOf(prop) ? h('span', { class: 'unit' }, unitOf(prop)) : null);
  }
}

function select(id, aids, value, options, otherwise, onchange) {
  const strange = value !== '' && !options.some(([v]) => v === value);
  return h('select', { id, ...aids, class: value === '' ? 'unset' : null, value, onchange },
    h('option', { value: '', key: '' }, say('field.unset', { value: otherwise })),
    strange ? h('option', { value, key: value }, value) : null,
    options.map(([v, words]) => h('option', { value: v, key: v }, words)));
}

/** Things with an area, which a list or a shelter may name. */
const areas = (c, own) => c.sheet.features.filter((f) => f.id !== own.key && /Polygon$/.test(f.geometry?.type ?? '') && f.kind !== 'ground' && f.kind !== 'protected');

function ticks(c, own, prop, id) {
  const stated = own.values[prop.name];
  const now = Array.isArray(stated) ? stated : ordered(prop) ? prop.default : [];
  const put = (list) => own.change(prop, list.length === 0 ? undefined : list);
  if (ordered(prop)) return order(c, prop, id, now, put);
  return h('div', { class: 'ticks' }, prop.allowed.map((a) => h('label', { class: 'tick', key: a },
    h('input', { type: 'checkbox', id: `${id}-${a}`, checked: now.includes(a), onchange: (e) => put(e.target.checked ? [...now.filter((v) => v !== a), a] : now.filter((v) => v !== a)) }), a)));
}

/** Choices whose order matters: first things first, with buttons instead of dragging. */
function order(c, prop, id, now, put) {
  const swap = (i, j) => { const l = [...now]; [l[i], l[j]] = [l[j], l[i]]; put(l); };
  return [
    h('ol', { class: 'bare' }, now.map((a, i) => h('li', { class: 'acts', key: a }, h('span', null, `${i + 1}. ${a}`),
      i > 0 ? button(say('form.earlier'), () => swap(i, i - 1), { class: 'plain', 'aria-label': say('form.earlier-of', { what: a }) }) : null,
      button(say('form.leave-out'), () => put(now.filter((v) => v !== a)), { class: 'plain', 'aria-label': say('form.leave-out-of', { what: a }) })))),
    h('div', { class: 'acts' }, prop.allowed.filter((a) => !now.includes(a)).map((a) => button(say('form.put-in', { what: a }), () => put([...now, a]), { key: a }))),
  ];
}

function idTicks(c, own, prop, id) {
  const now = (Array.isArray(own.values[prop.name]) ? own.values[prop.name] : []).map(String);
  const options = areas(c, own);
  const gone = now.filter((v) => !options.some((f) => f.id === v)).map((v) => ({ id: v, label: c.sheet.features.find((f) => f.id === v)?.label ?? say('form.not-there', { id: v }) }));
  const all = [...options, ...gone].sort((a, b) => now.includes(b.id) - now.includes(a.id));
  if (all.length === 0) return h('p', { class: 'quiet small' }, say('form.no-areas'));
  return h('div', { class: 'ticks down', tabindex: '0', role: 'group', 'aria-label': labelOf(prop.name) }, all.map((f) => h('label', { class: 'tick', key: f.id },
    h('input', { type: 'checkbox', id: idOf(id, f.id), checked: now.includes(f.id), onchange: (e) => {
      const list = e.target.checked ? [...now, f.id] : now.filter((v) => v !== f.id);
      own.change(prop, list.length === 0 ? undefined : list);
    } }), f.label)));
}
