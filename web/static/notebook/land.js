// The chapter "land": one running text by area. A heading opens its entry, where the thing itself is changed.

import { h } from '../dom.js';
import { say, num } from '../strings.js';
import { figures, idOf } from './parts.js';
import { findingView } from './finding.js';
import { featureForm } from './form.js';
import { landText } from './text.js';
import { yearLine } from './yearline.js';

export function land(c) {
  if (!c.sheet) return h('p', { class: 'quiet' }, say('land.none'));
  const text = landText(c.sheet, c.vocabulary);
  const chosen = c.narrow ? findEntry(text, c.s.selected) : null;
  return [
    chosen ? h('section', { key: 'chosen', 'aria-label': say('land.chosen') }, entry(c, chosen, 2, true)) : null,
    h('section', { key: 'holding', 'aria-labelledby': 'land-title' },
      h('h2', { id: 'land-title' }, text.title),
      h('p', { class: 'lead' }, figures(text.says[0])),
      text.says.length > 1 ? h('p', null, figures(text.says.slice(1).join(' '))) : null,
      c.sheet.loosened.length ? h('ul', { class: 'words small' }, c.sheet.loosened.map((l) => h('li', { key: `${l.rule} ${l.limit}` }, say('land.loosened', { limit: l.limit, rule: c.ruleTitle(l.rule), now: l.now, was: l.was, reason: l.reason })))) : null,
      list(c, text.findings)),
    text.groups.map((g) => h('section', { key: g.key, 'aria-label': g.title ? null : say('land.fields'), 'aria-labelledby': g.title ? idOf('group', g.key) : null },
      g.title ? h('h2', { id: idOf('group', g.key) }, g.title) : null,
      g.entries.map((e) => entry(c, e, g.title ? 3 : 2)))),
  ];
}

function findEntry(text, id) {
  if (id === null) return null;
  const look = (list) => list.find((e) => e.id === id) ?? list.map((e) => look(e.within)).find(Boolean);
  return text.groups.map((g) => look(g.entries)).find(Boolean) ?? null;
}

function entry(c, e, level, top = false) {
  const open = c.s.selected === e.id && (top || !c.narrow);
  const body = idOf('entry', top ? 'top' : 'in', e.id);
  return h('div', { key: `entry-${e.id}`, class: `entry${open ? ' open' : ''}`, 'data-entry': top ? null : e.id },
    h(`h${Math.min(level, 4)}`, { key: 'title' },
      h('button', { type: 'button', 'aria-expanded': String(open), 'aria-controls': open ? body : null, onclick: () => c.open(open ? null : e.id) }, e.title),
      e.title.toLowerCase() === e.kind.toLowerCase() ? null : h('span', { class: 'kind' }, e.kind)),
    e.says.length ? h('p', { key: 'says' }, figures(e.says.join(' '))) : null,
    inYear(c, e),
    gaps(e),
    list(c, e.findings, open),
    open ? h('div', { key: 'form', id: body }, featureForm(c, e.id)) : null,
    e.within.length && !top ? h('div', { key: 'within', class: 'within' }, e.within.map((k) => entry(c, k, level + 1))) : null);
}

/** What it is like in the year shown. */
function inYear(c, e) {
  const text = yearLine(c.s, c.sheet, e.feature);
  return text ? h('p', { key: 'year', class: 'small quiet' }, figures(text)) : null;
}

function list(c, findings, full = false) {
  return findings.length ? h('ul', { key: 'findings', class: 'bare' }, findings.map((f) => findingView(c, f, { full }))) : null;
}

/** The gaps and gateways of a hedge. */
function gaps(e) {
  if (e.feature.kind !== 'hedge' || e.openings.length === 0) return null;
  return h('div', { key: 'gaps', class: 'scroll' }, h('table', null,
    h('caption', { class: 'unseen' }, say('gaps.caption', { name: e.title })),
    h('thead', null, h('tr', null, ['what', 'from', 'to', 'width', 'plants'].map((k) => h('th', { key: k, scope: 'col' }, say(`gaps.${k}`))))),
    h('tbody', null, e.openings.map((o, i) => h('tr', { key: `${i}` },
      h('th', { scope: 'row', class: 'words' }, o.gateway ? say('gaps.gateway') : say(`gaps.${o.action}`)),
      [o.from_m, o.to_m, o.length_m].map((v, k) => h('td', { key: `${k}` }, num(v, v < 10 && k === 2 ? 2 : 1))),
      h('td', null, o.plants > 0 ? num(o.plants) : o.would_take > 0 ? say('gaps.would', { n: num(o.would_take) }) : '')))))); 
}
