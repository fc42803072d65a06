// Ways to serve it, side by side: other counts of servings, with and without lines, one line in place of another.
import { $, button, giveFocus, h, mark, notches } from './dom.js';
import { say } from './announcements.js';
import { change, lineForms, state } from './state.js';
import { massUnit, ratioText, read, weight, withUnit } from './figures.js';
import { gramsIn, inUnit } from './grams.js';
import { adds, STATES, ways } from './view.js';
import { fitted } from './chosen.js';
import { paired, sentence } from './follow.js';
import * as notices from './notices.js';
import { NUMBER, forget, half, keepHalf, noNumber, numberIn, ofRecipe, unchanged } from './typed.js';

const ROWS = [['Energy', 'ENERC'], ['Fat', 'FAT'], ['Protein', 'PROCNT'], ['Total carbohydrate', 'CHOCDF'], ['Fibre', 'FIBTG'], ['Net carbohydrate', 'net']];
const formNow = () => ofRecipe('way');
/** A way under the hand stands for as long as the ways and lines are those that it was opened on; then it is drawn anew. */
const written = () => JSON.stringify([formNow(), state.form.variants, lineForms(state.form).map(line => line.text)]);
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
    h('p', {}, button('Add a way to serve it', () => open(null, acts), { id: 'way-add', disabled: !state.answer })));
  if (!$('way-edit').firstChild && half(formNow())) edit(half(formNow()), acts);
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
  const drop = () => { change(form => { form.variants.splice(at, 1); }); acts.weigh().then(ok => { giveFocus($('way-add')); if (ok) say(`${way.name} removed. U takes it back.`); }); };
  return [button(['Change', more], () => open(way.name, acts), { class: 'plain' }), button(['Remove', more.cloneNode(true)], drop, { class: 'plain' })];
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

/** Open the form of a way, or of a new one; what is half typed of it stands in it, that of another has a way back. */
function open(was, acts) {
  if (half(formNow())?.was !== was) leave(acts);
  edit(half(formNow()) ?? { was }, acts);
  $('way-name').focus();
}
/** Close the form, with a way back to what was typed in it. */
function leave(acts) {
  const form = formNow(), left = half(form);
  $('way-edit').replaceChildren();
  if (!left) return;
  forget(form);
  notices.show('done', `What you put in for ${left.name ? `“${left.name}”` : 'a way to serve it'} was not kept.`, '', [['Take it back', () => { keepHalf(form, left); edit(left, acts); }]]);
}

/** Let what is half typed of a way name the lines that stand in place of those it named; gives those that
 * have none. */
function followed(typed) {
  if (!typed.of) return [];
  const was = paired(typed.of, state.form), lost = was.filter(one => !one.now.length && one.text in typed.ticked), now = name => [...new Set(was.filter(one => one.text === name).flatMap(one => one.now.map(line => line.text)))];
  typed.ticked = Object.fromEntries(Object.entries(typed.ticked).flatMap(([name, on]) => now(name).map(text => [text, on])));
  typed.swaps = typed.swaps.map(swap => ({ ...swap, line: now(swap.line).length === 1 ? now(swap.line)[0] : swap.line }));
  return lost.map(one => one.text);
}

/** The form of a way with the fields that were typed in it before. */
function edit(typed, acts) {
  const gone = followed(typed), at = own({ name: typed.was }), given = at < 0 ? { name: '', servings: null, swaps: [] } : state.form.variants[at], now = ways().find(way => way.name === given.name);
  const name = h('input', { id: 'way-name', type: 'text', maxlength: 100, value: typed.name ?? given.name });
  const servings = h('input', { id: 'way-servings', ...NUMBER, value: typed.servings ?? given.servings ?? '' });
  const told = h('p', { role: 'alert' }, gone.length ? `No line says “${gone.join('” or “')}” any more.` : ''), list = ticks(given, now, typed.ticked), texts = swappable(), rows = () => [...swaps.children].map(row => row.read());
  const known = (swap, row) => given.swaps[row]?.by.text === swap.by.text ? resultOf(at, row) : null;
  const swaps = h('div', { class: 'swaps__edit' }, (typed.swaps ?? given.swaps).map((swap, row) => swapField(swap, known(swap, row), texts)));
  const more = button('Swap a line for another', () => { const added = swapField(null, null, texts); swaps.append(added); added.querySelector('select').focus(); }, { disabled: !texts.length });
  const done = async () => {
    const same = unchanged();
    await Promise.all([...swaps.children].map(row => row.fits));
    if (!same()) return;
    const wrong = fault(name.value.trim(), at) ?? (rows().some(row => !row.by.text || !row.line) ? 'A swap needs the line that goes out and the one that comes in.' : noNumber(box) || null);
    if (wrong) { told.textContent = wrong; return; }
    const ticked = way => list.filter(([, plain, tick]) => plain !== tick.checked && tick.checked === way).map(([text]) => text), form = formNow(), left = half(form);
    const made = { name: name.value.trim(), without: ticked(false), with: ticked(true), swaps: rows(), servings: numberIn(servings.value) };
    forget(form);
    change(recipe => { recipe.variants.splice(at < 0 ? recipe.variants.length : at, at < 0 ? 0 : 1, made); });
    acts.weigh().then(ok => { if (ok === false && left) keepHalf(form, left); if (ok) box.remove(); giveFocus($('way-add')); if (ok) say(`${made.name} is a way to serve it. U takes it back.`); });
  };
  const close = () => { leave(acts); $('way-add').focus(); };
  const box = h('section', { class: 'adding', 'aria-labelledby': 'way-title' }, h('h3', { id: 'way-title' }, at < 0 ? 'A new way to serve it' : `Change ${given.name}`),
    h('p', { class: 'field' }, h('label', { for: name.id }, 'Name'), name), h('p', { class: 'field' }, h('label', { for: servings.id }, 'Serves, if other'), servings),
    swaps, h('p', {}, more),
    h('fieldset', { class: 'adding__lines' }, h('legend', {}, 'With these lines'), list.map(([text, , tick]) => h('label', { class: 'tick', dir: 'auto' }, tick, ` ${text}`))),
    told, h('p', { class: 'list__acts' }, button(at < 0 ? 'Add it' : 'Keep it', done, { class: 'main' }), button('Close', close)));
  box.ways = written();
  const keep = () => keepHalf(formNow(), { of: { sections: state.form.sections.map(({ name, lines }) => ({ name, lines: lines.map(({ text }) => ({ text })) })) },
    was: typed.was, name: name.value, servings: servings.value, swaps: [...swaps.children].map(row => row.kept()), ticked: Object.fromEntries(list.map(([text, , tick]) => [text, tick.checked])) });
  box.addEventListener('input', keep);
  if (typed.of) keep();
  box.addEventListener('keydown', event => { if (event.key === 'Escape') close(); });
  $('way-edit').replaceChildren(box);
}

function fault(name, at) {
  if (!name) return 'It needs a name.';
  const taken = [...ways().map(way => way.name), 'with everything'].filter(one => one !== state.form.variants[at]?.name);
  return taken.includes(name) ? `There is a way called ${name} already.` : null;
}

const foods = () => lineForms(state.form).map((line, place) => [line, place + 1]).filter(([line, number]) => !line.left_out && state.answer?.lines[number - 1]?.outcome !== 'not_food');

/** Each text with whether the plain recipe has it, and a box for whether this way has it; one text is one box. */
function ticks(given, now, typed = {}) {
  const plain = ways()[0]?.lines ?? new Set(), swaps = new Set(given.swaps.map(swap => swap.line)), found = new Map();
  for (const [{ text }, number] of foods()) found.set(text, [...(found.get(text) ?? []), number]);
  return [...found].filter(([, numbers]) => new Set(numbers.map(number => plain.has(number))).size === 1).map(([text, [number]]) => {
    const checked = typed[text] ?? (swaps.has(text) || (now ? now.lines.has(number) : plain.has(number)));
    return [text, plain.has(number), h('input', { type: 'checkbox', checked })];
  });
}
const swappable = () => { const texts = foods().map(([line]) => line.text); return texts.filter(text => texts.indexOf(text) === texts.lastIndexOf(text)); };

let fields = 0;
function swapField(swap, result, texts) {
  const id = `swap-${fields += 1}`, unit = massUnit(), candidates = result?.parts[0]?.candidates ?? [];
  const pick = (name, list, chosen) => h('select', { id: `${id}-${name}` }, list.map(([value, text]) => h('option', { value, selected: value === chosen }, text)));
  const lines = swap && !texts.includes(swap.line) ? ['', ...texts] : texts, line = pick('line', lines.map(text => [text, text || 'choose a line']), swap?.line), by = h('input', { id: `${id}-by`, type: 'text', dir: 'auto', maxlength: 1000, value: swap?.by.text ?? '', on: { change: () => { if (swap) row.fits = fit(); } } });
  const given = swap?.by.food ? [[swap.by.food, candidates.find(one => one.id === swap.by.food)?.description ?? swap.by.food]] : [];
  const food = pick('food', [['', 'as it is read'], ...given, ...candidates.filter(one => one.id !== swap?.by.food).map(one => [one.id, one.description])], swap?.by.food ?? '');
  const grams = h('input', { id: `${id}-grams`, ...NUMBER, 'data-unit': unit, value: swap?.odd ?? inUnit(swap?.by.grams) });
  const said = (label, field) => h('p', { class: 'field' }, h('label', { for: field.id }, label), field);
  const row = h('fieldset', { class: 'swap' }, h('legend', {}, 'Swap'), said('This line', line), said('for', by), swap ? [h('p', { class: 'hint' }, 'Taken as', taken(result)), said('Take it as', food)] : null, said(`Own weight, ${unit}`, grams),
    button('Do not swap', () => { const list = row.parentNode; row.remove(); list.dispatchEvent(new Event('input', { bubbles: true })); }, { class: 'plain' }));
  const before = swap?.odd ? null : grams.value, told = h('p', { class: 'hint', role: 'status' }), mine = new Set(swap?.odd ? ['grams'] : []);
  food.addEventListener('change', () => mine.add('food'));
  grams.addEventListener('input', () => mine.add('grams'));
  /** What was chosen for the line that comes in stays where its new words let it. */
  const fit = async () => {
    const found = await fitted(swap.by, { ...swap.by, text: by.value.trim() }, mine);
    if (!mine.has('food')) food.value = found.draft.food ?? '';
    if (!mine.has('grams')) grams.value = inUnit(found.draft.grams, unit);
    told.textContent = found.told.map(sentence).join(' ');
  };
  row.append(told);
  row.read = () => ({ line: line.value, by: { ...swap?.by, text: by.value.trim(), food: food.value || null, grams: grams.value === before ? swap?.by.grams ?? null : gramsIn(grams) } });
  // What is no number is kept as it was typed.
  row.kept = () => ({ ...row.read(), ...Number.isNaN(gramsIn(grams)) && { odd: grams.value } });
  return row;
}
