// The two panels that lie beside the land while they are used: a survey by tape, and a picture to trace.

import { mountTape } from './panel-tape.js';
import { mountPicture } from './panel-picture.js';

/** @returns {Object} how to open each panel, by the key of its pen */
export function mountPanels(el, page) {
  const panel = document.createElement('section');
  panel.className = 'panel';
  panel.hidden = true;
  el.append(panel);
  const tape = mountTape(panel, page);
  const picture = mountPicture(panel, page);
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
