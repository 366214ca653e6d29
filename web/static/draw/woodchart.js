// Three small charts of the balance of wood, winter by winter: wood cut, heat against what is wanted, chip against what is wanted. Bars
// are struck each in its way and whiskers run from low to high, so that they read without colour; the same figures stand in a table.

import { h } from '../dom.js';
import { num, say } from '../strings.js';
import { aWinter, winterWords } from '../wood.js';

const W = 400;
const LEFT = 42;
const RIGHT = 8;
const PANEL = 74;
const HEAD = 33;
const n1 = (v) => Math.round(v * 10) / 10;

/** A round height that the figures fit under, in two parts. */
export function roundTop(most) {
  if (!(most > 0)) return 1;
  const p = 10 ** Math.floor(Math.log10(most));
  return [1, 2, 4, 6, 10].find((k) => most <= k * p * (1 + 1e-9)) * p;
}

const slot = (n) => (W - LEFT - RIGHT) / Math.max(1, n);

/** Which of n winters stands at a share of the chart's width, 0 to 1. */
export const atShare = (share, n) => Math.min(n - 1, Math.max(0, Math.floor((share * W - LEFT) / slot(n))));

/** What the three panels show of a winter. */
export const PANELS = [
  { key: 'cut', bar: (w) => w.dry_t, line: null, digits: 1 },
  { key: 'heat', bar: (w) => w.heat_used_kwh, line: (w) => w.heat_wanted_kwh, digits: 0 },
  { key: 'chip', bar: (w) => w.chip_made_m3, line: (w) => w.chip_needed_m3, digits: 1 },
];

/**
 * The charts.
 * @param winters of the rota  @param winter looked at  @param label for who cannot see them
 * @param onwinter (winter) => void: the charts were pressed there
 */
export function woodChart(winters, { winter, label, onwinter }) {
  const n = winters.length;
  const panels = PANELS.filter((p) => winters.some((w) => p.bar(w).high > 0 || p.line?.(w) > 0)); // one with nothing in it would say that there is none
  if (panels.length === 0) return null;
  const H = panels.length * (PANEL + HEAD) + 18;
  const wide = slot(n);
  const here = winters.findIndex((w) => w.winter === winter);
  const mid = (i) => LEFT + wide * (i + 0.5);
  const press = (e) => {
    const r = e.currentTarget.getBoundingClientRect();
    onwinter(winters[atShare((e.clientX - r.left) / r.width, n)].winter);
  };
  return h('svg', { class: 'chart wood-chart', key: 'chart', viewBox: `0 0 ${W} ${H}`, role: 'img', 'aria-label': label, onclick: press },
    panels.map((p, i) => panel(p, winters, HEAD + i * (PANEL + HEAD), wide)),
    winters.map((w, i) => (i % 5 === 0 ? h('text', { class: 'mid', x: String(n1(Math.max(mid(i), LEFT + 8))), y: String(H - 4) }, winterWords(w.winter)) : null)),
    here >= 0 ? h('path', { class: 'now', d: `M${n1(mid(here))} ${HEAD - 4}V${H - 16}` }) : null);
}

function panel({ key, bar, line, digits }, winters, top, wide) {
  const most = Math.max(0, ...winters.flatMap((w) => [bar(w).high, line ? line(w) : 0]));
  const high = roundTop(most);
  const y = (v) => n1(top + PANEL * (1 - v / high));
  const x = (i) => LEFT + wide * i;
  let bars = '';
  let strokes = '';
  let whiskers = '';
  let wanted = '';
  winters.forEach((w, i) => {
    const v = bar(w);
    const [a, b] = [n1(x(i) + wide * 0.16), n1(x(i) + wide * 0.84)];
    if (v.mid > 0) {
      bars += `M${a} ${y(0)}V${y(v.mid)}H${b}V${y(0)}Z`;
      for (let at = top + PANEL - 3; at > y(v.mid) + 1; at -= 4) strokes += key === 'chip' ? `M${n1((a + b) / 2)} ${n1(at)}h.01` : key === 'heat' ? `M${a} ${n1(at)}H${b}` : `M${a} ${n1(at + 1.5)}L${b} ${n1(at - 1.5)}`;
    }
    if (v.high > v.low) whiskers += `M${n1((a + b) / 2)} ${y(v.low)}V${y(v.high)}`;
    if (line) wanted += `${i ? 'L' : 'M'}${n1(x(i))} ${y(line(w))}H${n1(x(i) + wide)}`;
  });
  const places = high >= 4 ? 0 : high >= 1 ? 1 : 2;
  return h('g', { key, class: `panel ${key}` },
    h('text', { class: 'head', x: '0', y: String(top - 12) }, say(`wood.chart-${key}`)),
    h('path', { class: 'frame', d: [0, high / 2, high].map((v) => `M${LEFT} ${y(v)}H${W - RIGHT}`).join('') }),
    [0, high / 2, high].map((v) => h('text', { key: `${v}`, class: 'end', x: String(LEFT - 5), y: String(y(v) + 3.5) }, num(v, v > 0 ? Math.max(places, digits && v < 1 ? 1 : 0) : 0))),
    h('path', { class: 'bars', d: bars }), h('path', { class: 'strokes', d: strokes }), h('path', { class: 'whiskers', d: whiskers }),
    wanted ? h('path', { class: 'wanted', d: wanted }) : null);
}

const COLUMNS = [
  ['cut_m', (w) => w.cut_m, 0], ['cut_m2', (w) => w.cut_m2, 0], ['dry', (w) => w.dry_t.mid, 2], ['logs', (w) => w.logs_stacked_m3.mid, 1], ['ready', (w) => w.ready_winter, null],
  ['heat-ready', (w) => w.heat_ready_kwh.mid, 0], ['heat-wanted', (w) => w.heat_wanted_kwh, 0], ['heat-used', (w) => w.heat_used_kwh.mid, 0], ['heat-carried', (w) => w.heat_carried_kwh.mid, 0],
  ['chip-made', (w) => w.chip_made_m3.mid, 1], ['chip-wanted', (w) => w.chip_needed_m3, 1], ['chip-left', (w) => w.chip_left_m3.mid, 1],
];

/** The balance as a table: a row a winter; pressing a winter looks at it. */
export function woodTable(winters, { winter, onwinter }) {
  const shown = COLUMNS.filter(([, of]) => winters.some((w) => of(w)));
  return h('table', { class: 'figures' },
    h('caption', null, say('wood.table-caption')),
    h('thead', null, h('tr', null, h('th', { scope: 'col' }, say('wood.th-winter')), shown.map(([k]) => h('th', { key: k, scope: 'col' }, say(`wood.th-${k}`))))),
    h('tbody', null, winters.map((w) => h('tr', { key: `${w.winter}`, class: w.winter === winter ? 'here' : null },
      h('th', { scope: 'row' }, h('button', { type: 'button', 'aria-current': w.winter === winter ? 'true' : null, 'aria-label': say('wood.look-at', { winter: aWinter(w.winter) }), onclick: () => onwinter(w.winter) }, winterWords(w.winter))),
      shown.map(([k, of, digits]) => h('td', { key: k }, cell(of(w), digits)))))));
}

function cell(v, digits) {
  if (v === null || v === undefined) return '';
  return digits === null ? winterWords(v) : num(v, digits);
}
