// The tray of pens along the sheet's lower edge, and above it a line that says what the hands can do now, with a button for
// everything that keys and dragging do.

import { h, patch } from './dom.js';
import { icon } from './draw/icons.js';
import { inUse } from './draw/legend.js';
import { gripAt } from './draw/over.js';
import { pens } from './penlist.js';
import { featureOf, shown } from './state.js';
import { corners } from './corners.js';
import { fit, zoomAt } from './view.js';
import { say } from './strings.js';
import { inYear } from './year.js';

/** Signs of what is drawn as wide as it is in the year shown. */
const GROWS = new Set(['tree', 'tree-old', 'fruit', 'conifer', 'bush', 'hedge-old', 'hedge-new']);

/** Mounts pens, hints and legend into an element. */
export function mountPens(el, page) {
  const { store } = page;
  el.removeAttribute('role');
  el.innerHTML = '<ul class="legend"></ul><div class="strip"></div><div class="tray" role="toolbar"></div>';
  const [legend, strip, tray] = el.children;
  tray.setAttribute('aria-label', say('pens.label'));
  legend.setAttribute('aria-label', say('sheet.legend'));
  legend.tabIndex = 0;
  let tree = null;
  let signs = '';
  let open = false;
  let list = [];

  function buildTray() {
    const { first, rest } = pens(store.get().vocabulary);
    const extra = [{ key: 'tape', title: say('pen.tape') }, { key: 'picture', title: say('pen.picture') }];
    list = [...first, ...rest, ...extra];
    tray.innerHTML = `<b aria-hidden="true">${say('pens.head')}</b>`;
    const add = (pen, hidden) => {
      const b = document.createElement('button');
      b.type = 'button';
      b.className = 'pen';
      b.dataset.pen = pen.key;
      b.innerHTML = icon(pen.key);
      b.append(pen.title);
      b.hidden = hidden;
      b.tabIndex = -1;
      tray.append(b);
      return b;
    };
    first.forEach((p) => add(p, false));
    const more = add({ key: 'more', title: say('pens.more') }, false);
    more.setAttribute('aria-expanded', 'false');
    [...rest, ...extra].forEach((p) => add(p, true).classList.add('rest'));
    tray.querySelector('button').tabIndex = 0;
    mark();
  }

  function mark() {
    const { tool } = store.get();
    const key = tool?.name === 'draw' ? tool.pen.key : tool?.name;
    for (const b of tray.querySelectorAll('button')) {
      if (b.dataset.pen !== 'more') b.setAttribute('aria-pressed', String(b.dataset.pen === key));
      if (b.classList.contains('rest')) b.hidden = !open && b.dataset.pen !== key;
    }
  }

  function unfold(yes) {
    if (open === yes) return;
    open = yes;
    const b = tray.querySelector('[data-pen="more"]');
    b.setAttribute('aria-expanded', String(open));
    b.lastChild.data = say(open ? 'pens.fewer' : 'pens.more');
    tray.classList.toggle('open', open);
    mark();
  }

  tray.addEventListener('click', (e) => {
    const b = e.target.closest('button');
    if (!b) return;
    rove(b);
    if (b.dataset.pen === 'more') {
      unfold(!open);
      return;
    }
    unfold(false);
    const pen = list.find((p) => p.key === b.dataset.pen);
    if (page.panels[pen.key]) page.panels[pen.key]();
    else page.acts.take(pen);
    // From the keyboard the next thing wanted is the sheet.
    if (e.detail === 0 && store.get().tool?.name === 'draw') page.plan.focus();
  });

  function rove(to, focus = false) {
    for (const b of tray.querySelectorAll('button')) b.tabIndex = b === to ? 0 : -1;
    if (focus) { to.focus(); to.scrollIntoView({ block: 'nearest', inline: 'nearest' }); }
  }

  tray.addEventListener('keydown', (e) => {
    const all = [...tray.querySelectorAll('button')].filter((b) => !b.hidden);
    const i = all.indexOf(document.activeElement);
    const to = { ArrowRight: i + 1, ArrowDown: i + 1, ArrowLeft: i - 1, ArrowUp: i - 1, Home: 0, End: all.length - 1 }[e.key];
    if (i < 0 || to === undefined) return;
    rove(all[(to + all.length) % all.length], true);
    e.preventDefault();
  });

  const button = (key, words, onclick, more = {}) => h('button', { key, type: 'button', onclick, ...more }, words);
  const event = (type) => () => { page.acts.event({ type }); };

  function hint(s) {
    const { tool } = s;
    if (!tool) {
      const f = featureOf(s.sheet, s.selected);
      return f ? f.label : say('hint.free');
    }
    if (tool.name === 'draw') return say(tool.pen.most === 2 ? 'hint.two' : `hint.${tool.machine}`, { what: tool.pen.title });
    return say(`hint.${tool.name}`);
  }

  function deeds(s) {
    const { tool } = s;
    const leave = button('leave', say('do.leave'), () => { page.acts.leave(); });
    if (tool?.name === 'draw') {
      const n = tool.state.corners.length;
      const least = { line: 2, polygon: 3, point: 1 }[tool.machine];
      return [
        tool.machine !== 'point' ? button('done', say('do.done'), event('end'), { class: 'main', disabled: n < least }) : null,
        tool.machine !== 'point' ? button('back', say('do.back'), event('back'), { disabled: n === 0 }) : null,
        leave,
      ];
    }
    if (tool?.name === 'drag') return [button('down', say('do.down'), event('end'), { class: 'main' }), leave];
    if (tool?.name === 'split') return [button('cut', say('do.cut'), event('end'), { class: 'main', disabled: tool.state.chainage === null }), leave];
    if (tool) return [leave];
    const f = featureOf(s.sheet, s.selected);
    if (!f?.geometry) return [];
    const many = corners(f.geometry).length > 1;
    const line = /LineString/.test(f.geometry.type);
    return [
      button('move', say('do.move'), (e) => {
        // Pressed with a pointer it hangs on the pointer until the next click; from the keyboard the arrow keys move it.
        page.acts.grab({ what: 'thing', id: f.id, from: gripAt(f.geometry, store.get().view.k), by: e.detail === 0 ? 'keys' : 'click' });
        page.plan.focus();
      }),
      many && s.corner !== null ? button('in', say('do.corner-in'), () => page.acts.addCorner(f.id, s.corner)) : null,
      many && s.corner !== null ? button('out', say('do.corner-out', { n: s.corner + 1 }), () => page.acts.removeCorner(f.id, s.corner)) : null,
      line ? button('split', say('do.split'), () => { page.acts.split(f.id); page.plan.focus(); }) : null,
      button('remove', say('do.remove'), () => page.acts.remove(f.id)),
    ];
  }

  const zoom = (factor) => () => {
    const s = store.get();
    store.do('view', zoomAt(s.view, s.size, [s.size.w / 2, s.size.h / 2], factor));
  };

  function view(s) {
    return [
      h('p', { key: 'hint', class: 'hint' }, hint(s)),
      h('div', { key: 'deeds', class: 'deeds' }, deeds(s)),
      h('div', { key: 'zoom', class: 'deeds zoom' },
        button('in', '+', zoom(1.5), { 'aria-label': say('sheet.in'), title: say('sheet.in') }),
        button('out', '−', zoom(1 / 1.5), { 'aria-label': say('sheet.out'), title: say('sheet.out') }),
        button('all', say('sheet.all'), () => store.do('view', fit(store.get().sheet?.box, store.get().size)), { class: 'all' }),
        h('details', { key: 'show', class: 'show' },
          h('summary', null, say('sheet.show')),
          h('div', { class: 'show-list' }, ['findings', 'names', 'crowns', 'moisture', 'picture'].map((k) => h('label', { key: k },
            h('input', { type: 'checkbox', checked: s.shows[k], onchange: (e) => store.do('shows', { [k]: e.target.checked }) }), say(`show.${k}`))),
          h('fieldset', { key: 'field' }, h('legend', null, say('show.field')), [null, 'shelter', 'light', 'cuts'].map((k) => h('label', { key: `field-${k}` },
            h('input', { type: 'radio', name: 'field', checked: s.shows.field === k, onchange: () => store.do('shows', { field: k }) }), say(`show.field-${k}`))))))),
    ];
  }

  function drawLegend(s) {
    const keys = inUse(shown(s), s.shows);
    const when = keys.some((k) => GROWS.has(k)) && s.shows.crowns !== false ? say('legend.crowns', { when: inYear(s.year, s.sheet?.holding) }) : '';
    const now = `${keys.join(' ')} ${when}`;
    if (now === signs) return;
    signs = now;
    legend.innerHTML = (when ? `<li class="year">${when}</li>` : '') + keys.map((k) => `<li>${icon(k)}<span>${say(`sign.${k}`)}</span></li>`).join('');
  }

  let frame = 0;
  const soon = () => {
    frame ||= requestAnimationFrame(() => {
      frame = 0;
      const s = store.get();
      tree = patch(strip, tree, view(s));
      el.classList.toggle('busy', Boolean(s.tool || s.selected));
      mark();
      drawLegend(s);
    });
  };
  store.listen((s, changed) => {
    if (changed.has('vocabulary')) buildTray();
    if (['tool', 'selected', 'corner', 'sheet', 'trial', 'shows', 'year'].some((k) => changed.has(k))) soon();
  });
  document.addEventListener('click', (e) => {
    const show = strip.querySelector('details.show[open]');
    if (show && !show.contains(e.target)) show.open = false;
  });
  strip.addEventListener('keydown', (e) => {
    const show = strip.querySelector('details.show[open]');
    if (e.key === 'Escape' && show) { show.open = false; show.querySelector('summary').focus(); }
  });
  buildTray();
  soon();
}
