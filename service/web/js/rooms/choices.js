// Standing choices: what the kitchen always means by a phrase.
import { $, button, choice, h } from '../dom.js';
import { say } from '../announcements.js';
import * as api from '../api.js';
import { massUnit, weight } from '../figures.js';
import { gramsIn } from '../grams.js';
import * as notices from '../notices.js';
import { impact } from '../saving.js';

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
    h('p', {}, h('a', { href: '/v1/choices', class: 'button', download: 'choices.json' }, 'Keep a copy')), adding(again, acts));
}

function adding(again, acts) {
  const phrase = h('input', { id: 'choice-phrase', type: 'text', maxlength: 200 }), grams = h('input', { id: 'choice-grams', type: 'number', min: 0, step: 'any' });
  const found = h('div', { class: 'offers' });
  let late = null;
  const seek = words => api.get(`/foods?limit=6&search=${encodeURIComponent(words)}`).then(({ foods }) => found.replaceChildren(...foods.map(food => h('label', { class: 'tick' }, h('input', { type: 'radio', name: 'choice-food', value: food.id }), ` ${food.description} `, h('small', {}, food.id)))));
  const search = h('input', { id: 'choice-search', type: 'search', on: { input: event => { clearTimeout(late); const words = event.target.value.trim(); late = setTimeout(() => words ? acts.guard(() => seek(words)) : found.replaceChildren(), 200); } } });
  const add = () => acts.guard(async () => {
    const food = document.querySelector('input[name="choice-food"]:checked')?.value, size = $('choice-size').value;
    const { changed } = await api.post('/choices', { phrase: phrase.value.trim(), ...(food ? { food } : size ? { size } : grams.value === '' ? {} : { grams: gramsIn(grams.value) }) });
    say('Kept');
    await again();
    if (changed.length) notices.show('done', 'Kept.', `It changed the figures of ${changed.map(impact).join('; ')}.`);
  });
  return h('section', { class: 'adding', 'aria-labelledby': 'choice-add' }, h('h2', { id: 'choice-add' }, 'Add one'),
    h('p', { class: 'field' }, h('label', { for: phrase.id }, 'When a line says'), phrase),
    h('p', { class: 'field' }, h('label', { for: search.id }, 'take this food'), search), found,
    choice('choice-size', 'or this size', [['', '–'], ...SIZES.map(size => [size, size])], ''),
    h('p', { class: 'field' }, h('label', { for: grams.id }, `or this weight of a piece, ${massUnit()}`), grams), button('Keep it', add, { class: 'main' }));
}
