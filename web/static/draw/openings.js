// Gaps and gateways: a bracket over what is missing, two posts where a gate hangs.

import { n1, path } from './ink.js';
import { distance, lengthOf, nearestOnLine, partsOf } from '../measure.js';

/** What a gateway or gap can lie in. */
const runs = new Set(['hedge', 'fence', 'wall', 'windbreak', 'row', 'screen']);

/**
 * The two ends, in metres, of an opening drawn as a point or a line: along the nearest hedge, fence or wall within 3 m, else along
 * the nearest boundary, else west to east.
 */
export function endsOf(f, sheet) {
  const { points, lines } = partsOf(f.geometry);
  if (lines.length > 0) return [lines[0][0], lines[0][lines[0].length - 1]];
  if (points.length === 0) return null;
  const half = (Number(f.properties?.width_m ?? f.defaults?.width_m ?? 3.6) || 3.6) / 2;
  const [dx, dy] = direction(points[0], sheet);
  const [x, y] = points[0];
  return [[x - dx * half, y - dy * half], [x + dx * half, y + dy * half]];
}

function direction(at, sheet) {
  let best = { d: 3 };
  const look = (line) => {
    const near = nearestOnLine(line, at);
    if (near.d < best.d) best = { d: near.d, a: line[near.i], b: line[near.i + 1] };
  };
  for (const f of sheet.features) {
    if (!runs.has(f.kind)) continue;
    const { lines } = partsOf(f.geometry);
    lines.forEach(look);
    for (let i = 0; i + 1 < lines.length; i++) look([lines[i][lines[i].length - 1], lines[i + 1][0]]);
  }
  if (!best.a) for (const f of sheet.features) if (f.kind === 'parcel') partsOf(f.geometry).polygons.flat().forEach(look);
  if (!best.a) return [1, 0];
  const d = distance(best.a, best.b) || 1;
  return [(best.b[0] - best.a[0]) / d, (best.b[1] - best.a[1]) / d];
}

/** All brackets and posts. Openings of a hedge that no gap or gateway feature stands for are bracketed too. */
export function openings(sheet, p) {
  let brackets = '';
  let tied = '';
  let posts = '';
  const drawn = [];
  for (const f of sheet.features) {
    if (f.kind !== 'gap' && f.kind !== 'gateway') continue;
    const ends = endsOf(f, sheet);
    if (!ends) continue;
    if (f.kind === 'gateway') posts += gate(ends, p);
    else drawn.push(ends);
  }
  for (const f of sheet.features) {
    for (const o of f.openings ?? []) {
      if (o.gateway || o.length_m < 0.5) continue;
      const i = drawn.findIndex((e) => distance(mid(e), mid([o.a, o.b])) < 1);
      if (i >= 0) drawn.splice(i, 1);
      if (o.plants > 0) tied += bracket([o.a, o.b], p, true);
      else brackets += bracket([o.a, o.b], p, false);
    }
  }
  for (const ends of drawn) brackets += bracket(ends, p, false);
  return path('gap', brackets) + path('gap filled', tied) + path('posts', posts);
}

const mid = ([a, b]) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];

/** Bars across both ends and a line between them; of a gap that is being filled only the bars. */
export function bracket(ends, p, filled) {
  const [a, b, nx, ny] = across(ends, p, 8);
  const bar = ([x, y]) => `M${n1(x - nx)} ${n1(y - ny)}L${n1(x + nx)} ${n1(y + ny)}`;
  return bar(a) + bar(b) + (filled ? '' : `M${n1(a[0])} ${n1(a[1])}L${n1(b[0])} ${n1(b[1])}`);
}

/** Two posts, never closer on the sheet than can be told apart. */
export function gate(ends, p) {
  const [a, b, nx, ny] = across(ends, p, 7, 9);
  const bar = ([x, y]) => `M${n1(x - nx)} ${n1(y - ny)}L${n1(x + nx)} ${n1(y + ny)}`;
  return bar(a) + bar(b);
}

function across([from, to], p, half, least = 5) {
  let a = p.at(from);
  let b = p.at(to);
  let d = distance(a, b);
  const [ux, uy] = d > 0 ? [(b[0] - a[0]) / d, (b[1] - a[1]) / d] : [1, 0];
  if (d < least) {
    const [mx, my] = mid([a, b]);
    a = [mx - ux * least / 2, my - uy * least / 2];
    b = [mx + ux * least / 2, my + uy * least / 2];
    d = least;
  }
  return [a, b, -uy * half, ux * half];
}

/** How far apart the ends are. */
export const widthOf = (ends) => (ends ? lengthOf(ends) : 0);
