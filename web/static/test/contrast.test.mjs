import test from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';

// WCAG 2.2 (W3C): relative luminance and contrast ratio; text 4.5 : 1 (1.4.3), signs that carry meaning 3 : 1 (1.4.11).
const css = readFileSync(new URL('../style.css', import.meta.url), 'utf8');
const tokens = (selector) => {
  const block = css.slice(css.indexOf(selector)).match(/\{([^}]*)\}/)[1];
  return Object.fromEntries([...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6})\b/g)].map((m) => [m[1], m[2]]));
};
const themes = { light: tokens(':root {'), dark: tokens(':root[data-theme="dark"]') };
const rgb = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
const luminance = (c) => c.map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
const ratio = (a, b) => { const [x, y] = [luminance(a), luminance(b)].sort((m, n) => n - m); return (x + 0.05) / (y + 0.05); };
const mix = (a, b, t) => a.map((v, i) => v * t + b[i] * (1 - t));

test('the ratio itself: black on white is 21, the same colour 1', () => {
  assert.equal(ratio([0, 0, 0], [255, 255, 255]), 21);
  assert.equal(ratio([9, 9, 9], [9, 9, 9]), 1);
});

for (const [name, t] of Object.entries(themes)) {
  const on = (a, b, least, what) => assert.ok(ratio(a, b) >= least, `${name}: ${what} has ${ratio(a, b).toFixed(2)}, wants ${least}`);
  const c = (k) => rgb(t[k]);
  test(`${name}: words on paper`, () => {
    for (const ground of ['paper', 'paper-2']) for (const ink of ['ink', 'ink-2']) on(c(ink), c(ground), 4.5, `${ink} on ${ground}`);
    on(c('paper'), c('stop'), 4.5, 'the number in a stop');
    on(c('ink'), c('warn-fill'), 4.5, 'the number in a warning');
    on(c('note'), c('paper'), 4.5, 'the number in a note');
  });
  test(`${name}: signs on paper, on canopies, on tinted ground`, () => {
    const canopy = mix(c('leaf'), c('paper'), 0.17);
    const wettest = mix(c('water'), c('paper'), 0.34);
    for (const sign of ['ink', 'ink-2', 'leaf', 'water', 'earth', 'stop', 'warn', 'note', 'focus', 'edge']) {
      on(c(sign), c('paper'), 3, sign);
      on(c(sign), c('paper-2'), 3, `${sign} in the tray`);
    }
    on(c('ink'), canopy, 4.5, 'stems on a canopy');
    on(c('leaf'), canopy, 3, 'the edge of a canopy');
    on(c('water'), wettest, 3, 'water lines on standing water');
    on(c('ink'), mix(c('leaf'), c('paper'), 0.28), 4.5, 'the stem of a standing tree');
  });
}
