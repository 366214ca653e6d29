// The whole drawing of a sheet for one layer, as one string.

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
 * @param sheet what the server sent  @param view {k, x, y}  @param layer {w, h} pixels of the layer
 * @param opt {shows: with the year, finding, pictureAddress, under: gives what lies under everything}
 */
export function drawing(sheet, view, layer, { shows = {}, finding = null, pictureAddress, under } = {}) {
  const p = paper(view, layer);
  const box = boxOf(view, layer);
  const marks = shows.findings === false ? [] : markers(sheet, p.at, finding)
    .filter((m) => m.x > -20 && m.y > -20 && m.x < layer.w + 20 && m.y < layer.h + 20);
  return hatches(p)
    + (shows.picture === false ? '' : pictures(sheet, p, pictureAddress))
    + (under ? under(p) : '')
    + group('ground', land(sheet, p, shows))
    + group('ways', lines(sheet, p))
    + group('spots', spots(sheet, p))
    + group('growing', plants(sheet, p, box, shows))
    + group('openings', openings(sheet, p))
    + (shows.names === false ? '' : group('names', names(sheet, p, covered(marks))))
    + group('findings', findings(marks, finding));
}
