// Keeping the page and the server together: sending edits in order, keeping unsent ones while the server is away (also across a
// reload, in the browser's own storage), following a second window, and asking for a trial while something is dragged (one request
// in flight, the newest wins).

import { api as server, Away, Refused } from './api.js';
import { say } from './strings.js';
import { changed } from './notebook/settings.js';
import { based, rebased } from './rebase.js';

const KEPT = 'quickthorn.unsent';
const RESTED = 400; // ms after a quick sheet until the whole one is asked for

/** The shape of a thing was changed by another window while a change of it waited that cannot be put on top. */
class Overtaken extends Error {}

/**
 * @param store  of state.js
 * @param api    of api.js, or a stand-in in tests
 * @param box    where unsent edits are kept: localStorage, or anything with getItem and setItem
 * @param later  setTimeout, or a stand-in
 */
export function createSync(store, { api = server, box = globalThis.localStorage, later = globalThis.setTimeout } = {}) {
  let sending = false;
  let asked = null; // the trial wanted next
  let trying = null; // AbortController of the one in flight

  const keep = () => {
    const { holding, pending } = store.get();
    try {
      box?.setItem(KEPT, JSON.stringify({ holding, pending }));
    } catch { /* storage may be full or forbidden: the edits are still in memory */ }
  };

  /** Edits kept from before a reload, for this holding. */
  const kept = (holding) => {
    try {
      const was = JSON.parse(box?.getItem(KEPT) ?? 'null');
      return was?.holding === holding ? was.pending : [];
    } catch {
      return [];
    }
  };

  async function pump() {
    if (sending) return;
    sending = true;
    const away = !store.get().online;
    let inHand = null;
    try {
      while (store.get().pending.length > 0) {
        const { holding, revision, pending, sheet } = store.get();
        [inHand] = pending;
        if (pending[0].settings || pending[0].place) {
          if (pending[0].place) await api.place(holding, revision, pending[0].place);
          else await api.settings(holding, revision, changed(sheet.holding ?? {}, pending[0].settings), pending[0].note);
          store.do('sent');
          keep();
          await refresh();
          pending[0].done?.([]);
          continue;
        }
        const now = rebased(pending[0], sheet);
        if (!now) throw new Overtaken();
        if (now.put.length + now.delete.length > 0) {
          const { note, metres } = pending[0];
          const { data, revision: next } = await api.edit(holding, revision, { note, put: now.put, delete: now.delete, metres: metres ?? true });
          store.do('sent');
          keep();
          store.do('online', true);
          if (data.sheet) {
            store.do('sheet', { sheet: data.sheet, revision: next ?? data.revision });
            complete();
          } else await refresh(); // another window was there before the sheet was drawn
        } else { // it is there already: the answer was lost on the way
          store.do('sent');
          keep();
          store.do('trial', null);
        }
        pending[0].done?.(now.ids);
      }
      if (away && store.get().online) store.do('say', { kind: 'note', text: say('sync.back') });
    } catch (fault) {
      await troubled(fault, inHand);
    } finally {
      sending = false;
    }
  }

  /** What to do when an edit did not go through. */
  async function troubled(fault, edit) {
    if (fault instanceof Away) {
      store.do('online', false);
      store.do('say', { kind: 'warn', text: say('sync.away', { n: store.get().pending.length }) });
      later(() => pump(), 2000);
      return;
    }
    if (fault instanceof Refused && fault.status === 412) {
      // Somebody else changed the holding: take the new sheet and try the edit again on top of it.
      try {
        await refresh();
      } catch (again) {
        return troubled(again, edit);
      }
      store.do('say', { kind: 'note', text: say('sync.stale') });
      later(() => pump(), 0);
      return;
    }
    // What was refused is let go; what waits behind it is tried.
    if (store.get().pending[0] === edit) store.do('sent');
    keep();
    store.do('trial', null);
    store.do('say', { kind: 'stop', text: fault instanceof Refused ? [fault.message, fault.problem.mend].filter(Boolean).join(' ') : say(fault instanceof Overtaken ? 'sync.overtaken' : 'sync.fault') });
    await refresh().catch(() => {});
    if (store.get().pending.length > 0) later(() => pump(), 0);
  }

  /** Asks for the whole sheet once the page has rested, where rules were left out of the one it has. */
  function complete() {
    const { revision: quick, sheet } = store.get();
    if (!sheet?.later?.length) return;
    later(() => {
      const s = store.get();
      if (s.revision !== quick || !s.sheet?.later?.length) return; // a newer sheet has its own turn, or it is whole already
      if (sending || s.pending.length > 0 || s.tool !== null) complete();
      else refresh().catch((fault) => { if (fault instanceof Away) store.do('online', false); });
    }, RESTED);
  }

  async function refresh() {
    const { holding, revision, sheet } = store.get();
    const got = await api.sheet(holding, sheet && !sheet.later?.length ? revision : undefined);
    const now = store.get();
    // An answer that was overtaken on the way, by an edit or by another holding, is let go.
    const overtaken = now.holding !== holding || got.revision < now.revision;
    if (!got.unchanged && !overtaken) store.do('sheet', { sheet: got.data, revision: got.revision });
    store.do('online', true);
  }

  return {
    refresh, pump, kept,
    /** Queues an edit {note, put, delete}, a change of the holding {note, settings}, or a move of all that is drawn {note, place}; done(ids) is called when it is acknowledged. */
    edit(edit) {
      // What is tried now would only keep the server from the change itself.
      asked = null;
      trying?.abort();
      store.do('queued', based(store.get(), edit));
      keep();
      return pump();
    },
    /** Puts edits from before a reload back into the queue. */
    resume(holding) {
      for (const e of kept(holding)) store.do('queued', e);
      return pump();
    },
    /** Asks for the sheet as if the edit were made; the newest question wins. */
    async trial(edit) {
      asked = edit;
      if (trying) return;
      while (asked) {
        const s = store.get();
        // Told as the change itself would be, so that the server knows the change again when it comes.
        const now = rebased(based(s, asked), s.sheet);
        asked = null;
        if (!now) break;
        trying = new AbortController();
        try {
          const { data } = await api.trial(s.holding, { put: now.put, delete: now.delete }, trying.signal);
          if (!asked && store.get().tool !== null) store.do('trial', data);
        } catch (fault) {
          if (fault instanceof Away) store.do('online', false);
        } finally {
          trying = null;
        }
      }
    },
    /** Nothing is tried any more. */
    still() {
      asked = null;
      trying?.abort();
      store.do('trial', null);
    },
    async undo() { await step(api.undo); },
    async redo() { await step(api.redo); },
    /** Follows other windows: asks every so often whether there is a newer revision. */
    follow(every = 3000) {
      const again = async () => {
        const s = store.get();
        if (s.holding && !sending && s.pending.length === 0 && s.tool === null) await refresh().catch((f) => { if (f instanceof Away) store.do('online', false); });
        later(again, every);
      };
      later(again, every);
    },
  };

  async function step(how) {
    const { holding, revision } = store.get();
    try {
      await how(holding, revision);
      await refresh();
      store.do('say', { kind: 'note', text: say(how === api.undo ? 'sync.undone' : 'sync.redone') });
    } catch (fault) {
      if (fault instanceof Refused && fault.status === 412) await refresh();
      store.do('say', { kind: 'note', text: fault instanceof Refused ? fault.message : say('sync.fault') });
    }
  }
}
