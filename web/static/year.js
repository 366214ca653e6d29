// The year that is shown: what it is called, and where it is remembered. Year 0 is the planting winter; nothing here touches the document.

import { say } from './strings.js';
import { winter } from './notebook/text.js';

/** The last year that is worked out. */
export const LAST = 30;

/** The year shown where none was chosen: a planting is judged by what it will be. */
export const BEGINS = 10;

/** A whole year from planting to the last. */
export const within = (year) => Math.min(LAST, Math.max(0, Math.round(Number(year) || 0)));

/** The winter of a year, such as 2033/34; '' where the planting winter is not known. */
export function winterOf(year, holding) {
  const w = holding?.planting_winter;
  return Number.isInteger(w) ? winter(w + year) : '';
}

/** The year in words: "at planting", "year 7, winter 2033/34". */
export function yearWords(year, holding) {
  const name = year === 0 ? say('year.planting') : say('year.n', { n: year });
  const w = winterOf(year, holding);
  return w ? say('year.winter', { year: name, winter: w }) : name;
}

/** The year as it stands in a sentence: "in year 7", "at planting". */
export const inYear = (year, holding) => (year === 0 ? yearWords(0, holding) : say('year.in', { year: yearWords(year, holding) }));

const NORTH = ['april', 'may', 'june', 'july', 'august', 'september'];
const SOUTH = ['october', 'november', 'december', 'january', 'february', 'march'];
const southern = (sheet) => sheet?.origin?.[1] < 0;

/** The half of the year whose sun is told; south of the equator the other one. */
export const seasonOf = (sheet) => say(southern(sheet) ? 'year.season-south' : 'year.season-north');

/** How the hours of sun are told: their mean, or in one month of the season, 4 being its first and 9 its last. */
export const sunWords = (month, sheet) => (month === 'mean' ? say('field.month-mean', { season: seasonOf(sheet) }) : say('field.month', { month: say(`month.${(southern(sheet) ? SOUTH : NORTH)[month - 4]}`) }));

/** A stretch of years in words: "year 9", "years 7 to 12", "at planting". */
export function stretchWords({ from, mid, to }) {
  const [a, b] = [from ?? mid, to ?? mid];
  if (a === b) return a === 0 ? say('year.planting') : say('year.n', { n: a });
  return a === 0 ? say('year.from-planting', { to: b }) : say('year.stretch', { from: a, to: b });
}

const KEY = 'quickthorn.year.';

/** The year in which a holding was last looked at in this session. */
export function remembered(holding, box = globalThis.sessionStorage) {
  try {
    const v = box?.getItem(KEY + holding);
    return v === null || v === undefined ? BEGINS : within(v);
  } catch {
    return BEGINS;
  }
}

export function remember(holding, year, box = globalThis.sessionStorage) {
  try {
    box?.setItem(KEY + holding, String(year));
  } catch { /* without storage it holds until the page is closed */ }
}

/** Where a key takes the slider, or null: arrows one year, Page keys five, Home and End to either end. */
export function stepped(key, year) {
  switch (key) {
    case 'ArrowRight': case 'ArrowUp': return within(year + 1);
    case 'ArrowLeft': case 'ArrowDown': return within(year - 1);
    case 'PageUp': return within(year + 5);
    case 'PageDown': return within(year - 5);
    case 'Home': return 0;
    case 'End': return LAST;
    default: return null;
  }
}
