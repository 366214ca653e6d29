// The chapter "holding": what is said once for the whole place, and the plan to take away.

import { h } from '../dom.js';
import { say } from '../strings.js';
import { labelOf, number, plain, position } from './fields.js';
import { field } from './form.js';
import { button, idOf } from './parts.js';
import { changed } from './settings.js';

const APART = new Set(['accepted', 'pictures', 'limits', 'prices', 'chip_use', 'origin', 'rule_set']);

export function holding(c) {
  if (!c.sheet) return h('p', { class: 'quiet' }, say('land.none'));
  const own = owner(c);
  const props = c.vocabulary.holding;
  const by = (name) => props.find((p) => p.name === name);
  return [
    h('h2', { key: 'title' }, say('holding.title')),
    h('p', { key: 'why', class: 'quiet' }, say('holding.why')),
    h('div', { key: 'form', class: 'form', role: 'group', 'aria-label': say('holding.title') },
      by('name') ? field(c, own, by('name')) : null,
      by('rule_set') ? field(c, own, { ...by('rule_set'), ...ruleSet(c, own) }) : null,
      props.filter((p) => p.name !== 'name' && !APART.has(p.name)).map((p) => field(c, own, p)),
      by('origin') ? place(c, own, by('origin')) : null),
    by('limits') ? limits(c, own, by('limits')) : null,
    by('chip_use') ? chipUse(c, own, by('chip_use')) : null,
    by('prices') ? prices(c, own, by('prices')) : null,
    h('section', { key: 'away', 'aria-labelledby': 'holding-away' }, h('h2', { id: 'holding-away' }, say('holding.away')),
      h('p', { class: 'quiet' }, say('holding.away-why')),
      h('div', { class: 'acts' }, h('a', { class: 'button', href: `/holdings/${encodeURIComponent(c.s.holding)}`, download: `${c.s.holding}.geojson` }, say('holding.download')))),
  ];
}

/** The holding as it will be once what is waiting has been sent. */
function stated(s) {
  return s.pending.reduce((now, e) => (e.settings ? changed(now, e.settings) : now), s.sheet.holding ?? {});
}

function owner(c) {
  return {
    key: 'holding', values: stated(c.s), used: {}, feature: null,
    change: (prop, value) => c.page.sync.edit({ note: say('note.holding', { what: labelOf(prop.name).toLowerCase() }), settings: value === undefined ? { unset: [prop.name] } : { set: { [prop.name]: value } } }),
  };
}

/** Rule sets are chosen from those there are; a path to somebody's own file stays what it is. */
function ruleSet(c, own) {
  const sets = c.vocabulary.rule_sets ?? [];
  const now = own.values.rule_set;
  return { type: 'choice', allowed: now && !sets.includes(now) ? [...sets, now] : sets };
}

/** The point that metres are measured from, as latitude and longitude. */
function place(c, own, prop) {
  const id = idOf('f', 'holding', 'origin');
  const [lon, lat] = c.ui.drafts.get(id) ?? own.values.origin ?? ['', ''];
  const wrong = c.ui.faults.get(id);
  const take = () => {
    const got = position({ lat: document.getElementById(`${id}-lat`).value, lon: document.getElementById(`${id}-lon`).value });
    if (got.wrong) c.ui.faults.set(id, { words: got.wrong });
    else {
      c.ui.faults.delete(id);
      if (JSON.stringify(got.value) === JSON.stringify(own.values.origin)) c.ui.drafts.delete(id);
      else if (got.value && c.sheet.features.some((f) => f.geometry)) c.ui.drafts.set(id, got.value);
      else own.change(prop, got.value);
    }
    c.draw();
  };
  const asked = c.ui.drafts.get(id);
  const answer = (act) => () => { c.ui.drafts.delete(id); act(); c.draw(); };
  const carry = answer(() => c.page.sync.edit({ note: say('note.place'), place: asked, done: () => c.tell('note', say('holding.carried')) }));
  const box = (which, value) => h('label', { key: which }, say(`holding.${which}`), h('input', { id: `${id}-${which}`, type: 'text', inputmode: 'decimal', autocomplete: 'off', value, onchange: take, 'aria-describedby': wrong ? `${id}-wrong` : null, 'aria-invalid': wrong ? 'true' : null }));
  return h('fieldset', { class: 'wide', key: 'origin' }, h('legend', null, labelOf('origin'), h('small', null, plain(prop.help))),
    h('div', { class: 'line-up' }, box('lat', lat), box('lon', lon)), wrong ? h('p', { id: `${id}-wrong`, class: 'wrong' }, wrong.words) : null,
    asked && !wrong ? h('div', { key: 'asked' }, h('p', null, say('holding.carry-why')), h('div', { class: 'acts' },
      button(say('holding.carry'), carry, { class: 'main' }), button(say('holding.measure'), answer(() => own.change(prop, asked))), button(say('holding.leave'), answer(() => {}), { class: 'plain' }))) : null);
}

/** Rows of name and value that belong to one member of the holding; what is not whole yet is kept in a draft. */
function pairs(c, { key, title, why, columns, rows, read }) {
  const draft = c.ui.drafts.get(key) ?? rows;
  const wrong = c.ui.faults.get(key);
  const put = (next) => {
    const got = read(next);
    if (got.wrong) {
      c.ui.drafts.set(key, next);
      c.ui.faults.set(key, { words: got.wrong });
    } else {
      c.ui.faults.delete(key);
      if (next.some((r) => columns.every((k) => r[k.name] === ''))) c.ui.drafts.set(key, next);
      else c.ui.drafts.delete(key);
      got.keep();
    }
    c.draw();
  };
  const cell = (r, i, k) => {
    const at = { id: idOf(key, i, k.name), value: r[k.name], 'aria-label': say('list.cell', { what: k.words, n: i + 1 }), onchange: (e) => put(draft.map((o, j) => (j === i ? { ...o, [k.name]: e.target.value } : o))) };
    if (k.options) return h('select', at, h('option', { value: '', key: '' }, say('limits.choose')), k.options.map(([v, words]) => h('option', { value: v, key: v }, words)));
    return h('input', { ...at, type: 'text', autocomplete: 'off', inputmode: k.number ? 'decimal' : null });
  };
  return h('section', { key, 'aria-labelledby': key }, h('h3', { id: key }, title), h('p', { class: 'small quiet' }, why),
    h('ol', { class: 'bare' }, draft.map((r, i) => h('li', { key: `${i}`, class: columns.length > 2 ? 'card' : 'pair-row' },
      h('div', { class: 'grid' }, columns.map((k) => h('label', { key: k.name }, k.words, cell(r, i, k)))),
      button('×', () => put(draft.filter((_, j) => j !== i)), { class: 'away', 'aria-label': say('list.remove-n', { n: i + 1 }) })))),
    wrong ? h('p', { class: 'wrong' }, wrong.words) : null,
    h('div', { class: 'acts' }, button(say('limits.add'), () => put([...draft, Object.fromEntries(columns.map((k) => [k.name, '']))]))));
}

const figure = (text) => (Number.isNaN(number(text)) ? text.trim() : number(text));

/** Limits of one's own: rule, limit, value, and the reason that a loosened safety limit needs. */
function limits(c, own, prop) {
  const rows = Object.entries(own.values.limits ?? {}).flatMap(([rule, set]) => Object.entries(set ?? {}).map(([limit, v]) => {
    const wide = typeof v === 'object' && v !== null;
    return { rule, limit, value: String(wide ? v.value ?? '' : v), reason: wide ? v.reason ?? '' : '' };
  }));
  return pairs(c, {
    key: 'own-limits', title: labelOf('limits'), why: plain(prop.help), rows,
    columns: [{ name: 'rule', words: say('limits.rule'), options: c.vocabulary.rules.map((r) => [r.id, r.title]) }, { name: 'limit', words: say('limits.limit') }, { name: 'value', words: say('limits.value') }, { name: 'reason', words: say('limits.reason') }],
    read: (next) => {
      const out = {};
      for (const [i, r] of next.entries()) {
        if (r.rule + r.limit + r.value + r.reason === '') continue;
        if (!r.rule || !r.limit.trim() || !r.value.trim()) return { wrong: say('limits.wants', { n: i + 1 }) };
        (out[r.rule] ??= {})[r.limit.trim()] = r.reason.trim() ? { value: figure(r.value), reason: r.reason.trim() } : figure(r.value);
      }
      return { keep: () => { if (JSON.stringify(out) !== JSON.stringify(own.values.limits ?? {})) own.change(prop, Object.keys(out).length ? out : undefined); } };
    },
  });
}

const CHIP = ['mulch_depth_m', 'bedding_m3', 'compost_green_m3', 'paths_m3'];

function chipUse(c, own, prop) {
  const now = own.values.chip_use ?? {};
  return h('section', { key: 'chip', 'aria-labelledby': 'chip-use' }, h('h3', { id: 'chip-use' }, labelOf('chip_use')), h('p', { class: 'small quiet' }, plain(prop.help)),
    h('div', { class: 'grid' }, CHIP.map((name) => {
      const id = idOf('f', 'holding', name);
      const wrong = c.ui.faults.get(id);
      return h('label', { key: name }, `${labelOf(name)} ${name.endsWith('_m') ? 'm' : 'm³'}`, h('input', {
        id, type: 'text', inputmode: 'decimal', autocomplete: 'off', value: wrong ? wrong.text : now[name] ?? '', 'aria-invalid': wrong ? 'true' : null,
        onchange: (e) => {
          const text = e.target.value.trim();
          const v = number(text);
          const fine = text === '' || (v >= 0 && v <= (name.endsWith('_m') ? 1 : 10000));
          if (fine) c.ui.faults.delete(id);
          else c.ui.faults.set(id, { text });
          if (fine) {
            const next = { ...now, [name]: v };
            if (text === '') delete next[name];
            own.change(prop, Object.keys(next).length ? next : undefined);
          } else c.tell('warn', say('limits.wants-chip', { what: labelOf(name) }));
          c.draw();
        },
      }));
    })));
}

function prices(c, own, prop) {
  const rows = Object.entries(own.values.prices ?? {}).map(([what, price]) => ({ what, price: String(price) }));
  return pairs(c, {
    key: 'own-prices', title: labelOf('prices'), why: say('prices.why'), rows,
    columns: [{ name: 'what', words: say('prices.what') }, { name: 'price', words: say('prices.price') }],
    read: (next) => {
      const out = {};
      for (const [i, r] of next.entries()) {
        if (r.what + r.price === '') continue;
        const money = r.what.trim() === 'currency' ? r.price.trim() : number(r.price);
        if (!r.what.trim() || money === '' || (typeof money === 'number' && !(money >= 0))) return { wrong: say('prices.wants', { n: i + 1 }) };
        out[r.what.trim()] = money;
      }
      return { keep: () => { if (JSON.stringify(out) !== JSON.stringify(own.values.prices ?? {})) own.change(prop, Object.keys(out).length ? out : undefined); } };
    },
  });
}
