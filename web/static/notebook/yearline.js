// What a thing is like in the year shown, in a line: how high and wide it is, and for a bed the sun and wind that were worked out.

import { say, num, upper } from '../strings.js';
import { sizesIn } from '../draw/grown.js';
import { inYear } from '../year.js';

/** What the answers on shelter and light are kept by: another revision has others. */
export const keyOf = (s) => `${s.holding} ${s.revision}`;

/** What is known of the revision shown, or null. */
export const known = (s) => (s.byYear?.key === keyOf(s) ? s.byYear : null);

const beds = new Set(['bed', 'parcel']);

/** A bed in one year, with null for what was not asked yet. */
export function bedIn(file, id, year) {
  const wind = file.shelter.get(year)?.beds.find((b) => b.id === id);
  const sun = file.light.get(year)?.beds.find((b) => b.id === id);
  return {
    year, hours: sun?.mean_hours ?? null, worst: sun?.worst_hours ?? null, wanted: sun?.wanted_hours ?? null, taken: sun?.taken_by ?? [],
    wind: wind?.mean_wind_percent ?? null, least: wind?.least_wind_percent ?? null, greatest: wind?.greatest_wind_percent ?? null, off: wind?.leaf_off?.mean_wind_percent ?? null, by: wind?.by ?? [],
  };
}

/** A bed in a year: sun, what it wants, wind. '' where nothing is known. */
export function bedWords(r) {
  const out = [];
  if (r.hours !== null) out.push(say(r.wanted > 0 ? 'years.sun-wanted' : 'years.sun', { hours: num(r.hours, 1), wanted: num(r.wanted ?? 0, Number.isInteger(r.wanted) ? 0 : 1) }));
  if (r.wind !== null) out.push(say('years.wind', { percent: num(r.wind) }));
  return out.join(' ');
}

const metres = (v) => num(v, v < 9.95 ? 1 : 0);
const stretch = ([least, most]) => (metres(least) === metres(most) ? say('size.one', { n: metres(most) }) : say('size.range', { least: metres(least), most: metres(most) }));

/** How high and wide something is in a year; '' where it is not known. */
export function sizeWords(sheet, f, year) {
  const { height, spread } = sizesIn(sheet, f, year);
  if (!height) return '';
  const text = spread ? say('size.high-wide', { height: stretch(height), width: stretch(spread) }) : say('size.high', { height: stretch(height) });
  return taken(f) ? say('size.taken', { text }) : text;
}

const lines = new Set(['hedge', 'windbreak', 'row']);

/** Is the size of what stands there a guess? */
function taken(f) {
  const p = f.properties ?? {};
  return lines.has(f.kind) && f.status === 'existing' && !(p.height_m > 0) && !(p.planted > 0) && !(p.last_cut > 0);
}

/** The line of an entry, or ''. */
export function yearLine(s, sheet, f) {
  const file = known(s);
  const text = beds.has(f.kind) && file ? bedWords(bedIn(file, f.id, s.year)) : sizeWords(sheet, f, s.year);
  if (!text) return '';
  const when = inYear(s.year, null);
  return say('size.in-year', { when: upper(when), text });
}
