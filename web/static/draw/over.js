// What lies over the drawing while hands are at work: what is selected, its corners, what is being drawn, where it would snap, and
// the cross-hair of the keyboard. Pixels of the sheet.

import { circle, n1, path } from './ink.js';
import { corners } from '../corners.js';
import { atChainage, distance, lengthOf, middle, partsOf } from '../measure.js';

const box = (x, y, h) => `M${n1(x - h)} ${n1(y - h)}h${2 * h}v${2 * h}h${-2 * h}Z`;

/** Path of a geometry. */
export function shape(g, at) {
  const { points, lines, polygons } = partsOf(g);
  const line = (l) => l.map((q, i) => { const [x, y] = at(q); return `${i ? 'L' : 'M'}${n1(x)} ${n1(y)}`; }).join('');
  return points.map((q) => circle(...at(q), 13)).join('') + lines.map(line).join('') + polygons.flat().map((r) => `${line(r)}Z`).join('');
}

/** Corners and the half-way marks between them, in pixels: what can be taken hold of. */
export function handles(g, at) {
  if (!g || g.type === 'Point' || g.type === 'MultiPoint') return { corners: [], halves: [] };
  const all = corners(g).map((c) => ({ ...c, px: at(c.at) }));
  const halves = [];
  for (const c of all) {
    const next = all.find((d) => d.part === c.part && d.hole === c.hole && d.ring === c.ring && d.i === c.i + 1 && d.n === c.n + 1) ?? (c.ring ? all.find((d) => d.n === 0 && d.i === c.i - c.n) : null);
    if (!next || next === c) continue;
    if (Math.hypot(next.px[0] - c.px[0], next.px[1] - c.px[1]) < 56) continue;
    halves.push({ i: c.i, px: [(c.px[0] + next.px[0]) / 2, (c.px[1] + next.px[1]) / 2] });
  }
  return { corners: all, halves };
}

/** Where the grip that moves the whole thing lies, in metres: in the middle of an area, beside the middle of a line, on a point. */
export function gripAt(g, k) {
  const { points, lines, polygons } = partsOf(g);
  if (polygons.length) return middle(polygons[0])?.at ?? null;
  if (lines.length) {
    const longest = lines.reduce((a, b) => (lengthOf(b) > lengthOf(a) ? b : a));
    const long = lengthOf(longest);
    const [a, b] = [atChainage(longest, long * 0.35), atChainage(longest, long * 0.4)];
    const d = distance(a, b) || 1;
    const off = 26 / k;
    return [a[0] - ((b[1] - a[1]) / d) * off, a[1] + ((b[0] - a[0]) / d) * off];
  }
  if (points.length) return [points[0][0], points[0][1]];
  return null;
}

const grip = ([x, y]) => path('grip', circle(x, y, 12))
  + path('grip-arrows', `M${n1(x - 7)} ${n1(y)}h14M${n1(x)} ${n1(y - 7)}v14M${n1(x - 4.5)} ${n1(y - 2.5)}l-2.500 2.500 2.500 2.500M${n1(x + 4.5)} ${n1(y - 2.5)}l2.500 2.500-2.500 2.500M${n1(x - 2.5)} ${n1(y - 4.5)}l2.500-2.500 2.500 2.500M${n1(x - 2.5)} ${n1(y + 4.5)}l2.500 2.500 2.500-2.500`);

/**
 * @param o {selected: ?feature, corner, tool, snapped, cross, at: metres to pixels, k, touch}
 */
export function over({ selected, corner, tool, snapped, cross, at, k }) {
  let out = '';
  const g = tool?.machine === 'drag' ? tool.state.geometry : selected?.geometry;
  if (g) {
    out += path('chosen-halo', shape(g, at)) + path('chosen', shape(g, at));
    if (!tool || tool.machine === 'drag') {
      const h = handles(g, at);
      out += path('handle', h.corners.filter((c) => c.i !== corner).map((c) => box(...c.px, 4.5)).join(''));
      out += path('handle now', h.corners.filter((c) => c.i === corner).map((c) => box(...c.px, 6)).join(''));
      if (!tool) {
        out += path('half', h.halves.map((c) => circle(...c.px, 4)).join(''));
        const m = gripAt(g, k);
        if (m && g.type !== 'Point') out += grip(at(m));
      }
    }
  }
  if (tool?.machine === 'split' && tool.state.at) {
    const [x, y] = at(tool.state.at);
    out += path('cut', `M${n1(x - 9)} ${n1(y - 9)}l18 18M${n1(x - 9)} ${n1(y + 9)}l18 -18`);
  }
  if (tool?.name === 'draw') out += draft(tool, at);
  if (tool?.name === 'tape') out += pegs(tool, at);
  if (tool?.name === 'picture') out += path('draft-corner', (tool.state?.picked ?? []).map((q) => circle(...at(q), 6)).join(''));
  if (snapped?.to) {
    const [x, y] = at(snapped.at);
    out += path('snap', snapped.to === 'corner' ? circle(x, y, 9) : `M${n1(x - 8)} ${n1(y)}l8 -8l8 8l-8 8Z`);
  }
  if (cross) {
    const [x, y] = at(cross);
    const d = `M${n1(x - 16)} ${n1(y)}h11M${n1(x + 5)} ${n1(y)}h11M${n1(x)} ${n1(y - 16)}v11M${n1(x)} ${n1(y + 5)}v11`;
    out += path('cross-halo', d) + path('cross', d) + path('cross-dot', circle(x, y, 1.5));
  }
  return out;
}

/** Pegs of a survey by tape, with their names and the sides between them. */
function pegs(tool, at) {
  const links = (tool.links ?? []).map(([a, b]) => { const [x, y] = at(a); const [u, v] = at(b); return `M${n1(x)} ${n1(y)}L${n1(u)} ${n1(v)}`; }).join('');
  return path('draft-halo', links) + path('draft', links) + (tool.marks ?? []).map((q, i) => {
    const [x, y] = at(q);
    return `${path('draft-corner', circle(x, y, 5))}<text class="peg" x="${n1(x + 13)}" y="${n1(y - 7)}">${tool.names[i]}</text>`;
  }).join('');
}

function draft(tool, at) {
  const s = tool.state;
  if (tool.machine === 'point') return '';
  const set = s.corners.map((q) => at(q));
  const line = (l) => l.map(([x, y], i) => `${i ? 'L' : 'M'}${n1(x)} ${n1(y)}`).join('');
  let out = '';
  if (tool.machine === 'polygon' && s.corners.length >= 2) out += path('draft-fill', `${line(s.at ? [...set, at(s.at)] : set)}Z`);
  out += path('draft-halo', line(set)) + path('draft', line(set));
  if (s.at && set.length) {
    const now = at(s.at);
    out += path('draft-live', line([set[set.length - 1], now]));
    if (tool.machine === 'polygon' && set.length >= 2) out += path('draft-close', line([now, set[0]]));
  }
  return out + path('draft-corner', set.map(([x, y]) => circle(x, y, 4)).join(''));
}

