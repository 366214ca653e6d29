// From a finished draft to an edit {note, put, delete}: whole features with coordinates in metres of the sheet, to the millimetre.
// What is not drawn stays as it was.

import { asPut } from '../state.js';
import { signedArea } from '../measure.js';
import { say } from '../strings.js';

const mm = (v) => Math.round(v * 1000) / 1000;

/** Coordinates to the millimetre. */
export const rounded = (c) => (typeof c[0] === 'number' ? [mm(c[0]), mm(c[1])] : c.map(rounded));

/** Outlines run anticlockwise, holes clockwise (RFC 7946, section 3.1.6), whichever way they were drawn. */
const turned = (ring, i) => (signedArea(ring) < 0 === (i === 0) ? [...ring].reverse() : ring);

/** The geometry as it is sent. */
export function whole(g) {
  const c = rounded(g.coordinates);
  if (g.type === 'Polygon') return { type: g.type, coordinates: c.map(turned) };
  if (g.type === 'MultiPolygon') return { type: g.type, coordinates: c.map((p) => p.map(turned)) };
  return { type: g.type, coordinates: c };
}

/** A new thing of a pen: {kind, props, title}. */
export function put(pen, geometry) {
  return {
    note: say('edit.put', { what: pen.title }),
    put: [{ type: 'Feature', properties: { kind: pen.kind, ...pen.props }, geometry: whole(geometry) }],
    delete: [],
  };
}

/** A feature of the sheet with another shape. */
export function reshaped(f, geometry, note = say('edit.move', { what: f.label })) {
  return { note, put: [asPut({ ...f, geometry: whole(geometry) })], delete: [] };
}

/** Without a feature. */
export const removed = (f) => ({ note: say('edit.remove', { what: f.label }), put: [], delete: [f.id] });

/** A line in two pieces: the first keeps the id, the second is new and has the same properties. */
export function parted(f, [first, rest]) {
  return {
    note: say('edit.split', { what: f.label }),
    put: [
      asPut({ ...f, geometry: whole(first) }),
      { type: 'Feature', properties: second(f.properties), geometry: whole(rest) },
    ],
    delete: [],
  };
}

/** The second piece of a thing with a name is told apart from the first. */
const second = (properties) => (properties.name ? { ...properties, name: say('split.name', { name: properties.name }) } : properties);
