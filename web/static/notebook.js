// The notebook: chapters of one text beside the sheet. It is described anew whenever the state changes and put on the page with
// the least change, so that a field in use keeps its focus and what is typed into it.

import { h, patch } from './dom.js';
import { say, num } from './strings.js';
import { shown } from './state.js';
import { land } from './notebook/land.js';
import { warnings } from './notebook/warnings.js';
import { begin } from './notebook/begin.js';
import { listenForFiles } from './notebook/drop.js';

/** The chapters in their order, a line each: those that are read first are there, the others are loaded when first opened. */
const CHAPTERS = [
  { name: 'land', draw: land },
  { name: 'warnings', draw: warnings },
  { name: 'years', load: () => import('./notebook/years.js').then((m) => m.chapter()) },
  { name: 'wood', load: () => import('./notebook/wood.js').then((m) => m.chapter()) },
  { name: 'list', load: () => import('./notebook/list.js').then((m) => m.plantingList) },
  { name: 'holding', load: () => import('./notebook/holding.js').then((m) => m.holding) },
  { name: 'history', load: () => import('./notebook/history.js').then((m) => m.history) },
  { name: 'begin', draw: begin },
];
const NARROW = '(max-width: 52rem)';
/** What comes from the sheet or the server rather than from somebody reading: the sheet is drawn first, the text follows. */
const PATIENT = new Set(['sheet', 'revision', 'trial', 'pending', 'online', 'year', 'byYear', 'wood', 'holdings']);
/** Milliseconds after which chapters that were not opened are fetched. */
const AT_REST = 4000;
/** Milliseconds for which a press holds back what comes by itself. */
const LONGEST_PRESS = 1000;
/** Parts of the state that no chapter tells of. */
const SILENT = new Set(['view', 'size', 'cross', 'tool', 'message', 'corner']);

/** Mounts the notebook into an element. */
export function mountNotebook(root, page) {
  const { store } = page;
  root.setAttribute('aria-label', say('notebook.title'));
  const ui = { drafts: new Map(), faults: new Map(), suits: new Map(), combo: null, accepting: null, reason: '', reasonWrong: '', only: null, fetched: new Map(), begin: {} };
  const after = [];
  let tree = null;
  let frame = 0;

  const chapters = createChapters(() => draw());
  const draw = () => { frame ||= requestAnimationFrame(now); };
  /** Draws once the sheet has been drawn and shown. */
  let late = 0;
  const follow = () => { late ||= requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(() => { if (late && !pressed) now(); }))); };
  // Text that moved while somebody presses would take what they press from under them: what comes by itself waits until they let go.
  // A list that the browser opens can swallow the letting go, so it waits no longer than a second.
  let pressed = 0;
  const letGo = () => {
    clearTimeout(pressed);
    pressed = 0;
    if (late) setTimeout(() => { if (late && !pressed) now(); });
  };
  root.addEventListener('pointerdown', () => {
    clearTimeout(pressed);
    pressed = setTimeout(letGo, LONGEST_PRESS);
  }, true);
  for (const end of ['pointerup', 'pointercancel']) addEventListener(end, letGo, true);
  function now() {
    cancelAnimationFrame(frame);
    frame = late = 0;
    tree = patch(root, tree, view(context(), chapters));
    for (const f of after.splice(0)) f();
  }

  function context() {
    const s = store.get();
    return {
      s, page, ui, draw, sheet: shown(s), vocabulary: s.vocabulary, narrow: matchMedia(NARROW).matches, afterDraw: (f) => after.push(f),
      tell: (kind, text) => store.do('say', { kind, text }),
      settings: (change, note, said = note) => page.sync.edit({ note, settings: change, done: () => store.do('say', { kind: 'note', text: said }) }),
      open: (id) => { own = true; store.do('select', { id }); own = false; },
      show: (f) => {
        own = true;
        store.do('select', { id: f.features[0] ?? null, finding: f.n });
        own = false;
        toSheet();
      },
      toSheet,
      ruleTitle: (id) => s.vocabulary.rules.find((r) => r.id === id)?.title ?? id.replace('.', ': ').replaceAll('-', ' '),
    };
  }

  let own = false; // the last selection was made here
  store.listen((s, changed) => {
    if (changed.has('holding')) {
      ui.drafts.clear();
      ui.faults.clear();
      ui.fetched.clear();
      ui.accepting = null;
    }
    if (changed.has('selected') || changed.has('finding')) {
      const mine = own;
      ui.combo = null;
      if ((s.selected !== null || s.finding !== null) && s.tool === null && !mine) {
        if (s.chapter !== 'land' && !(s.chapter === 'warnings' && s.finding !== null)) store.do('chapter', s.selected === null ? 'warnings' : 'land');
        after.push(() => goTo(root, s));
      }
    }
    if (changed.has('chapter')) after.push(() => { if (!matchMedia(NARROW).matches && s.selected === null) root.scrollTop = 0; });
    const heard = [...changed].filter((k) => !SILENT.has(k));
    if (heard.some((k) => !PATIENT.has(k)) || after.length > 0) draw();
    else if (heard.length > 0) follow();
  });

  // What somebody is typing is left alone until they leave the field or press Enter.
  root.addEventListener('input', (e) => { e.target.dataset.typed = 'yes'; }, true);
  root.addEventListener('change', (e) => { delete e.target.dataset.typed; }, true);
  matchMedia(NARROW).addEventListener('change', draw);
  listenForFiles(page);
  now();
}

/** What draws each chapter: there, on its way, or not to be had for now. */
function createChapters(draw) {
  const have = new Map(CHAPTERS.filter((k) => k.draw).map((k) => [k.name, k.draw]));
  const flying = new Set();
  let failed = null;
  const load = ({ name, load: how }) => {
    if (have.has(name) || flying.has(name)) return;
    flying.add(name);
    how().then((f) => { have.set(name, f); failed = null; }, () => { failed = name; }).finally(() => { flying.delete(name); draw(); });
  };
  // Those that were not opened yet are fetched once the page is at rest, so that they are there when the server is away.
  setTimeout(() => CHAPTERS.forEach(load), AT_REST);
  return (name) => {
    if (have.has(name)) return have.get(name);
    if (failed === name) return () => h('p', { class: 'wrong' }, say('notebook.away'), ' ', h('button', { type: 'button', onclick: () => { failed = null; draw(); } }, say('notebook.again')));
    load(CHAPTERS.find((k) => k.name === name));
    return () => h('p', { class: 'quiet' }, say('notebook.wait'));
  };
}

function view(c, chapters) {
  const chapter = CHAPTERS.some((k) => k.name === c.s.chapter) ? c.s.chapter : 'land';
  return [
    h('nav', { key: 'nav', class: 'chapters', 'aria-label': say('notebook.chapters') }, h('ul', null, CHAPTERS.map(({ name }) => tab(c, name, name === chapter)))),
    h('div', { key: `chapter-${chapter}`, class: `chapter ${chapter}` }, c.vocabulary || chapter === 'begin' ? chapters(chapter)(c) : h('p', { class: 'quiet' }, say('notebook.wait'))),
  ];
}

function tab(c, name, here) {
  const counts = c.sheet?.counts;
  const n = name === 'warnings' && counts ? counts.stop + counts.warn + counts.note : 0;
  return h('li', { key: name }, h('button', { type: 'button', 'aria-current': here ? 'page' : null, onclick: () => c.page.store.do('chapter', name) }, say(`chapter.${name}`), n > 0 ? [' ', h('span', { class: 'count' }, num(n))] : null));
}

/** On a narrow screen the sheet lies above the text: back to it. */
function toSheet() {
  if (matchMedia(NARROW).matches) document.getElementById('sheet').scrollIntoView({ block: 'start' });
}

/** Brings the entry or the finding into view; on a narrow screen the chosen entry stands first, and nothing moves. */
function goTo(root, s) {
  if (matchMedia(NARROW).matches) return;
  const find = s.finding !== null && root.querySelector(`[data-finding="${s.finding}"]`);
  const entry = s.selected !== null && [...root.querySelectorAll('[data-entry]')].find((e) => e.dataset.entry === s.selected);
  (find || entry)?.scrollIntoView({ block: find ? 'center' : 'start', behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });
}
