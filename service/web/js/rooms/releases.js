// Which tables the figures come from.
import { h } from '../dom.js';
import * as api from '../api.js';
import { count, day } from '../figures.js';

export async function releases(room) {
  const { datasets } = await api.get('/datasets');
  room.replaceChildren(h('h1', { tabindex: -1 }, 'Releases'),
    h('p', {}, 'Same list, same releases, same figures. These tables are in use.'),
    h('ul', { class: 'cards' }, datasets.map(one => h('li', {}, h('div', { class: 'cards__head' }, h('h2', {}, one.name), h('small', {}, `${one.dataset} ${one.release}`)),
      h('p', {}, `${count(one.foods, 'food')}, ${count(one.components, 'component')}, ${count(one.values, 'value')}, ${count(one.measures, 'household measure')}${one.loaded ? `; loaded ${day(one.loaded)}` : ''}.`),
      h('p', {}, one.licence, '. ', one.citation)))));
}
