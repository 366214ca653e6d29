// Files dropped anywhere on the page, and data pasted outside a text field.

import { say } from '../strings.js';
import { foreign, looksLikeData, readFile } from './files.js';

const MOST = 50_000_000;

/** Takes a file in: reads it and opens the chapter that asks what it is. */
export async function takeFile(page, file) {
  if (file.size > MOST) {
    page.store.do('incoming', { name: file.name, wrong: say('files.too-large') });
    return;
  }
  await take(page, file.name, await file.text(), file);
}

/** Takes pasted or read text in. */
export const takeText = (page, name, text) => take(page, name, text, text);

/** A file of another program is made a plan by the server first; raw is the file as it is, which need not be text. */
async function take(page, name, text, raw) {
  let notes = [];
  if (foreign(text)) {
    try {
      const { data } = await page.api.bringIn(name, raw);
      notes = data.notes;
      text = JSON.stringify(data.plan);
    } catch (fault) {
      page.store.do('incoming', { name, wrong: fault.problem ? [fault.problem.detail, fault.problem.mend].filter(Boolean).join(' ') : say('notebook.away') });
      return;
    }
  }
  const got = readFile(name, text);
  page.store.do('incoming', got.wrong ? { name, wrong: say(got.wrong) } : { ...got, notes });
}

/** One file at a time: each is looked at before it goes anywhere. Pictures belong elsewhere. */
function takeFirst(page, files) {
  const file = files.find((f) => !f.type.startsWith('image/'));
  if (file) takeFile(page, file);
  const text = !file && files.length > 0 ? say('files.picture') : files.length > 1 ? say('files.first', { name: file.name }) : null;
  if (text) page.store.do('say', { kind: 'note', text });
}

export function listenForFiles(page) {
  const root = document.documentElement;
  const carries = (e) => e.dataTransfer?.types?.includes('Files');
  const show = (on) => root.classList.toggle('dropping', on);
  document.addEventListener('dragover', (e) => {
    if (!carries(e)) return;
    e.preventDefault();
    e.dataTransfer.dropEffect = 'copy';
    show(true);
  });
  document.addEventListener('dragleave', (e) => { if (e.relatedTarget === null) show(false); });
  document.addEventListener('drop', (e) => {
    if (!carries(e)) return;
    show(false);
    if (e.defaultPrevented) return;
    e.preventDefault();
    takeFirst(page, [...e.dataTransfer.files]);
  });
  document.addEventListener('paste', (e) => {
    if (/^(INPUT|TEXTAREA)$/.test(e.target.tagName)) return;
    const text = e.clipboardData?.getData('text/plain') ?? '';
    if (!looksLikeData(text)) return;
    e.preventDefault();
    takeText(page, say('files.pasted'), text);
  });
}
