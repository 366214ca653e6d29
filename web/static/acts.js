// What the hands can do on the sheet, whoever asks: pointer, keys, pens, or the notebook. Each starts, feeds or ends the tool in
// hand; a tool that is done becomes one edit.

import { latest, shown } from './state.js';
import { say } from './strings.js';
import { line } from './tools/line.js';
import { polygon } from './tools/polygon.js';
import { point } from './tools/point.js';
import { drag } from './tools/drag.js';
import { split } from './tools/split.js';
import { deleteCorner, insertCorner, corners } from './corners.js';
import { parted, put, removed, reshaped } from './tools/apply.js';

const machines = { line, polygon, point, drag, split };

/**
 * @param page {store, sync}
 * @param onFrame requestAnimationFrame, or a stand-in
 */
export function createActs(page, onFrame = globalThis.requestAnimationFrame) {
  const { store, sync } = page;
  let asked = false;
  /** The feature as it will be once what waits is sent: what a change is made on. */
  const own = (id) => latest(store.get(), id);

  /** The edit that the tool in hand would make now; null where it is none yet. */
  function editOf(tool, live = true) {
    const s = tool.state;
    switch (tool.machine) {
      case 'drag': {
        const f = own(s.id);
        return f && s.geometry && s.geometry !== s.original ? reshaped(f, s.geometry, say(s.what === 'thing' ? 'edit.move' : 'edit.corner', { what: f.label })) : null;
      }
      case 'split': {
        const f = own(s.id);
        const pieces = live ? null : split.pieces(s);
        return f && pieces ? parted(f, pieces) : null;
      }
      default: {
        const g = machines[tool.machine].geometry(s, live);
        return g ? put(tool.pen, g) : null;
      }
    }
  }

  /** Asks what the plan would be like, at most once a frame. */
  function tryOut() {
    if (asked) return;
    asked = true;
    onFrame(() => {
      asked = false;
      const { tool } = store.get();
      if (!tool || !machines[tool.machine]) return;
      const edit = editOf(tool);
      if (edit) sync.trial(edit);
    });
  }

  /** Chooses what the hands are at already: the sheet stays where it is. */
  function select(chosen) {
    page.steady = true;
    store.do('select', chosen);
    page.steady = false;
  }

  function finish(tool) {
    const edit = editOf(tool, false);
    if (!edit) { leave(); return; }
    const again = tool.machine === 'point' && tool.pen.again ? { ...tool, state: point.begin() } : null;
    store.do('letGo', again);
    const id = tool.state.id;
    const { corner } = tool.state;
    sync.edit({ ...edit, done: (ids) => {
      const chosen = id ?? ids[0];
      if (chosen && !store.get().tool?.state?.corners?.length) select({ id: chosen, corner: id ? corner ?? null : null });
    } });
    store.do('say', { kind: 'note', text: say('said.done', { note: edit.note }) });
  }

  function leave() {
    store.do('tool', null);
    sync.still();
  }

  /** Feeds an event to the tool in hand. */
  function event(e) {
    const { tool } = store.get();
    const machine = tool && machines[tool.machine];
    if (!machine) return;
    const state = machine.step(tool.state, e);
    if (state === tool.state) return;
    store.do('toolState', state);
    if (state.ended === 'done') finish({ ...tool, state });
    else if (state.ended === 'left') leave();
    else {
      if (state.few) store.do('say', { kind: 'note', text: say(tool.machine === 'polygon' ? 'said.few3' : 'said.few2') });
      tryOut();
    }
  }

  function change(id, geometry, note) {
    const f = own(id);
    if (!f || !geometry) return false;
    sync.edit(reshaped(f, geometry, note));
    return true;
  }

  return {
    event, leave, editOf, select,
    /** Takes a pen in hand; the same pen again lays it down. */
    take(pen) {
      const { tool } = store.get();
      if (tool?.name === 'draw' && tool.pen.key === pen.key) { leave(); return; }
      if (tool) sync.still();
      store.do('select', { id: null });
      store.do('tool', { name: 'draw', pen, machine: pen.shape, by: 'pointer', state: machines[pen.shape].begin({ most: pen.most }) });
    },
    /** Takes hold of a corner, a new corner after one, or the whole thing. */
    grab({ what, id, corner = null, from = null, by = 'pointer' }) {
      const f = own(id);
      if (!f?.geometry) return;
      store.do('tool', { name: 'drag', machine: 'drag', by, state: drag.begin({ what, id, geometry: f.geometry, corner, from }) });
    },
    /** Begins to cut a line in two. */
    split(id, by = 'pointer') {
      const f = own(id);
      if (!f || !/LineString/.test(f.geometry?.type ?? '')) return;
      store.do('tool', { name: 'split', machine: 'split', by, state: split.begin({ id, geometry: f.geometry }) });
    },
    /** Deletes the thing; undo brings it back. */
    remove(id) {
      const f = own(id);
      if (!f) return;
      store.do('select', { id: null });
      sync.edit(removed(f));
      store.do('say', { kind: 'note', text: say('said.removed', { what: f.label }) });
    },
    /** Deletes a corner, if enough remain. */
    removeCorner(id, i) {
      const f = own(id);
      const g = f && deleteCorner(f.geometry, i);
      if (!g) { store.do('say', { kind: 'note', text: say('said.last') }); return; }
      store.do('corner', Math.max(0, i - 1));
      change(id, g, say('edit.uncorner', { what: f.label }));
    },
    /** Puts a corner half way to the next. */
    addCorner(id, i) {
      const f = own(id);
      const g = f && insertCorner(f.geometry, i);
      if (!g) return;
      store.do('corner', i + 1);
      change(id, g, say('edit.corner', { what: f.label }));
    },
    /** Goes to the next corner (by 1 or -1) of the thing selected. */
    nextCorner(by) {
      const { selected, corner } = store.get();
      const n = corners(own(selected)?.geometry).length;
      if (n > 0) store.do('corner', corner === null ? (by > 0 ? 0 : n - 1) : (corner + by + n) % n);
    },
    change,
    sheet: () => shown(store.get()),
  };
}
