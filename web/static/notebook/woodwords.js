// What the chapter on wood says in words and small tables: the balance, what is lacking, carbon, dates, what it rests on, cautions.

import { h } from '../dom.js';
import { say, num, upper } from '../strings.js';
import { aWinter } from '../wood.js';
import { inWords } from './fields.js';
import { figures } from './parts.js';

const mean = (winters, of) => winters.reduce((s, w) => s + of(w), 0) / Math.max(1, winters.length);
const range = (winters, name, n) => say('wood.range', { mid: num(mean(winters, (w) => w[name].mid), n), low: num(mean(winters, (w) => w[name].low), n), high: num(mean(winters, (w) => w[name].high), n) });
const MONTHS = ['january', 'february', 'march', 'april', 'may', 'june', 'july', 'august', 'september', 'october', 'november', 'december'];

/** Share of the heat wanted below which what is lacking leaves the house nearly heated. */
const NEARLY = 0.1;

/** Square and cubic metres as they are written. */
export const units = (t) => t.replaceAll(/\bm([23])\b/g, (_, n) => (n === '2' ? 'm²' : 'm³'));

/** The balance in a few sentences: is the house heated; what a year's cutting is; chip. The first says the most. */
export function balanceWords({ wood }) {
  const { winters, rota, shortfall, sections } = wood;
  const wanted = winters[0]?.heat_wanted_kwh ?? 0;
  const lack = shortfall.heat_kwh_per_year;
  const from = aWinter(shortfall.from_winter ?? 0);
  const heat = wood.logs_kept === false ? say('wood.no-logs')
    : wanted <= 0 ? say('wood.no-demand')
    : lack <= 0.5 ? say('wood.heated', { wanted: num(wanted), from })
      : say(lack < NEARLY * wanted ? 'wood.nearly' : 'wood.not-heated', { wanted: num(wanted), from, lack: num(lack), percent: 100 * lack / wanted < 0.5 ? say('wood.under-1') : num(100 * lack / wanted) });
  const low = winters.filter((w) => w.winter >= (shortfall.from_winter ?? 0) && w.heat_short_kwh.low > 0.5).length;
  const out = [heat];
  if (wanted > 0 && lack <= 0.5 && low > 0) out.push(say(low === 1 ? 'wood.low-1' : 'wood.low', { n: num(low) }));
  const hedges = sections.some((s) => !(s.area_m2 > 0));
  out.push([say('wood.a-year', { size: sizeOfAYear(wood, hedges), dry: range(winters, 'dry_t', 1), heat: range(winters, 'heat_made_kwh', 0) }),
    hedges ? say('wood.a-winter', { share: num(rota.greatest_share_percent, 1), limit: num(rota.share_limit_percent) }) : ''].filter(Boolean).join(' '));
  const short = mean(winters, (w) => w.chip_short_m3.mid);
  const chip = { made: range(winters, 'chip_made_m3', 1), wanted: num(mean(winters, (w) => w.chip_needed_m3), 1), short: num(short, 1), left: num(mean(winters, (w) => w.chip_left_m3.mid), 1) };
  out.push(say(!winters.some((w) => w.chip_needed_m3 > 0) ? 'wood.chip-none' : short >= 0.05 ? 'wood.chip-lacks' : 'wood.chip-enough', chip));
  return out;
}

/** How much is cut in a year, of hedge and of grove: of each only where there is any. */
function sizeOfAYear({ winters, rota, sections }, hedges) {
  const n = num(mean(winters, (w) => w.cut_m2));
  if (!hedges) return say('wood.a-year-grove', { n });
  const hedge = say('wood.a-year-hedge', { metres: num(mean(winters, (w) => w.cut_m)), control: num(rota.area_control_m_per_year) });
  return sections.some((s) => s.area_m2 > 0) ? say('wood.a-year-both', { hedge, n }) : hedge;
}

/** What the house lacks, and what would close it. */
export function lacking({ wood }) {
  const { heat_kwh_per_year: lack, closed_by: ways } = wood.shortfall;
  if (lack <= 0.5 || ways.length === 0) return null;
  return h('section', { key: 'lacking', 'aria-labelledby': 'wood-lacking' },
    h('h2', { id: 'wood-lacking' }, say('wood.lacking')),
    h('p', null, figures(say('wood.closed-by', { lack: num(lack) }))),
    h('ul', { class: 'words' }, ways.map((w) => h('li', { key: w.what }, figures(say('wood.way', { n: num(w.quantity), unit: w.unit === 'm2' ? 'm²' : w.unit, what: w.what })), h('small', { class: 'quiet' }, figures(` ${say('find.source', { source: w.rests_on })}`))))));
}

/** Four numbers that are never added up, and the fuel that the wood stands in for. */
export function carbon({ wood }) {
  const k = wood.carbon_t_co2;
  const d = wood.displaces;
  const wanted = (wood.winters[0]?.heat_wanted_kwh ?? 0) > 0;
  const row = (name, v) => h('div', { key: name }, h('dt', null, say(`wood.carbon-${name}`)), h('dd', null, h('span', { class: 'figure' }, say('wood.t-co2', { n: num(v, 2) }))));
  return h('section', { key: 'carbon', 'aria-labelledby': 'wood-carbon' },
    h('h2', { id: 'wood-carbon' }, say('wood.carbon')),
    h('p', { class: 'small quiet' }, say('wood.carbon-why')),
    h('dl', { class: 'four' }, row('standing', k.standing), row('cut', k.cut_per_year), row('regrowth', k.regrowth_per_year), wanted ? row('displaced', k.displaced_per_year) : null),
    !wanted ? h('p', { class: 'small quiet' }, say('wood.displaces-unknown')) : d?.source ? h('p', { class: 'small quiet' }, figures(say('wood.displaces', { fuel: d.words ?? d.Words ?? '', heat: num(1000 * d.kg_per_kwh_heat), source: sourceOf(d) }))) : null,
    fuels(wood));
}

const sourceOf = (t) => `${t.source}${t.confidence && t.confidence !== 'published' && t.confidence !== t.source ? ` (${t.confidence})` : ''}`;

function fuels(wood) {
  if (wood.comparison.length === 0) return null;
  const th = (k) => h('th', { key: k, scope: 'col' }, say(`wood.th-${k}`));
  return h('details', { key: 'fuels' }, h('summary', null, say('wood.fuels')),
    h('div', { class: 'scroll', tabindex: '0', role: 'group', 'aria-label': say('wood.fuels') }, h('table', null,
      h('caption', null, say('wood.fuels-caption')),
      h('thead', null, h('tr', null, th('fuel'), th('grams'))),
      h('tbody', null, wood.comparison.map((x, i) => h('tr', { key: `${i}` }, h('th', { scope: 'row', class: 'words' }, x.words, h('small', null, [x.country, x.year || '', x.basis].filter(Boolean).join(', '), '. ', sourceOf(x))), h('td', null, num(1000 * x.kg_per_kwh_heat))))))));
}

/** A month-day of a winter: days before June belong to the year after. */
export function dayIn(monthDay, winter, later = false) {
  const [m, d] = monthDay.split('-').map(Number);
  const year = winter >= 1000 ? winter + (later || m < 6 ? 1 : 0) : 0;
  return say(year ? 'wood.day-year' : 'wood.day', { day: num(d), month: say(`month.${MONTHS[m - 1]}`), year });
}

/** When what may be done in a winter. */
export function dates(data, winter) {
  if (data.dates.length === 0) return h('p', { key: 'dates', class: 'small' }, data.no_dates ? `${data.no_dates}.` : say('wood.no-dates'));
  const notes = [...new Set(data.dates.filter((d) => d.what === 'closed').map((d) => d.note).filter(Boolean))];
  return h('details', { key: 'dates' }, h('summary', null, say('wood.dates')),
    h('ul', { class: 'words' }, data.dates.map((d) => h('li', { key: d.what }, figures(say('wood.date', { what: say(`wood.date-${d.what}`), from: dayIn(d.from, winter), until: dayIn(d.until, winter, d.what === 'closed') })), h('small', { class: 'quiet' }, ` ${say('find.source', { source: d.source })}`)))),
    notes.map((t) => h('p', { key: t, class: 'small' }, say('wood.exceptions', { text: t.replace('last closed day; ', '') }))),
    h('p', { class: 'small' }, say('wood.nests')));
}

/** The store, how long each wood dries, what chip is kept out of, and notes. */
export function others(c, data) {
  const { wood, woods } = data;
  const store = wood.store;
  return h('section', { key: 'others', 'aria-labelledby': 'wood-others' },
    h('h2', { id: 'wood-others' }, say('wood.others')),
    store.winters > 0 ? h('p', null, figures(say('wood.store', { winters: num(store.winters), m3: num(store.stacked_m3, 1), floor: num(store.floor_m2, 1), log: num(100 * store.log_m) }))) : null,
    woods.length ? h('ul', { key: 'woods', class: 'words' }, woods.map((w) => h('li', { key: w.name }, figures(say(w.summers === 1 ? 'wood.dries-1' : 'wood.dries', { name: w.name, percent: num(w.percent), n: num(w.summers) }))))) : null,
    h('ul', { key: 'notes', class: 'words small' }, wood.notes.map((t) => h('li', { key: t }, figures(units(inWords(c.vocabulary, upper(t))))))));
}

/** What to look up, and the cautions, each with its source. */
export function cautions({ wood }) {
  const list = (id, rows) => (rows.length ? h('ul', { key: id, class: 'words' }, rows.map((t) => h('li', { key: t.text }, figures(units(t.text)), t.source || t.confidence ? h('small', { class: 'quiet' }, ` ${sourceOf(t) || t.confidence}.`) : null))) : null);
  return [
    wood.prompts.length ? h('section', { key: 'prompts', 'aria-labelledby': 'wood-prompts' }, h('h2', { id: 'wood-prompts' }, say('wood.prompts')), list('list', wood.prompts)) : null,
    wood.cautions.length ? h('section', { key: 'care', 'aria-labelledby': 'wood-care' }, h('h2', { id: 'wood-care' }, say('plist.care')), list('list', wood.cautions)) : null,
  ];
}
