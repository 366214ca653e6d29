// A finding in the notebook: what it says, how it was measured, who says so, what to do about it.

import { h } from '../dom.js';
import { say, num } from '../strings.js';
import { inWords } from './fields.js';
import { button, figures, idOf, sign } from './parts.js';
import { acceptance } from './settings.js';

/**
 * @param c     what the notebook draws with
 * @param f     the finding
 * @param how   {full: with its figures and buttons; cautions: false to leave them to the heading}
 */
export function findingView(c, f, { full = true, cautions = f.cautions } = {}) {
  const here = c.s.finding === f.n;
  return h('li', { key: `find-${f.key}`, class: `find ${f.severity}${f.accepted ? ' accepted' : ''}${here ? ' here' : ''}`, 'data-finding': f.n, id: idOf('finding', f.n) },
    h('p', null, sign(f.severity, f.n), figures(inWords(c.vocabulary, f.message)), full || here ? null : [' ', more(c, f)]),
    f.accepted ? h('p', { class: 'small' }, say('find.accepted', { reason: f.accepted.reason || say('find.no-reason') })) : null,
    full || here ? detail(c, f, cautions) : f.fix ? h('div', { class: 'acts' }, fixButton(c, f)) : null);
}

const more = (c, f) => button(say('find.more'), () => c.show(f), { class: 'more', 'aria-label': say('find.more-of', { n: f.n }) });

function detail(c, f, cautions) {
  return [
    h('p', { class: 'small' }, figures(measured(f)), source(f)),
    cautions?.length ? h('ul', { class: 'small' }, cautions.map((t) => h('li', { key: t }, t))) : null,
    actions(c, f),
  ];
}

/** Measured against limit, in one sentence. */
export function measured(f) {
  const one = f.measured === 1 && f.limit === null;
  const figure = (v) => num(v, Number.isInteger(v) ? 0 : Math.abs(v) < 10 ? 2 : 1);
  const unit = f.unit ? ` ${one ? unitWord(f.unit).replace(/s$/, '') : unitWord(f.unit)}` : '';
  if (f.measured !== null && f.limit !== null) return say('find.measured-limit', { measured: figure(f.measured), limit: figure(f.limit), unit });
  if (f.measured !== null) return say('find.measured', { measured: figure(f.measured), unit });
  return '';
}

const unitWord = (u) => (u === 'percent' ? '%' : u === 'degrees' ? '°' : u);

const source = (f) => [' ', say('find.source', { source: f.source || say('find.no-source') }), f.confidence && f.confidence !== 'published' ? ` (${f.confidence})` : '', '.'];

function fixButton(c, f) {
  return button(inWords(c.vocabulary, f.fix.say), () => applyFix(c, f));
}

function applyFix(c, f) {
  if (c.s.pending.length > 0) {
    c.tell('note', say('find.wait'));
    return;
  }
  const what = inWords(c.vocabulary, f.fix.say);
  c.page.sync.edit({ note: what, put: f.fix.put ?? [], delete: f.fix.delete ?? [], metres: false, done: () => c.tell('note', say('find.fixed', { what })) });
}

function brief(c, f) {
  const text = inWords(c.vocabulary, f.message);
  return text.length > 160 ? `${text.slice(0, 159)}…` : text;
}

function actions(c, f) {
  const open = c.ui.accepting === f.key;
  return [
    h('div', { class: 'acts' },
      f.fix ? fixButton(c, f) : null,
      f.x !== null && f.x !== undefined ? button(say('find.show'), () => c.show(f), { 'aria-label': say('find.show-of', { n: f.n }) }) : null,
      f.accepted ? button(say('find.withdraw'), () => c.settings({ withdraw: [f.key] }, say('note.withdrawn', { what: brief(c, f) }), say('find.withdrawn-note', { n: f.n })), { 'aria-label': say('find.withdraw-of', { n: f.n }) })
        : button(say('find.accept'), () => { c.ui.accepting = open ? null : f.key; c.ui.reason = ''; c.ui.reasonWrong = ''; c.draw(); }, { 'aria-expanded': String(open), 'aria-label': say('find.accept-of', { n: f.n }) })),
    open && !f.accepted ? reason(c, f) : null,
  ];
}

function reason(c, f) {
  const id = idOf('reason', f.key);
  const accept = () => {
    if (c.ui.reason.trim() === '') {
      c.ui.reasonWrong = say('find.reason-wanted');
      c.draw();
      return;
    }
    c.ui.accepting = null;
    c.settings({ accept: [acceptance(f, c.ui.reason)] }, say('note.accepted', { what: brief(c, f), reason: brief(c.ui.reason) }), say('find.accepted-note', { n: f.n }));
  };
  return h('div', { key: 'reason', class: 'reason' },
    h('label', { for: id, class: 'small' }, say('find.reason')),
    h('div', { class: 'line-up' },
      h('input', { id, key: 'field', type: 'text', value: c.ui.reason, maxlength: '500', 'aria-invalid': c.ui.reasonWrong ? 'true' : null, 'aria-describedby': c.ui.reasonWrong ? `${id}-wrong` : null,
        oninput: (e) => { c.ui.reason = e.target.value; }, onkeydown: (e) => { if (e.key === 'Enter') { c.ui.reason = e.target.value; accept(); } } }),
      button(say('find.accept-it'), accept)),
    c.ui.reasonWrong ? h('p', { id: `${id}-wrong`, class: 'wrong' }, c.ui.reasonWrong) : null);
}
