// How wide what grows is in the year shown, from the series of the sheet. A sheet without series shows everything as it is when grown.

/**
 * Gives the crown of each plant of a sheet, metres: 0 before it is planted, null where it is not known.
 * @param {number|undefined} year  from planting; none for when grown
 * @returns {function(Array): ?number}
 */
export function crowns(sheet, year) {
  const grown = (q) => (q[4] > 0 ? q[4] : null);
  if (year === undefined || !sheet.sizes?.length) return grown;
  return (q) => {
    const series = sheet.sizes[q[8]];
    return series ? series.spread?.[year] ?? null : grown(q);
  };
}

/** The width of a hedge, metres: in the year, else as stated. */
export function hedgeWidth(f, year) {
  const now = year === undefined ? undefined : f.grows?.width?.[year];
  return now > 0 ? now : Number(f.properties?.width_m ?? f.defaults?.width_m ?? 1.5) || 1.5;
}

/**
 * How high and how wide the plants of a feature are in a year: {height: [least, most], spread: [least, most]}, each null where
 * nothing is known or nothing is planted yet. Hedges and rows as bodies, everything else by its plants.
 */
export function sizesIn(sheet, f, year) {
  const rows = Array.isArray(f.grows) ? f.grows : f.grows ? [f.grows] : null;
  if (rows) return { height: range(rows.map((g) => g.height?.[year])), spread: range(rows.map((g) => g.width?.[year])) };
  const series = [...(usedIn(sheet).get(sheet.features.indexOf(f)) ?? [])].map((i) => sheet.sizes?.[i]).filter(Boolean);
  return { height: range(series.map((g) => g.height?.[year])), spread: range(series.map((g) => g.spread?.[year])) };
}

const used = new WeakMap();

/** Which series the plants of each feature have, kept as long as the sheet is. */
function usedIn(sheet) {
  if (!used.has(sheet)) {
    const by = new Map();
    for (const q of sheet.plants) by.set(q[0], (by.get(q[0]) ?? new Set()).add(q[8]));
    used.set(sheet, by);
  }
  return used.get(sheet);
}

function range(list) {
  const known = list.filter((v) => v > 0);
  return known.length > 0 ? [Math.min(...known), Math.max(...known)] : null;
}
