// What a form asks, made from the vocabulary, and what is typed into it. Nothing here touches the document.

import { say, upper, words } from '../strings.js';

const UNITS = { degrees: '°', percent: '%', 'per metre': 'field.per-metre', hours: 'field.hours' };
const POINTS = ['N', 'NNE', 'NE', 'ENE', 'E', 'ESE', 'SE', 'SSE', 'S', 'SSW', 'SW', 'WSW', 'W', 'WNW', 'NW', 'NNW'];

/** The properties a feature of a kind may have: those of its kind first, then what every feature may have. */
export function fieldsOf(vocabulary, kind) {
  const spec = vocabulary.kinds.find((k) => k.kind === kind);
  const common = vocabulary.common.filter((p) => p.name !== 'name' && p.name !== 'notes' && p.name !== 'status');
  const first = vocabulary.common.filter((p) => p.name === 'status');
  const last = vocabulary.common.filter((p) => p.name === 'notes');
  const name = vocabulary.common.filter((p) => p.name === 'name');
  return [...name, ...first, ...(spec?.props ?? []), ...common, ...last];
}

/** Kinds that a feature with this type of geometry can be. */
export function kindsFor(vocabulary, geometry) {
  return vocabulary.kinds.filter((k) => k.geometries.includes(geometry));
}

/** What a property is called: its own words in the catalogue, else its name without the unit. */
export function labelOf(name) {
  if (Object.hasOwn(words, `label.${name}`)) return say(`label.${name}`);
  const plain = name.replace(/_(m|deg|percent|kv|m3|m_s)$/, '').replaceAll('_', ' ');
  return upper(plain);
}

/** Words of the vocabulary as a person reads them: where they name another property, its label stands. */
export const plain = (text) => (text ?? '').replaceAll(/\b[a-z]+(?:_[a-z0-9]+)+\b/g, (name) => `“${labelOf(name)}”`);

const properties = new WeakMap();

/** What the server says of the plan, as a person at the form reads it: a property goes by its label. Names and ids stay as they are. */
export function inWords(vocabulary, text) {
  if (!text || !vocabulary) return text ?? '';
  if (!properties.has(vocabulary)) properties.set(vocabulary, new Set([vocabulary.common, vocabulary.holding, ...vocabulary.kinds.map((k) => k.props)].flatMap((list) => (list ?? []).map((p) => p.name))));
  return text.replaceAll(/`?\b([a-z]+(?:_[a-z0-9]+)+)\b`?/g, (whole, name) => (properties.get(vocabulary).has(name) ? `“${labelOf(name)}”` : whole));
}

/** The unit as it stands beside a field. */
export function unitOf(prop) {
  const u = UNITS[prop.unit] ?? prop.unit ?? '';
  return Object.hasOwn(words, u) ? say(u) : u;
}

/** Does the order of a list of choices matter? It does where the default is a list with something in it. */
export const ordered = (prop) => prop.type === 'choices' && Array.isArray(prop.default) && prop.default.length > 0;

/** What holds where nothing is stated: the value that was used, else the vocabulary's default, else its words. */
export function elseOf(prop, used = {}) {
  const v = used[prop.name] ?? prop.default;
  if (v === undefined || v === null || (Array.isArray(v) && v.length === 0)) return plain(prop.else) || say('field.none');
  return shown(prop, v);
}

/** A value as words: for a field, a placeholder, a note. */
export function shown(prop, v) {
  if (v === undefined || v === null) return '';
  if (typeof v === 'boolean') return say(v ? 'field.yes' : 'field.no');
  if (Array.isArray(v)) return v.map((e) => (typeof e === 'object' ? Object.values(e).join(' ') : String(e))).join(', ');
  if (typeof v === 'object') return JSON.stringify(v);
  return String(v);
}

/** A number as people type it: 2.5, 2,5, 2.5 m, 1 200. NaN where it is none. */
export function number(text) {
  const t = String(text).trim().replace(/[\s\u00a0\u202f]+(?=\d)/g, '').replace(/\s*(m|metres?|km|kv|kwh|hours?|h|%|percent|°|degrees?|per metre)$/i, '');
  const plain = /^[+-]?\d+,\d+$/.test(t) ? t.replace(',', '.') : t.replace(/,(?=\d{3}(\D|$))/g, '');
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(plain) ? Number(plain) : NaN;
}

const trim = (v) => String(Math.round(v * 1e9) / 1e9);

function limits(prop) {
  if (prop.least === undefined || prop.least === null || (prop.least === 0 && prop.most === 0)) return '';
  return say('field.range', { least: trim(prop.least), most: trim(prop.most), unit: unitOf(prop) }).trimEnd();
}

const bounded = (prop, v) => prop.least === undefined || prop.least === null || (prop.least === 0 && prop.most === 0) || (v >= prop.least && v <= prop.most);

/**
 * Reads what stands in a field.
 * @returns {{value: *}|{unset: true}|{wrong: string}} the value, or that the field was emptied, or in words what it takes
 */
export function read(prop, text) {
  const t = typeof text === 'string' ? text.trim() : text;
  if (t === '' || t === null || t === undefined) return { unset: true };
  const label = labelOf(prop.name);
  switch (prop.type) {
    case 'number':
    case 'integer': {
      const v = number(t);
      const whole = prop.type === 'number' || Number.isInteger(v);
      if (!Number.isNaN(v) && whole && bounded(prop, v)) return { value: v };
      return { wrong: say(prop.type === 'integer' ? 'field.wants-whole' : 'field.wants-number', { label, range: limits(prop) }).replace(/\s+\./, '.') };
    }
    case 'winter': {
      const v = number(String(t).replace(/\s*[/-]\s*\d{2,4}$/, ''));
      if (Number.isInteger(v) && v >= 1000 && v <= 2200) return { value: v };
      return { wrong: say('field.wants-winter', { label }) };
    }
    case 'bearing': return bearing(prop, t, label);
    case 'yes or no': return { value: t === 'yes' || t === true };
    case 'choice':
      return prop.allowed.includes(t) ? { value: t } : { wrong: say('field.wants-choice', { label, list: prop.allowed.join(', ') }) };
    case 'position': return position(t);
    case 'object':
    case 'objects': {
      try {
        const v = JSON.parse(t);
        if (typeof v === 'object' && v !== null && Array.isArray(v) === (prop.type === 'objects')) return { value: v };
      } catch { /* said below */ }
      return { wrong: say('field.wants-json', { label }) };
    }
    default: return { value: t };
  }
}

function bearing(prop, t, label) {
  const auto = prop.default === 'auto';
  if (auto && t.toLowerCase() === 'auto') return { value: 'auto' };
  const at = POINTS.indexOf(t.toUpperCase());
  if (at >= 0) return { value: at * 22.5 };
  const v = number(t);
  if (v >= 0 && v <= 360) return { value: v };
  return { wrong: say(auto ? 'field.wants-bearing-auto' : 'field.wants-bearing', { label }) };
}

/** A place as latitude and longitude, the way maps show it. */
export function position({ lat, lon }) {
  if (String(lat).trim() === '' && String(lon).trim() === '') return { unset: true };
  const north = number(lat);
  const east = number(lon);
  if (!(Math.abs(north) <= 90)) return { wrong: say('field.wants-lat') };
  if (!(Math.abs(east) <= 180)) return { wrong: say('field.wants-lon') };
  return { value: [east, north] };
}

/** Bearing in words: 250 is WSW. */
export const compass = (deg) => POINTS[Math.round((((deg % 360) + 360) % 360) / 22.5) % 16];

/** Properties with one of them changed; undefined takes it away. Others keep their place. */
export function withProperty(properties, name, value) {
  const out = { ...properties };
  if (value === undefined) delete out[name];
  else out[name] = value;
  return out;
}
