// Ways to serve it, side by side: other counts of servings, with and without lines, one line in place of another.
import { $, button, h, mark, notches } from './dom.js';
import { say } from './announcements.js';
import { change, lineForms, state } from './state.js';
import { massUnit, ratioText, read, weight, withUnit } from './figures.js';
import { gramsIn, inUnit } from './grams.js';
import { adds, STATES, ways } from './view.js';
import { fitted } from './chosen.js';
import { sentence } from './follow.js';

const ROWS = [['Energy', 'ENERC'], ['Fat', 'FAT'], ['Protein', 'PROCNT'], ['Total carbohydrate', 'CHOCDF'], ['Fibre', 'FIBTG'], ['Net carbohydrate', 'net']];
/** A way under the hand stands for as long as the ways are those that it was opened on. */
const written = () => JSON.stringify(state.form.variants);
const own = way => state.form.variants.findIndex(one => one.name === way.name);

export function drawWays(acts) {
  const list = ways(), typed = $('way-edit')?.firstElementChild, unit = key => key === 'ENERC' ? state.energy : 'g';
  $('ways-table').replaceChildren(
    list.length > 1 ? h('div', { class: 'sideways', tabindex: 0, role: 'group', 'aria-label': 'Ways side by side' }, h('table', { class: 'ways' },
      h('caption', { class: 'unseen' }, 'A serving of each way'),
      h('thead', {}, h('tr', {}, h('td', {}), list.map(way => h('th', { scope: 'col', dir: 'auto' }, way.name, h('small', {}, ` of ${way.servings}`))))),
      h('tbody', {}, ROWS.map(([word, key]) => h('tr', {}, h('th', { scope: 'row' }, word), list.map(way => h('td', {}, served(way, list[0], key, unit(key)))))),
        ['net', 'total'].map(basis => h('tr', {}, h('th', { scope: 'row' }, `Ketogenic ratio to 1, on ${basis}`), list.map(way => h('td', {}, ratioText(way.per_serving.ketogenic_ratio[`on_${basis}`]).replace(' : 1', '')))))),
      h('tfoot', {}, h('tr', {}, h('td', {}), list.map(way => h('td', {}, wayActs(way, acts))))))) : h('p', { class: 'hint' }, 'Mark a section or a line as a topping, or add a way to serve it, and the ways stand here side by side.'),
    swapped() ?? '', h('div', { id: 'way-edit' }, typed?.ways === written() ? typed : null),
    h('p', {}, button('Add a way to serve it', () => edit(-1, acts), { id: 'way-add', disabled: !state.answer })));
}

/** A figure of a way, in the words of the card. */
function served(way, plain, key, unit) {
  const more = adds(way, plain, key), text = withUnit(more || read(way.per_serving, key), unit, { brief: true });
  return more ? `plain + ${text}` : text;
}

function wayActs(way, acts) {
  const at = own(way);
  if (at < 0) return null;
  const more = h('span', { class: 'unseen' }, ` ${way.name}`);
  const drop = () => { change(form => { form.variants.splice(at, 1); }); acts.weigh().then(ok => { $('way-add')?.focus(); if (ok) say(`${way.name} removed. U takes it back.`); }); };
  return [button(['Change', more], () => edit(at, acts), { class: 'plain' }), button(['Remove', more.cloneNode(true)], drop, { class: 'plain' })];
}

/** What the lines that a way swaps in were taken to mean; they stand in no section. */
function swapped() {
  const found = state.form.variants.flatMap((one, at) => one.swaps.map((swap, row) => [one, swap, resultOf(at, row)]));
  return found.length ? h('ul', { class: 'swaps' }, found.map(([way, swap, result]) => h('li', {},
    h('b', { dir: 'auto' }, way.name), ': ', h('span', { dir: 'auto' }, swap.by.text), ' in place of ', h('span', { dir: 'auto' }, swap.line), taken(result)))) : null;
}

function taken(result) {
  if (!result) return null;
  const kind = result.outcome === 'check' || result.outcome === 'no_match' ? result.outcome : '', part = result.parts[0];
  return h('span', { class: 'swaps__taken' }, kind ? [mark(STATES[kind].shape), h('b', { class: `word word--${kind}` }, STATES[kind].word)] : null,
    part?.food?.description ?? 'nothing in the tables', part?.grams?.value == null ? ', weight not known' : `, ${weight(part.grams.value)} ${massUnit()}`, part?.food && !part.by ? notches(part.confidence) : null);
}

/** The result of a swapped line: they come after all others, in order. */
function resultOf(at, row) {
  const before = state.form.variants.slice(0, at).reduce((sum, one) => sum + one.swaps.length, 0);
  return state.answer?.lines[lineForms(state.answer.ledger.recipe).length + before + row] ?? null;
}

// ---- one way under the hand -----------------------------------------------------------------------------------

function edit(at, acts) {
  const given = at < 0 ? { name: '', servings: null, swaps: [] } : state.form.variants[at], now = ways().find(way => way.name === given.name);
  const name = h('input', { id: 'way-name', type: 'text', maxlength: 100, value: given.name });
  const servings = h('input', { id: 'way-servings', type: 'number', min: 0, step: 'any', inputmode: 'decimal', value: given.servings ?? '' });
  const told = h('p', { role: 'alert' }), list = ticks(given, now), texts = swappable();
  const swaps = h('div', { class: 'swaps__edit' }, given.swaps.map((swap, row) => swapField(swap, resultOf(at, row), texts)));
  const more = button('Swap a line for another', () => { const added = swapField(null, null, texts); swaps.append(added); added.querySelector('select').focus(); }, { disabled: !texts.length });
  const close = () => { box.remove(); $('way-add').focus(); };
  const done = async () => {
    await Promise.all([...swaps.children].map(row => row.fits));
    const wrong = fault(name.value.trim(), at) ?? ([...swaps.children].some(row => !row.read().by.text) ? 'A swap needs the line that comes in.' : null);
    if (wrong) { told.textContent = wrong; return; }
    const ticked = way => list.filter(([, plain, tick]) => plain !== tick.checked && tick.checked === way).map(([text]) => text);
    const made = { name: name.value.trim(), without: ticked(false), with: ticked(true), swaps: [...swaps.children].map(row => row.read()), servings: servings.value === '' ? null : Number(servings.value) };
    change(form => { form.variants.splice(at < 0 ? form.variants.length : at, at < 0 ? 0 : 1, made); });
    acts.weigh().then(ok => { if (ok) box.remove(); $('way-add')?.focus(); if (ok) say(`${made.name} is a way to serve it. U takes it back.`); });
  };
  const box = h('section', { class: 'adding', 'aria-labelledby': 'way-title' }, h('h3', { id: 'way-title' }, at < 0 ? 'A new way to serve it' : `Change ${given.name}`),
    h('p', { class: 'field' }, h('label', { for: name.id }, 'Name'), name), h('p', { class: 'field' }, h('label', { for: servings.id }, 'Serves, if other'), servings),
    swaps, h('p', {}, more),
    h('fieldset', { class: 'adding__lines' }, h('legend', {}, 'With these lines'), list.map(([text, , tick]) => h('label', { class: 'tick', dir: 'auto' }, tick, ` ${text}`))),
    told, h('p', { class: 'list__acts' }, button(at < 0 ? 'Add it' : 'Keep it', done, { class: 'main' }), button('Close', close)));
  box.ways = written();
  box.addEventListener('keydown', event => { if (event.key === 'Escape') close(); });
  $('way-edit').replaceChildren(box);
  name.focus();
}

function fault(name, at) {
  if (!name) return 'It needs a name.';
  const taken = [...ways().map(way => way.name), 'with everything'].filter(one => one !== state.form.variants[at]?.name);
  return taken.includes(name) ? `There is a way called ${name} already.` : null;
}

const foods = () => lineForms(state.form).map((line, place) => [line, place + 1]).filter(([line, number]) => !line.left_out && state.answer?.lines[number - 1]?.outcome !== 'not_food');

/** Each text with whether the plain recipe has it, and a box for whether this way has it; one text is one box. */
function ticks(given, now) {
  const plain = ways()[0]?.lines ?? new Set(), swaps = new Set(given.swaps.map(swap => swap.line)), found = new Map();
  for (const [{ text }, number] of foods()) found.set(text, [...(found.get(text) ?? []), number]);
  return [...found].filter(([, numbers]) => new Set(numbers.map(number => plain.has(number))).size === 1).map(([text, [number]]) => {
    const checked = swaps.has(text) || (now ? now.lines.has(number) : plain.has(number));
    return [text, plain.has(number), h('input', { type: 'checkbox', checked })];
  });
}
const swappable = () => { const texts = foods().map(([line]) => line.text); return texts.filter(text => texts.indexOf(text) === texts.lastIndexOf(text)); };

let fields = 0;
function swapField(swap, result, texts) {
  const id = `swap-${fields += 1}`, candidates = result?.parts[0]?.candidates ?? [];
  const pick = (name, list, chosen) => h('select', { id: `${id}-${name}` }, list.map(([value, text]) => h('option', { value, selected: value === chosen }, text)));
  const line = pick('line', texts.map(text => [text, text]), swap?.line), by = h('input', { id: `${id}-by`, type: 'text', dir: 'auto', maxlength: 1000, value: swap?.by.text ?? '', on: { change: () => { if (swap) row.fits = fit(); } } });
  const given = swap?.by.food ? [[swap.by.food, candidates.find(one => one.id === swap.by.food)?.description ?? swap.by.food]] : [];
  const food = pick('food', [['', 'as it is read'], ...given, ...candidates.filter(one => one.id !== swap?.by.food).map(one => [one.id, one.description])], swap?.by.food ?? '');
  const grams = h('input', { id: `${id}-grams`, type: 'number', min: 0, step: 'any', inputmode: 'decimal', value: inUnit(swap?.by.grams) });
  const said = (label, field) => h('p', { class: 'field' }, h('label', { for: field.id }, label), field);
  const row = h('fieldset', { class: 'swap' }, h('legend', {}, 'Swap'), said('This line', line), said('for', by), swap ? [h('p', { class: 'hint' }, 'Taken as', taken(result)), said('Take it as', food)] : null, said(`Own weight, ${massUnit()}`, grams),
    button('Do not swap', () => row.remove(), { class: 'plain' }));
  const before = grams.value, told = h('p', { class: 'hint', role: 'status' }), mine = new Set();
  food.addEventListener('change', () => mine.add('food'));
  grams.addEventListener('input', () => mine.add('grams'));
  /** What was chosen for the line that comes in stays where its new words let it. */
  const fit = async () => {
    const found = await fitted(swap.by, { ...swap.by, text: by.value.trim() }, mine);
    if (!mine.has('food')) food.value = found.draft.food ?? '';
    if (!mine.has('grams')) grams.value = inUnit(found.draft.grams);
    told.textContent = found.told.map(sentence).join(' ');
  };
  row.append(told);
  row.read = () => ({ line: line.value, by: { ...swap?.by, text: by.value.trim(), food: food.value || null, grams: grams.value === before ? swap?.by.grams ?? null : gramsIn(grams.value) } });
  return row;
}
