// The page's state is one object, changed only by the named actions below. Nothing else in the page keeps anything that
// another part needs. The state holds what the server said (sheet, vocabulary), what the user is doing (tool, draft, selection)
// and what is not sent yet (pending). Geometry is in metres of the sheet, x east and y north.

import { BEGINS } from './year.js';

/**
 * @typedef {Object} State
 * @property {?string} holding      id of the holding shown
 * @property {number} revision      of the sheet shown
 * @property {?Object} sheet        what the server sent (see GET /holdings/{id}/sheet)
 * @property {?Object} trial        the sheet as if the draft were kept, while something is dragged or drawn
 * @property {?Object} vocabulary   kinds, properties, species, rules as data
 * @property {Array} holdings       what else there is
 * @property {{k:number,x:number,y:number}} view   pixels per metre, and the metres at the middle of the sheet
 * @property {{w:number,h:number}} size            of the sheet in pixels
 * @property {?string} selected     id of the feature selected
 * @property {?number} corner       index of its corner that keys and fields act on
 * @property {?number} finding      number of the finding opened
 * @property {string} chapter       notebook chapter: land, warnings, list, history, holding, begin
 * @property {?Object} tool         what is in hand: {name: draw|drag|split|tape|picture, pen, machine, by: pointer|keys, state}, state being the tool's own
 * @property {?[number,number]} cross  where the keyboard's cross-hair is, metres
 * @property {number} year      shown, from planting: 0 to 30
 * @property {boolean} online
 * @property {Array} pending        edits that the server has not acknowledged, oldest first
 * @property {?{text:string, kind:string}} message  last status message
 * @property {?Object} incoming     a file that was dropped or pasted, and what was read in it
 * @property {Object} shows         overlays and layers: {moisture, names, findings, crowns, picture}: yes or no; field: null, shelter, light or cuts; winter: looked at, null for the first cut; leaf: on or off; month: mean or 4 to 9
 * @property {?Object} byYear       shelter and light of the beds by year, as far as they were asked for: {key, shelter: Map, light: Map, ...}
 * @property {?Object} wood         cutting rota and balance as far as it was asked for: {key, holding, data, stale, busy, wrong}
 */

/** @returns {State} */
export function initial() {
  return {
    holding: null, revision: 0, sheet: null, trial: null, vocabulary: null, holdings: [],
    view: { k: 4, x: 0, y: 0 }, size: { w: 800, h: 600 },
    selected: null, corner: null, finding: null, chapter: 'land', tool: null, cross: null, year: BEGINS,
    online: true, pending: [], message: null, incoming: null, byYear: null, wood: null,
    shows: { moisture: false, names: true, findings: true, crowns: true, picture: true, field: null, leaf: 'on', month: 'mean', winter: null },
  };
}

/** Every way in which the state changes: (state, payload) => the parts that are new. */
export const actions = {
  vocabulary: (s, vocabulary) => ({ vocabulary }),
  holdings: (s, holdings) => ({ holdings }),
  open: (s, holding) => ({ ...initial(), vocabulary: s.vocabulary, holdings: s.holdings, size: s.size, shows: s.shows, holding }),
  // What is being tried stays while the plan it is tried on is the same.
  sheet: (s, { sheet, revision }) => ({ sheet, revision, trial: s.tool && s.sheet && revision === s.revision ? s.trial : null, selected: has(sheet, s.selected) ? s.selected : null }),
  trial: (s, trial) => ({ trial }),
  view: (s, view) => ({ view: { ...s.view, ...view } }),
  size: (s, size) => ({ size }),
  select: (s, { id, corner = null, finding = null }) => ({ selected: id, corner, finding }),
  corner: (s, corner) => ({ corner }),
  finding: (s, finding) => ({ finding }),
  chapter: (s, chapter) => ({ chapter }),
  tool: (s, tool) => ({ tool, trial: null }),
  // What was in hand was let go: it stays on the sheet as tried until the server has it.
  letGo: (s, tool = null) => ({ tool }),
  cross: (s, cross) => ({ cross }),
  toolState: (s, state) => ({ tool: s.tool && { ...s.tool, state } }),
  year: (s, year) => ({ year }),
  byYear: (s, byYear) => ({ byYear }),
  wood: (s, wood) => ({ wood }),
  online: (s, online) => ({ online }),
  queued: (s, edit) => ({ pending: [...s.pending, edit] }),
  sent: (s) => ({ pending: s.pending.slice(1) }),
  say: (s, message) => ({ message }),
  incoming: (s, incoming) => ({ incoming, ...(incoming ? { chapter: 'begin' } : {}) }),
  shows: (s, shows) => ({ shows: { ...s.shows, ...shows } }),
};

function has(sheet, id) {
  return id !== null && sheet !== null && sheet.features.some((f) => f.id === id);
}

/**
 * A store keeps the state, runs actions and tells who listens which parts changed.
 * @param {State} state
 */
export function createStore(state = initial()) {
  const listeners = new Set();
  return {
    get: () => state,
    /** Runs one named action; an unknown name is a fault of the page. */
    do(name, payload) {
      if (!Object.hasOwn(actions, name)) throw new Error(`no action ${name}`);
      const part = actions[name](state, payload);
      const changed = new Set(Object.keys(part).filter((k) => part[k] !== state[k]));
      if (changed.size === 0) return state;
      state = Object.freeze({ ...state, ...part });
      for (const f of listeners) f(state, changed);
      return state;
    },
    /** f(state, changed: Set of member names); returns how to stop listening. */
    listen(f) {
      listeners.add(f);
      return () => listeners.delete(f);
    },
  };
}

/** The sheet to draw: the trial while there is one. */
export const shown = (s) => s.trial ?? s.sheet;

/** The feature with that id on the sheet, or undefined. */
export const featureOf = (sheet, id) => sheet?.features.find((f) => f.id === id);

/**
 * The feature as it will be once what is waiting has been sent: the newest edit of it that is not acknowledged yet, else the
 * sheet's. A change is made on this, so that two quick changes of one feature do not undo each other.
 */
export function latest(s, id) {
  const kept = featureOf(s.sheet, id);
  for (let i = s.pending.length - 1; i >= 0; i--) {
    const { put, metres, ...edit } = s.pending[i];
    const f = put?.find((p) => p.id === id);
    if (f) return { ...kept, ...f, kind: f.properties.kind, geometry: metres === false || !f.geometry ? kept?.geometry : f.geometry };
    if (edit.delete?.includes(id)) return undefined;
  }
  return kept;
}

/** The feature as it is put into an edit: without a geometry where there is none to draw, so that the stored one stays. */
export const asPut = ({ id, geometry, properties }) => ({ type: 'Feature', id, properties, ...(geometry ? { geometry } : {}) });
