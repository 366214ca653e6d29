// Choosing a species: a field with a list below it. What suits the ground under the thing comes first; for the rest the list says
// why not. Any name may be typed; the server knows the synonyms.

import { h } from '../dom.js';
import { say } from '../strings.js';
import { idOf } from './parts.js';
import { choices, nameOf, sorted } from './names.js';
import { middle } from './text.js';

const MOST = 60;

/** @param how {id, aids, value, placeholder, purpose, put(text)} */
export function speciesBox(c, own, how) {
  const { id } = how;
  const open = c.ui.combo?.id === id;
  const combo = open ? c.ui.combo : null;
  const list = open ? listed(c, own, how, combo) : [];
  const flat = list.flatMap((g) => g.options);
  const at = open ? Math.min(combo.at, flat.length - 1) : -1;
  const choose = (text) => {
    c.ui.combo = null;
    const input = document.getElementById(id);
    if (input) {
      input.value = text;
      delete input.dataset.typed;
    }
    how.put(text);
  };
  const show = (typed) => {
    c.ui.combo = { id, typed, at: -1 };
    ask(c, own, how);
    c.draw();
  };
  return h('div', { class: 'combo', key: `combo-${id}` },
    h('input', {
      id, key: 'field', type: 'text', ...how.aids, role: 'combobox', 'aria-autocomplete': 'list', 'aria-expanded': String(open), 'aria-controls': open ? `${id}-list` : null,
      'aria-activedescendant': at >= 0 ? idOf(id, 'o', flat[at].species.id) : null, autocomplete: 'off', spellcheck: 'false', value: how.value, placeholder: how.placeholder,
      onclick: () => { if (!open) show(''); },
      oninput: (e) => show(e.target.value),
      onchange: (e) => how.put(e.target.value),
      onblur: () => { if (c.ui.combo?.id === id) { c.ui.combo = null; c.draw(); } },
      onkeydown: (e) => keys(e, { c, open, show, choose, flat, at, combo }),
    }),
    open ? popup(c, how, list, at, choose) : null);
}

function keys(e, { c, open, show, choose, flat, at, combo }) {
  const move = (to) => {
    e.preventDefault();
    combo.at = Math.max(-1, Math.min(flat.length - 1, to));
    c.draw();
    c.afterDraw(() => document.querySelector('.combo [aria-selected="true"]')?.scrollIntoView({ block: 'nearest' }));
  };
  if (e.key === 'ArrowDown') open ? move(at + 1) : (e.preventDefault(), show(''));
  else if (e.key === 'ArrowUp' && open) move(at - 1);
  else if (e.key === 'PageDown' && open) move(at + 8);
  else if (e.key === 'PageUp' && open) move(at - 8);
  else if (e.key === 'Escape' && open) { e.preventDefault(); e.stopPropagation(); c.ui.combo = null; c.draw(); }
  else if (e.key === 'Enter' && open) {
    if (at >= 0) { e.preventDefault(); choose(nameOf(flat[at].species)); }
    else { c.ui.combo = null; c.draw(); }
  }
}

/** The groups of the list. */
function listed(c, own, how, combo) {
  const ranked = c.ui.suits.get(suitsKey(c, own, how))?.list ?? null;
  const found = choices(c.vocabulary.species, combo.typed, ranked);
  if (!ranked) return [{ key: 'all', title: null, options: found.slice(0, MOST) }].filter((g) => g.options.length);
  const { suits, others, not } = sorted(found);
  return [['suits', suits], ['others', others], ['not', not]].filter(([, o]) => o.length).map(([key, options]) => ({ key, title: say(`species.${key}`), options: options.slice(0, MOST) }));
}

function popup(c, how, list, at, choose) {
  let n = -1;
  const option = (o) => {
    n += 1;
    const chosen = n === at;
    const why = o.suits ? [...(o.suits.against ?? []), ...(o.suits.for ?? [])].join('; ') : '';
    return h('div', { key: o.species.id, class: 'option', role: 'option', id: idOf(how.id, 'o', o.species.id), 'aria-selected': String(chosen),
      onmousedown: (e) => e.preventDefault(), onclick: () => choose(nameOf(o.species)) },
    nameOf(o.species), ' ', h('i', null, o.species.botanical),
    o.suits?.verdict && (o.suits.barred || o.suits.verdict !== 'suitable') ? h('span', { class: `mark${o.suits.barred ? ' bad' : ''}` }, o.suits.verdict) : null,
    why ? h('small', null, why) : null);
  };
  const none = list.length === 0;
  return h('div', { class: 'options', role: 'listbox', id: `${how.id}-list`, key: 'list', 'aria-label': say('species.list'), onmousedown: (e) => e.preventDefault() },
    none ? h('div', { class: 'option', role: 'option', 'aria-selected': 'false', 'aria-disabled': 'true' }, say('species.none')) : null,
    list.map((g) => h('div', { key: g.key, role: 'group', 'aria-label': g.title ?? say('species.list') }, g.title ? h('div', { class: 'head', 'aria-hidden': 'true' }, g.title) : null, g.options.map(option))));
}

function suitsKey(c, own, how) {
  const at = middle(own.feature?.geometry);
  return at ? `${c.s.holding} ${c.s.revision} ${at.map((v) => v.toFixed(1))} ${how.purpose ?? ''} ${own.values.raised_m ?? 0}` : '';
}

/** Asks the server what suits the ground there, once for each ground and purpose. */
async function ask(c, own, how) {
  const key = suitsKey(c, own, how);
  if (key === '' || c.ui.suits.has(key)) return;
  const known = c.vocabulary.species.some((s) => s.purposes?.includes(how.purpose));
  const [x, y] = middle(own.feature.geometry);
  c.ui.suits.set(key, { list: null });
  try {
    const raised = typeof own.values.raised_m === 'number' ? own.values.raised_m : 0;
    const { data } = await c.page.api.suits(c.s.holding, { x, y, purpose: known ? how.purpose : '', raised });
    c.ui.suits.set(key, { list: data });
    c.draw();
  } catch {
    c.ui.suits.delete(key); // without an answer the list still holds every name
  }
}

