// The whole drawing of a sheet for one layer: as parts, undermost first, so that only what changed need be put on the page anew, and as
// one string.

import { group, paper } from './ink.js';
import { hatches, land } from './land.js';
import { lines, spots } from './lines.js';
import { plants } from './plants.js';
import { openings } from './openings.js';
import { names } from './names.js';
import { covered, findings, markers } from './findings.js';
import { pictures } from './pictures.js';
import { boxOf } from '../view.js';

/**
 * The parts of a drawing, always the same ones in the same order: [[class of its group, markup]].
 * @param sheet what the server sent  @param view {k, x, y}  @param layer {w, h} pixels of the layer
 * @param opt {shows: with the year, finding, pictureAddress, under and above: give what lies under everything, and over what grows}
 */
export function parts(sheet, view, layer, { shows = {}, finding = null, pictureAddress, under, above } = {}) {
  const p = paper(view, layer);
  const box = boxOf(view, layer);
  const marks = shows.findings === false ? [] : markers(sheet, p.at, finding)
    .filter((m) => m.x > -20 && m.y > -20 && m.x < layer.w + 20 && m.y < layer.h + 20);
  return [
    ['hatches', hatches(p)],
    ['pictures', shows.picture === false ? '' : pictures(sheet, p, pictureAddress)],
    ['under', under ? under(p) : ''],
    ['ground', land(sheet, p, shows)],
    ['ways', lines(sheet, p)],
    ['spots', spots(sheet, p)],
    ['growing', plants(sheet, p, box, shows)],
    ['openings', openings(sheet, p)],
    ['above', above ? above(p) : ''],
    ['names', shows.names === false ? '' : names(sheet, p, covered(marks))],
    ['findings', findings(marks, finding)],
  ];
}

/** The same as one string; see parts. */
export const drawing = (...how) => parts(...how).map(([cls, inner]) => group(cls, inner)).join('');
