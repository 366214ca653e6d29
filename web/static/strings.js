// Every word the page shows, in one place: another language is another file like this. {name} is filled in; numbers come formatted.
// Keys are sorted by the part of the page that says them.

export const words = {
  'skip.notebook': 'To the notebook',
  'sync.away': 'The server does not answer. {n} changes are kept here and sent as soon as it does.',
  'sync.stale': 'Another window changed the plan. Your change was made on top of it.',
  'sync.fault': 'Something went wrong in the page. Nothing was lost; reload it.',
};

/** The words for a key, with what is in braces filled in. A missing key shows itself, so that a test finds it. */
export function say(key, fill = {}) {
  const text = words[key] ?? key;
  return text.replaceAll(/\{(\w+)\}/g, (all, name) => (name in fill ? String(fill[name]) : all));
}

const decimals = (n) => new Intl.NumberFormat('en-GB', { minimumFractionDigits: n, maximumFractionDigits: n });
const formats = new Map();

/** A number with n decimals, digits grouped. */
export function num(v, n = 0) {
  if (!formats.has(n)) formats.set(n, decimals(n));
  return formats.get(n).format(v);
}

/** Metres with one decimal; square metres, from a quarter hectare up hectares. */
export const metres = (v) => `${num(v, v < 10 ? 2 : 1)} m`;
export const area = (m2) => (m2 >= 2500 ? `${num(m2 / 10000, 2)} ha` : `${num(m2)} m²`);
export const degrees = (v) => `${num(v)}°`;
