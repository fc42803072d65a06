// Forms that are half filled in: what was typed there outlives another room, a form drawn anew and a reload, until it is
// kept or thrown away. A field that holds no number is not taken for an empty one, nor for another number.
import { keepDraft, keepFields, readFields, tab, unique, whenGone, withFields } from './drafts.js';
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

/** Let what is half typed of a recipe be of it by another name. */
function pass(before, now) {
  const end = ` of ${before}`;
  for (const form of Object.keys(forms()).filter(one => one.endsWith(end))) {
    const next = form.slice(0, -end.length) + ` of ${now}`;
    keepHalf(next, { ...half(next), ...half(form) });
    forget(form);
  }
}
/** A form of the recipe at hand: another one, though of the same lines, has forms of its own. What was typed before it
 * was saved is of it still. */
export function ofRecipe(name) {
  if (!state.saved && !state.key) { state.key = unique(); keepDraft(); }
  if (state.saved && state.key) pass(state.key, state.saved.id);
  return `${name} of ${state.saved?.id ?? state.key}`;
}
/** The recipe at hand is no saved one from now on; what is half typed of it is of it still. */
export function partFromSaved() {
  pass(state.saved.id, state.key ??= unique());
  state.saved = null;
}
/** Bring what is half typed of a recipe, by any of its names, from tabs that are gone. */
export async function bring(names) {
  for (const left of withFields().filter(name => name !== tab)) await whenGone(left, () => {
    const there = readFields(left), mine = Object.keys(there).filter(form => names.some(name => form.endsWith(` of ${name}`)));
    for (const form of mine) { if (!half(form)) keepHalf(form, there[form]); delete there[form]; }
    if (mine.length) keepFields(there, left);
  });
}
/** Those of these lines of the recipe at hand whose bench is half filled in. */
export const begun = texts => texts.filter(text => Object.keys(forms()).some(form => form.endsWith(ofRecipe('')) && [' of ', ', '].some(next => form.startsWith(`bench ${text}${next}`))));
/** Tells whether the recipe at hand is still what it is now: a service that answers late must not have done to another
 * recipe, or to another line, what was asked for this one. */
export function unchanged() {
  const now = () => JSON.stringify([ofRecipe(''), state.form]), before = now();
  return () => now() === before;
}

/** Keep what is typed in a form by its name, and put back what was typed there before. `own` is what its fields are
 * numbered by; a list that acts when it is chosen from holds nothing half done. A field with a unit is kept with it. */
export function keepTyped(form, box, own = '') {
  const key = input => (input.type === 'radio' ? input.name : input.id).replace(own, ''), before = { ...half(form) };
  for (const input of box.querySelectorAll('input, select:not([data-at-once])')) {
    const value = before[key(input)];
    if (value === undefined || (input.type === 'radio' && input.value !== value)) continue;
    if (input.type === 'radio' || input.type === 'checkbox') input.checked = value; else fill(input, value);
    for (const kind of ['input', 'change']) input.dispatchEvent(new Event(kind, { bubbles: true }));
  }
  box.addEventListener('input', ({ target }) => {
    const name = key(target), { unit } = target.dataset;
    if (name && !target.matches('[data-at-once]')) keepHalf(form, { ...half(form), [name]: target.type === 'checkbox' ? target.checked : target.value, ...unit && { [inUnitOf(name)]: unit } });
  });
}
const inUnitOf = name => `${name} is in`;
/** The unit that a half typed field is in: what was typed in one is no figure of another. */
export const unitOf = (form, name, usual) => half(form)?.[inUnitOf(name)] ?? usual;
function fill(input, value) {
  // What a list offers may be asked for still.
  if (input.matches('select') && ![...input.options].some(one => one.value === value)) input.append(new Option(value, value));
  input.value = value;
}

// ---- fields of numbers ----------------------------------------------------------------------------------------

/** A field of a number holds what was typed as it was typed: a browser's own leaves a comma out, so that 1,5 becomes 15. */
export const NUMBER = { type: 'text', inputmode: 'decimal', autocomplete: 'off' };
/** The number in a text: null where that is empty, NaN where it is none. */
export const numberIn = text => text === '' ? null : /^ *-?(\d+\.?\d*|\.\d+)(e[-+]?\d+)? *$/i.test(text) && isFinite(text) ? Number(text) : NaN;

/** What is wrong with the first field of a form that holds no number, which gets the focus where that is not on its way
 * elsewhere; empty where all do. */
export function noNumber(box, back = true) {
  const wrong = [...box.querySelectorAll('[inputmode]')].find(one => Number.isNaN(numberIn(one.value)));
  if (back) wrong?.focus();
  return wrong ? `What stands under “${wrong.labels[0]?.textContent}” is no number${wrong.value.includes(',') ? ': a point stands before decimals, and nothing between thousands' : ''}` : '';
}
