// The sheet: mounts the drawing and keeps it in step with the state. The land is one layer, drawn a little larger than what is seen;
// panning moves the layer by a transform, and the drawing is renewed when the hand rests, or when the layer's edge comes near.

import { bringIn, carry, fit, toPixels } from './view.js';
import { parts } from './draw/drawing.js';
import { furniture } from './draw/furniture.js';
import { over } from './draw/over.js';
import { pictureOver } from './draw/pictures.js';
import { createActs } from './acts.js';
import { mountHands } from './hands.js';
import { mountKeys } from './keys.js';
import { mountLegs } from './legs.js';
import { mountPanels } from './panels.js';
import { boxOfFeature } from './hit.js';
import { featureOf, shown } from './state.js';
import { num, say } from './strings.js';

const calm = () => globalThis.matchMedia('(prefers-reduced-motion: reduce)').matches;

/** Mounts the sheet into an element. Adds to the page: acts (what hands can do), plan (the element with the focus), feeds, panels, go (to a view), redraw. What page.under
 * gives, where there is one, is drawn under everything, and what page.above gives over what grows. */
export function mountSheet(el, page) {
  const { store, api } = page;
  el.innerHTML = '<div class="plan" tabindex="0" role="application" aria-describedby="sheet-help"><div class="layer"></div><svg class="over" aria-hidden="true" fill="none"></svg><svg class="furniture" aria-hidden="true" fill="none"></svg></div><p id="sheet-help" class="unseen"></p>';
  const plan = el.firstElementChild;
  const [layer, top, corner] = plan.children;
  el.lastElementChild.textContent = say('sheet.help');
  plan.setAttribute('aria-label', say('sheet.empty'));
  page.plan = plan;
  page.feeds = {};
  page.acts = createActs(page);
  page.panels = mountPanels(el, page);

  const drawn = { view: null, over: 0 };
  const jobs = new Set();
  let frame = 0;
  let rest = 0;

  const measure = () => {
    const size = { w: Math.round(plan.clientWidth), h: Math.round(plan.clientHeight) };
    const now = store.get().size;
    if (!(size.w > 0 && size.h > 0) || (size.w === now.w && size.h === now.h)) return;
    store.do('size', size);
    // A row more or less below the land leaves the land where it is.
    const { view } = store.get();
    if (drawn.view && Math.abs(size.h - now.h) < 160) store.do('view', { x: view.x + (size.w - now.w) / 2 / view.k, y: view.y - (size.h - now.h) / 2 / view.k });
  };

  /** Puts a drawing on the page. Seen from where the last one was, only the parts that changed are new. */
  function put(list, view, w, h) {
    const svg = layer.firstChild;
    if (svg && drawn.view && drawn.view.k === view.k && drawn.view.x === view.x && drawn.view.y === view.y && drawn.w === w && drawn.h === h) {
      list.forEach(([, inner], i) => { if (inner !== drawn.parts[i][1]) svg.children[i].innerHTML = inner; });
      return;
    }
    layer.innerHTML = `<svg width="${w}" height="${h}" viewBox="0 0 ${w} ${h}" fill="none" role="img">${list.map(([cls, inner]) => `<g class="${cls}">${inner}</g>`).join('')}</svg>`;
  }

  function redraw() {
    clearTimeout(rest);
    rest = 0;
    const s = store.get();
    const sheet = shown(s);
    if (!sheet) { layer.textContent = ''; drawn.view = null; return; }
    const margin = Math.round(Math.min(420, 0.3 * Math.max(s.size.w, s.size.h)));
    const [w, h] = [s.size.w + 2 * margin, s.size.h + 2 * margin];
    const began = performance.now();
    const list = parts(sheet, s.view, { w, h }, { shows: { ...s.shows, year: s.year }, finding: s.finding, under: page.under, above: page.above, pictureAddress: (name) => api.picture(s.holding, name) });
    put(list, s.view, w, h);
    layer.firstChild.setAttribute('aria-label', say('sheet.picture', { n: num(sheet.features.length) }));
    Object.assign(layer.style, { width: `${w}px`, height: `${h}px`, left: `${-margin}px`, top: `${-margin}px`, transform: 'translate3d(0, 0, 0)' });
    Object.assign(drawn, { view: s.view, over: margin, parts: list, w, h });
    page.drawnMs = performance.now() - began;
  }

  function move() {
    const s = store.get();
    if (!drawn.view) return;
    const c = carry(drawn.view, s.view, s.size, drawn.over);
    if (c.scale === 1 && Math.max(Math.abs(c.x), Math.abs(c.y)) > drawn.over * 0.95) { redraw(); return; }
    layer.style.transform = `translate3d(${c.x}px, ${c.y}px, 0) scale(${c.scale})`;
    clearTimeout(rest);
    rest = setTimeout(() => ask('land'), c.scale === 1 ? 250 : 120);
  }

  function drawOver() {
    const s = store.get();
    const at = (q) => toPixels(s.view, s.size, q);
    const selected = featureOf(shown(s), s.selected);
    const html = pictureOver(s.tool, at, s.view.k) + over({ selected, corner: s.corner, tool: s.tool, snapped: hands.hand.snapped, cross: s.cross, at, k: s.view.k });
    if (html !== top.was) top.innerHTML = top.was = html;
    plan.classList.toggle('drawing', Boolean(s.tool));
    legs.update();
  }

  function drawCorner() {
    const s = store.get();
    const html = furniture(s.view, s.size, shown(s));
    if (html !== corner.was) corner.innerHTML = corner.was = html;
  }

  function ask(...what) {
    for (const w of what) jobs.add(w);
    frame ||= requestAnimationFrame(() => {
      frame = 0;
      const now = new Set(jobs);
      jobs.clear();
      if (now.has('land')) redraw();
      else if (now.has('move')) move();
      if (now.has('over')) drawOver();
      if (now.has('corner')) drawCorner();
    });
  }

  /** Goes to a view: at once where motion is not wanted or the way is far, else in a fifth of a second. */
  let going = 0;
  function go(view) {
    cancelAnimationFrame(going);
    const from = store.get().view;
    if (calm() || Math.abs(Math.log(view.k / from.k)) > 1.5) { store.do('view', view); return; }
    const began = performance.now();
    const tick = (now) => {
      const t = Math.min(1, (now - began) / 200);
      const e = 1 - (1 - t) ** 3;
      store.do('view', { k: from.k * (view.k / from.k) ** e, x: from.x + (view.x - from.x) * e, y: from.y + (view.y - from.y) * e });
      if (t < 1) going = requestAnimationFrame(tick);
    };
    going = requestAnimationFrame(tick);
  }
  page.go = go;
  page.redraw = () => ask('land');

  const hands = mountHands(plan, page, () => ask('over'));
  const legs = mountLegs(plan, page);
  mountKeys(plan, page, { hands, legs });
  plan.addEventListener('pointerdown', () => cancelAnimationFrame(going));

  let fitted = null;
  store.listen((s, changed) => {
    if (changed.has('sheet') && s.sheet) {
      plan.setAttribute('aria-label', say('sheet.label', { name: s.sheet.name }));
      if (fitted !== s.holding) {
        fitted = s.holding;
        measure();
        store.do('view', fit(s.sheet.box, store.get().size));
      }
    }
    if (changed.has('holding') && !s.sheet) fitted = null;
    if (['sheet', 'trial', 'shows', 'year', 'size', 'finding'].some((k) => changed.has(k))) ask('land', 'over', 'corner');
    if (changed.has('view')) ask('move', 'over', 'corner');
    if (['tool', 'selected', 'corner', 'cross'].some((k) => changed.has(k))) ask('over');
    if (changed.has('selected') || changed.has('finding')) showChosen(s);
  });

  /** Brings what was chosen in the notebook into view. */
  function showChosen(s) {
    const sheet = shown(s);
    const found = s.finding !== null && sheet?.findings.find((f) => f.n === s.finding);
    const box = found && found.x !== null && found.x !== undefined ? [found.x, found.y, found.x, found.y] : boxOfFeature(featureOf(sheet, s.selected));
    if (!box || s.tool || page.steady) return;
    const view = bringIn(s.view, s.size, box);
    if (view !== s.view) go(view);
  }

  new ResizeObserver(measure).observe(plan);
  measure();
  ask('corner');
}
