import test from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { words, say } from '../strings.js';

const root = new URL('../', import.meta.url);
const sources = (dir = '') => readdirSync(new URL(dir, root), { withFileTypes: true }).flatMap((d) => (d.isDirectory() ? (d.name === 'test' ? [] : sources(`${dir}${d.name}/`)) : /\.(js|html)$/.test(d.name) && d.name !== 'strings.js' ? [`${dir}${d.name}`] : []));
const texts = sources().map((name) => [name, readFileSync(new URL(name, root), 'utf8')]);
const families = new Set(Object.keys(words).map((k) => k.split('.')[0]));
const literal = /(['"`])([a-z][a-z0-9-]*(?:\.(?:[A-Za-z0-9_-]|\$\{[^}`]*\})+)+)\1/g;

/** Every text in the sources that looks like a key: whole, or with holes that are filled in when the page runs. */
const used = texts.flatMap(([name, text]) => [...text.matchAll(literal)].map((m) => ({ name, key: m[2] }))).filter(({ key }) => families.has(key.split('.')[0]) && !/\.(js|css|svg|geojson|json)$/.test(key));
const pattern = (key) => new RegExp(`^${key.split(/\$\{[^}]*\}/).map((t) => t.replaceAll('.', '\\.')).join('[A-Za-z0-9_.-]+')}$`);

test('every key that the page says has words', () => {
  for (const { name, key } of used) {
    if (key.startsWith('quickthorn.')) continue;
    if (key.includes('${')) assert.ok(Object.keys(words).some((k) => pattern(key).test(k)), `${name}: no words for any ${key}`);
    else assert.ok(Object.hasOwn(words, key), `${name}: no words for ${key}`);
  }
});

test('all words are said somewhere', () => {
  const whole = new Set(used.map((u) => u.key));
  const holes = used.filter((u) => u.key.includes('${')).map((u) => pattern(u.key));
  const idle = Object.keys(words).filter((k) => !whole.has(k) && !holes.some((p) => p.test(k)));
  assert.deepEqual(idle, []);
});

test('words are plain: no markup, no code, never the word error', () => {
  for (const [key, text] of Object.entries(words)) {
    assert.doesNotMatch(text, /\berror\b/i, key);
    assert.doesNotMatch(text, /<\w|&\w+;/, key);
    assert.equal(text.trim(), text, key);
  }
});

test('what is in braces is filled in as text, once', () => {
  assert.equal(say('note.set', { name: '{what}', what: 'height', value: '$&' }), '{what}: height $&');
  assert.equal(say('no.such-key'), 'no.such-key');
});
