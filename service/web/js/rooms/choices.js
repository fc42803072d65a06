// Standing choices: what the kitchen always means by a phrase.
import { button, choice, h } from '../dom.js';
import { say } from '../announcements.js';
import * as api from '../api.js';
import { massUnit, weight } from '../figures.js';
import { gramsIn } from '../grams.js';
import * as notices from '../notices.js';
import { handOver } from '../publish.js';
import { impact } from '../saving.js';
import { NUMBER, forget, half, keepHalf, keepTyped, noNumber, unitOf } from '../typed.js';

const SIZES = ['extra small', 'small', 'medium', 'large', 'extra large', 'jumbo'];

export async function choices(room, acts) {
  const { choices: list, lost } = await api.get('/choices');
  const names = await Promise.all(list.map(one => one.food ? api.food(one.food).then(food => food.description, () => '') : ''));
  const again = () => choices(room, acts);
  const remove = one => acts.guard(async () => {
    const { changed } = await api.remove(`/choices/${one.id}`, one.revision);
    await again();
    const { phrase, food, size, grams } = one;
    notices.show('done', `“${phrase}” is forgotten.`, changed.length ? `It changed the figures of ${changed.map(impact).join('; ')}.` : '', [['Take it back', () => acts.guard(() => api.post('/choices', { phrase, food, size, grams }).then(again))]]);
  });
  room.replaceChildren(h('h1', { tabindex: -1 }, 'Standing choices'),
    h('p', {}, 'What your kitchen means by a phrase, a size or a piece, in every recipe. Made here, or on the bench under a line.'),
    list.length ? h('div', { class: 'sideways', tabindex: 0, role: 'group', 'aria-label': 'Standing choices' }, h('table', { class: 'list-table' }, h('thead', {}, h('tr', {}, ['Phrase', 'Means', ''].map(text => text ? h('th', { scope: 'col' }, text) : h('td', {})))),
      h('tbody', {}, list.map((one, place) => h('tr', {}, h('th', { scope: 'row', dir: 'auto' }, one.phrase),
        h('td', {}, one.food ? [names[place] || one.food, h('small', {}, ` ${one.food}`)] : one.size ? `size ${one.size}` : `${weight(one.grams)} ${massUnit()} a piece`, lost.includes(one.id) ? h('b', {}, ' no table in use has it') : null),
        h('td', {}, button(['Forget', h('span', { class: 'unseen' }, ` ${one.phrase}`)], () => remove(one)))))))) : h('p', {}, 'None yet.'),
    h('p', {}, button('Keep a copy', () => acts.guard(async () => handOver(await api.blob('/choices', 'text/csv'), 'choices.csv')))), adding(again, acts));
}

const FORM = 'new choice';
function adding(again, acts) {
  const unit = unitOf(FORM, 'choice-grams', massUnit()), phrase = h('input', { id: 'choice-phrase', type: 'text', maxlength: 200 }), grams = h('input', { id: 'choice-grams', 'data-unit': unit, ...NUMBER });
  const found = h('div', { class: 'offers' }), size = choice('choice-size', 'or this size', [['', '–'], ...SIZES.map(one => [one, one])], '');
  let late = null;
  const offer = food => h('label', { class: 'tick' }, h('input', { type: 'radio', name: 'choice-food', value: food.id, checked: half(FORM)?.['choice-food'] === food.id }), ` ${food.description} `, h('small', {}, food.id));
  const seek = async words => {
    if (!words) keepHalf(FORM, { ...half(FORM), 'choice-food': '' });
    const { foods } = words ? await api.get(`/foods?limit=6&search=${encodeURIComponent(words)}`) : { foods: [] }, id = half(FORM)?.['choice-food'];
    // What is chosen stays on offer while there are words, whatever is looked for next.
    const held = id && !foods.some(one => one.id === id) ? [await api.food(id)] : [];
    // An earlier search may be answered later.
    if (words === search.value.trim()) found.replaceChildren(...[...held, ...foods].map(offer));
  };
  const search = h('input', { id: 'choice-search', type: 'search', on: { input: () => { clearTimeout(late); late = setTimeout(() => acts.guard(() => seek(search.value.trim())), 200); } } });
  const add = () => acts.guard(async () => {
    const food = found.querySelector('input:checked')?.value, named = size.querySelector('select').value, wrong = noNumber(box);
    if (wrong) throw new Error(wrong);
    const { changed } = await api.post('/choices', { phrase: phrase.value.trim(), ...food && { food }, ...named && { size: named }, ...grams.value !== '' && { grams: gramsIn(grams) } });
    forget(FORM);
    say('Kept');
    await again();
    if (changed.length) notices.show('done', 'Kept.', `It changed the figures of ${changed.map(impact).join('; ')}.`);
  });
  const box = h('section', { class: 'adding', 'aria-labelledby': 'choice-add' }, h('h2', { id: 'choice-add' }, 'Add one'),
    h('p', { class: 'field' }, h('label', { for: phrase.id }, 'When a line says'), phrase),
    h('p', { class: 'field' }, h('label', { for: search.id }, 'take this food'), search), found, size,
    h('p', { class: 'field' }, h('label', { for: grams.id }, `or this weight of a piece, ${unit}`), grams),
    h('p', { class: 'list__acts' }, button('Keep it', add, { class: 'main' }), button('Throw away', () => { forget(FORM); box.replaceWith(adding(again, acts)); })));
  keepTyped(FORM, box);
  return box;
}
