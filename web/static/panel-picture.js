// A picture to trace: chosen, laid by two of its points, kept by the store.

import { h, patch } from './dom.js';
import { picture } from './tools/picture.js';
import { boxOf } from './view.js';
import { typed } from './legs.js';
import { num, say } from './strings.js';

/** What the store may call a picture: letters, digits, dots, hyphens, underscores, at most 80. */
export function pictureName(file) {
  const name = file.normalize('NFKD').replaceAll(/[^A-Za-z0-9._-]+/g, '-').replace(/^[^A-Za-z0-9]+/, '').slice(-80).replace(/^[^A-Za-z0-9]+/, '');
  return name || 'picture';
}

export function mountPicture(panel, page) {
  const { store, api } = page;
  let tree = null;
  let file = null;
  let url = null;

  const forget = () => {
    if (url) URL.revokeObjectURL(url);
    url = file = null;
  };
  const step = (e) => {
    const { tool } = store.get();
    if (tool?.state) store.do('letGo', { ...tool, state: picture.step(tool.state, e) });
  };
  page.feeds.picture = (at) => step({ type: 'set', at });

  async function choose(chosen) {
    forget();
    if (!chosen) return;
    const address = URL.createObjectURL(chosen);
    const img = new Image();
    img.src = address;
    try {
      await img.decode();
    } catch {
      URL.revokeObjectURL(address);
      store.do('say', { kind: 'warn', text: say('picture.unread') });
      return;
    }
    [file, url] = [chosen, address];
    const { view, size, tool } = store.get();
    if (tool?.name !== 'picture') return;
    store.do('letGo', { ...tool, url, state: picture.begin({ name: pictureName(chosen.name), width: img.naturalWidth, height: img.naturalHeight, box: boxOf(view, size) }) });
  }

  async function keep() {
    const { tool, holding, revision, sheet } = store.get();
    const entry = picture.entry(tool.state);
    const blob = file;
    try {
      await api.sendPicture(holding, entry.name, revision, blob);
      await page.sync.refresh();
      const others = (store.get().sheet?.holding?.pictures ?? sheet.holding?.pictures ?? []).filter((p) => p.name !== entry.name);
      store.do('letGo');
      await page.sync.edit({ note: say('edit.picture', { what: entry.name }), settings: { set: { pictures: [...others, entry] } } });
    } catch (fault) {
      store.do('say', { kind: 'warn', text: [fault.message, fault.problem?.mend].filter(Boolean).join(' ') });
    }
  }

  return {
    forget,
    open() {
      if (store.get().tool?.name === 'picture') { page.acts.leave(); return; }
      page.sync.still();
      store.do('select', { id: null });
      store.do('tool', { name: 'picture', by: 'pointer', state: null });
      panel.querySelector('input')?.focus();
    },
    draw(s) {
      const { state } = s.tool;
      const picked = state?.picked.length ?? 0;
      const value = (name) => typed(panel.querySelector(`[name="${name}"]`)?.value ?? '');
      tree = patch(panel, panel.dataset.of === 'picture' ? tree : (panel.textContent = '', null), [
        h('h2', { key: 'h' }, say('picture.title')),
        h('label', { key: 'file' }, h('span', null, say('picture.choose')), h('input', { type: 'file', accept: 'image/png,image/jpeg,image/webp', onchange: (e) => choose(e.target.files[0]) })),
        state && picked < 2 ? h('p', { key: 'say', role: 'status' }, say(picked === 0 ? 'picture.first' : 'picture.second')) : null,
        picked === 2 ? h('form', { key: 'known', onsubmit: (e) => { e.preventDefault(); step({ type: 'known', length: value('far'), bearing: value('deg') }); } },
          h('label', { key: 'far' }, h('span', null, say('picture.known')), h('span', { class: 'with-unit' }, h('input', { name: 'far', type: 'text', inputmode: 'decimal', autocomplete: 'off', placeholder: num(picture.apart(state), 2) }), 'm')),
          h('label', { key: 'deg' }, h('span', null, say('picture.bearing')), h('span', { class: 'with-unit' }, h('input', { name: 'deg', type: 'text', inputmode: 'decimal', autocomplete: 'off' }), '°')),
          h('div', { class: 'deeds' }, h('button', { key: 'lay', type: 'submit' }, say('picture.lay')),
            h('button', { key: 'again', type: 'button', onclick: () => { step({ type: 'back' }); step({ type: 'back' }); } }, say('picture.again')))) : null,
        h('div', { key: 'end', class: 'deeds' },
          h('button', { key: 'keep', type: 'button', class: 'main', disabled: picked < 2, onclick: keep }, say('picture.keep')),
          h('button', { key: 'leave', type: 'button', onclick: () => page.acts.leave() }, say('do.leave'))),
      ]);
      panel.dataset.of = 'picture';
    },
  };
}
