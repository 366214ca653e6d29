// Which signs stand on a sheet: what the legend has to explain, in a steady order.

import { partsOf } from '../measure.js';
import { moistureOf, moistures } from './land.js';
import { groups } from './signs.js';

const order = ['parcel', ...moistures.filter((m) => m !== 'moist'), 'bed', 'protected', 'building', 'watercourse', 'pond', 'ditch', 'drain', 'service', 'road', 'track', 'path', 'overhead_line',
  'fence', 'wall', 'screen', 'gateway', 'hedge-old', 'hedge-new', 'gap', 'gap-filled', ...groups, 'tree-old', 'septic', 'well', 'strange', 'stop', 'warn', 'note'];
const plain = new Set(order);
const planted = new Set(['windbreak', 'orchard', 'grove', 'row', 'plant', 'gap']);

/** @returns {string[]} keys of icons.js, each of which the words have a name for (sign.<key>) */
export function inUse(sheet, shows = {}) {
  const has = new Set();
  for (const f of sheet?.features ?? []) {
    if (!f.geometry) continue;
    const area = partsOf(f.geometry).polygons.length > 0;
    if (f.kind === 'hedge') has.add(f.status === 'existing' ? 'hedge-old' : 'hedge-new');
    else if (f.kind === 'watercourse' && area) has.add('pond');
    else if (f.kind === 'gap') has.add('gap');
    else if (f.kind === 'ground' || f.kind === 'parcel') {
      const m = moistureOf(f);
      if (m && m !== 'moist' && (m !== 'dry' || shows.moisture)) has.add(m);
      if (f.kind === 'parcel') has.add('parcel');
    } else if (plain.has(f.kind)) has.add(f.kind);
    else if (!planted.has(f.kind)) has.add('strange');
    for (const o of f.openings ?? []) if (!o.gateway && o.length_m >= 0.5) has.add(o.plants > 0 ? 'gap-filled' : 'gap');
  }
  for (const q of sheet?.plants ?? []) {
    const f = sheet.features[q[0]];
    if (f?.kind === 'hedge' && q[4] <= 1.6) continue;
    if (q[5] === 0 && f?.kind === 'plant') has.add('tree-old');
    else has.add(sheet.species[q[1]].sign);
  }
  if (shows.findings !== false) for (const f of sheet?.findings ?? []) if (!f.accepted && f.x !== null && f.x !== undefined) has.add(f.severity);
  return order.filter((k) => has.has(k));
}
