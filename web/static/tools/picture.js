// Laying a picture under the sheet by two of its points whose distance on the ground is known, or by where the two points are.
//
// State: {name, width, height, points: two places in the picture, metres: where they lie, ended}. Until both are known the picture
// lies in the middle of the view, upright. Events: {type: 'set', at: metres}, {type: 'known', length, bearing}, {type: 'back'},
// {type: 'end'}, {type: 'leave'}.

import { along, bearing, distance } from '../measure.js';
import { lie } from '../draw/pictures.js';

export const picture = {
  /** @param {{name, width, height, box: [w, s, e, n]}} o box: the metres it is laid over for a start */
  begin({ name, width, height, box: [w, s, e, n] }) {
    const scale = Math.min((e - w) / width, (n - s) / height) * 0.9;
    const [cx, cy] = [(w + e) / 2, (s + n) / 2];
    const corner = [cx - width * scale / 2, cy + height * scale / 2];
    return { name, width, height, points: [], picked: [], at: [[0, 0], [width, 0]], metres: [corner, [corner[0] + width * scale, corner[1]]], ended: null };
  },
  step(s, e) {
    if (s.ended) return s;
    switch (e.type) {
      case 'set': {
        if (s.picked.length >= 2) return s;
        return { ...s, picked: [...s.picked, e.at], points: [...s.points, inPicture(s, e.at)] };
      }
      case 'known': {
        if (s.picked.length < 2 || !(e.length > 0)) return s;
        // The first point stays where it is; the second comes to its distance, and its bearing where that is known.
        const deg = e.bearing ?? bearing(s.picked[0], s.picked[1]);
        const metres = [s.picked[0], along(s.picked[0], e.length, deg)];
        return { ...s, at: s.points, metres, picked: metres };
      }
      case 'move': return s;
      case 'back': return { ...s, picked: s.picked.slice(0, -1), points: s.points.slice(0, -1) };
      case 'end': return { ...s, ended: 'done' };
      case 'leave': return { ...s, ended: 'left' };
      default: return s;
    }
  },
  /** The distance between the two points as the picture lies now, metres. */
  apart: (s) => (s.picked.length === 2 ? distance(s.picked[0], s.picked[1]) : null),
  /** The entry for the holding's pictures. */
  entry: (s) => ({ name: s.name, width: s.width, height: s.height, at: s.at.map(round(2)), metres: s.metres.map(round(3)) }),
};

const round = (n) => (p) => p.map((v) => Math.round(v * 10 ** n) / 10 ** n);

/** A place in metres as a place in the picture, as it lies now. */
function inPicture(s, [x, y]) {
  const l = lie(s.at, s.metres);
  const back = lie(s.metres.map(([a, b]) => [a, -b]), s.at.map(([a, b]) => [a, -b]));
  return back && l ? back.at([x, -y]).map((v, i) => (i ? -v : v)) : [0, 0];
}
