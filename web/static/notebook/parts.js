// Small things that every chapter draws: figures in a running text, the signs of the warnings, a heading that opens.

import { h } from '../dom.js';
import { say } from '../strings.js';

const FIGURE = /(\d[\d,.]*\d|\d)(\s?(?:m²|m³|ha|m|km|cm|mm|kV|kWh|%|°|percent))?(?![\w])/g;

/** A sentence with its figures set as figures. */
export function figures(text) {
  const out = [];
  let at = 0;
  for (const m of String(text).matchAll(FIGURE)) {
    if (m.index > 0 && /[\w'-]/.test(text[m.index - 1])) continue;
    if (m.index > at) out.push(text.slice(at, m.index));
    out.push(h('span', { class: 'figure' }, m[0]));
    at = m.index + m[0].length;
  }
  out.push(text.slice(at));
  return out;
}

const BODY = {
  stop: () => h('path', { class: 'body', d: 'M-4.500-10.500h9l6 6v9l-6 6h-9l-6-6v-9Z' }),
  warn: () => h('path', { class: 'body', d: 'M0-11 11.500 9h-23Z' }),
  note: () => h('circle', { class: 'body', r: '10' }),
};

/** The sign of a finding, with its number: octagon, triangle or ring, as on the sheet. */
export function sign(severity, n) {
  return h('svg', { class: `sign ${severity}`, viewBox: '-13 -13 26 26', role: 'img', 'aria-label': n === undefined ? say(`severity.${severity}`) : say(`sign.${severity}`, { n }) },
    BODY[severity](), n === undefined ? null : h('text', { y: severity === 'warn' ? '6.500' : '4', 'aria-hidden': 'true' }, String(n)));
}

/** What the plan calls a thing of which an answer has the id and, where there is one, the name. */
export const calledIn = (sheet, id, name) => name || sheet?.features.find((f) => f.id === id)?.label || id;

/** A button of the notebook. */
export const button = (words, onclick, more = {}) => h('button', { type: 'button', ...more, onclick }, words);

/** An id for the document, safe whatever the plan's ids hold. */
export const idOf = (...parts) => parts.map((p) => String(p).replaceAll(/[^\w-]/g, (c) => `_${c.codePointAt(0).toString(16)}`)).join('--');
