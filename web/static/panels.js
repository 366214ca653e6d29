// The two panels that lie beside the land while they are used: a survey by tape, and a picture to trace. Each is loaded when it is first
// opened, and kept ready once the page is at rest.

import { say } from './strings.js';

/** Milliseconds after which panels that were not opened are fetched. */
const AT_REST = 5000;

/** @returns {Object} how to open each panel, by the key of its pen */
export function mountPanels(el, page) {
  const panel = document.createElement('section');
  panel.className = 'panel';
  panel.hidden = true;
  el.append(panel);
  let both = null;
  const load = () => {
    both ??= Promise.all([import('./panel-tape.js'), import('./panel-picture.js')])
      .then(([t, p]) => mount(panel, page, t.mountTape(panel, page), p.mountPicture(panel, page)));
    return both.catch((fault) => { both = null; throw fault; });
  };
  const open = (key) => () => load().then((panels) => panels[key](), () => page.store.do('say', { kind: 'warn', text: say('notebook.away') }));
  setTimeout(() => load().catch(() => { /* it is tried again when it is wanted */ }), AT_REST);
  return { tape: open('tape'), picture: open('picture') };
}

function mount(panel, page, tape, picture) {
  page.store.listen((s, changed) => {
    if (!changed.has('tool')) return;
    const name = s.tool?.name;
    panel.hidden = name !== 'tape' && name !== 'picture';
    if (name === 'tape') tape.draw(s);
    if (name === 'picture') picture.draw(s);
    if (panel.hidden) picture.forget();
  });
  panel.addEventListener('keydown', (e) => {
    if (e.key === 'Escape') { page.acts.leave(); page.plan.focus(); }
  });
  return { tape: tape.open, picture: picture.open };
}
