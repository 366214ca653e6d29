// The sheet: mounts the drawing, keeps it in step with the view, and passes what pointer and keys do to the hands (hands.js).

import { boxOf, bringIn, carry, fit } from './view.js';
import { drawing } from './draw/drawing.js';
import { shown } from './state.js';

/** Mounts the sheet into an element. */
export function mountSheet(el, page) {
  const { store, api } = page;
  el.innerHTML = '<div class="plan" tabindex="0"><div class="layer"></div><svg class="over" aria-hidden="true"></svg></div>';
  const plan = el.firstElementChild;
  const layer = plan.querySelector('.layer');
  const drawn = { view: null, sheet: null, size: null, over: 0 };
  let frame = 0;
  let rest = 0;

  const measure = () => {
    const { width, height } = plan.getBoundingClientRect();
    const size = { w: Math.round(width), h: Math.round(height) };
    const now = store.get().size;
    if (size.w > 0 && size.h > 0 && (size.w !== now.w || size.h !== now.h)) store.do('size', size);
  };

  function redraw() {
    const s = store.get();
    const sheet = shown(s);
    if (!sheet) { layer.textContent = ''; return; }
    const over = Math.round(Math.min(420, 0.3 * Math.max(s.size.w, s.size.h)));
    const w = s.size.w + 2 * over;
    const h = s.size.h + 2 * over;
    const began = performance.now();
    const inner = drawing(sheet, s.view, { w, h }, { shows: s.shows, finding: s.finding, pictureAddress: (name) => api.picture(s.holding, name) });
    layer.innerHTML = `<svg width="${w}" height="${h}" fill="none" viewBox="0 0 ${w} ${h}" role="img" aria-label="plan">${inner}</svg>`;
    layer.style.width = `${w}px`;
    layer.style.height = `${h}px`;
    layer.style.left = layer.style.top = `${-over}px`;
    layer.style.transform = 'translate3d(0, 0, 0)';
    Object.assign(drawn, { view: s.view, size: s.size, over, took: performance.now() - began });
    page.redrawMs = drawn.took;
  }

  function move() {
    const s = store.get();
    if (!drawn.view) return;
    const c = carry(drawn.view, s.view, s.size, drawn.over);
    layer.style.transform = `translate3d(${c.x}px, ${c.y}px, 0) scale(${c.scale})`;
    if (c.scale === 1 && Math.max(Math.abs(c.x), Math.abs(c.y)) > drawn.over * 0.95) redraw();
    clearTimeout(rest);
    rest = setTimeout(redraw, c.scale === 1 ? 220 : 110);
  }

  let wants = '';
  const soon = (what) => {
    if (wants !== 'redraw') wants = what;
    frame ||= requestAnimationFrame(() => {
      frame = 0;
      const what = wants;
      wants = '';
      if (what === 'redraw') redraw(); else move();
    });
  };

  let fitted = null;
  store.listen((s, changed) => {
    if (changed.has('sheet') && s.sheet && fitted !== s.holding) {
      fitted = s.holding;
      measure();
      store.do('view', fit(s.sheet.box, store.get().size));
    }
    if (['sheet', 'trial', 'shows', 'size', 'finding'].some((k) => changed.has(k))) soon('redraw');
    else if (changed.has('view')) soon('move');
  });
  new ResizeObserver(measure).observe(plan);
  measure();
}
