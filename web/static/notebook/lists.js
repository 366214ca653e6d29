// Properties that are lists: mixes, trees, the rows of a windbreak, cuts, a sward, a wind rose. A list is edited as rows of text
// fields; here they are read back, and what is wrong with them said in words.

import { number, labelOf } from './fields.js';
import { say, num } from '../strings.js';

/** The columns of each list: name, what is typed into it, least and most. */
export const COLUMNS = {
  mix: [{ name: 'species', type: 'species', must: true }, { name: 'share_percent', type: 'number', unit: '%', least: 0, most: 100, must: true }],
  trees: [
    { name: 'species', type: 'species', must: true }, { name: 'cultivar', type: 'text' }, { name: 'rootstock', type: 'text' }, { name: 'form', type: 'text' },
    { name: 'count', type: 'integer', least: 0, most: 1e6 }, { name: 'share_percent', type: 'number', unit: '%', least: 0, most: 100 },
  ],
  'windbreak rows': [{ name: 'species', type: 'species' }, { name: 'spacing_m', type: 'number', unit: 'm', least: 0.1, most: 50 }],
  cuts: [{ name: 'winter', type: 'integer', least: 1000, most: 2200, must: true }, { name: 'from_m', type: 'number', unit: 'm', least: 0, most: 1e5 }, { name: 'to_m', type: 'number', unit: 'm', least: 0, most: 1e5 }],
  sward: [{ name: 'species', type: 'text', must: true }, { name: 'percent', type: 'number', unit: '%', least: 0, most: 100 }],
  'wind rose': [
    { name: 'from_deg', type: 'number', unit: '°', least: 0, most: 360, must: true }, { name: 'percent', type: 'number', unit: '%', least: 0, most: 100, must: true },
    { name: 'speed_m_s', type: 'number', unit: 'm/s', least: 0, most: 60, must: true },
  ],
};

const cell = (v) => (v === undefined || v === null ? '' : String(v));

/** A list as it stands in the plan, as rows of text fields. Members that have no column are kept under rest. */
export function rowsOf(type, list) {
  if (!Array.isArray(list)) return [];
  return list.map((e) => {
    const o = typeof e === 'object' && e !== null ? e : type === 'cuts' ? { winter: e } : { species: e };
    const row = { rest: {}, plain: o !== e };
    for (const c of COLUMNS[type]) row[c.name] = cell(o[c.name]);
    for (const [k, v] of Object.entries(o)) if (!COLUMNS[type].some((c) => c.name === k) && k !== 'mix') row.rest[k] = v;
    if (type === 'windbreak rows' && Array.isArray(o.mix)) row.mix = rowsOf('mix', o.mix);
    return row;
  });
}

/** An empty row. */
export function blank(type) {
  const row = { rest: {} };
  for (const c of COLUMNS[type]) row[c.name] = '';
  return row;
}

const empty = (type, row) => COLUMNS[type].every((c) => row[c.name].trim() === '') && !row.mix?.length;

/**
 * Reads rows back.
 * @returns {{value: Array}|{unset: true}|{wrong: string, row?: number, column?: string}}
 */
export function readRows(type, rows) {
  const out = [];
  for (const [i, row] of rows.entries()) {
    if (empty(type, row)) continue;
    const got = readRow(type, row);
    if (got.wrong) return { wrong: say('list.row', { n: i + 1, wrong: got.wrong }), row: i, column: got.column };
    out.push(got.value);
  }
  if (out.length === 0) return { unset: true };
  return whole(type, out, rows);
}

function readRow(type, row) {
  const o = { ...row.rest };
  for (const c of COLUMNS[type]) {
    const t = row[c.name].trim();
    if (t === '') {
      if (c.must) return { wrong: say('list.missing', { what: labelOf(c.name).toLowerCase() }), column: c.name };
      continue;
    }
    if (c.type === 'species' || c.type === 'text') {
      if (!(c.name === 'species' && row.mix)) o[c.name] = t;
      continue;
    }
    const v = number(t);
    if (Number.isNaN(v) || v < c.least || v > c.most || (c.type === 'integer' && !Number.isInteger(v))) {
      return { wrong: say(c.type === 'integer' ? 'list.wants-whole' : 'list.wants-number', { what: labelOf(c.name).toLowerCase(), least: num(c.least, c.least % 1 ? 1 : 0), most: c.name === 'winter' ? c.most : num(c.most) }), column: c.name };
    }
    o[c.name] = v;
  }
  if (type === 'windbreak rows') {
    if (row.mix) {
      const mix = readRows('mix', row.mix);
      if (mix.wrong) return { wrong: mix.wrong, column: 'mix' };
      if (mix.unset) return { wrong: say('list.missing', { what: labelOf('species').toLowerCase() }), column: 'mix' };
      o.mix = mix.value;
    } else if (!o.species) return { wrong: say('list.missing', { what: labelOf('species').toLowerCase() }), column: 'species' };
  }
  if (type === 'cuts') {
    if (o.to_m !== undefined && o.to_m <= (o.from_m ?? 0)) return { wrong: say('list.cut-backwards'), column: 'to_m' };
    if (o.from_m === undefined && o.to_m === undefined && Object.keys(o).length === 1) return { value: o.winter };
  }
  if (type === 'sward' && o.percent === undefined && row.plain) return { value: o.species };
  return { value: o };
}

/** What only the whole list can be wrong in: sums, and counts beside shares. */
function whole(type, out, rows) {
  const sum = (name) => out.reduce((s, o) => s + (o[name] ?? 0), 0);
  if (type === 'mix') return sums(out, sum('share_percent'));
  if (type === 'trees') {
    const counts = out.filter((o) => o.count !== undefined).length;
    const shares = out.filter((o) => o.share_percent !== undefined).length;
    if (out.some((o) => o.count !== undefined && o.share_percent !== undefined)) return { wrong: say('list.both') };
    if (out.length === 1 && counts + shares === 0) return { value: out };
    if (counts === out.length) return { value: out };
    if (counts > 0) return { wrong: say('list.some-counts') };
    if (shares < out.length) return { wrong: say('list.no-share') };
    return sums(out, sum('share_percent'));
  }
  if (type === 'wind rose' && sum('percent') > 100.5) return { wrong: say('list.over', { sum: num(sum('percent'), 1) }) };
  return rows ? { value: out } : { unset: true };
}

function sums(out, sum) {
  if (Math.abs(sum - 100) <= 0.5 + 1e-9) return { value: out };
  return { wrong: say(sum < 100 ? 'list.short' : 'list.over-100', { sum: num(sum, 1).replace(/\.0$/, ''), rest: num(Math.abs(100 - sum), 1).replace(/\.0$/, '') }) };
}

/** Equal shares in whole percents; the first ones take what is left over. */
export function evenly(rows) {
  const n = rows.length;
  if (n === 0) return rows;
  const each = Math.floor(100 / n);
  return rows.map((r, i) => ({ ...r, share_percent: String(each + (i < 100 - each * n ? 1 : 0)) }));
}
