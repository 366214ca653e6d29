// The two small fields beside the pointer: length and bearing of the leg under way, which Enter sets; above them what has been drawn
// so far. Where there is no pointer to be beside, they lie at the sheet's lower edge.

import { reading } from './tools/reading.js';
import { area, metres, num, say } from './strings.js';
import { toPixels } from './view.js';

/** A number as people type it: a comma for the point, a unit behind it. NaN where it is none, undefined where it is empty. */
export function typed(text) {
  const t = text.trim().replace(',', '.').replace(/\s*(m|°|deg)$/i, '');
  return t === '' ? undefined : /^-?\d*\.?\d+$|^-?\d+\.$/.test(t) ? Number(t) : NaN;
}

/** What the reading says in words. */
export function words(shape, state) {
  const r = reading(shape, state);
  const out = [];
  if (r.area !== null) out.push(area(r.area));
  if (state.corners.length >= 2) out.push(say('read.total', { length: metres(r.total) }));
  if (r.closing && state.corners.length >= 3) out.push(say('read.closing', { length: metres(r.closing.length), deg: num(r.closing.bearing) }));
  return out;
}

export function mountLegs(plan, page) {
  const { store } = page;
  const form = document.createElement('form');
  form.className = 'legs';
  form.hidden = true;
  form.autocomplete = 'off';
  form.innerHTML = '<span class="legs-pair"><label><span class="unseen"></span><input inputmode="decimal" name="length"><span class="unit" aria-hidden="true">m</span></label>'
    + '<label><span class="unseen"></span><input inputmode="decimal" name="bearing"><span class="unit" aria-hidden="true">°</span></label></span><output></output>';
  plan.append(form);
  const [length, bearing] = form.querySelectorAll('input');
  const [l1, l2] = form.querySelectorAll('.unseen');
  l1.textContent = say('read.length');
  l2.textContent = say('read.bearing');
  const out = form.querySelector('output');

  form.addEventListener('submit', (e) => e.preventDefault());
  function enter() {
    const [len, deg] = [typed(length.value), typed(bearing.value)];
    const wrong = (el, v, bad) => { if (bad) el.setAttribute('aria-invalid', 'true'); else el.removeAttribute('aria-invalid'); return bad; };
    if (wrong(length, len, Number.isNaN(len) || len <= 0) | wrong(bearing, deg, Number.isNaN(deg))) {
      store.do('say', { kind: 'warn', text: say('read.number') });
      return;
    }
    if (len === undefined && deg === undefined) page.acts.event({ type: 'end' });
    else page.acts.event({ type: 'leg', length: len, bearing: deg === undefined ? undefined : ((deg % 360) + 360) % 360 });
    length.value = bearing.value = '';
    if (store.get().tool) length.focus();
    else plan.focus();
  }
  form.addEventListener('keydown', (e) => {
    if (e.key === 'Enter') {
      e.preventDefault();
      enter();
    }
    if (e.key === 'Escape') {
      length.value = bearing.value = '';
      plan.focus();
    }
    e.stopPropagation();
  });
  for (const type of ['pointerdown', 'pointerup', 'pointermove', 'wheel', 'dblclick']) form.addEventListener(type, (e) => e.stopPropagation());

  return {
    /** Takes a digit typed on the sheet. */
    begin(digit) {
      if (form.hidden) return false;
      length.focus();
      length.value = digit;
      return true;
    },
    /** Puts the fields where the pointer is and fills in what they say. */
    update() {
      const { tool, view, size } = store.get();
      const on = tool?.name === 'draw' && tool.machine !== 'point' && tool.state.corners.length > 0;
      if (form.hidden === on) form.hidden = !on;
      if (!on) { length.value = bearing.value = ''; return; }
      const r = reading(tool.machine, tool.state);
      length.placeholder = r.leg ? num(r.leg.length, 2) : '';
      bearing.placeholder = r.leg ? num(r.leg.bearing, 1) : '';
      out.textContent = words(tool.machine, tool.state).join(' · ');
      if (form.contains(document.activeElement)) return;
      const docked = tool.by === 'touch' || size.w < 480;
      form.classList.toggle('docked', docked);
      if (docked) { form.style.transform = ''; return; }
      const [x, y] = toPixels(view, size, tool.state.at ?? tool.state.corners[tool.state.corners.length - 1]);
      const [w, h] = [form.offsetWidth, form.offsetHeight];
      const left = x + 20 + w > size.w ? x - 20 - w : x + 20;
      const top = y + 20 + h > size.h ? y - 20 - h : y + 20;
      form.style.transform = `translate(${Math.max(4, Math.round(left))}px, ${Math.max(4, Math.round(top))}px)`;
    },
  };
}
