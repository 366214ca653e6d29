// Two small charts of a bed over the years, one above the other: hours of sun with what it wants, and the wind that is left. Drawn as
// a description of elements, so that the notebook can put it on the page; the same figures stand in a table beside it.

import { h } from '../dom.js';
import { num, say } from '../strings.js';
import { LAST } from '../year.js';

const W = 400;
const LEFT = 34;
const RIGHT = 12;
const SUN = { top: 22, height: 78 };
const WIND = { top: 132, height: 60 };
const H = 216;

/** Where a year stands across the chart. */
export const across = (year) => LEFT + (year / LAST) * (W - LEFT - RIGHT);

/** The year at a share of the chart's width, 0 to 1. */
export const yearAt = (share) => Math.min(LAST, Math.max(0, Math.round(((share * W - LEFT) / (W - LEFT - RIGHT)) * LAST)));

const n1 = (v) => Math.round(v * 10) / 10;

/** A line through what is known: years between two that were asked are drawn straight. */
export function lineThrough(points, y) {
  return points.map(([year, v], i) => `${i ? 'L' : 'M'}${n1(across(year))} ${n1(y(v))}`).join('');
}

const dots = (points, y, r = 2) => points.map(([year, v]) => `M${n1(across(year) - r)} ${n1(y(v))}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`).join('');
const series = (rows, name) => rows.filter((r) => r[name] !== null && r[name] !== undefined).map((r) => [r.year, r[name]]);

/** The round number of hours that the chart reaches up to. */
export const hoursTop = (rows) => Math.max(4, Math.ceil(Math.max(0, ...rows.flatMap((r) => [r.hours ?? 0, r.wanted ?? 0])) / 2) * 2);

function panel(box, top, unit, title) {
  const y = (v) => box.top + box.height * (1 - v / top);
  const lines = [0, top / 2, top].map((v) => `M${LEFT} ${n1(y(v))}H${W - RIGHT}`).join('');
  return { y, frame: [
    h('text', { class: 'head', x: '0', y: String(box.top - 9) }, title),
    h('path', { class: 'frame', d: lines }),
    [0, top / 2, top].map((v) => h('text', { class: 'end', x: String(LEFT - 5), y: String(n1(y(v) + 3.5)) }, `${num(v)}${unit}`)),
  ] };
}

/**
 * The chart of a bed.
 * @param rows of ofBed (byyear.js)  @param year shown  @param label what it is called for who cannot see it
 * @param onyear (year) => void: the chart was pressed at a year
 */
export function chart(rows, { year, label, onyear }) {
  const top = hoursTop(rows);
  const sun = panel(SUN, top, '', say('chart.sun'));
  const wind = panel(WIND, 100, '', say('chart.wind'));
  const hours = series(rows, 'hours');
  const left = series(rows, 'wind');
  const bare = series(rows, 'off');
  const wanted = rows.find((r) => r.wanted > 0)?.wanted;
  const band = rows.filter((r) => r.least !== null && r.greatest !== null);
  const area = band.length > 1 ? `${lineThrough(band.map((r) => [r.year, r.greatest]), wind.y)}${lineThrough(band.map((r) => [r.year, r.least]).reverse(), wind.y).replace('M', 'L')}Z` : '';
  const now = rows.find((r) => r.year === year);
  return h('svg', { class: 'chart', key: 'chart', viewBox: `0 0 ${W} ${H}`, role: 'img', 'aria-label': label, onclick: (e) => { const r = e.currentTarget.getBoundingClientRect(); onyear(yearAt((e.clientX - r.left) / r.width)); } },
    sun.frame, wind.frame,
    wanted ? h('path', { class: 'wanted', d: `M${LEFT} ${n1(sun.y(wanted))}H${W - RIGHT}` }) : null,
    h('path', { class: 'sun', d: lineThrough(hours, sun.y) }), h('path', { class: 'sun-dot', d: dots(hours, sun.y) }),
    h('path', { class: 'spread', d: area }), h('path', { class: 'bare', d: lineThrough(bare, wind.y) }),
    h('path', { class: 'wind', d: lineThrough(left, wind.y) }), h('path', { class: 'wind-dot', d: dots(left, wind.y) }),
    [0, 5, 10, 15, 20, 25, 30].map((y) => h('text', { class: 'mid', x: String(n1(across(y))), y: String(H - 5) }, y === 0 ? say('chart.planting') : num(y))),
    h('path', { class: 'now', d: `M${n1(across(year))} ${SUN.top - 4}V${WIND.top + WIND.height + 4}` }),
    wanted ? h('text', { class: 'end over', x: String(W - RIGHT), y: String(n1(sun.y(wanted) - 4)) }, say('chart.wanted', { hours: num(wanted, Number.isInteger(wanted) ? 0 : 1) })) : null,
    h('path', { class: 'now-dot', d: now ? dots([[year, now.hours]].filter(([, v]) => v !== null), sun.y, 3.5) + dots([[year, now.wind]].filter(([, v]) => v !== null), wind.y, 3.5) : '' }),
    now ? value(now.hours, year, sun.y, SUN.top, 'h') : null, now ? value(now.wind, year, wind.y, WIND.top, '%') : null);
}

/** The figure at the year shown, beside its dot; below it where the heading of the panel is near. */
function value(v, year, y, top, unit) {
  if (v === null || v === undefined) return null;
  const late = year > 24;
  return h('text', { class: late ? 'now-words end' : 'now-words', x: String(n1(across(year) + (late ? -7 : 7))), y: String(n1(y(v) < top + 14 ? y(v) + 15 : y(v) - 6)) }, `${num(v, unit === 'h' ? 1 : 0)} ${unit}`);
}

/** The same as a table: a row a year; pressing a year shows it. */
export function yearsTable(rows, { year, caption, onyear }) {
  const cell = (v, n) => h('td', null, v === null || v === undefined ? '' : num(v, n));
  const bare = rows.some((r) => r.off !== null);
  const th = (k) => h('th', { key: k, scope: 'col' }, say(`chart.th-${k}`));
  return h('table', { class: 'figures' },
    h('caption', null, caption),
    h('thead', null, h('tr', null, th('year'), th('hours'), th('worst'), th('wind'), bare ? th('off') : null)),
    h('tbody', null, rows.map((r) => h('tr', { key: `${r.year}`, class: r.year === year ? 'here' : null },
      h('th', { scope: 'row' }, h('button', { type: 'button', 'aria-current': r.year === year ? 'true' : null, 'aria-label': say('chart.show-year', { n: r.year }), onclick: () => onyear(r.year) }, num(r.year))),
      cell(r.hours, 1), cell(r.worst, 1), cell(r.wind, 0), bare ? cell(r.off, 0) : null))));
}
