// A page described as a tree of plain objects, and the least change to the document that makes it so. Elements are kept by their
// key, so that a field keeps its focus and its caret while everything around it is drawn anew.

const SVG = new Set(['svg', 'g', 'path', 'circle', 'rect', 'line', 'text']);
const PROPERTIES = new Set(['checked', 'disabled', 'hidden', 'open', 'indeterminate', 'readOnly', 'multiple']);

/**
 * Describes an element. Members of props: key (stays the same element), on... (handlers), value, everything else an attribute.
 * @param {string} tag
 * @param {?Object} props
 * @param {...(Object|string|number|null|false|Array)} kids
 */
export function h(tag, props, ...kids) {
  return { tag, props: props ?? {}, kids: flat(kids), el: null };
}

function flat(kids) {
  return kids.flat(Infinity).filter((k) => k !== null && k !== undefined && k !== false && k !== '')
    .map((k) => (typeof k === 'object' ? k : { text: String(k), el: null }));
}

/** Makes the children of an element what the tree says; was is what patch returned the last time. */
export function patch(root, was, tree) {
  const kids = flat([tree]);
  children(root, was ?? [], kids);
  return kids;
}

function children(parent, was, kids) {
  const keyed = new Map();
  const loose = [];
  for (const k of was) {
    if (k.props?.key !== undefined) keyed.set(k.props.key, k);
    else loose.push(k);
  }
  const stays = new Set();
  let next = 0;
  for (const k of kids) {
    let old;
    if (k.props?.key !== undefined) {
      old = keyed.get(k.props.key);
    } else {
      const at = loose.findIndex((o, i) => i >= next && o.tag === k.tag);
      if (at >= 0) {
        old = loose[at];
        next = at + 1;
      }
    }
    if (old && old.tag === k.tag && !stays.has(old)) {
      stays.add(old);
      update(old, k);
    } else {
      create(k);
    }
  }
  for (const o of was) if (!stays.has(o)) o.el.remove();
  let ref = parent.firstChild;
  for (const k of kids) {
    if (k.el === ref) ref = ref.nextSibling;
    else parent.insertBefore(k.el, ref);
  }
}

function create(k) {
  if (k.text !== undefined) {
    k.el = document.createTextNode(k.text);
    return;
  }
  k.el = SVG.has(k.tag) ? document.createElementNS('http://www.w3.org/2000/svg', k.tag) : document.createElement(k.tag);
  children(k.el, [], k.kids);
  attributes(k.el, {}, k.props);
}

function update(old, k) {
  k.el = old.el;
  if (k.text !== undefined) {
    if (k.text !== old.text) k.el.data = k.text;
    return;
  }
  children(k.el, old.kids, k.kids);
  attributes(k.el, old.props, k.props);
}

function attributes(el, was, props) {
  for (const name of Object.keys(was)) if (!(name in props)) set(el, name, undefined, was[name]);
  for (const [name, v] of Object.entries(props)) if (name !== 'value' && v !== was[name]) set(el, name, v, was[name]);
  if ('value' in props) value(el, props.value, was.value);
}

function set(el, name, v) {
  if (name === 'key') return;
  if (name.startsWith('on')) el[name] = v ?? null;
  else if (PROPERTIES.has(name)) el[name] = Boolean(v);
  else if (v === undefined || v === null || v === false) el.removeAttribute(name);
  else el.setAttribute(name, v === true ? '' : v);
}

// What somebody is typing is theirs until they leave the field.
function value(el, v, was) {
  const typing = el === document.activeElement && el.dataset?.typed === 'yes';
  if (el.tagName === 'SELECT' || (v !== was && !typing)) {
    if (el.value !== String(v)) el.value = v;
  }
}
