// From a finished draft to an edit {note, put, delete}: whole features with coordinates in metres of the sheet, to the millimetre.
// What is not drawn stays as it was.

import { say } from '../strings.js';

const mm = (v) => Math.round(v * 1000) / 1000;

/** Coordinates to the millimetre. */
export const rounded = (c) => (typeof c[0] === 'number' ? [mm(c[0]), mm(c[1])] : c.map(rounded));

const whole = (g) => ({ type: g.type, coordinates: rounded(g.coordinates) });

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
  return { note, put: [{ type: 'Feature', id: f.id, properties: f.properties, geometry: whole(geometry) }], delete: [] };
}

/** Without a feature. */
export const removed = (f) => ({ note: say('edit.remove', { what: f.label }), put: [], delete: [f.id] });

/** A line in two pieces: the first keeps the id, the second is new and has the same properties. */
export function parted(f, [first, second]) {
  return {
    note: say('edit.split', { what: f.label }),
    put: [
      { type: 'Feature', id: f.id, properties: f.properties, geometry: whole(first) },
      { type: 'Feature', properties: f.properties, geometry: whole(second) },
    ],
    delete: [],
  };
}
