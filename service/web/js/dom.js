// A small hand for making elements, and the marks of lines.

const SVG = new Set(['svg', 'path', 'circle', 'rect', 'line', 'g', 'text', 'tspan', 'defs', 'pattern']);

export const $ = id => document.getElementById(id);

/** Give the focus, where nobody has taken it elsewhere while the service was asked. */
export const giveFocus = el => { if (document.activeElement === document.body) el?.focus(); };

export function h(tag, attrs = {}, ...kids) {
  const el = SVG.has(tag) ? document.createElementNS('http://www.w3.org/2000/svg', tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attrs)) {
    if (value === undefined || value === null || value === false) continue;
    if (name === 'on') for (const [kind, act] of Object.entries(value)) el.addEventListener(kind, act);
    else if (name === 'css') for (const [property, said] of Object.entries(value)) el.style.setProperty(property, said);
    else el.setAttribute(name, value === true ? '' : value);
  }
  el.append(...kids.flat(Infinity).filter(kid => kid !== null && kid !== undefined && kid !== false));
  return el;
}

/** Make these nodes the children of a parent; what stands there already is not touched. */
export function lay(parent, nodes) {
  const wanted = new Set(nodes);
  for (const kid of [...parent.children]) if (!wanted.has(kid)) kid.remove();
  let at = parent.firstElementChild;
  for (const node of nodes) {
    if (node === at) at = at.nextElementSibling; else parent.insertBefore(node, at);
  }
}

export const button = (text, click, attrs = {}) => h('button', { type: 'button', ...attrs, on: { click } }, text);

export const field = (id, label, attrs = {}, after = null) =>
  h('p', { class: 'field' }, h('label', { for: id }, label), h('input', { id, ...attrs }), after);

export const choice = (id, label, options, chosen, change) =>
  h('p', { class: 'field' }, h('label', { for: id }, label),
    h('select', { id, on: change ? { change: event => change(event.target.value) } : {} },
      options.map(([value, text]) => h('option', { value, selected: value === chosen }, text))));

const SHAPES = {
  pennant: ['M4 2v20', 'M4 3h16l-5 5 5 5H4z'],
  open: ['M4 4h16v16H4z'],
  ring: ['M12 5a7 7 0 1 0 .01 0z'],
  half: ['M12 5a7 7 0 1 0 .01 0z', 'M12 5a7 7 0 0 1 0 14z'],
  knot: ['M12 3l9 9-9 9-9-9z', 'M8 12l3 3 5-6'],
  bollard: ['M8 20v-9h8v9', 'M5 5h14v6H5z', 'M3 20h18'],
  jar: ['M7 9h10v11H7z', 'M8 4h8v5H8z'],
  pot: ['M4 10h16v9H4z', 'M2 10h20M9 6h6'],
  cross: ['M5 5l14 14', 'M19 5L5 19'],
  pilcrow: ['M13 5v15M17 5v15M17 5h-6a4 4 0 0 0 0 8h2'],
};

export const mark = shape => shape
  ? h('svg', { class: `mark mark--${shape}`, viewBox: '0 0 24 24', width: 22, height: 22, 'aria-hidden': 'true' },
    SHAPES[shape].map((d, i) => h('path', { d, class: `mark__${i}` })))
  : h('span', { class: 'mark' });

export function notches(confidence) {
  const ten = Math.round(confidence * 10);
  const words = confidence >= .9 ? 'sure' : ten < 1 ? 'under 1 in 10' : `${ten} in 10`;
  return h('span', { class: 'sure' },
    h('span', { class: 'sure__notches', css: { '--n': ten }, 'aria-hidden': 'true' }),
    h('span', { class: `sure__words${confidence >= .9 ? ' unseen' : ''}` }, words));
}
