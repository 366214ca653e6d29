// What grows, as it is in the year shown. Far off a hedge is beads on a line and a block a tint; nearer the crowns close to a canopy with its stems; near by
// every plant is a ring as wide as its crown, the mark of its group inside. Paths are gathered by feature and sign: a few hundred
// plants a path, so that thousands are drawn quickly and only the tiles in sight are painted.

import { circle, n1, path } from './ink.js';
import { mark, outline, stem } from './signs.js';
import { evenly, stations, without } from './line.js';
import { crowns, hedgeWidth } from './grown.js';
import { lengthOf, partsOf } from '../measure.js';

const CHUNK = 250;
/** Lines that show by their plants alone: without any, the line itself is drawn. */
const bare = new Set(['windbreak', 'row']);
const LEAST = 3; // radius in pixels of a crown that is not known

/** How a feature's plants are drawn at a scale: beads, band, tint, canopy, thicket (crowns that run together) or rings. */
export function manner(f, k, crown) {
  const spacing = spacingOf(f);
  if (f.kind === 'plant') return 'rings';
  if (f.kind === 'hedge') return spacing * k < 5 ? 'beads' : 'canopy';
  if (spacing * k < 4) return f.kind === 'orchard' || f.kind === 'grove' ? 'tint' : 'band';
  if (crown <= 1.3 * spacing) return 'rings';
  return spacing * k < 12 ? 'canopy' : 'thicket';
}

/** The least distance between neighbours, metres: from the rows as pegged, the lattice, or the area that each has. */
export function spacingOf(f) {
  const rows = (f.rows ?? []).map((r) => r.spacing_m).filter((v) => v > 0);
  if (rows.length > 0) return Math.min(...rows);
  if (f.spacing_m > 0) return f.spacing_m;
  if (f.area_m2 > 0 && f.plants > 0) return Math.sqrt(f.area_m2 / f.plants);
  return 1;
}

/**
 * Everything that grows.
 * @param sheet  @param p paper  @param box metres of the layer [w, s, e, n]: what lies outside is left out  @param shows {crowns, year}
 */
export function plants(sheet, p, box, shows = {}) {
  const kit = { sheet, p, shown: shows.crowns !== false, year: shows.year, crown: crowns(sheet, shows.year) };
  const by = gather(kit, box);
  let under = '';
  let over = '';
  sheet.features.forEach((f, i) => {
    const mine = by.get(i) ?? [];
    const crown = mine.length ? mine.reduce((sum, q) => sum + (kit.crown(q) ?? 0), 0) / mine.length : 0;
    const how = manner(f, p.k, crown);
    if (f.kind === 'hedge') under += hedge(f, how, kit);
    if (f.plants === 0 && bare.has(f.kind)) under += path('unset', p.lines(partsOf(f.geometry).lines));
    if (mine.length === 0) return;
    if (f.kind === 'hedge') {
      const [trees, bushes] = parted(mine, (q) => isTree(q, f));
      if (how === 'canopy') under += canopy(bushes, kit);
      over += rings(trees, kit, 0);
    } else if (how === 'tint') under += '';
    else if (how === 'band') under += band(f, mine, kit);
    else if (how === 'canopy') under += canopy(mine, kit);
    else if (how === 'thicket') over += thicket(mine, kit, spacingOf(f));
    else over += rings(mine, kit, f.kind === 'plant' ? 5 : 0);
  });
  return under + over;
}

/** A hedgerow tree has the crown of its kind; the hedge's own plants have its width. */
const isTree = (q) => q[4] > 1.6;

const parted = (list, test) => [list.filter(test), list.filter((q) => !test(q))];

function gather({ sheet, crown }, [w, s, e, n]) {
  const by = new Map();
  for (const q of sheet.plants) {
    const r = (crown(q) ?? 0) / 2;
    if (q[2] + r < w || q[2] - r > e || q[3] + r < s || q[3] - r > n) continue;
    const list = by.get(q[0]);
    if (list) list.push(q);
    else by.set(q[0], [q]);
  }
  return by;
}

/** The hedge itself: beads far off, near by the band it fills under its plants. Old ones are solid, new ones hollow. */
function hedge(f, how, { p, year }) {
  const { lines } = partsOf(f.geometry);
  if (lines.length === 0) return '';
  const openings = f.openings ?? [];
  const old = f.status === 'existing';
  const pieces = without(lines, openings);
  const filled = openings.filter((o) => o.plants > 0).map((o) => [o.a, o.b]);
  const width = hedgeWidth(f, year);
  if (how === 'canopy' && f.rows?.length > 0) return '';
  return beads(pieces, old, width, p) + beads(filled, false, width, p);
}

function beads(pieces, old, width, p) {
  const bead = Math.max(8, width * p.k);
  let out = '';
  for (const piece of pieces) {
    const long = lengthOf(piece) * p.k;
    if (long < 1) continue;
    const d = p.line(piece);
    const dash = ` stroke-dasharray="0 ${n2(evenly(long, bead * 0.84))}"`;
    out += path('beads', d, ` stroke-width="${n1(bead)}"${dash}`);
    if (!old || bead > 12) out += path(old ? 'beads-old' : 'beads-new', d, ` stroke-width="${n1(bead - Math.min(4, bead * 0.4))}"${dash}`);
  }
  return out;
}

const n2 = (v) => Math.round(v * 100) / 100;

/** Crowns run together: their common edge, and the stems inside where they can be told apart. */
function canopy(list, { p, shown, crown }) {
  let out = '';
  for (const part of chunks(list)) {
    let d = '';
    let old = '';
    let young = '';
    for (const q of part) {
      const [x, y] = p.at([q[2], q[3]]);
      const w = crown(q);
      if (shown && w !== 0) d += circle(x, y, Math.max(LEAST, (w ?? 0) / 2 * p.k));
      if (q[5] === 1) young += circle(x, y, 1.7);
      else old += circle(x, y, 2);
    }
    out += path('canopy-edge', d) + path('canopy', d) + path('stem', old) + path('stem-new', young);
  }
  return out;
}

/** Crowns run together and near enough to tell the plants apart: the common edge, each crown as a thin ring, and at each stem the sign
 * of its group, no larger than leaves room for its neighbours. */
function thicket(list, { sheet, p, shown, crown }, spacing) {
  const r = Math.min(9, spacing * p.k * 0.3);
  let under = '';
  let over = '';
  for (const part of chunks(list)) {
    let edge = '';
    for (const q of part) if (shown && crown(q) !== 0) edge += circle(...p.at([q[2], q[3]]), Math.max(LEAST, (crown(q) ?? 0) / 2 * p.k));
    under += path('canopy-edge', edge);
    over += path('canopy', edge);
    if (r >= 5) over += path('crown', edge);
    over += signs(part, sheet, p, r);
  }
  return under + over;
}

/** The sign of each plant at its stem. */
function signs(list, sheet, p, r) {
  let old = '';
  let young = '';
  let marks = '';
  let stems = '';
  for (const q of list) {
    const [x, y] = p.at([q[2], q[3]]);
    const { sign } = sheet.species[q[1]];
    const s = sign === 'bush' ? r * 0.75 : r;
    if (q[5] === 1) {
      young += outline(sign, x, y, s);
      marks += mark(sign, x, y, s);
      stems += stem(sign, x, y, s);
    } else {
      old += outline(sign, x, y, s);
      stems += circle(x, y, 2);
    }
  }
  return path('ring new', young) + path('ring old', old) + path('mark', marks) + path('stem', stems);
}

/** A belt far off: each row a band as wide as its crowns, with the sign of its plants at intervals. */
function band(f, list, { sheet, p, crown }) {
  const first = new Map();
  for (const q of list) if (!first.has(q[6])) first.set(q[6], q);
  let edges = '';
  let fills = '';
  let marks = '';
  for (const row of f.rows ?? []) {
    const q = first.get(row.row);
    if (!q || row.path.length < 2) continue;
    const w = Math.max(6, (crown(q) ?? 0) * p.k);
    const d = p.line(row.path);
    edges += path('band-edge', d, ` stroke-width="${n1(w + 2)}"`);
    fills += path('band', d, ` stroke-width="${n1(w)}"`);
    const sign = sheet.species[q[1]].sign;
    for (const s of stations(row.path, 18 / p.k)) {
      const [x, y] = p.at(s.at);
      marks += outline(sign, x, y, 3.4);
    }
  }
  return edges + fills + path('ring new', marks);
}

/** Every plant by itself. */
function rings(list, { sheet, p, shown, crown }, least) {
  let out = '';
  for (const part of chunks(list)) {
    const d = { old: '', new: '', unknown: '', marks: '', stems: '', dots: '' };
    for (const q of part) {
      const [x, y] = p.at([q[2], q[3]]);
      const w = crown(q);
      if (w === 0) { d.dots += circle(x, y, 1.6); continue; } // not planted yet
      const known = w !== null;
      const r = Math.max(least, known ? w / 2 * p.k : LEAST + 2, 1.2);
      const { sign } = sheet.species[q[1]];
      const which = !known || sign === 'unknown' ? 'unknown' : q[5] === 1 ? 'new' : 'old';
      if (shown) d[which] += outline(sign, x, y, r);
      if (q[5] === 1) {
        if (r >= 3.5) d.marks += mark(sign, x, y, r);
        if (r >= 3 || !shown) d.stems += stem(shown ? sign : 'bush', x, y, r);
      } else d.stems += circle(x, y, Math.min(4, Math.max(2, r * 0.18)));
    }
    out += path('ring new', d.new) + path('ring old', d.old) + path('ring unknown', d.unknown) + path('mark', d.marks) + path('stem', d.stems) + path('stem', d.dots);
  }
  return out;
}

function* chunks(list) {
  for (let i = 0; i < list.length; i += CHUNK) yield list.slice(i, i + CHUNK);
}
