// Files dropped anywhere on the page, and data pasted outside a text field.

import { say } from '../strings.js';
import { looksLikeData, readFile } from './files.js';

const MOST = 50_000_000;

/** Takes a file in: reads it and opens the chapter that asks what it is. */
export async function takeFile(page, file) {
  if (file.size > MOST) {
    page.store.do('incoming', { name: file.name, wrong: say('files.too-large') });
    return;
  }
  takeText(page, file.name, await file.text());
}

/** Takes pasted or read text in. */
export function takeText(page, name, text) {
  const got = readFile(name, text);
  page.store.do('incoming', got.wrong ? { name, wrong: say(got.wrong) } : got);
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
    const file = e.dataTransfer.files[0];
    if (file && !file.type.startsWith('image/')) takeFile(page, file);
    else if (file) page.store.do('say', { kind: 'note', text: say('files.picture') });
  });
  document.addEventListener('paste', (e) => {
    if (/^(INPUT|TEXTAREA)$/.test(e.target.tagName)) return;
    const text = e.clipboardData?.getData('text/plain') ?? '';
    if (!looksLikeData(text)) return;
    e.preventDefault();
    takeText(page, say('files.pasted'), text);
  });
}
