// What lies under a place on the sheet, found by geometry: single things first, then lines, then the smallest area.

import { boxRound, inside, nearestOnLine, partsOf, signedArea } from './measure.js';
import { endsOf } from './draw/openings.js';
import { crowns } from './draw/grown.js';

/** Half the width, in metres, that a line takes up on the ground. */
function half(f) {
  const stated = Number(f.properties?.width_m ?? f.defaults?.width_m ?? 0) || 0;
  const rows = (f.rows ?? []).map((r) => Math.abs(r.offset_m));
  return Math.max(stated / 2, ...rows, 0);
}

/**
 * The ids under a place, the likeliest first.
 * @param sheet  @param at metres  @param reach metres that a finger or pointer covers  @param year whose crowns are shown
 */
export function hits(sheet, at, reach, year) {
  const out = [];
  const wide = crownsOf(sheet, year);
  for (const f of sheet.features) {
    const { points, lines, polygons } = partsOf(f.geometry);
    if (f.kind === 'gap' || f.kind === 'gateway') {
      const ends = endsOf(f, sheet);
      const d = ends ? nearestOnLine(ends, at).d : Infinity;
      if (d <= reach) out.push({ id: f.id, rank: 0, by: d });
      continue;
    }
    if (points.length) {
      const d = Math.min(...points.map((p) => Math.hypot(p[0] - at[0], p[1] - at[1])));
      if (d <= Math.max(reach, (wide.get(f.id) ?? 0) / 2)) out.push({ id: f.id, rank: d <= reach ? 0 : 2, by: d });
    }
    if (lines.length) {
      const d = Math.min(...lines.map((l) => nearestOnLine(l, at).d));
      if (d <= reach + half(f)) out.push({ id: f.id, rank: 1, by: d });
    }
    for (const rings of polygons) {
      const edge = Math.min(...rings.map((r) => nearestOnLine(r, at).d));
      if (inside(rings, at) || edge <= reach / 2) {
        out.push({ id: f.id, rank: 3, by: Math.abs(signedArea(rings[0])) });
        break;
      }
    }
  }
  out.sort((a, b) => a.rank - b.rank || a.by - b.by || (a.id < b.id ? -1 : 1));
  return [...new Set(out.map((h) => h.id))];
}

/** Crowns of single plants by feature. */
function crownsOf(sheet, year) {
  const out = new Map();
  const crown = crowns(sheet, year);
  for (const q of sheet.plants) {
    const f = sheet.features[q[0]];
    if (f?.kind === 'plant') out.set(f.id, crown(q) ?? 0);
  }
  return out;
}

/** The next of several ids after the one selected: clicking again at a place goes through what lies there. */
export function next(ids, selected) {
  const i = ids.indexOf(selected);
  return ids.length === 0 ? null : ids[(i + 1) % ids.length];
}

/** The box round a feature, [w, s, e, n], with its plants' reach; null where it has no geometry. */
export function boxOfFeature(f) {
  const { points, lines, polygons } = partsOf(f?.geometry);
  return boxRound([...points, ...lines.flat(), ...polygons.flat(2)]);
}
