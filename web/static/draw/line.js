// Lines cut and beaded: what is left of a hedge between its gaps, and dashes that come out even.

import { distance, lengthOf, nearestOnLine } from '../measure.js';

/**
 * What is left of lines once stretches are taken out. A stretch {a, b} is taken from the line that both its ends lie on, within
 * reach metres; one that lies between two lines takes nothing.
 */
export function without(lines, stretches, reach = 0.5) {
  const out = [];
  for (const line of lines) {
    const total = lengthOf(line);
    const cuts = [];
    for (const s of stretches) {
      const a = nearestOnLine(line, s.a);
      const b = nearestOnLine(line, s.b);
      if (a.d > reach || b.d > reach) continue;
      const [from, to] = a.chainage <= b.chainage ? [a.chainage, b.chainage] : [b.chainage, a.chainage];
      if (to - from > 0.01) cuts.push([from, to]);
    }
    cuts.sort((a, b) => a[0] - b[0]);
    let from = 0;
    for (const [a, b] of cuts) {
      if (a > from + 0.01) out.push(stretch(line, from, a));
      from = Math.max(from, b);
    }
    if (total > from + 0.01) out.push(stretch(line, from, total));
  }
  return out;
}

/** The part of a line between two chainages. */
export function stretch(line, from, to) {
  const out = [];
  let before = 0;
  for (let i = 0; i + 1 < line.length; i++) {
    const [a, b] = [line[i], line[i + 1]];
    const piece = distance(a, b);
    const at = (c) => [a[0] + ((c - before) / piece) * (b[0] - a[0]), a[1] + ((c - before) / piece) * (b[1] - a[1])];
    if (piece > 0 && before + piece > from && before < to) {
      if (out.length === 0) out.push(before >= from ? a : at(from));
      out.push(before + piece <= to ? b : at(to));
    }
    before += piece;
  }
  return out;
}

/** The period, near the one wanted, that divides a length evenly, so that a bead ends where the line ends. */
export function evenly(length, wanted) {
  const n = Math.max(1, Math.round(length / wanted));
  return length / n;
}

/** Places along a line every so often, with their direction: [{at, angle: degrees as drawn on the sheet, clockwise, y down}]. */
export function stations(line, every, first = every / 2) {
  const out = [];
  let before = 0;
  let next = first;
  for (let i = 0; i + 1 < line.length; i++) {
    const [a, b] = [line[i], line[i + 1]];
    const piece = distance(a, b);
    while (piece > 0 && next <= before + piece) {
      const t = (next - before) / piece;
      out.push({ at: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])], angle: -Math.atan2(b[1] - a[1], b[0] - a[0]) * 180 / Math.PI });
      next += every;
    }
    before += piece;
  }
  return out;
}

/** A line moved sideways by metres, left of its direction positive: mitred at its corners, the mitre held to three times. */
export function beside(line, off) {
  const normal = (a, b) => { const d = distance(a, b) || 1; return [-(b[1] - a[1]) / d, (b[0] - a[0]) / d]; };
  return line.map((p, i) => {
    const before = i > 0 ? normal(line[i - 1], p) : null;
    const after = i + 1 < line.length ? normal(p, line[i + 1]) : null;
    const m = before && after ? [before[0] + after[0], before[1] + after[1]] : before ?? after ?? [0, 0];
    const n = after ?? before ?? [0, 0];
    const dot = m[0] * n[0] + m[1] * n[1];
    const f = Math.abs(dot) < 1 / 3 ? 3 * off / (Math.hypot(...m) || 1) : off / dot;
    return [p[0] + m[0] * f, p[1] + m[1] * f];
  });
}
