// What a chapter reads from the server when it is opened: asked for once a revision, shown as it was until the newer one is there.

import { h } from '../dom.js';
import { say } from '../strings.js';
import { Away } from '../api.js';

/**
 * The data of a chapter, or undefined while there is none.
 * @param c
 * @param {string} name  of what is kept
 * @param {function(): Promise<{data: *}>} ask
 * @returns {{data: *, words: ?Object}} words says that it is on its way, or why it is not there
 */
export function fetched(c, name, ask) {
  const key = `${c.s.holding} ${c.s.revision}`;
  const has = c.ui.fetched.get(name) ?? {};
  if (has.key !== key) {
    c.ui.fetched.set(name, { ...has, key, words: has.data ? null : h('p', { class: 'quiet' }, say('notebook.wait')) });
    ask().then(({ data }) => keep({ key, data, words: null }), (fault) => keep({ ...has, key, words: h('p', { class: 'wrong' }, fault instanceof Away ? say('notebook.away') : fault.message) }));
  }
  function keep(what) {
    if (c.ui.fetched.get(name)?.key !== key) return;
    c.ui.fetched.set(name, what);
    c.draw();
  }
  return c.ui.fetched.get(name);
}
