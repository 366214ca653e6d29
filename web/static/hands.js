// What a pointer or fingers do on the sheet. One finger or a drag pans, two fingers or the wheel zoom; a click selects, or feeds the
// tool in hand. Everything acts on letting go, so that it can be thought better of.

import { panBy, toMetres, toPixels, zoomAt } from './view.js';
import { snap } from './snap.js';
import { hits, next } from './hit.js';
import { handles, gripAt } from './draw/over.js';
import { markers } from './draw/findings.js';
import { featureOf, shown } from './state.js';
import { corners } from './corners.js';

const FAR = { mouse: 4, pen: 5, touch: 9 }; // pixels that are still a click
const REACH = { mouse: 10, pen: 14, touch: 22 }; // pixels that a pointer covers: half of 24 and more for a finger

export function mountHands(plan, page, redraw) {
  const { store } = page;
  const down = new Map();
  let press = null; // {x, y, at, grab, mode}
  let pinch = null;
  let clicked = { t: 0, x: 0, y: 0 };
  const hand = { snapped: null };

  const px = (e) => { const r = plan.getBoundingClientRect(); return [e.clientX - r.left, e.clientY - r.top]; };
  const metres = (p) => { const { view, size } = store.get(); return toMetres(view, size, p); };
  const reach = (e) => (REACH[e.pointerType] ?? 10) / store.get().view.k;

  /** Where a corner under the pointer lands. */
  function landed(e, p) {
    const { tool } = store.get();
    const at = metres(p);
    if (e.shiftKey || !tool) { hand.snapped = null; return at; }
    const own = tool.name === 'draw' && tool.machine === 'polygon' && tool.state.corners.length >= 3 ? [tool.state.corners[0]] : [];
    const s = snap(shownBase(), at, (e.pointerType === 'touch' ? 16 : 9) / store.get().view.k, { skip: tool.state?.id ?? null, more: own });
    hand.snapped = s.to ? s : null;
    return s.at;
  }
  /** What is snapped to is what is kept, not what is being tried. */
  const shownBase = () => store.get().sheet;

  /** What of the selected thing lies under the pointer: a corner, a half-way mark, the grip. */
  function held(e, p) {
    const s = store.get();
    const f = s.tool ? null : featureOf(s.sheet, s.selected);
    if (!f?.geometry) return null;
    const at = (q) => toPixels(s.view, s.size, q);
    const far = e.pointerType === 'touch' ? 22 : 12;
    const near = (q) => Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (f.geometry.type === 'Point') return near(at(f.geometry.coordinates)) <= Math.max(far, 14) ? { what: 'thing', id: f.id, from: f.geometry.coordinates } : null;
    const h = handles(f.geometry, at);
    const best = (list) => list.reduce((a, c) => (near(c.px) < (a ? near(a.px) : far) ? c : a), null);
    const corner = best(h.corners);
    if (corner) return { what: 'corner', id: f.id, corner: corner.i };
    const half = best(h.halves);
    if (half) return { what: 'insert', id: f.id, corner: half.i };
    const g = gripAt(f.geometry, s.view.k);
    if (g && near(at(g)) <= Math.max(far, 13)) return { what: 'thing', id: f.id, from: g };
    return null;
  }

  plan.addEventListener('pointerdown', (e) => {
    if (e.button > 0) return;
    plan.setPointerCapture(e.pointerId);
    down.set(e.pointerId, px(e));
    if (down.size === 2) {
      if (press?.mode === 'drag') page.acts.event({ type: 'leave' });
      press = null;
      pinch = grip2();
      return;
    }
    const p = px(e);
    press = { x: p[0], y: p[1], last: p, grab: held(e, p), mode: null };
  });

  const grip2 = () => {
    const [a, b] = [...down.values()];
    return { mid: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], far: Math.max(1, Math.hypot(a[0] - b[0], a[1] - b[1])) };
  };

  plan.addEventListener('pointermove', (e) => {
    const p = px(e);
    if (down.has(e.pointerId)) down.set(e.pointerId, p);
    const s = store.get();
    if (pinch && down.size >= 2) {
      const g = grip2();
      const moved = panBy(s.view, g.mid[0] - pinch.mid[0], g.mid[1] - pinch.mid[1]);
      store.do('view', zoomAt(moved, s.size, g.mid, g.far / pinch.far));
      pinch = g;
      return;
    }
    if (!press) { hover(e, p); return; }
    if (!press.mode && Math.hypot(p[0] - press.x, p[1] - press.y) > (FAR[e.pointerType] ?? 4)) {
      if (press.grab) {
        page.acts.grab({ ...press.grab, from: press.grab.from ?? metres([press.x, press.y]) });
        press.mode = 'drag';
      } else {
        press.mode = 'pan';
        plan.classList.add('panning');
      }
    }
    if (press.mode === 'pan') store.do('view', panBy(s.view, p[0] - press.last[0], p[1] - press.last[1]));
    if (press.mode === 'drag') page.acts.event({ type: 'move', at: landed(e, p) });
    press.last = p;
  });

  function hover(e, p) {
    const { tool, cross } = store.get();
    if (e.pointerType === 'touch') return;
    if (cross) store.do('cross', null);
    if (tool) {
      // What arrow keys have hold of stays theirs until it is put down.
      if (tool.by === 'keys' && tool.name === 'drag') return;
      if (tool.by === 'keys' || tool.by === 'touch') store.do('letGo', { ...tool, by: 'pointer' });
      page.acts.event({ type: 'move', at: landed(e, p) });
      redraw();
      return;
    }
    plan.classList.toggle('over-handle', Boolean(held(e, p)));
  }

  const lift = (e, cancelled) => {
    const had = down.delete(e.pointerId);
    if (pinch) { if (down.size < 2) { pinch = null; press = null; } return; }
    if (!had || !press) return;
    const { mode, grab } = press;
    press = null;
    plan.classList.remove('panning');
    if (mode === 'drag') {
      hand.snapped = null;
      page.acts.event({ type: cancelled ? 'leave' : 'end' });
    } else if (!mode && !cancelled) click(e, px(e), grab);
    redraw();
  };
  plan.addEventListener('pointerup', (e) => lift(e, false));
  plan.addEventListener('pointercancel', (e) => lift(e, true));

  function click(e, p, grab) {
    const s = store.get();
    const twice = e.timeStamp - clicked.t < 400 && Math.hypot(p[0] - clicked.x, p[1] - clicked.y) < 8;
    clicked = { t: twice ? 0 : e.timeStamp, x: p[0], y: p[1] };
    if (s.tool) { feed(e, p, twice); return; }
    if (grab) { take(grab, s); return; }
    if (twice) { store.do('view', zoomAt(s.view, s.size, p, 2)); return; }
    choose(e, p, s);
  }

  function feed(e, p, twice) {
    const { tool } = store.get();
    if (page.feeds[tool.name]) { page.feeds[tool.name](landed(e, p)); redraw(); return; }
    const by = e.pointerType === 'touch' ? 'touch' : tool.by === 'click' ? 'click' : 'pointer';
    if (tool.name === 'draw' && tool.by !== by) store.do('letGo', { ...tool, by });
    if (twice && tool.name === 'draw') page.acts.event({ type: 'end' });
    else if (tool.name === 'drag') {
      page.acts.event({ type: 'move', at: landed(e, p) });
      page.acts.event({ type: 'end' });
    } else page.acts.event({ type: 'set', at: landed(e, p) });
    hand.snapped = null;
    redraw();
  }

  /** Clicking a corner chooses it, a half-way mark makes one, the grip or a chosen corner is picked up until the next click. */
  function take(grab, s) {
    if (grab.what === 'insert') page.acts.addCorner(grab.id, grab.corner);
    else if (grab.what === 'corner' && s.corner !== grab.corner) store.do('corner', grab.corner);
    else page.acts.grab({ ...grab, from: grab.from ?? corners(featureOf(s.sheet, grab.id).geometry)[grab.corner]?.at, by: 'click' });
  }

  function choose(e, p, s) {
    const sheet = shown(s);
    if (!sheet) return;
    if (s.shows.findings !== false) {
      const list = markers(sheet, (q) => toPixels(s.view, s.size, q), s.finding);
      const m = list.find((q) => Math.abs(q.x - p[0]) <= 14 && Math.abs(q.y - p[1]) <= 14);
      if (m) {
        const i = m.all.findIndex((f) => f.n === s.finding);
        const f = m.all[(i + 1) % m.all.length];
        page.acts.select({ id: f.features[0] ?? null, finding: f.n });
        return;
      }
    }
    page.acts.select({ id: next(hits(sheet, metres(p), reach(e), s.year), s.selected) });
  }

  plan.addEventListener('wheel', (e) => {
    e.preventDefault();
    const s = store.get();
    const by = e.deltaY * (e.deltaMode === 1 ? 16 : e.deltaMode === 2 ? 400 : 1);
    store.do('view', zoomAt(s.view, s.size, px(e), Math.exp(-by * (e.ctrlKey ? 0.01 : 0.0016))));
  }, { passive: false });
  plan.addEventListener('pointerleave', () => { if (hand.snapped) { hand.snapped = null; redraw(); } });
  return { hand, choose: (p) => choose({ pointerType: 'mouse' }, p, store.get()) };
}
