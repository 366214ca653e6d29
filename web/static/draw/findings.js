// Findings as numbered markers: an octagon to stop at, a triangle that warns, a ring to note. Those that would cover each other
// stand as one, the gravest in front, with how many more there are; coming nearer parts them.

import { n1 } from './ink.js';

/** Pixels across and down within which two markers become one: room for a sign and for how many more there are. */
const ACROSS = 36;
const DOWN = 26;

/**
 * Markers in pixels: [{x, y, at, all: [finding], first}], the gravest first.
 * @param at turns [x, y] in metres into pixels  @param open number of the finding that is open: it stands in front
 */
export function markers(sheet, at, open = null) {
  const out = [];
  for (const f of sheet.findings) {
    if (f.x === null || f.x === undefined || f.accepted) continue;
    const [x, y] = at([f.x, f.y]);
    const near = out.find((m) => Math.abs(m.x - x) < ACROSS && Math.abs(m.y - y) < DOWN);
    if (near) {
      near.all.push(f);
      if (f.n === open) near.first = f;
    } else out.push({ x, y, at: [f.x, f.y], all: [f], first: f });
  }
  return out;
}

const shapes = {
  stop: 'M-5-12h10L12-5V5L5 12H-5L-12 5V-5Z',
  warn: 'M0-13.500 13.500 10.500h-27Z',
  note: 'M-11 0a11 11 0 1 0 22 0a11 11 0 1 0-22 0',
};

/** The shape of a severity round 0, 0, with its number. */
export function marker(severity, n) {
  const text = String(n);
  return `<path class="sev ${severity}" d="${shapes[severity] ?? shapes.note}"/><text class="sev-n ${severity}${text.length > 2 ? ' many' : ''}" y="${severity === 'warn' ? 7 : 4.5}">${text}</text>`;
}

/** All markers, the gravest on top. */
export function findings(list, open = null) {
  return [...list].reverse().map((m) => {
    const more = m.all.length - 1;
    return `<g transform="translate(${n1(m.x)} ${n1(m.y)})"${m.first.n === open ? ' class="open"' : ''}>${m.first.n === open ? '<circle class="halo" r="18"/>' : ''}<g transform="scale(.86)">${marker(m.first.severity, m.first.n)}</g>${more ? `<text class="more" x="12" y="-4">+${more}</text>` : ''}</g>`;
  }).join('');
}

/** What the markers cover, for the names to keep off. */
export const covered = (list) => list.map((m) => [m.x - 13, m.y - 13, m.x + (m.all.length > 1 ? 28 : 13), m.y + 12]);
