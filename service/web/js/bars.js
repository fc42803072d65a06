// Bars of one component: solid to the low bound, soft to the high one; dashed where the value is not known.
import { h } from './dom.js';
import { component, state } from './state.js';
import { number, read, withUnit } from './figures.js';

const STEPS = [1, 1.5, 2, 3, 4, 5, 6, 8, 10];

/** The top of the axis: the next round number above the largest bound of any line. */
export function axisTop(lines) {
  const bounds = lines.map(line => { const f = read(line.brought, state.component); return f ? f.high ?? f.known : 0; });
  const most = Math.max(...bounds, .1), ten = 10 ** Math.floor(Math.log10(most));
  return STEPS.map(step => step * ten).find(top => top >= most * 1.0001) ?? 10 * ten;
}

const percent = (value, top) => `${Math.min(100, 100 * value / top).toFixed(2)}%`;
const end = (...kids) => h('span', { class: 'bar__end' }, kids);
const words = text => h('span', { class: 'bar__value' }, text);

export function bar(line, top, { off, hatched }) {
  const one = component(state.component);
  if (line.kind === 'not_food') return h('div', { class: 'bar bar--none' });
  if (line.kind === 'left_out') return h('div', { class: 'bar bar--out' }, words('counts nowhere'));
  if (line.kind === 'waiting' || line.kind === 'unsent') return h('div', { class: 'bar bar--waiting' }, words(line.kind === 'waiting' ? 'on the scale' : 'not yet weighed'));
  const found = read(line.brought, one.key), left = off ? h('span', { class: 'bar__off' }, 'left off') : null;
  if (!found) return h('div', { class: 'bar bar--waiting' }, words('weighed'));
  if (found.value === null) return unknown(found, one, top, left);
  return h('div', { class: `bar${off ? ' bar--off' : hatched ? ' bar--topping' : ''}`, css: { '--c': `var(--c-${one.key})` } },
    h('span', { class: 'bar__track' }, ['sure', 'soft', 'at'].map(part => h('i', { class: `bar__${part}` }))),
    end(h('span', { class: 'bar__value' }, h('span', { class: 'unseen' }, `${one.word} `), ''), left));
}
/** Let a bar show this known figure; drawing it anew would take longer. */
export function fill(place, found, top) {
  const one = component(state.component), [sure, soft, at] = place.querySelectorAll('.bar__track i'), high = found.high ?? found.value;
  sure.style.width = soft.style.left = percent(found.low, top);
  soft.style.width = percent(high - found.low, top);
  at.style.left = percent(found.value, top);
  place.querySelector('.bar__value').lastChild.data = `${number(found.value, one.unit)} ${one.unit}`;
}

function unknown(found, one, top, left) {
  const span = found.high !== null && found.high > 0;
  const box = h('i', { class: 'bar__void', css: span ? { left: percent(found.low, top), width: percent(found.high - found.low, top) } : {} });
  return h('div', { class: `bar${span ? '' : ' bar--unknown'}`, css: { '--c': `var(--c-${one.key})` } },
    h('span', { class: 'bar__track' }, box),
    end(h('span', { class: 'bar__value' }, h('span', { class: 'unseen' }, `${one.word} `), h('span', { class: 'bar__nk' }, 'not known'), span ? withUnit(found, one.unit).replace('–', ' to ') : null), left));
}
