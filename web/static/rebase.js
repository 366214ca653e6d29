// A change that waited, made to fit what others did in the meantime: only what was changed here is put on top of what is there
// now. Whole features are sent, so what was not changed here is taken from the newest sheet, property by property.

import { asPut, latest } from './state.js';

/** Whether two values are the same; lengths to 1.5 mm, since the server rounds to 1 mm. */
export function same(a, b) {
  if (typeof a === 'number' && typeof b === 'number') return Math.abs(a - b) <= 0.0015;
  if (a === null || b === null || typeof a !== 'object' || typeof b !== 'object') return a === b;
  const [k, l] = [Object.keys(a), Object.keys(b)];
  return Array.isArray(a) === Array.isArray(b) && k.length === l.length && k.every((n) => Object.hasOwn(b, n) && same(a[n], b[n]));
}

const plain = (f) => ({ id: f.id, properties: f.properties, geometry: f.geometry ?? null });

/**
 * The edit as it is kept until it is sent: with an id for each new thing, so that sending it twice makes one thing, and with what
 * its features were when it was made.
 */
export function based(s, edit) {
  if (edit.settings || edit.place) return edit;
  const taken = new Set([...(s.sheet?.features ?? []), ...s.pending.flatMap((e) => e.put ?? []), ...(edit.put ?? [])].map((f) => f.id));
  const put = (edit.put ?? []).map((f) => (f.id === undefined ? { ...f, id: unused(f.properties?.kind, taken) } : f));
  const base = [...put.map((f) => f.id), ...(edit.delete ?? [])].map((id) => latest(s, id)).filter(Boolean).map(plain);
  return { ...edit, put, base };
}

/** A readable id that nothing has: kind-1, kind-2, and so on. */
function unused(kind, taken) {
  for (let n = 1; ; n++) {
    const id = `${kind || 'thing'}-${n}`;
    if (!taken.has(id)) {
      taken.add(id);
      return id;
    }
  }
}

/**
 * What to send of an edit on the newest sheet.
 * @returns {{put: Array, delete: Array, ids: string[]}|null} null where it cannot be put on top of what is there: geometry in
 *   longitude and latitude, of a thing whose shape somebody changed. ids are those of all that the edit puts.
 */
export function rebased(edit, sheet) {
  const { base = [] } = edit;
  const now = new Map((sheet?.features ?? []).map((f) => [f.id, f]));
  const was = new Map(base.map((f) => [f.id, f]));
  const taken = new Set([...now.keys(), ...(edit.put ?? []).map((f) => f.id)]);
  const out = { put: [], delete: (edit.delete ?? []).filter((id) => now.has(id) || !was.has(id)), ids: [] };
  for (const mine of edit.put ?? []) {
    const [theirs, from] = [now.get(mine.id), was.get(mine.id)];
    if (!theirs) out.put.push(mine);
    else if (!from) {
      // New here, and the id is there already: this very thing, sent before without an answer, or another window's.
      const foreign = edit.metres === false;
      if (same(mine.properties, theirs.properties) && (foreign || same(mine.geometry ?? null, theirs.geometry ?? null))) {
        if (foreign) out.put.push(mine);
        out.ids.push(mine.id);
        continue;
      }
      out.put.push({ ...mine, id: unused(mine.properties?.kind, taken) });
    } else {
      if (edit.metres === false && mine.geometry && !same(theirs.geometry ?? null, from.geometry)) return null;
      out.put.push(merged(mine, from, theirs, edit.metres === false));
    }
    out.ids.push(out.put.at(-1).id);
  }
  return out;
}

function merged(mine, from, theirs, foreign) {
  const properties = {};
  for (const k of new Set([...Object.keys(theirs.properties), ...Object.keys(mine.properties)])) {
    const kept = same(mine.properties[k], from.properties[k]) ? theirs : mine;
    if (Object.hasOwn(kept.properties, k)) properties[k] = kept.properties[k];
  }
  const geometry = foreign || !same(mine.geometry ?? null, from.geometry) ? mine.geometry : theirs.geometry;
  return asPut({ ...mine, properties, geometry });
}
