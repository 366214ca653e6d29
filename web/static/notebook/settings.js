// Changes of the holding itself: its settings, and the findings that somebody lives with. A change is said as what to do, not as
// the result, so that it still holds when another window changed something else in the meantime.

/**
 * @typedef {Object} Change
 * @property {Object} [set]      members and their new values
 * @property {Array}  [unset]    members to take away
 * @property {Array}  [accept]   entries for `accepted`
 * @property {Array}  [withdraw] keys to take out of `accepted`
 */

/** The holding member with a change made. */
export function changed(holding, { set = {}, unset = [], accept = [], withdraw = [] }) {
  const out = { ...holding, ...set };
  for (const name of unset) delete out[name];
  if (accept.length + withdraw.length === 0) return out;
  const gone = new Set([...withdraw, ...accept.map((a) => a.key)]);
  const accepted = [...(holding?.accepted ?? []).filter((a) => !gone.has(a.key)), ...accept];
  if (accepted.length > 0) out.accepted = accepted;
  else delete out.accepted;
  return out;
}

/** The entry that accepts a finding: what it was when it was accepted, so that it lapses visibly when it gets worse. */
export function acceptance(finding, reason) {
  const a = { key: finding.key, reason: reason.trim() };
  if (finding.measured !== null && finding.measured !== undefined) a.measured = finding.measured;
  if (finding.limit !== null && finding.limit !== undefined) a.limit = finding.limit;
  if (finding.source) a.source = finding.source;
  return a;
}

/** Acceptances that no finding asks for any more: the plan was mended, or the thing is gone. */
export function idle(holding, findings) {
  const keys = new Set(findings.map((f) => f.key));
  return (holding?.accepted ?? []).filter((a) => !keys.has(a.key));
}
