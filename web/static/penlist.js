// The pens: one for each thing a person wants to put down, in their words. The first ones are laid out; the rest of the vocabulary
// follows under "something else", made from the kinds that the server knows.

import { say, upper } from './strings.js';

/**
 * In the order of the tray: what each draws and what it starts with. Only what the words of the pen themselves say is filled in:
 * species, mixes and trees are left to be asked for.
 */
const tray = [
  { key: 'field', kind: 'parcel', shape: 'polygon' },
  { key: 'bed', kind: 'bed', shape: 'polygon' },
  { key: 'wet', kind: 'ground', shape: 'polygon', props: { moisture: 'wet' } },
  { key: 'hedge-old', kind: 'hedge', shape: 'line', props: { status: 'existing' } },
  { key: 'hedge-new', kind: 'hedge', shape: 'line', props: { status: 'planned' } },
  { key: 'gap', kind: 'gap', shape: 'line', most: 2 },
  { key: 'gateway', kind: 'gateway', shape: 'point', again: true },
  { key: 'windbreak', kind: 'windbreak', shape: 'line' },
  { key: 'orchard', kind: 'orchard', shape: 'polygon' },
  { key: 'grove', kind: 'grove', shape: 'polygon' },
  { key: 'row', kind: 'row', shape: 'line' },
  { key: 'tree-old', kind: 'plant', shape: 'point', props: { status: 'existing' }, again: true },
  { key: 'tree-new', kind: 'plant', shape: 'point', props: { status: 'planned' }, again: true },
  { key: 'building', kind: 'building', shape: 'polygon' },
];

const shapes = { Polygon: 'polygon', LineString: 'line', Point: 'point' };

/** @returns {{first: Array, rest: Array}} pens {key, kind, shape, props, title, most, again} */
export function pens(vocabulary) {
  const kinds = vocabulary?.kinds ?? [];
  const known = (k) => kinds.length === 0 || kinds.some((x) => x.kind === k);
  const first = tray.filter((p) => known(p.kind)).map((p) => ({ props: {}, ...p, title: say(`pen.${p.key}`) }));
  const taken = new Set(tray.map((p) => `${p.kind} ${p.shape}`));
  const rest = kinds.flatMap((k) => k.geometries.filter((g) => shapes[g]).map((g) => ({ kind: k, shape: shapes[g] })))
    .filter(({ kind, shape }) => !taken.has(`${kind.kind} ${shape}`))
    .map(({ kind, shape }) => {
      const several = kind.geometries.filter((g) => shapes[g]).length > 1;
      const own = `pen.${kind.kind}.${shape}`;
      const named = say(own);
      const title = named !== own ? named : several ? say(`pen.as.${shape}`, { what: kind.title }) : kind.title;
      return { key: `${kind.kind}.${shape}`, kind: kind.kind, shape, props: startsWith[`${kind.kind}.${shape}`] ?? {}, title: upper(title), again: shape === 'point' };
    });
  return { first, rest };
}

const startsWith = { 'septic.polygon': { part: 'drainage field' } };

