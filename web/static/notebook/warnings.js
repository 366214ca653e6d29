// The chapter "warnings": every finding, gravest first, with the numbers of the sheet. Those of one rule stand together, and
// what the rule warns of is said once.

import { h } from '../dom.js';
import { say, num } from '../strings.js';
import { button, sign } from './parts.js';
import { findingView } from './finding.js';
import { idle } from './settings.js';

const SEVERITIES = ['stop', 'warn', 'note'];

/** Findings by severity, then by rule, in the order of their numbers; cautions that all of a rule share are taken out. */
export function grouped(findings, only = null) {
  const out = SEVERITIES.map((severity) => ({ severity, rules: [] }));
  for (const f of findings) {
    if (only === 'accepted' ? !f.accepted : only && f.severity !== only) continue;
    const group = out[SEVERITIES.indexOf(f.severity)];
    let rule = group.rules.find((r) => r.rule === f.rule);
    if (!rule) group.rules.push(rule = { rule: f.rule, findings: [], cautions: [] });
    rule.findings.push(f);
  }
  for (const g of out) {
    for (const r of g.rules) r.cautions = r.findings[0].cautions.filter((t) => r.findings.every((f) => f.cautions.includes(t)));
  }
  return out.filter((g) => g.rules.length > 0);
}

export function warnings(c) {
  if (!c.sheet) return h('p', { class: 'quiet' }, say('land.none'));
  const all = c.sheet.findings;
  const accepted = all.filter((f) => f.accepted).length;
  const only = c.ui.only;
  const groups = grouped(all, only);
  const gone = idle(c.sheet.holding, all);
  return [
    h('section', { key: 'head', 'aria-labelledby': 'warn-title' },
      h('h2', { id: 'warn-title' }, say('warn.title')),
      h('p', { class: 'lead' }, all.length === 0 ? say('warn.none') : summary(all)),
      c.sheet.later?.length ? h('p', { key: 'later', class: 'small quiet' }, say('warn.later', { rules: c.sheet.later.map((r) => c.ruleTitle(r)).join('; ') })) : null,
      all.length === 0 ? null : h('div', { class: 'filter', role: 'group', 'aria-label': say('warn.filter') },
        choice(c, null, say('warn.all'), all.length, null),
        SEVERITIES.map((v) => choice(c, v, say(`severity.${v}`), all.filter((f) => f.severity === v).length, v)),
        accepted > 0 ? choice(c, 'accepted', say('warn.accepted'), accepted, null) : null)),
    groups.map((g) => h('section', { key: g.severity, 'aria-labelledby': `warn-${g.severity}` },
      h('h2', { id: `warn-${g.severity}` }, say(`severity.${g.severity}-long`)),
      g.rules.map((r) => h('div', { key: r.rule },
        h('h3', null, c.ruleTitle(r.rule)),
        r.cautions.length ? h('ul', { class: 'words small quiet' }, r.cautions.map((t) => h('li', { key: t }, t))) : null,
        h('ul', { class: 'bare' }, r.findings.map((f) => findingView(c, f, { cautions: f.cautions.filter((t) => !r.cautions.includes(t)) }))))))),
    gone.length === 0 ? null : h('section', { key: 'idle', 'aria-labelledby': 'warn-idle' },
      h('h2', { id: 'warn-idle' }, say('warn.idle')), h('p', { class: 'small quiet' }, say('warn.idle-why')),
      h('ul', { class: 'bare' }, gone.map((a) => h('li', { key: a.key, class: 'acts' }, h('span', null, a.reason || say('find.no-reason')),
        button(say('find.withdraw'), () => c.settings({ withdraw: [a.key] }, say('warn.idle-note'))))))),
  ];
}

function summary(all) {
  const open = all.filter((f) => !f.accepted);
  const n = (v) => open.filter((f) => f.severity === v).length;
  return say('warn.summary', { stop: num(n('stop')), warn: num(n('warn')), note: num(n('note')) });
}

function choice(c, value, words, n, severity) {
  return h('button', { key: `only-${value}`, type: 'button', 'aria-pressed': String(c.ui.only === value), onclick: () => { c.ui.only = value; c.draw(); } },
    severity ? sign(severity) : null, words, h('span', { class: 'num quiet' }, num(n)));
}
