// An own food from its packet: an empty field is not known, never 0.
import { button, h } from './dom.js';
import * as api from './api.js';
import { tagOf } from './figures.js';
import { NUMBER, noNumber, numberIn } from './typed.js';

const FIELDS = [['ENERC', 'Energy', ''], ['FAT', 'Fat', 'g'], ['PROCNT', 'Protein', 'g'], ['CHO', 'Carbohydrate', 'g'], ['FIBTG', 'Fibre', 'g'], ['POLYL', 'Polyols', 'g']];

export function ownFood(line, name, use, unit) {
  const id = `own-${line.n}`, told = h('p', { class: 'own-food__told', role: 'status' });
  const fields = fieldsOf(id, unit), title = h('input', { id: `${id}-name`, type: 'text', maxlength: 300, value: name });
  const save = async () => {
    const { body, missing } = fields.read(title.value.trim());
    const wrong = noNumber(fields.box);
    if (wrong) { told.textContent = `${wrong}.`; return null; }
    if (!body.description) { told.textContent = 'It needs a name.'; return title.focus(); }
    try {
      const saved = await api.post('/foods', body);
      const still = missing.length ? ` Not known, and said so in every total: ${missing.join(', ')}.` : '';
      told.textContent = [`${saved.description} is entered and chosen.${still}`, ...saved.findings.map(one => one.text), 'Give its weight, then take it.'].join(' ');
      box.typed = false;
      use({ id: saved.id, description: saved.description, group: 'Own foods' });
    } catch (error) { told.textContent = error.message; }
  };
  const box = h('fieldset', { class: 'own-food', id, hidden: true, on: { input: () => { box.hidden = false; box.typed = true; box.previousElementSibling.querySelector('button').setAttribute('aria-expanded', 'true'); } } }, h('legend', {}, 'Own food, in 100 g'),
    h('p', { class: 'own-food__name' }, h('label', { for: title.id }, 'Name'), title), fields.box, told, button('Choose this own food', save));
  return box;
}

/** The fields of a packet; `read` gives the body for the API and which of the five are still missing, `rest`
    what no field shows. Energy stands as the packet has it, a new one in the `unit` that it was begun in; `CHO` goes to the tagname of the packet's basis. */
export function fieldsOf(id, unit, given = {}, basis = 'total') {
  const energy = unit ?? (tagOf('ENERC') in given ? tagOf('ENERC') : ['ENERC_KCAL', 'ENERC_KJ'].find(tag => tag in given) ?? tagOf('ENERC'));
  const tag = (key, of) => ({ ENERC: energy, CHO: of === 'total' ? 'CHOCDF' : 'CHOAVLDF' })[key] ?? key;
  const inputs = FIELDS.map(([key, word, unit]) => [key, word, h('input', { id: `${id}-${key}`, 'data-unit': key === 'ENERC' && energy, ...NUMBER, value: given[tag(key, basis)] ?? '' }), unit || (energy === 'ENERC_KJ' ? 'kJ' : 'kcal')]);
  const radio = (value, word) => h('label', { class: 'tick' }, h('input', { type: 'radio', name: `${id}-basis`, value, checked: value === basis }), ` ${word}`);
  const box = h('div', {},
    h('div', { class: 'own-food__fields' }, inputs.map(([key, word, input, unit]) => h('p', {}, h('label', { for: `${id}-${key}` }, word), input, h('span', {}, unit)))),
    h('fieldset', { class: 'own-food__basis' }, h('legend', {}, 'The packet’s carbohydrate'), radio('total', 'includes fibre (US)'), radio('available', 'leaves fibre out (EU, UK)')),
    h('p', { class: 'hint' }, 'Leave a field empty where the packet is silent. Empty means not known, never 0.'));
  const read = name => {
    const basis = box.querySelector('input[type=radio]:checked').value, typed = inputs.filter(([, , input]) => input.value !== '');
    const missing = inputs.filter(([key, , input]) => key !== 'POLYL' && input.value === '').map(([, word]) => word.toLowerCase());
    return { body: { description: name, basis: '100 g', carbohydrate_basis: basis, components: Object.fromEntries(typed.map(([key, , input]) => [tag(key, basis), numberIn(input.value)])) }, missing };
  };
  const rest = Object.fromEntries(Object.entries(given).filter(([name]) => ![energy, 'FAT', 'PROCNT', tag('CHO', basis), 'FIBTG', 'POLYL'].includes(name)));
  return { box, read, rest };
}
