// Finding a species by what somebody types: any English name, the botanical name, the beginning of a word first.

const plain = (t) => t.normalize('NFD').replaceAll(/\p{M}/gu, '').toLowerCase().replaceAll(/[^a-z0-9]+/g, ' ').trim();

/** How well a name fits what was typed: 0 not at all, then the more the better. */
function fit(name, typed) {
  const n = plain(name);
  if (n === typed) return 4;
  if (n.startsWith(typed)) return 3;
  if (n.includes(` ${typed}`)) return 2;
  return typed.length > 2 && n.includes(typed) ? 1 : 0;
}

/**
 * Species that fit, best first; all of them for nothing typed. In the same measure the ranking for the ground decides, then the name.
 * @param {Array} species of the vocabulary
 * @param {string} typed
 * @param {?Array} ranked answer of /suits, best first
 * @returns {{species: Object, suits: ?Object}[]}
 */
export function choices(species, typed, ranked = null) {
  const want = plain(typed);
  const place = new Map((ranked ?? []).map((r, i) => [r.id, i]));
  const out = [];
  for (const s of species) {
    const score = want === '' ? 1 : Math.max(fit(s.botanical, want), ...(s.english ?? []).map((e) => fit(e, want)));
    if (score > 0) out.push({ species: s, suits: place.has(s.id) ? ranked[place.get(s.id)] : null, score });
  }
  const at = (o) => place.get(o.species.id) ?? Infinity;
  const by = (a, b) => (at(a) === at(b) ? 0 : at(a) < at(b) ? -1 : 1);
  return out.sort((a, b) => (want === '' ? 0 : b.score - a.score) || by(a, b) || nameOf(a.species).localeCompare(nameOf(b.species), 'en'))
    .map(({ species: s, suits }) => ({ species: s, suits }));
}

/** The name a species goes by: its first English one, else the botanical. */
export const nameOf = (s) => s.english?.[0] ?? s.botanical;

/** Sorted into what suits, what may do, and what does not, with what is not ranked for that purpose last. */
export function sorted(list) {
  const out = { suits: [], others: [], not: [] };
  for (const o of list) {
    if (o.suits?.barred) out.not.push(o);
    else if (o.suits && !(o.suits.against ?? []).length) out.suits.push(o);
    else out.others.push(o);
  }
  return out;
}
