// Winters that somebody states for a stretch of hedge or grove, in its property cut_in or not_in: a list of {winter, from_m, to_m},
// without from_m from the start, without to_m to the end; a bare number is that winter for all of it. Lists are never altered.

const END = Infinity;
const NEAR = 0.02; // metres that are forgiven

const entry = (e) => (typeof e === 'number' ? { winter: e } : e);
const from = (e) => e.from_m ?? 0;
const to = (e) => e.to_m ?? END;

/** An entry as it is written: bounds to the millimetre, and only those that say something. */
function written(winter, a, b) {
  const mm = (v) => Math.round(v * 1000) / 1000;
  if (a <= NEAR && b === END) return winter;
  return { winter, ...(a > NEAR ? { from_m: mm(a) } : {}), ...(b === END ? {} : { to_m: mm(b) }) };
}

/** The list without a winter between two chainages: what lies before and after them stays. */
export function without(list, winter, a, b) {
  const out = [];
  for (const e of (list ?? []).map(entry)) {
    if (e.winter !== winter || to(e) <= a + NEAR || from(e) >= b - NEAR) { out.push(written(e.winter, from(e), to(e))); continue; }
    if (from(e) < a - NEAR) out.push(written(winter, from(e), a));
    if (to(e) > b + NEAR) out.push(written(winter, b, to(e)));
  }
  return out;
}

/** The list with a winter between two chainages, in order of winter and chainage; stretches of one winter that touch become one. */
export function including(list, winter, a, b) {
  const all = [...without(list, winter, a, b), written(winter, a, b)].map(entry).sort((x, y) => x.winter - y.winter || from(x) - from(y) || to(x) - to(y));
  const out = [];
  for (const e of all) {
    const last = out.at(-1);
    if (last && last.winter === e.winter && from(e) <= last.to + NEAR) last.to = Math.max(last.to, to(e));
    else out.push({ winter: e.winter, from: from(e), to: to(e) });
  }
  return out.map((e) => written(e.winter, e.from, e.to));
}

/**
 * The properties of a feature with a winter stated for one of its sections, or taken back.
 * @param {Object} properties
 * @param {{from_m: number, to_m: number}} section
 * @param {'cut'|'not'|'free'} how  cut in that winter; not in it; neither is stated
 * @param {number} length  of the whole, where the section reaches its end: the stretch is then left open; 0 where that is not known
 */
export function pinned(properties, section, winter, how, length = 0) {
  const a = section.from_m;
  const b = length > 0 && section.to_m >= length - NEAR ? END : section.to_m;
  const lists = {
    cut_in: how === 'cut' ? including(properties.cut_in, winter, a, b) : without(properties.cut_in, winter, a, b),
    not_in: how === 'not' ? including(properties.not_in, winter, a, b) : without(properties.not_in, winter, a, b),
  };
  const out = { ...properties };
  for (const [name, list] of Object.entries(lists)) {
    if (list.length > 0) out[name] = list;
    else delete out[name];
  }
  return out;
}
