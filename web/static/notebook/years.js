// The chapter "Through the years": what changes in which year, and for each bed how sun and wind change as everything grows.

import { h } from '../dom.js';
import { say, num, upper } from '../strings.js';
import { style } from '../style.js';
import { chart, yearsTable } from '../draw/chart.js';
import { EVERY, FIRST, bedsIn, counted, createByYear, missing, ofBed } from '../byyear.js';
import { seasonOf, stretchWords, sunWords, within, yearWords } from '../year.js';
import { inWords } from './fields.js';
import { button, figures, idOf, sign } from './parts.js';
import { printChapter } from './list.js';
import { bedWords, known } from './yearline.js';

/** Milliseconds that the slider rests before its year is asked for, and that the chapter lies open before every year is. */
const RESTS = 500;
const IDLES = 8000;

/** What changes, in the order of the years: events of the sheet, and findings that say when. */
export function changes(sheet) {
  const found = (sheet.findings ?? []).filter((f) => f.years && !f.accepted);
  const told = new Set(found.map((f) => f.message));
  const events = (sheet.events ?? []).filter((e) => !told.has(e.text)).map((e, i) => ({ key: `event-${i}`, years: e, text: e.text, features: e.features ?? [], at: e.x === null || e.x === undefined ? null : [e.x, e.y], rests: e.rests ?? '', confidence: e.confidence ?? '' }));
  const findings = found.map((f) => ({ key: `find-${f.key}`, years: f.years, text: f.message, features: f.features, at: null, rests: f.source ?? '', confidence: f.confidence ?? '', finding: f }));
  const mid = (c) => c.years.mid ?? c.years.from ?? c.years.to ?? 0;
  const all = [...events, ...findings].map((c) => ({ ...c, mid: within(mid(c)) }));
  all.sort((a, b) => a.mid - b.mid || (a.years.from ?? 0) - (b.years.from ?? 0));
  const out = [];
  for (const c of all) {
    if (out.at(-1)?.year !== c.mid) out.push({ year: c.mid, changes: [] });
    out.at(-1).changes.push(c);
  }
  return out;
}

/** The chapter with what it keeps, once its style sheet is there. */
export async function chapter() {
  await style('years.css');
  let asking = null;
  let clock = 0;
  return (c) => {
    if (!c.s.holding || !c.s.sheet) return h('p', { class: 'quiet' }, say('land.none'));
    asking ??= createByYear(c.page);
    const open = () => c.page.store.get().chapter === 'years';
    const kept = known(c.s);
    if (!asking.busy() && !kept?.wrong && missing(kept ?? { shelter: new Map(), light: new Map() }, FIRST).length > 0 && c.s.pending.length === 0) c.afterDraw(() => asking.run(kept?.goal ?? FIRST, open));
    clearTimeout(clock);
    if (kept && !kept.busy && !kept.wrong && missing(kept, EVERY).length > 0) {
      const here = missing(kept, [c.s.year]).length > 0;
      clock = setTimeout(() => { if (open() && document.visibilityState === 'visible') asking.run(here ? [...kept.goal, c.s.year] : EVERY, open); }, here ? RESTS : IDLES);
    }
    return view(c, kept, { every: () => asking.run(EVERY, open), again: () => asking.run(kept?.goal ?? FIRST, open) });
  };
}

function view(c, kept, acts) {
  const sheet = c.sheet;
  const list = changes(sheet);
  const go = (year) => c.page.store.do('year', within(year));
  return [
    h('section', { key: 'head', 'aria-labelledby': 'years-title' },
      h('h2', { id: 'years-title' }, say('years.title')),
      h('p', { class: 'lead' }, figures(say('years.lead', { year: yearWords(c.s.year, sheet.holding) })), h('span', { class: 'more' }, ' ', say('years.lead-do'))),
      how(c),
      h('div', { class: 'acts' }, button(say('years.print'), () => printChapter()))),
    h('section', { key: 'changes', 'aria-labelledby': 'years-changes' },
      h('h2', { id: 'years-changes' }, say('years.changes')),
      list.length === 0 ? h('p', null, say('years.no-changes')) : list.map((g) => [
        h('h3', { key: `year-${g.year}`, class: `when${g.year === c.s.year ? ' here' : ''}` }, upper(yearWords(g.year, sheet.holding))),
        h('ul', { key: `list-${g.year}`, class: 'bare' }, g.changes.map((e) => change(c, e)))])),
    beds(c, kept, go, acts),
    kept ? buildings(c, kept) : null,
    kept ? notes(c, kept) : null,
  ];
}

/** In leaf or bare, the mean or one month: how the overlays are drawn. */
function how(c) {
  const pick = (name, options) => h('label', { key: name }, say(`years.${name}`), h('select', { value: c.s.shows[name], onchange: (e) => c.page.store.do('shows', { [name]: e.target.value }) },
    options.map((o) => h('option', { key: o, value: o }, name === 'leaf' ? say(`field.leaf-${o}`) : sunWords(o, c.sheet)))));
  const field = h('label', { key: 'field' }, say('years.field'), h('select', { value: c.s.shows.field ?? 'none', onchange: (e) => c.page.store.do('shows', { field: e.target.value === 'none' ? null : e.target.value }) },
    [null, 'shelter', 'light', 'cuts'].map((o) => h('option', { key: `${o}`, value: o ?? 'none' }, say(`show.field-${o}`)))));
  return h('div', { class: 'how' }, field, pick('leaf', ['on', 'off']), pick('month', ['mean', '4', '5', '6', '7', '8', '9']));
}

function change(c, e) {
  const shows = () => {
    c.page.store.do('year', e.mid);
    if (e.finding) { c.show(e.finding); return; }
    if (e.features.length > 0) c.open(e.features[0]);
    else if (e.at) c.page.go({ ...c.page.store.get().view, x: e.at[0], y: e.at[1] });
    c.toSheet();
  };
  const stretch = e.years.from !== undefined && e.years.to !== undefined && e.years.from !== e.years.to ? stretchWords(e.years) : '';
  const small = [stretch && upper(stretch), e.rests, e.confidence && e.confidence !== 'published' ? e.confidence : ''].filter(Boolean);
  return h('li', { key: e.key, class: 'event' },
    h('p', null, h('button', { type: 'button', class: 'line', onclick: shows }, e.finding ? sign(e.finding.severity, e.finding.n) : null, figures(inWords(c.vocabulary, e.text)))),
    small.length ? h('p', { class: 'small quiet' }, figures(`${small.join('; ')}.`.replace(/\.\.$/, '.'))) : null);
}

/** Each bed with its charts; where there is none, or none that can be worked with, what to do. */
export function beds(c, kept, go, acts) {
  const none = kept && !kept.busy && bedsIn(kept, c.sheet).length === 0 && missing(kept, FIRST).length === 0;
  const drawn = c.sheet.features.some((f) => f.kind === 'bed');
  return h('section', { key: 'beds', 'aria-labelledby': 'years-beds' },
    h('h2', { id: 'years-beds' }, say('years.beds')),
    h('p', { class: 'small quiet' }, say('years.beds-why', { season: seasonOf(c.sheet) }), h('span', { class: 'more' }, ' ', say('years.beds-do'))),
    progress(kept, acts),
    none ? h('p', null, say(drawn ? 'years.no-sound-beds' : 'years.no-beds')) : null,
    kept ? bedsIn(kept, c.sheet).map((b) => bed(c, kept, b, go)) : null);
}

function progress(kept, { every, again }) {
  if (kept?.wrong) return h('p', { key: 'wrong', class: 'wrong' }, say('years.wrong', { why: kept.wrong }), ' ', button(say('notebook.again'), again));
  const { done, of } = kept ? counted(kept) : { done: 0, of: 2 * FIRST.length };
  if (done < of) return h('p', { key: 'progress', class: 'progress' }, h('progress', { max: String(of), value: String(done), 'aria-label': say('years.progress-label') }), say('years.progress', { done: num(done), of: num(of) }));
  return missing(kept, EVERY).length > 0 ? h('div', { key: 'every', class: 'acts' }, button(say('years.every'), every)) : null;
}

function bed(c, kept, { id, name }, go) {
  const rows = ofBed(kept, id);
  const now = rows.find((r) => r.year === c.s.year);
  const fall = kept.falls.get(id);
  const says = [now ? bedWords(now) : '', fall ? fallWords(fall) : ''].filter(Boolean);
  const label = say('chart.label', { name, text: says.join(' ') || say('chart.no-figures') });
  const rest = { year: c.s.year, onyear: go };
  return h('div', { key: `bed-${id}`, class: 'bed', 'data-bed': id },
    h('h3', { id: idOf('years', id) }, h('button', { type: 'button', class: 'line', onclick: () => { c.open(id); c.toSheet(); } }, name)),
    now ? h('p', { key: 'now' }, figures(`${upper(yearWords(now.year, null))}: ${bedWords(now)}`)) : null,
    fall ? h('p', { key: 'fall' }, figures(fallWords(fall))) : null,
    chart(rows, { ...rest, label }),
    h('details', { key: 'table' }, h('summary', null, say('chart.table')),
      h('div', { class: 'scroll by-year', tabindex: '0', role: 'group', 'aria-labelledby': idOf('years', id) }, yearsTable(rows, { ...rest, caption: say('chart.caption', { name, season: seasonOf(c.sheet) }) }))),
    now ? who(now) : null);
}

/** Who shelters a bed and who takes its sun. */
function who(now) {
  const by = shares(now.by);
  const taken = shares(now.taken);
  const said = [by && say('years.sheltered-by', { list: by }), taken && say('years.taken-by', { list: taken })].filter(Boolean).join(' ');
  return said ? h('p', { key: 'who', class: 'small quiet' }, figures(said)) : null;
}

/** The largest shares; one too small to be told in whole percents says nothing. */
export const shares = (list) => list.filter((t) => t.share_percent >= 0.5).slice(0, 4).map((t) => say('years.share', { name: t.name || t.id, percent: num(t.share_percent) })).join(', ');

/** When a bed falls below what it wants, and because of what. */
export function fallWords(f) {
  const causes = shares(f.because ?? []);
  const because = causes ? say('years.because', { list: causes }) : '';
  if (f.year === 0) return [say('years.falls-at-once'), because].filter(Boolean).join(' ');
  if (f.year === null || f.year === undefined || f.year < 0) return [say('years.falls-maybe', { from: num(f.from) }), because].filter(Boolean).join(' ');
  const stretch = f.from >= 0 && f.to >= 0 && f.from !== f.to ? say('years.falls-stretch', { years: stretchWords(f) }) : '';
  return [say('years.falls', { year: num(f.year) }), stretch, because].filter(Boolean).join(' ');
}

function buildings(c, kept) {
  if (kept.buildings.length === 0) return null;
  return h('section', { key: 'buildings', 'aria-labelledby': 'years-buildings' }, h('h2', { id: 'years-buildings' }, say('years.buildings')),
    h('ul', { class: 'words' }, kept.buildings.map((b) => h('li', { key: b.id }, figures(say('years.building', { name: b.name || b.id, year: num(b.year), then: num(b.hours_then, 1), now: num(b.hours_now, 1) }))))));
}

/** What the figures rest on, once each, with properties by their labels. */
export function notes(c, kept) {
  const said = [...kept.notes.values()].flatMap((n) => [...n.said, ...n.unknown.map((u) => u.why), n.source && say('find.source', { source: n.source })]).filter(Boolean);
  return said.length ? h('section', { key: 'notes', 'aria-labelledby': 'years-notes' }, h('h2', { id: 'years-notes' }, say('years.rests')), h('ul', { class: 'words small quiet' }, [...new Set(said)].map((t) => h('li', { key: t }, figures(inWords(c.vocabulary, t)))))) : null;
}

