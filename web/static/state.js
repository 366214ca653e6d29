// The page's state is one object, changed only by the named actions below. Nothing else in the page keeps anything that
// another part needs. The state holds what the server said (sheet, vocabulary), what the user is doing (tool, draft, selection)
// and what is not sent yet (pending). Geometry is in metres of the sheet, x east and y north.

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
 * @property {?Object} tool         the pen in hand: {name, kind, state} where state is the tool's own
 * @property {number} year
 * @property {boolean} online
 * @property {Array} pending        edits that the server has not acknowledged, oldest first
 * @property {?{text:string, kind:string}} message  last status message
 * @property {Object} shows         overlays and layers: {moisture: false, names: true, findings: true, crowns: true, picture: true}
 */

/** @returns {State} */
export function initial() {
  return {
    holding: null, revision: 0, sheet: null, trial: null, vocabulary: null, holdings: [],
    view: { k: 4, x: 0, y: 0 }, size: { w: 800, h: 600 },
    selected: null, corner: null, finding: null, chapter: 'land', tool: null, year: 0,
    online: true, pending: [], message: null,
    shows: { moisture: false, names: true, findings: true, crowns: true, picture: true },
  };
}

/** Every way in which the state changes: (state, payload) => the parts that are new. */
export const actions = {
  vocabulary: (s, vocabulary) => ({ vocabulary }),
  holdings: (s, holdings) => ({ holdings }),
  open: (s, holding) => ({ ...initial(), vocabulary: s.vocabulary, holdings: s.holdings, size: s.size, shows: s.shows, holding }),
  sheet: (s, { sheet, revision }) => ({ sheet, revision, trial: null, selected: has(sheet, s.selected) ? s.selected : null }),
  trial: (s, trial) => ({ trial }),
  view: (s, view) => ({ view: { ...s.view, ...view } }),
  size: (s, size) => ({ size }),
  select: (s, { id, corner = null, finding = null }) => ({ selected: id, corner, finding }),
  corner: (s, corner) => ({ corner }),
  finding: (s, finding) => ({ finding }),
  chapter: (s, chapter) => ({ chapter }),
  tool: (s, tool) => ({ tool, trial: null }),
  toolState: (s, state) => ({ tool: s.tool && { ...s.tool, state } }),
  year: (s, year) => ({ year }),
  online: (s, online) => ({ online }),
  queued: (s, edit) => ({ pending: [...s.pending, edit] }),
  sent: (s) => ({ pending: s.pending.slice(1) }),
  dropped: () => ({ pending: [] }),
  say: (s, message) => ({ message }),
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
