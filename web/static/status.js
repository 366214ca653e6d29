// The line of messages at the foot of the page. What is only worth knowing goes by itself, and stands in the history anyway; what matters
// stays until it is closed or something newer is said, so that nothing lies covered for longer than the user wants.

import { say } from './strings.js';

/** Milliseconds that a note is left standing. */
export const STANDS = 8000;

/**
 * @param line   the live region: text only, so that a screen reader says the message and nothing else
 * @param close  the button that takes the message away
 * @param later, stop  setTimeout and clearTimeout, or stand-ins in tests
 */
export function mountStatus(line, close, store, { later = globalThis.setTimeout, stop = globalThis.clearTimeout } = {}) {
  let clock = 0;
  close.textContent = say('status.close');
  close.hidden = true;
  const away = () => store.do('say', null);
  close.addEventListener('click', away);
  return {
    show(message) {
      stop(clock);
      line.textContent = message?.text ?? '';
      close.hidden = !message;
      if (message?.kind === 'note') clock = later(away, STANDS);
    },
  };
}
