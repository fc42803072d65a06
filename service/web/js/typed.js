// Forms that are half filled in: what was typed there outlives another room, a form drawn anew and a reload, until it is
// kept or thrown away. A field that holds no number is not taken for an empty one, nor for another number.
import { keepDraft, keepFields, readFields, unique } from './drafts.js';
import { state } from './state.js';

let all = null;
const forms = () => all ??= readFields();
export const half = form => forms()[form];
export function keepHalf(form, fields) {
  all = { ...forms(), [form]: fields };
  keepFields(all);
}
export function forget(form) {
  if (!half(form)) return;
  delete all[form];
  keepFields(all);
}

/** A form of the recipe at hand: another one, though of the same lines, has forms of its own. What was typed before it
 * was saved is of it still. */
export function ofRecipe(name) {
  if (!state.saved && !state.key) { state.key = unique(); keepDraft(); }
  const [before, now] = [state.key, state.saved?.id ?? state.key].map(of => `${name} of ${of}`);
  if (now !== before && half(before)) {
    keepHalf(now, { ...half(now), ...half(before) });
    forget(before);
  }
  return now;
}

/** Keep what is typed in a form by its name, and put back what was typed there before. `own` is what its fields are
 * numbered by; a list that acts when it is chosen from holds nothing half done. */
export function keepTyped(form, box, own = '') {
  // What was typed in one unit is no figure of another.
  const key = input => (input.type === 'radio' ? input.name : input.id).replace(own, '') + (input.dataset.unit ?? ''), before = { ...half(form) };
  for (const input of box.querySelectorAll('input, select:not([data-at-once])')) {
    const value = before[key(input)];
    if (value === undefined || (input.type === 'radio' && input.value !== value)) continue;
    if (input.type === 'radio' || input.type === 'checkbox') input.checked = value; else fill(input, value);
    for (const kind of ['input', 'change']) input.dispatchEvent(new Event(kind, { bubbles: true }));
  }
  box.addEventListener('input', ({ target }) => {
    if (key(target) && !target.matches('[data-at-once]')) keepHalf(form, { ...half(form), [key(target)]: target.type === 'checkbox' ? target.checked : target.value });
  });
}
function fill(input, value) {
  // What a list offers may be asked for still.
  if (input.matches('select') && ![...input.options].some(one => one.value === value)) input.append(new Option(value, value));
  input.value = value;
}

// ---- fields of numbers ----------------------------------------------------------------------------------------

/** A field of a number holds what was typed as it was typed: a browser's own leaves a comma out, so that 1,5 becomes 15. */
export const NUMBER = { type: 'text', inputmode: 'decimal', autocomplete: 'off' };
/** The number in a text: null where that is empty, NaN where it is none. */
export const numberIn = text => text === '' ? null : /^ *-?(\d+\.?\d*|\.\d+)(e[-+]?\d+)? *$/i.test(text) ? Number(text) : NaN;

/** What is wrong with the first field of a form that holds no number, which gets the focus where that is not on its way
 * elsewhere; empty where all do. */
export function noNumber(box, back = true) {
  const wrong = [...box.querySelectorAll('[inputmode]')].find(one => Number.isNaN(numberIn(one.value)));
  if (back) wrong?.focus();
  return wrong ? `What stands under “${wrong.labels[0]?.textContent}” is no number${wrong.value.includes(',') ? ': a point stands before decimals, and nothing between thousands' : ''}` : '';
}
