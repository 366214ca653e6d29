// Small pictures of the signs, 30 by 20 pixels, for pens and legend: the same strokes and classes as on the sheet.

import { circle, path } from './ink.js';
import { mark, outline, stem } from './signs.js';
import { marker } from './findings.js';

const plant = (sign, x, y, r, how = 'new') => path(`ring ${how}`, outline(sign, x, y, r)) + path('mark', how === 'old' ? '' : mark(sign, x, y, r))
  + path('stem', how === 'old' ? circle(x, y, 2.2) : stem(sign, x, y, r));
const beads = (how) => path('beads', 'M4 10h22', ' stroke-width="8.500" stroke-dasharray="0 7.330"') + (how === 'new' ? path('beads-new', 'M4 10h22', ' stroke-width="5.200" stroke-dasharray="0 7.330"') : '');
const block = 'M3 4 27 3 28 17 2 17Z';
const waves = (d, cls = '') => path(`h-water ${cls}`, d);

const icons = {
  parcel: () => path('boundary', block),
  bed: () => path('bed', 'M3 3h24v14H3Z') + path('h-earth', 'M4 8 27 4M3 13 27 8M4 17 27 12.500'),
  ground: () => path('patch', 'M2 2h26v16H2Z') + waves('M5 6h8M17 6h8M9 11h9M21 11h5M5 16h8M17 16h8'),
  damp: () => waves('M5 6h6M18 11h6M7 16h6', 'thin'),
  wet: () => waves('M4 5h9M17 5h9M9 10h9M21 10h6M4 15h9M17 15h9'),
  waterlogged: () => waves('M2 4h13M18 4h10M6 9h13M22 9h6M2 14h13M18 14h10', 'thick'),
  dry: () => path('h-dry', 'M6 6h.01M15 10h.01M24 6h.01M8 15h.01M22 15h.01'),
  protected: () => path('protected', 'M3 3h24v14H3Z') + path('h-keep', 'M6 17 18 3M14 17 26 3M4 4 15 17M14 3 26 17'),
  building: () => path('building', 'M4 4h22v12H4Z'),
  watercourse: () => path('stream', 'M2 13c6-8 10 4 15-2s7-4 11-4', ' stroke-width="5"') + path('stream-in', 'M2 13c6-8 10 4 15-2s7-4 11-4', ' stroke-width="2"'),
  pond: () => path('pond', 'M4 11c0-9 20-10 22-2s-20 12-22 2Z'),
  ditch: () => path('ditch', 'M2 10h26M6 6v8M13 6v8M20 6v8M27 6v8'),
  drain: () => path('drain', 'M2 10h26'),
  service: () => path('service', 'M1 10h9M20 10h9') + '<text class="letter" x="15" y="14">W</text>',
  road: () => path('road', 'M1 10h28', ' stroke-width="9"') + path('road-in', 'M1 10h28', ' stroke-width="7"'),
  track: () => path('track', 'M1 6h28M1 14h28'),
  path: () => path('path', 'M1 10h28'),
  septic: () => path('tank', 'M7 5h16v10H7ZM15 5v10'),
  well: () => path('well', circle(15, 10, 7)) + path('well-dot', circle(15, 10, 2.6)),
  fence: () => path('fence', 'M1 10h28M4 7l6 6M4 13l6-6M20 7l6 6M20 13l6-6'),
  wall: () => path('wall', 'M2 10h26') + path('wall-in', 'M2 10h26'),
  screen: () => path('screen', 'M2 10h26M5 6v8M12 6v8M19 6v8M26 6v8'),
  overhead_line: () => path('wires', 'M1 14 29 6') + path('poles', 'M10 10.500h10M15 5.500v10'),
  gateway: () => path('beads', 'M3 10h2M25 10h2', ' stroke-width="7"') + path('posts', 'M10 3v14M20 3v14'),
  gap: () => path('gap', 'M6 3v14M24 3v14M6 10h18'),
  'gap-filled': () => path('gap filled', 'M5 3v14M25 3v14') + path('beads', 'M9 10h12', ' stroke-width="6.500" stroke-dasharray="0 6"') + path('beads-new', 'M9 10h12', ' stroke-width="3.400" stroke-dasharray="0 6"'),
  'hedge-old': () => beads('old'),
  'hedge-new': () => beads('new'),
  windbreak: () => plant('conifer', 8, 10.5, 8) + plant('conifer', 22, 10.5, 8),
  orchard: () => plant('fruit', 8, 10, 6.5) + plant('fruit', 22, 10, 6.5),
  grove: () => plant('tree', 7, 12, 5.5) + plant('tree', 16, 7, 5.5) + plant('tree', 24, 13, 5.5),
  row: () => plant('bush', 5, 10, 4) + plant('bush', 15, 10, 4) + plant('bush', 25, 10, 4),
  'tree-old': () => plant('tree', 15, 10, 9, 'old'),
  'tree-new': () => plant('tree', 15, 10, 8.5),
  tree: () => plant('tree', 15, 10, 7.5),
  fruit: () => plant('fruit', 15, 10, 7.5),
  conifer: () => plant('conifer', 15, 10.5, 9),
  bush: () => plant('bush', 15, 10, 5),
  unknown: () => path('ring unknown', circle(15, 10, 6.5)) + path('mark', mark('unknown', 15, 10, 6.5)),
  canopy: () => path('canopy-edge', circle(9, 11, 6) + circle(16, 9, 7) + circle(22, 11, 6)) + path('canopy', circle(9, 11, 6) + circle(16, 9, 7) + circle(22, 11, 6)) + path('stem-new', circle(9, 11, 1.6) + circle(16, 9, 1.6) + circle(22, 11, 1.6)),
  stop: () => `<g transform="translate(15 10) scale(.8)">${marker('stop', 1)}</g>`,
  warn: () => `<g transform="translate(15 10) scale(.8)">${marker('warn', 2)}</g>`,
  note: () => `<g transform="translate(15 10) scale(.8)">${marker('note', 3)}</g>`,
  strange: () => path('strange', block),
  tape: () => path('fence', 'M4 17 26 17 14 3ZM15 17 14 3'),
  picture: () => path('boundary', 'M4 3h22v14H4Z') + path('patch', 'M5 15l6-6 5 4 4-5 6 7'),
  more: () => path('stem', circle(8, 10, 1.8) + circle(15, 10, 1.8) + circle(22, 10, 1.8)),
};

const alias = { field: 'parcel', wet: 'ground', 'ground.polygon': 'ground', 'watercourse.polygon': 'pond', 'watercourse.line': 'watercourse', 'septic.polygon': 'protected', 'gateway.line': 'gateway', 'gap.point': 'gap' };

/** The sign of a pen or legend key as SVG markup. */
export function icon(key) {
  const draw = icons[key] ?? icons[alias[key]] ?? icons[key.split('.')[0]] ?? icons.strange;
  return `<svg class="icon" viewBox="0 0 30 20" width="30" height="20" fill="none" aria-hidden="true">${draw()}</svg>`;
}

/** Keys that have a sign of their own. */
export const signed = Object.keys(icons);
