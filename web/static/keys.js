// What keys do while the sheet has the focus. A cross-hair takes the pointer's place: arrow keys move it, Space sets a corner, Enter
// sets one too and, where the cross-hair has not moved since, ends the drawing. No key holds the focus: Tab goes on.

import { bringIn, fit, roundLength, toPixels, zoomAt } from './view.js';
import { snap } from './snap.js';
import { featureOf } from './state.js';
import { corners } from './corners.js';
import { reading } from './tools/reading.js';
import { metres, num, say } from './strings.js';

const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** Metres that an arrow key moves what is in hand: 0.1, with Shift 1, with Ctrl 10. */
export const pace = (e) => (e.ctrlKey || e.metaKey ? 10 : e.shiftKey ? 1 : 0.1);

export function mountKeys(plan, page, { hands, legs }) {
  const { store } = page;
  let moved = false; // whether the cross-hair moved since the last corner

  const clean = (p) => p.map((v) => Math.round(v * 1000) / 1000);

  function start(s) {
    const last = s.tool?.state?.at ?? s.tool?.state?.corners?.at(-1);
    if (last) return last;
    return [Math.round(s.view.x), Math.round(s.view.y)];
  }

  function moveCross(e, [dx, dy]) {
    const s = store.get();
    const drawing = s.tool && s.tool.name !== 'drag';
    const far = drawing ? pace(e) : roundLength(s.view.k, 30) * (e.shiftKey ? 5 : 1);
    const from = s.cross ?? start(s);
    const to = clean([from[0] + dx * far, from[1] + dy * far]);
    store.do('cross', to);
    const view = bringIn(s.view, s.size, [...to, ...to], 40);
    if (view !== s.view) store.do('view', view);
    if (s.tool) page.acts.event({ type: 'move', at: to });
    moved = true;
  }

  /** Arrow keys with a corner or a thing in hand move it. */
  function nudge(e, [dx, dy]) {
    const s = store.get();
    if (!s.tool) page.acts.grab({ what: 'corner', id: s.selected, corner: s.corner, by: 'keys' });
    const d = pace(e);
    page.acts.event({ type: 'nudge', dx: dx * d, dy: dy * d });
  }

  function set() {
    const s = store.get();
    const { tool } = s;
    const at = s.cross ?? tool.state.at ?? start(s);
    const near = snap(s.sheet, at, Math.min(0.3, 8 / s.view.k), { more: tool.machine === 'polygon' ? tool.state.corners.slice(0, 1) : [] });
    if (page.feeds[tool.name]) { page.feeds[tool.name](near.at); return; }
    page.acts.event({ type: 'set', at: near.at });
    moved = false;
    said();
  }

  /** Says what was set, for who does not see it. */
  function said() {
    const { tool } = store.get();
    if (tool?.name !== 'draw' || tool.machine === 'point') return;
    const n = tool.state.corners.length;
    const r = reading(tool.machine, tool.state);
    store.do('say', { kind: 'note', text: r.last ? say('said.corner', { n, length: metres(r.last.length), deg: num(r.last.bearing) }) : say('said.first') });
  }

  const inHand = {
    draw(e, s) {
      if (e.key === ' ') return set();
      if (e.key === 'Enter') {
        if (s.cross && (moved || s.tool.state.corners.length === 0)) return set();
        return page.acts.event({ type: 'end' });
      }
      if (e.key === 'Backspace') return page.acts.event({ type: 'back' });
      if (/^[0-9.,]$/.test(e.key) && !e.ctrlKey && !e.metaKey && !e.altKey) return legs.begin(e.key);
      return false;
    },
    drag(e) {
      if (arrows[e.key]) return nudge(e, arrows[e.key]);
      if (e.key === 'Enter' || e.key === ' ') return page.acts.event({ type: 'end' });
      return false;
    },
    split(e) {
      if (e.key === 'Enter' || e.key === ' ') return page.acts.event({ type: 'end' });
      return false;
    },
    other(e, s) {
      if ((e.key === ' ' || e.key === 'Enter') && page.feeds[s.tool.name]) return set();
      return false;
    },
  };

  function free(e, s) {
    const f = featureOf(s.sheet, s.selected);
    switch (e.key) {
      case 'Enter': case ' ': {
        const at = s.cross ?? [s.view.x, s.view.y];
        if (!s.cross) store.do('cross', at);
        return hands.choose(toPixels(s.view, s.size, at));
      }
      case 'Escape':
        if (s.corner !== null) return store.do('corner', null);
        if (s.selected) return store.do('select', { id: null });
        return store.do('cross', null);
      case 'Delete': case 'Backspace':
        if (!f) return false;
        return s.corner !== null && corners(f.geometry).length > 1 ? page.acts.removeCorner(f.id, s.corner) : page.acts.remove(f.id);
      case ']': case '.': return f ? page.acts.nextCorner(1) : false;
      case '[': case ',': return f ? page.acts.nextCorner(-1) : false;
      case 'm': return f ? page.acts.grab({ what: 'thing', id: f.id, by: 'keys' }) : false;
      case 'i': case 'Insert': return f && s.corner !== null ? page.acts.addCorner(f.id, s.corner) : false;
      case 's': return f ? page.acts.split(f.id, 'keys') : false;
      default: return false;
    }
  }

  plan.addEventListener('keydown', (e) => {
    if (e.target !== plan || e.altKey || e.isComposing) return;
    const s = store.get();
    if (arrows[e.key]) {
      const holding = s.tool?.name === 'drag' || (!s.tool && s.corner !== null && s.selected);
      if (holding) nudge(e, arrows[e.key]);
      else moveCross(e, arrows[e.key]);
      e.preventDefault();
      return;
    }
    if (e.key === 'Escape' && s.tool) { page.acts.leave(); e.preventDefault(); return; }
    if (!e.ctrlKey && !e.metaKey) {
      const done = s.tool ? (inHand[s.tool.name] ?? inHand.other)(e, s) : free(e, s);
      if (done !== false) { e.preventDefault(); return; }
      const zoom = { '+': 1.25, '=': 1.25, '-': 0.8, PageUp: 1.5, PageDown: 1 / 1.5 }[e.key];
      if (zoom) {
        const c = s.cross ? toPixels(s.view, s.size, s.cross) : [s.size.w / 2, s.size.h / 2];
        store.do('view', zoomAt(s.view, s.size, c, zoom));
        e.preventDefault();
      } else if (e.key === '0' || e.key === 'Home') {
        store.do('view', fit(s.sheet?.box, s.size));
        e.preventDefault();
      }
    }
  });
  // What was moved by arrow keys is kept when the sheet is left.
  plan.addEventListener('blur', () => {
    const { tool } = store.get();
    if (tool?.name === 'drag' && tool.by === 'keys') page.acts.event({ type: 'end' });
  });

}
