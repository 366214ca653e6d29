// What the page says to the server. Every change carries the revision it was made on; the server answers 412 where somebody
// else was quicker, and then nothing is changed.

export class Refused extends Error {
  /** @param {number} status @param {Object} problem RFC 9457 document */
  constructor(status, problem) {
    super(problem.detail ?? problem.title ?? String(status));
    this.status = status;
    this.problem = problem;
  }
}

/** The server could not be reached. */
export class Away extends Error {}

async function ask(method, path, { body, revision, ifNone, signal, raw, plain } = {}) {
  const headers = {};
  if (body !== undefined) headers['Content-Type'] = plain ? 'application/octet-stream' : 'application/json';
  if (revision !== undefined) headers['If-Match'] = `"${revision}"`;
  if (ifNone !== undefined) headers['If-None-Match'] = `"${ifNone}"`;
  let answer;
  try {
    answer = await fetch(path, { method, headers, signal, body: body === undefined || plain || typeof body === 'string' ? body : JSON.stringify(body), cache: 'no-store' });
  } catch (cause) {
    if (cause.name === 'AbortError') throw cause;
    throw new Away(String(cause));
  }
  if (answer.status === 304) return { unchanged: true, revision: ifNone };
  const revisionNow = Number((answer.headers.get('ETag') ?? '').replaceAll(/[W/"]/g, '')) || undefined;
  if (!answer.ok) {
    const problem = await answer.json().catch(() => ({ title: answer.statusText }));
    throw new Refused(answer.status, problem);
  }
  if (raw) return { text: await answer.text(), revision: revisionNow };
  const data = answer.status === 204 ? null : await answer.json();
  return { data, revision: revisionNow };
}

const at = (id) => `/holdings/${encodeURIComponent(id)}`;

export const api = {
  vocabulary: () => ask('GET', '/vocabulary'),
  holdings: () => ask('GET', '/holdings'),
  /** A new holding, of a plan as an object or as the text of a file, which is kept to the letter. */
  create: (plan) => ask('POST', '/holdings', { body: plan }),
  /** A file of another program as a plan: {plan, notes}. */
  bringIn: (name, blob) => ask('POST', `/bring-in?name=${encodeURIComponent(name)}`, { body: blob, plain: true }),
  remove: (id, revision) => ask('DELETE', at(id), { revision }),
  plan: (id) => ask('GET', at(id), { raw: true }),
  // A sheet holds every year: none is asked for.
  sheet: (id, ifNone) => ask('GET', `${at(id)}/sheet`, { ifNone }),
  trial: (id, edit, signal) => ask('POST', `${at(id)}/trial`, { body: { ...edit, metres: true }, signal }),
  edit: (id, revision, edit) => ask('POST', `${at(id)}/edits?sheet=1`, { body: { metres: true, ...edit }, revision }),
  /** Replaces the holding member; the note says in the history what was changed. */
  settings: (id, revision, holding, note = '') => ask('PUT', `${at(id)}/settings${note ? `?note=${encodeURIComponent(note)}` : ''}`, { body: holding, revision }),
  /** Carries all that is drawn to another place: [longitude, latitude] of the point that metres are measured from. */
  place: (id, revision, origin) => ask('PUT', `${at(id)}/place`, { body: { origin }, revision }),
  undo: (id, revision) => ask('POST', `${at(id)}/undo`, { revision }),
  redo: (id, revision) => ask('POST', `${at(id)}/redo`, { revision }),
  history: (id) => ask('GET', `${at(id)}/history`),
  list: (id) => ask('GET', `${at(id)}/planting-list?format=json`),
  suits: (id, { x, y, purpose, raised }) => ask('GET', `${at(id)}/suits?x=${x}&y=${y}&for=${encodeURIComponent(purpose ?? '')}&raised=${raised ?? 0}`),
  /** Wind left or hours of sun on the whole holding in one year, as bands. */
  field: ({ holding, which, year, leaf, month }, signal) => ask('GET', `${at(holding)}/${which}/field?year=${year}&${which === 'shelter' ? `leaf=${leaf}` : `month=${month}`}`, { signal }),
  /** Wind left or hours of sun on the beds, in several years. */
  byYear: (id, which, years, signal) => ask('GET', `${at(id)}/${which}?years=${years.join(',')}&format=json`, { signal }),
  /** The cutting rota and balance, with the shapes of its sections. */
  wood: (id, signal) => ask('GET', `${at(id)}/wood?format=page`, { signal }),
  /** Address of a winter's cutting sheet for paper. */
  cuttingSheet: (id, winter) => `${at(id)}/wood/sheet?winter=${winter}`,
  /** Address of a download: planting-list or setout in a format. */
  download: (id, what, format) => `${at(id)}/${what}?format=${encodeURIComponent(format)}`,
  picture: (id, name) => `${at(id)}/pictures/${encodeURIComponent(name)}`,
  async sendPicture(id, name, revision, blob) {
    const answer = await fetch(at(id) + '/pictures/' + encodeURIComponent(name), { method: 'PUT', headers: { 'If-Match': `"${revision}"`, 'Content-Type': blob.type }, body: blob });
    if (!answer.ok) throw new Refused(answer.status, await answer.json().catch(() => ({ title: answer.statusText })));
    return { revision: Number((answer.headers.get('ETag') ?? '').replaceAll(/[W/"]/g, '')) };
  },
};
