// What the recipe makes, how carbohydrate is counted, and the ways to serve it.
import { $, button, choice, h } from './dom.js';
import { say } from './announcements.js';
import { change, lineForms, state } from './state.js';
import { ratioText, read, withUnit } from './figures.js';
import { ways } from './view.js';

const POLYOLS = [['all', 'all polyols off'], ['half', 'half the polyols off'], ['by name', 'erythritol off, half the others'], ['none', 'no polyols off']];

export function drawMakes(acts) {
  if (!state.answer) return;
  const held = document.activeElement?.id, { yield: made, net_carbohydrate: net } = state.form;
  const set = (name, alter) => { change(alter); acts.weigh().then(() => { $(name)?.focus(); say('Weighed again. U takes it back.'); }); };
  const field = (id, label, value, alter, attrs = {}) => h('p', { class: 'field' }, h('label', { for: id }, label), h('input', { id, value: value ?? '', ...attrs, on: { change: event => set(id, form => alter(form, event.target.value.trim())) } }));
  const number = { type: 'number', min: 0, step: 'any', inputmode: 'decimal' };
  const amount = text => text === '' ? null : Number(text);
  $('makes-form').replaceChildren(
    field('makes-pieces', 'Makes, pieces', made.pieces, (form, text) => { form.yield.pieces = amount(text); }, number),
    field('makes-name', 'of what', made.piece_name, (form, text) => { form.yield.piece_name = text || null; }, { type: 'text', maxlength: 100 }),
    field('makes-cooked', 'Cooked weight, g', made.cooked_grams, (form, text) => { form.yield.cooked_grams = amount(text); if (text) form.yield.factor = null; }, number),
    field('makes-factor', 'or cooked : raw', made.factor, (form, text) => { form.yield.factor = amount(text); if (text) form.yield.cooked_grams = null; }, number),
    choice('makes-net', 'Net carbohydrate', POLYOLS, net.polyols, value => set('makes-net', form => { form.net_carbohydrate.polyols = value; })),
    h('label', { class: 'tick' }, h('input', { type: 'checkbox', id: 'makes-allulose', checked: net.allulose, on: { change: event => set('makes-allulose', form => { form.net_carbohydrate.allulose = event.target.checked; }) } }), ' allulose off too'),
    h('p', { class: 'hint' }, [...state.answer.weight.notes, state.answer.weight.basis, `net: ${state.answer.per_serving.net_carbohydrate.formula}`].join('; '), '.'));
  if (held?.startsWith('makes-')) $(held)?.focus();
}

// ---- ways to serve it -----------------------------------------------------------------------------------------

const ROWS = [['Energy', 'ENERC'], ['Fat', 'FAT'], ['Protein', 'PROCNT'], ['Total carbohydrate', 'CHOCDF'], ['Fibre', 'FIBTG'], ['Net carbohydrate', 'net']];

export function drawWays(acts) {
  const list = ways(), unit = key => key === 'ENERC' ? state.energy : 'g';
  $('ways-table').replaceChildren(
    list.length > 1 ? h('div', { class: 'sideways', tabindex: 0, role: 'group', 'aria-label': 'Ways side by side' }, h('table', { class: 'ways' },
      h('caption', { class: 'unseen' }, 'A serving of each way'),
      h('thead', {}, h('tr', {}, h('td', {}), list.map(way => h('th', { scope: 'col', dir: 'auto' }, way.label, h('small', {}, ` of ${way.servings}`))))),
      h('tbody', {}, ROWS.map(([word, key]) => h('tr', {}, h('th', { scope: 'row' }, word), list.map(way => h('td', {}, withUnit(read(way.per_serving, key), unit(key)))))),
        ['net', 'total'].map(basis => h('tr', {}, h('th', { scope: 'row' }, `Ketogenic ratio on ${basis}`), list.map(way => h('td', {}, ratioText(way.per_serving.ketogenic_ratio[`on_${basis}`])))))),
      h('tfoot', {}, h('tr', {}, h('td', {}), list.map(way => h('td', {}, drop(way, acts))))))) : h('p', { class: 'hint' }, 'Mark a section or a line as a topping, or add a way to serve it, and the ways stand here side by side.'),
    adding(acts));
}

function drop(way, acts) {
  const own = state.form.variants.findIndex(one => one.name === way.name);
  return own < 0 ? null : button('Remove', () => { change(form => { form.variants.splice(own, 1); }); acts.weigh().then(() => say(`${way.name} removed. U takes it back.`)); }, { class: 'plain' });
}

function adding(acts) {
  const name = h('input', { id: 'way-name', type: 'text', maxlength: 100 }), servings = h('input', { id: 'way-servings', type: 'number', min: 0, step: 'any' });
  const told = h('p', { role: 'status' });
  const plain = new Set(state.answer?.lines.filter(line => line.counted).map(line => line.number) ?? []);
  const texts = lineForms(state.form).map(line => line.text), once = text => texts.indexOf(text) === texts.lastIndexOf(text);
  const ticks = state.answer ? texts.map((text, place) => [text, place + 1]).filter(([text, number]) => once(text) && state.answer.lines[number - 1]?.outcome !== 'not_food')
    .map(([text, number]) => [text, plain.has(number), h('input', { type: 'checkbox', checked: plain.has(number) })]) : [];
  const add = () => {
    if (!name.value.trim()) { told.textContent = 'It needs a name.'; return name.focus(); }
    const changed = ticks.filter(([, was, tick]) => tick.checked !== was);
    change(form => { form.variants.push({ name: name.value.trim(), without: changed.filter(([, was]) => was).map(([text]) => text), with: changed.filter(([, was]) => !was).map(([text]) => text), swaps: [], servings: servings.value === '' ? null : Number(servings.value) }); });
    acts.weigh().then(() => say(`${name.value} is a way to serve it. U takes it back.`));
  };
  return h('details', { class: 'adding' }, h('summary', {}, 'Add a way to serve it'),
    h('p', { class: 'field' }, h('label', { for: 'way-name' }, 'Name'), name), h('p', { class: 'field' }, h('label', { for: 'way-servings' }, 'Serves, if other'), servings),
    h('fieldset', { class: 'adding__lines' }, h('legend', {}, 'With these lines'), ticks.map(([text, , tick]) => h('label', { class: 'tick', dir: 'auto' }, tick, ` ${text}`))), told, button('Add it', add));
}
