// The chapter "Cutting and wood": what to cut in the winter looked at and what it gives, the balance winter by winter, what is lacking
// and what closes it, every section with its winters, and the cautions. Winters are stated with buttons, as ordinary changes.

import { h } from '../dom.js';
import { say, num } from '../strings.js';
import { style } from '../style.js';
import { asPut, latest } from '../state.js';
import { woodChart, woodTable } from '../draw/woodchart.js';
import { aWinter, createWood, keyOf, winterIn, winterWords } from '../wood.js';
import { winterChooser } from '../cuts-overlay.js';
import { pinned } from '../pins.js';
import { inWords } from './fields.js';
import { button, figures, idOf } from './parts.js';
import { printChapter } from './list.js';
import { balanceWords, carbon, cautions, dates, lacking, others, units } from './woodwords.js';

/** The chapter, once its style sheets are there. */
export async function chapter() {
  await style('years.css');
  await style('wood.css');
  return (c) => {
    if (!c.s.holding || !c.s.sheet) return h('p', { class: 'quiet' }, say('land.none'));
    const wood = c.page.wood ??= createWood(c.page);
    if (c.s.wood?.key !== keyOf(c.s) && c.s.pending.length === 0) c.afterDraw(() => wood.look());
    const kept = c.s.wood?.holding === c.s.holding ? c.s.wood : null;
    const title = h('h2', { key: 'title', id: 'wood-title' }, say('wood.title'));
    const wrong = kept?.wrong ? h('p', { key: 'wrong', class: 'wrong' }, say('wood.wrong', { why: kept.wrong }), ' ', button(say('notebook.again'), () => wood.look(true))) : null;
    if (!kept?.data) return [title, wrong ?? h('p', { key: 'wait', class: 'quiet' }, say('notebook.wait'))];
    return view(c, kept.data, title, [wrong, kept.busy ? h('p', { key: 'busy', class: 'quiet small', role: 'status' }, say('wood.busy')) : null]);
  };
}

/** What is to be cut but cannot be used as it stands, with what to mend. */
function leftOut(c, wood) {
  if (!wood.left_out?.length) return null;
  return h('ul', { key: 'left-out', class: 'words' }, wood.left_out.map((t) => h('li', { key: t, class: 'wrong' }, inWords(c.vocabulary, `${t}.`))));
}

function view(c, data, title, state) {
  const { wood } = data;
  const winter = winterIn(wood, c.s.shows.winter);
  const look = (w) => c.page.store.do('shows', { winter: w });
  const out = leftOut(c, wood);
  if (wood.sections.length === 0) return [title, state, out ?? h('p', { key: 'none' }, say('wood.none'), ' ', say('wood.none-do'))];
  return [
    h('section', { key: 'head', 'aria-labelledby': 'wood-title' }, title, state, out,
      balanceWords(data).map((t, i) => h('p', { key: `lead-${i}`, class: i === 0 ? 'lead' : null }, figures(t))),
      wood.conflicts.length ? h('ul', { key: 'conflicts', class: 'words' }, wood.conflicts.map((x) => h('li', { key: `${x.section}-${x.winter}-${x.constraint}`, class: 'wrong' }, figures(x.message)))) : null,
      h('div', { key: 'acts', class: 'acts' },
        button(say('wood.show'), () => { c.page.store.do('shows', { field: c.s.shows.field === 'cuts' ? null : 'cuts' }); c.toSheet(); }, { 'aria-pressed': String(c.s.shows.field === 'cuts') }),
        button(say('wood.print'), () => printChapter()),
        h('a', { class: 'button', href: `${c.page.api.download(c.s.holding, 'wood', 'csv')}&download=1`, download: '' }, say('wood.csv')))),
    work(c, data, winter),
    h('section', { key: 'balance', 'aria-labelledby': 'wood-balance' },
      h('h2', { id: 'wood-balance' }, say('wood.balance')),
      h('p', { key: 'how-read', class: 'small quiet' }, say('wood.chart-reads'), h('span', { class: 'more' }, ' ', say('wood.chart-do'))),
      woodChart(wood.winters, { winter, label: say('wood.chart-label', { text: balanceWords(data)[0] }), onwinter: look }),
      h('details', { key: 'table' }, h('summary', null, say('chart.table')),
        h('div', { class: 'scroll by-year', tabindex: '0', role: 'group', 'aria-labelledby': 'wood-balance' }, woodTable(wood.winters, { winter, onwinter: look }))),
      h('div', { key: 'on-paper', class: 'on-paper' }, woodTable(wood.winters, { winter, onwinter: look }))),
    lacking(data),
    sections(c, data, winter),
    carbon(data),
    uses(c, data),
    others(c, data),
    cautions(data),
  ];
}

/** What is done in the winter looked at. */
function work(c, data, winter) {
  const { wood } = data;
  const w = wood.winters.find((x) => x.winter === winter);
  const now = wood.sections.filter((s) => s.cuts.includes(winter));
  const next = wood.winters.find((x) => x.winter > winter && x.cut.length > 0);
  const stops = data.sections.filter((s) => now.some((x) => x.id === s.id)).flatMap((s) => s.stop.map((text) => ({ id: s.id, text })));
  const fills = wood.fills.filter((f) => f.winter === winter);
  return h('section', { key: 'work', 'aria-labelledby': 'wood-work' },
    h('h2', { id: 'wood-work' }, say('wood.work', { winter: aWinter(winter) })),
    h('div', { key: 'how', class: 'how' }, h('label', null, say('wood.winter'), winterChooser(c.s, wood, c.page, { id: 'wood-winter' })),
      h('a', { class: 'button main-link', href: c.page.api.cuttingSheet(c.s.holding, winter), target: '_blank', rel: 'noopener' }, say('wood.sheet'))),
    stops.map((s) => h('p', { key: `stop-${s.id}-${s.text}`, class: 'stop-words' }, h('b', null, say('wood.stop', { id: labelOf(wood, s.id) })), ' ', figures(s.text))),
    now.length === 0
      ? h('p', { key: 'nothing' }, figures(next ? say('wood.nothing-next', { winter: aWinter(next.winter) }) : say('wood.nothing')))
      : h('p', { key: 'gives' }, figures(gives(w))),
    h('ul', { key: 'now', class: 'bare' }, now.map((s) => h('li', { key: s.id }, goes(c, data, s), h('span', { class: 'small quiet' }, ' ', figures(say(s.wet ? 'wood.section-wet' : 'wood.section', { how: say(`wood.${s.method}`), age: num(age(s, winter)) })))))),
    fills.length ? h('ul', { key: 'fills', class: 'words small' }, fills.map((f) => h('li', { key: `${f.section}-${f.from_m}` }, figures(say(f.action === 'close-by-laying' ? 'wood.fill-lay' : 'wood.fill', { what: labelOf(wood, f.section), from: num(f.from_m, 1), to: num(f.to_m, 1), plants: num(f.plants) }))))) : null,
    chipOf(w, data.woods.filter((x) => x.kept_out.length > 0).map((x) => x.name)),
    dates(data, winter));
}

/** What a section is called. */
const called = (s) => units(s.label);
const labelOf = (wood, id) => { const s = wood.sections.find((x) => x.id === id); return s ? called(s) : id; };

/** Winters that a section has grown when it is cut. */
export const age = (s, winter) => winter - [s.grown_since, ...s.cuts].filter((w) => w < winter).at(-1);

const range = (r, n = 1) => say('wood.range', { mid: num(r.mid, n), low: num(r.low, n), high: num(r.high, n) });

/** What a winter's cutting gives, in a sentence or two. */
export function gives(w) {
  const size = [w.cut_m > 0 && say('wood.of-hedge', { n: num(w.cut_m) }), w.cut_m2 > 0 && say('wood.of-grove', { n: num(w.cut_m2) })].filter(Boolean).join(' + ');
  return [say('wood.gives', { size, dry: range(w.dry_t), logs: range(w.logs_stacked_m3), heat: range(w.heat_made_kwh, 0) }), w.ready_winter ? say('wood.ready', { winter: aWinter(w.ready_winter) }) : ''].filter(Boolean).join(' ');
}

function chipOf(w, kept) {
  const short = w.chip_short_m3.mid >= 0.05;
  const left = w.chip_left_m3.mid >= 0.05;
  const parts = w.chip_uses.map((u) => say('wood.chip-use', { use: upper(say(`use.${u.use}`), ''), got: num(u.got_m3.mid, 1), wanted: num(u.wanted_m3, 1) }));
  if (w.chip_made_m3.mid < 0.05 && parts.length === 0) return null;
  return h('p', { key: 'chip' }, figures([say('wood.chip', { made: range(w.chip_made_m3) }), ...parts, short && left && kept.length > 0 ? say('wood.chip-both', { short: num(w.chip_short_m3.mid, 1), left: num(w.chip_left_m3.mid, 1), names: kept.join(', ') })
    : short ? say('wood.chip-short', { n: num(w.chip_short_m3.mid, 1) }) : left ? say('wood.chip-left', { n: num(w.chip_left_m3.mid, 1) }) : ''].filter(Boolean).join(' ')));
}

/** A section's name, that shows it on the sheet. */
function goes(c, data, s) {
  return h('button', { type: 'button', class: 'line', onclick: () => {
    const shape = data.sections.find((x) => x.id === s.id);
    c.open(s.feature);
    if (shape) c.page.go({ ...c.page.store.get().view, x: shape.at[0], y: shape.at[1] });
    c.toSheet();
  } }, figures(called(s)));
}

/** Every section with its winters; one of them opened to state a winter. */
function sections(c, data, winter) {
  const { wood } = data;
  return h('section', { key: 'sections', 'aria-labelledby': 'wood-sections' },
    h('h2', { id: 'wood-sections' }, say('wood.sections')),
    h('p', { class: 'small quiet more' }, say('wood.sections-why')),
    h('ul', { class: 'bare' }, wood.sections.map((s) => section(c, data, s, winter))));
}

function section(c, data, s, winter) {
  const open = c.ui.woodOpen === s.id;
  const panel = idOf('pin', s.id);
  const when = s.cuts.length ? say('wood.cut-in', { list: s.cuts.map(winterWords).join(', ') }) : say('wood.never');
  const stated = [s.pinned.length && say('wood.pinned', { list: s.pinned.map(winterWords).join(', ') }), s.forbidden.length && say('wood.forbidden', { list: s.forbidden.map(winterWords).join(', ') })].filter(Boolean).join(' ');
  return h('li', { key: s.id, class: `cutting${s.cuts.includes(winter) ? ' here' : ''}`, 'data-section': s.id },
    h('p', { class: 'head' }, goes(c, data, s), ' ', button(say('wood.change'), () => { c.ui.woodOpen = open ? null : s.id; c.draw(); }, { class: 'more', 'aria-expanded': String(open), 'aria-controls': open ? panel : null, 'aria-label': say('wood.change-of', { what: called(s) }) })),
    h('p', { class: 'small' }, figures([when, stated].filter(Boolean).join(' '))),
    open ? pins(c, s, winter, panel) : null,
    open ? h('p', { key: 'grown', class: 'small quiet' }, figures(say('wood.grown', { says: s.grown_since_says, least: num(s.least_age), usual: num(s.usual_age), vigour: s.vigour }))) : null,
    s.notes.map((t) => h('p', { key: t, class: 'small quiet' }, figures(upper(t)))));
}

const upper = (t, end = '.') => `${t.charAt(0).toUpperCase()}${t.slice(1)}${/[.!?]$/.test(t) ? '' : end}`;

/** The buttons that state a winter for a section, or take it back. */
function pins(c, s, winter, id) {
  const list = c.s.wood.data.wood.winters;
  const at = list.some((w) => w.winter === c.ui.woodPin) ? c.ui.woodPin : winter;
  const field = `${id}-winter`;
  const change = (w, how) => pin(c, s, w, how);
  return h('div', { key: 'pins', id, class: 'pins', role: 'group', 'aria-label': say('wood.change-of', { what: called(s) }) },
    h('div', { class: 'line-up' },
      h('label', { for: field }, say('wood.winter')),
      h('select', { id: field, value: `${at}`, onchange: (e) => { c.ui.woodPin = Number(e.target.value); c.draw(); } }, list.map((w) => h('option', { key: `${w.winter}`, value: `${w.winter}` }, winterWords(w.winter)))),
      button(say('wood.pin'), () => change(at, 'cut'), { disabled: s.pinned.includes(at) }),
      button(say('wood.forbid'), () => change(at, 'not'), { disabled: s.forbidden.includes(at) })),
    s.pinned.length + s.forbidden.length > 0 ? h('div', { class: 'acts' },
      s.pinned.map((w) => button(say('wood.unpin', { winter: winterWords(w) }), () => change(w, 'free'), { key: `cut-${w}` })),
      s.forbidden.map((w) => button(say('wood.unforbid', { winter: winterWords(w) }), () => change(w, 'free'), { key: `not-${w}` }))) : null);
}

/** States a winter for a section: an ordinary change of its hedge or grove, that undo takes back. */
function pin(c, s, winter, how) {
  const f = latest(c.page.store.get(), s.feature);
  if (!f) return;
  const own = c.s.wood.data.wood.sections.filter((x) => x.feature === s.feature);
  const length = own.at(-1)?.id === s.id ? s.to_m : 0; // the last section runs to the end
  const note = say(`wood.note-${how}`, { what: called(s), winter: aWinter(winter) });
  c.page.sync.edit({ note, put: [asPut({ ...f, properties: pinned(f.properties, s, winter, how, length) })], delete: [], done: () => c.tell('note', say('wood.replanned', { note })) });
}

/** Where the wood goes, in order; each may be moved up. */
function uses(c, data) {
  const move = (i) => {
    const list = [...data.uses];
    [list[i - 1], list[i]] = [list[i], list[i - 1]];
    c.settings({ set: { uses: list } }, say('wood.note-uses', { list: list.map((u) => say(`use.${u}`)).join(', ') }));
  };
  return h('section', { key: 'uses', 'aria-labelledby': 'wood-uses' },
    h('h2', { id: 'wood-uses' }, say('wood.uses')),
    h('p', { class: 'small quiet' }, say('wood.uses-why')),
    h('ol', { class: 'words uses' }, data.uses.map((u, i) => h('li', { key: u }, say(`use.${u}`), i > 0 ? button(say('wood.earlier'), () => move(i), { class: 'more', 'aria-label': say('wood.earlier-of', { what: say(`use.${u}`) }) }) : null))));
}
