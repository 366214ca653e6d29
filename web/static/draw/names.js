// Names of land in italics with a halo of paper, placed where there is room: fields first, then what lies on them, then lines and
// single things. A name that would cover another is tried a little higher and lower, else left out until the user comes nearer.

import { esc, n1 } from './ink.js';
import { atChainage, boxRound, inside, lengthOf, middle, partsOf, roomy } from '../measure.js';
import { moistureOf } from './land.js';
import { area } from '../strings.js';

const rank = { parcel: 0, building: 1, bed: 2, orchard: 2, grove: 2, ground: 3, protected: 3, watercourse: 4, road: 4 };
const blocks = new Set(['bed', 'orchard', 'grove', 'building']);
const middles = new WeakMap();
const rooms = new WeakMap();

/** The outline of a polygon with what lies in it cut out, so that a field's name stands beside its beds and orchards. */
function free(f, rings, sheet) {
  if (f.kind !== 'parcel') return rings;
  const holes = sheet.features.filter((g) => blocks.has(g.kind)).flatMap((g) => partsOf(g.geometry).polygons.map((r) => r[0]));
  return [...rings, ...holes.filter((r) => r.length > 2 && r.every((q) => inside(rings, q)))];
}

const kept = (memory, f, make) => {
  if (!memory.has(f)) memory.set(f, make());
  return memory.get(f);
};

/** The middle of a feature's roomiest polygon, kept as long as the sheet is. */
const middleOf = (f, sheet) => kept(middles, f, () => partsOf(f.geometry).polygons
  .map((rings) => middle(free(f, rings, sheet))).filter(Boolean).reduce((a, b) => (a && a.d >= b.d ? a : b), null));

/** Other places inside it, the roomiest first. */
const roomOf = (f, sheet) => kept(rooms, f, () => partsOf(f.geometry).polygons.flatMap((rings) => roomy(free(f, rings, sheet))).map((c) => c.at));

/** Rough width of text in pixels: enough to keep names apart. */
export const wide = (text, size) => text.length * size * 0.5;

/**
 * Names as an SVG string.
 * @param taken boxes in pixels that are not to be covered (warnings); what is placed is added
 */
export function names(sheet, p, taken = []) {
  const list = [];
  for (const f of sheet.features) {
    const name = f.properties?.name;
    if (typeof name !== 'string' || name === '') continue;
    const found = place(f, sheet, p, shorten(name));
    if (found) list.push({ f, ...found, rank: rank[f.kind] ?? 5 });
  }
  list.sort((a, b) => a.rank - b.rank || b.weight - a.weight || (a.f.id < b.f.id ? -1 : 1));
  let out = '';
  for (const item of list) {
    const [w, h] = [Math.max(...item.rows.map((r) => wide(r.text, r.size))), item.rows.reduce((sum, r) => sum + r.size * 1.15, 0)];
    for (const [dx, dy] of item.tries) {
      const [x, y] = [item.x + dx, item.y + dy];
      const box = item.angle ? turned(x, y, w, h, item.angle) : [x - w / 2, y - h / 2, x + w / 2, y + h / 2];
      if (taken.some((t) => t[0] < box[2] + 3 && box[0] < t[2] + 3 && t[1] < box[3] + 2 && box[1] < t[3] + 2)) continue;
      taken.push(box);
      out += write(item, x, y, h);
      break;
    }
  }
  return out;
}

const shorten = (name) => (name.length > 40 ? `${name.slice(0, 39)}…` : name);

function place(f, sheet, p, name) {
  const { polygons, lines, points } = partsOf(f.geometry);
  if (polygons.length > 0) {
    const m = middleOf(f, sheet);
    if (!m) return null;
    const [x, y] = p.at(m.at);
    const field = f.kind === 'parcel';
    const rows = [{ text: name, size: field ? 17 : 14, cls: field ? 'name' : 'name small' }];
    const b = boxRound(polygons[0][0]);
    const width = (b[2] - b[0]) * p.k;
    if (width < wide(name, rows[0].size) * (f.kind === 'building' ? 0.6 : field ? 0.8 : 0.95)) return null;
    const sub = field && f.area_m2 ? [area(f.area_m2), [moistureOf(f), f.properties?.soil].filter((t) => typeof t === 'string' && t.length < 20).join(' ')].filter(Boolean).join(', ') : '';
    if (sub && width > wide(sub, 12)) rows.push({ text: sub, size: 12, cls: 'sub' });
    const below = f.kind === 'building' ? (b[3] - b[1]) * p.k / 2 + 10 : 0;
    const elsewhere = below ? [] : roomOf(f, sheet).map((at) => { const q = p.at(at); return [q[0] - x, q[1] - y]; });
    return { x, y, rows, weight: f.area_m2 ?? 0, tries: below ? [[0, below], [0, -below], [0, 0]] : [[0, 0], ...elsewhere] };
  }
  if (lines.length > 0) {
    const line = lines.reduce((a, b) => (lengthOf(b) > lengthOf(a) ? b : a));
    const long = lengthOf(line);
    if (long * p.k < wide(name, 13) * 1.5) return null;
    const at = atChainage(line, long / 2);
    const [a, b] = [atChainage(line, long * 0.45), atChainage(line, long * 0.55)];
    let angle = Math.atan2(-(b[1] - a[1]), b[0] - a[0]) * 180 / Math.PI;
    if (angle > 90) angle -= 180;
    if (angle <= -90) angle += 180;
    const [x, y] = p.at(at);
    const off = f.kind === 'hedge' || f.kind === 'windbreak' ? 18 : 13;
    const rad = angle * Math.PI / 180;
    const side = (s) => [Math.sin(rad) * off * s, -Math.cos(rad) * off * s];
    const slide = (s, t) => { const q = p.at(atChainage(line, long * t)); const o = side(s); return [q[0] - x + o[0], q[1] - y + o[1]]; };
    return { x, y, angle, rows: [{ text: name, size: 13, cls: 'name along' }], weight: long, tries: [side(1), side(-1), slide(1, 0.3), slide(1, 0.7), slide(-1, 0.3), slide(-1, 0.7)] };
  }
  if (points.length > 0 && p.k >= 6) {
    const [x, y] = p.at(points[0]);
    const w = wide(name, 13) / 2 + 12;
    return { x, y, rows: [{ text: name, size: 13, cls: 'name along' }], weight: 0, tries: [[w, 0], [-w, 0], [0, 20], [0, -20]] };
  }
  return null;
}

function turned(x, y, w, h, angle) {
  const a = Math.abs(angle) * Math.PI / 180;
  const [bw, bh] = [w * Math.cos(a) + h * Math.sin(a), w * Math.sin(a) + h * Math.cos(a)];
  return [x - bw / 2, y - bh / 2, x + bw / 2, y + bh / 2];
}

function write(item, x, y, h) {
  let top = -h / 2;
  const rows = item.rows.map((r) => {
    top += r.size * 1.15;
    return `<text class="${r.cls}" y="${n1(top - r.size * 0.32)}">${esc(r.text)}</text>`;
  }).join('');
  return `<g transform="translate(${n1(x)} ${n1(y)})${item.angle ? ` rotate(${n1(item.angle)})` : ''}">${rows}</g>`;
}

