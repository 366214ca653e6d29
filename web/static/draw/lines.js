// What is drawn along a line: water, ways, what is buried, wires, fences, walls, screens. Signs differ in shape; those with a width
// are drawn at it as soon as it can be seen.

import { circle, n1, path } from './ink.js';
import { beside, stations } from './line.js';
import { partsOf } from '../measure.js';
import { holdsFor } from './land.js';

/** Undermost first. */
const order = ['watercourse', 'ditch', 'drain', 'service', 'road', 'track', 'path', 'fence', 'wall', 'screen', 'overhead_line'];

const letters = { sewer: 'S', water: 'W', gas: 'G', electricity: 'E', telecoms: 'T' };
const wide = (v) => ` stroke-width="${n1(v)}"`;

/** All lines except what grows, gaps and gateways. */
export function lines(sheet, p) {
  const kinds = new Map(order.map((k) => [k, []]));
  const strange = [];
  for (const f of sheet.features) {
    const list = partsOf(f.geometry).lines;
    if (list.length === 0 || grows.has(f.kind)) continue;
    if (kinds.has(f.kind)) kinds.get(f.kind).push([f, list]);
    else strange.push([f, list]);
  }
  const out = [];
  for (const [kind, all] of kinds) for (const [f, list] of all) out.push(draws[kind](f, list, p));
  for (const [f, list] of strange) out.push(path(f.kind === 'protected' ? 'protected' : 'strange', p.lines(list)));
  return out.join('');
}

const grows = new Set(['hedge', 'windbreak', 'row', 'gap', 'gateway']);

/** Width in pixels; 1 m where the file gives none that is a number. */
const pixels = (f, p, least) => Math.max(least, (Number(holdsFor(f, 'width_m')) || 1) * p.k);

const draws = {
  watercourse(f, list, p) {
    const w = pixels(f, p, 4);
    const d = p.lines(list);
    return path('stream', d, wide(w)) + path('stream-in', d, wide(Math.max(1.4, w - 3)));
  },
  ditch(f, list, p) {
    const d = p.lines(list);
    return path('ditch', d) + path('ditch', ticks(list, p, 14, 4));
  },
  drain: (f, list, p) => path('drain', p.lines(list)),
  service(f, list, p) {
    const letter = letters[holdsFor(f, 'carries')] ?? '?';
    const at = list.flatMap((l) => stations(l, 110 / p.k, 40 / p.k));
    return path('service', p.lines(list)) + at.map((s) => `<text class="letter" x="${p.x(s.at[0])}" y="${n1(p.y(s.at[1]) + 4)}">${letter}</text>`).join('');
  },
  road(f, list, p) {
    const w = pixels(f, p, 4);
    const d = p.lines(list);
    return path('road', d, wide(w + 2)) + path('road-in', d, wide(w));
  },
  track(f, list, p) {
    const w = pixels(f, p, 0);
    if (w < 4) return path('track', p.lines(list));
    const half = w / p.k / 2;
    return path('way-in', p.lines(list), wide(w)) + path('track', p.lines(list.flatMap((l) => [beside(l, half), beside(l, -half)])));
  },
  path(f, list, p) {
    const w = pixels(f, p, 0);
    return (w >= 6 ? path('way-in', p.lines(list), wide(w)) : '') + path('path', p.lines(list));
  },
  fence: (f, list, p) => path('fence', p.lines(list)) + path('fence', crosses(list, p, 18, 3)),
  wall: (f, list, p) => path('wall', p.lines(list)) + path('wall-in', p.lines(list)),
  screen: (f, list, p) => path('screen', p.lines(list)) + path('screen-ticks', p.lines(list)),
  overhead_line(f, list, p) {
    const poles = [...list.flat().map((at) => p.at(at)), ...list.flatMap((l) => stations(l, 140 / p.k, 140 / p.k)).map((s) => p.at(s.at))];
    return path('wires', p.lines(list)) + path('poles', poles.map(([x, y]) => `M${n1(x - 5)} ${n1(y)}h10M${n1(x)} ${n1(y - 5)}v10`).join(''));
  },
};

/** Short strokes across a line, every so many pixels. */
export function ticks(list, p, every, half) {
  return list.flatMap((l) => stations(l, every / p.k)).map(({ at, angle }) => {
    const [x, y] = p.at(at);
    const a = (angle + 90) * Math.PI / 180;
    const [dx, dy] = [Math.cos(a) * half, Math.sin(a) * half];
    return `M${n1(x - dx)} ${n1(y - dy)}L${n1(x + dx)} ${n1(y + dy)}`;
  }).join('');
}

function crosses(list, p, every, half) {
  return list.flatMap((l) => stations(l, every / p.k)).map(({ at }) => {
    const [x, y] = p.at(at);
    return `M${n1(x - half)} ${n1(y - half)}l${2 * half} ${2 * half}M${n1(x - half)} ${n1(y + half)}l${2 * half} ${-2 * half}`;
  }).join('');
}

/** Things drawn as a point: wells, tanks, protected spots, unknown ones. */
export function spots(sheet, p) {
  let out = '';
  for (const f of sheet.features) {
    if (f.kind === 'plant' || f.kind === 'gateway' || f.kind === 'gap') continue;
    for (const at of partsOf(f.geometry).points) {
      const [x, y] = p.at(at);
      switch (f.kind) {
        case 'well': out += path('well', circle(x, y, 7)) + path('well-dot', circle(x, y, 2.6)); break;
        case 'septic': out += path('tank', `M${n1(x - 7)} ${n1(y - 5)}h14v10h-14ZM${n1(x)} ${n1(y - 5)}v10`); break;
        case 'protected': out += path('keep-spot', `M${n1(x)} ${n1(y - 8)}l8 8l-8 8l-8 -8Z`); break;
        default: out += path('strange', circle(x, y, 5));
      }
    }
  }
  return out;
}
