// The chapter "list": what to plant in each area, what to order, what else is needed, and the files to take away.

import { h } from '../dom.js';
import { say, num, area } from '../strings.js';
import { calledIn, figures, idOf } from './parts.js';
import { fetched } from './fetched.js';
import { inWords } from './fields.js';
import { winter } from './text.js';

export function plantingList(c) {
  if (!c.s.holding) return h('p', { class: 'quiet' }, say('land.none'));
  const { data: list, words } = fetched(c, 'list', () => c.page.api.list(c.s.holding));
  return [
    h('h2', { key: 'title' }, say('plist.title')),
    words,
    list ? [
      h('p', { key: 'lead', class: 'lead' }, figures(say(list.total_plants === 1 ? 'plist.total-1' : 'plist.total', { n: num(list.total_plants), where: list.planting_winter ? say('plist.winter', { winter: winter(list.planting_winter) }) : '' }).replace(/\s+\./, '.'))),
      downloads(c),
      list.dates?.length ? h('ul', { key: 'dates', class: 'words small' }, list.dates.map((t) => h('li', { key: t }, figures(t)))) : null,
      list.notes.length ? h('ul', { key: 'notes', class: 'words small' }, list.notes.map((t) => h('li', { key: t }, inWords(c.vocabulary, t)))) : null,
      list.total_plants > 0 || list.sundries.length > 0 ? [order(list), sundries('plist.sundries', list.sundries, 'h2'), areas(c, list)] : h('p', { key: 'none' }, say('plist.none')),
      list.cautions.length ? h('section', { key: 'care', 'aria-labelledby': 'list-care' }, h('h2', { id: 'list-care' }, say('plist.care')), h('ul', { class: 'words' }, list.cautions.map((t) => h('li', { key: t.text }, t.text, h('span', { class: 'small quiet' }, ` ${source(t)}`))))) : null,
    ] : null,
  ];
}

const source = (t) => (t.source ? `${t.source}${t.confidence && t.confidence !== 'published' && t.confidence !== t.source ? ` (${t.confidence})` : ''}.` : '');

function downloads(c) {
  const link = (what, format, words) => h('a', { key: `${what}${format}`, class: 'button', href: `${c.page.api.download(c.s.holding, what, format)}&download=1`, download: '' }, words);
  return h('div', { key: 'files', class: 'files' },
    h('div', { class: 'acts' }, h('button', { type: 'button', onclick: () => printChapter() }, say('plist.print')),
      ['xlsx', 'pdf', 'csv', 'html'].map((f) => link('planting-list', f, say(`plist.${f}`)))),
    h('div', { class: 'acts' }, h('span', { class: 'small quiet' }, say('plist.setout')), ['pdf', 'csv', 'gpx', 'kml', 'gpkg', 'geojson'].map((f) => link('setout', f, say(`plist.setout-${f}`)))),
    h('div', { class: 'acts' }, h('span', { class: 'small quiet' }, say('plist.drawing')), ['pdf', 'svg'].map((f) => link('drawing', f, say(`plist.drawing-${f}`)))));
}

/** Prints the chapter alone, without the plan before it. */
export function printChapter() {
  const root = document.documentElement;
  root.dataset.print = 'chapter';
  globalThis.addEventListener('afterprint', () => delete root.dataset.print, { once: true });
  globalThis.print();
}

const named = (l) => [l.english || l.species, l.cultivar && `‘${l.cultivar}’`].filter(Boolean).join(' ');

function plant(l) {
  return h('th', { scope: 'row', class: 'words' }, named(l),
    h('small', null, l.english ? h('i', null, l.species) : null, [l.rootstock && say('plist.on', { stock: l.rootstock }), l.stock].filter(Boolean).map((t) => `${l.english ? '; ' : ''}${t}`).join('').replace(/^; /, l.english ? '; ' : '')),
    l.note ? h('small', { class: 'wrong' }, l.note) : null);
}

function order(list) {
  if (list.order.length === 0) return null;
  const priced = list.order.some((o) => o.price !== null && o.price !== undefined);
  const th = (k) => h('th', { key: k, scope: 'col' }, say(`plist.${k}`));
  const sum = (k) => list.order.reduce((s, o) => s + (o[k] ?? 0), 0);
  return h('section', { key: 'order', 'aria-labelledby': 'list-order' },
    h('h2', { id: 'list-order' }, say('plist.order')),
    h('p', { class: 'small quiet' }, say('plist.order-why', { spare: num(list.spare_percent), bundle: num(list.bundle) })),
    h('div', { class: 'scroll', tabindex: '0', role: 'group', 'aria-labelledby': 'list-order' }, h('table', { class: 'figures' },
      h('thead', null, h('tr', null, h('th', { scope: 'col' }, say('plist.species')), th('plants'), th('spare'), th('to-order'), th('bundles'), priced ? th('price') : null)),
      h('tbody', null, list.order.map((o, i) => h('tr', { key: `${i}` }, plant(o), h('td', null, num(o.plants)), h('td', null, num(o.spare)), h('td', null, h('b', null, num(o.order))), h('td', null, o.bundles ? num(o.bundles) : ''),
        priced ? h('td', null, o.price === null ? '' : num(o.price, 2)) : null))),
      h('tfoot', null, h('tr', null, h('th', { scope: 'row' }, say('plist.sum')), h('td', null, num(sum('plants'))), h('td', null, num(sum('spare'))), h('td', null, h('b', null, num(sum('order')))), h('td', null, num(sum('bundles'))),
        priced ? h('td', null, `${num(list.cost?.total ?? sum('price'), 2)} ${list.cost?.currency ?? ''}`) : null)))),
    list.cost?.unpriced ? h('p', { class: 'small quiet' }, say('plist.unpriced', { n: num(list.cost.unpriced) })) : null);
}

const ITEMS = new Set(['guard', 'cane', 'stake', 'tie', 'mulch', 'fence']);
const item = (s) => [ITEMS.has(s.item) ? say(`item.${s.item}`) : s.item, s.kind].filter(Boolean).join(', ');
const unit = (u) => (u === 'm3' ? 'm³' : u === 'm2' ? 'm²' : u);

function sundries(title, rows, tag) {
  if (rows.length === 0) return null;
  const id = tag === 'h2' ? 'list-sundries' : null;
  return h('section', { key: 'sundries', 'aria-labelledby': id },
    tag ? h(tag, { id }, say(title)) : null,
    h('table', null,
      h('thead', null, h('tr', null, h('th', { scope: 'col' }, say('plist.item')), h('th', { scope: 'col' }, say('plist.quantity')))),
      h('tbody', null, rows.map((s, i) => h('tr', { key: `${i}` },
        h('th', { scope: 'row', class: 'words' }, item(s), s.note ? h('small', null, s.note) : null, s.source && tag ? h('small', null, `${s.source}${s.confidence && s.confidence !== s.source && s.confidence !== 'published' ? ` (${s.confidence})` : ''}`) : null),
        h('td', null, `${num(s.quantity, Number.isInteger(s.quantity) ? 0 : 1)} ${unit(s.unit)}`.trim()))))));
}

function areas(c, list) {
  const with_ = [...list.areas, ...(list.outside && list.outside.total_plants > 0 ? [{ ...list.outside, name: say('plist.outside') }] : [])].filter((a) => a.total_plants > 0);
  return h('section', { key: 'areas', 'aria-labelledby': 'list-areas' },
    h('h2', { id: 'list-areas' }, say('plist.areas')),
    with_.map((a) => h('div', { key: a.id || 'outside', class: 'area' },
      h('h3', { id: idOf('area', a.id) }, calledIn(c.sheet, a.id, a.name), h('span', { class: 'kind' }, [a.area_m2 ? area(a.area_m2) : '', say(a.total_plants === 1 ? 'text.plant' : 'text.plants', { n: num(a.total_plants) })].filter(Boolean).join(', '))),
      h('table', { class: 'figures' },
        h('thead', { class: 'unseen' }, h('tr', null, h('th', { scope: 'col' }, say('plist.species')), h('th', { scope: 'col' }, say('plist.plants')))),
        h('tbody', null, a.plants.map((l, i) => h('tr', { key: `${i}` }, plant(l), h('td', null, num(l.plants)))))),
      sundries('plist.sundries', a.sundries, null))));
}
