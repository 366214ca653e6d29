// The chapter "history": every change of the plan, the newest first, and the way back and forth through them.

import { h } from '../dom.js';
import { say } from '../strings.js';
import { button } from './parts.js';
import { fetched } from './fetched.js';

const when = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', year: 'numeric', hour: '2-digit', minute: '2-digit' });

export function history(c) {
  if (!c.s.holding) return h('p', { class: 'quiet' }, say('land.none'));
  const { data, words } = fetched(c, 'history', () => c.page.api.history(c.s.holding));
  return [
    h('h2', { key: 'title' }, say('history.title')),
    h('p', { key: 'why', class: 'quiet' }, say('history.why')),
    h('div', { key: 'acts', class: 'acts' }, button(say('top.undo'), () => c.page.sync.undo()), button(say('top.redo'), () => c.page.sync.redo())),
    words,
    data && data.length === 0 ? h('p', { key: 'none' }, say('history.none')) : null,
    data ? h('ol', { key: 'list', class: 'bare steps', reversed: true }, data.map((e) => h('li', { key: `${e.revision}`, class: e.undone ? 'undone' : null },
      h('span', null, e.note || say('history.no-note'), e.undone ? h('span', { class: 'mark' }, say('history.undone')) : null),
      h('time', { class: 'small quiet', datetime: e.when }, date(e.when))))) : null,
  ];
}

function date(text) {
  const d = new Date(text);
  return Number.isNaN(d.getTime()) ? text : when.format(d);
}
