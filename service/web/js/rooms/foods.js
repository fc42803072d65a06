// Own foods: what is on the packet, what does not add up, who uses it.
import { button, h } from '../dom.js';
import { say } from '../announcements.js';
import * as api from '../api.js';
import { tagOf } from '../figures.js';
import * as notices from '../notices.js';
import { state } from '../state.js';
import { impact } from '../saving.js';
import { fieldsOf } from '../own_food.js';
import { lostWith, meanAgain, meaning } from './meant.js';
import { forget, half, keepTyped, noNumber, unitOf } from '../typed.js';

export async function foods(room, acts, search = '') {
  const again = () => foods(room, acts, search);
  const found = await api.all(`/own-foods?limit=100&search=${encodeURIComponent(search)}`, 'own_foods');
  const details = await Promise.all(found.map(one => api.food(one.id).catch(() => null)));
  const field = h('input', { type: 'search', id: 'own-search', value: search, on: { change: event => acts.guard(() => foods(room, acts, event.target.value)) } });
  room.replaceChildren(h('h1', { tabindex: -1 }, 'Own foods'),
    h('p', {}, 'Foods as your packets state them. What a packet does not state is not known, never 0, and every total says so.'),
    h('p', { class: 'field' }, h('label', { for: field.id }, 'Words of the name'), field),
    h('ul', { class: 'cards' }, details.filter(Boolean).map(one => entry(one, again, acts))),
    h('section', { class: 'adding', 'aria-labelledby': 'own-add' }, h('h2', { id: 'own-add' }, 'Add one'), editor('own-new', null, again, acts)));
}

function entry(one, again, acts) {
  const more = h('div', { class: 'cards__more', hidden: true });
  const id = `edit-${one.id.replace(':', '-')}`, edit = () => { more.hidden = !more.hidden; more.replaceChildren(editor(id, one, again, acts)); };
  if (half(id)) edit();
  const remove = () => acts.guard(async () => {
    const meant = await meaning(one.id);
    try { await api.remove(`/foods/${one.id}`, one.revision); } catch (error) {
      if (error.status !== 409) throw error;
      return notices.show('error', `${one.description} is in use.`, `Used by ${error.body.users.map(user => user.title).join(', ')}. Nothing was deleted.`);
    }
    await again();
    notices.show('done', `${one.description} is deleted.`, lostWith(meant).trim(), [['Take it back', () => acts.guard(() => back(one, meant).finally(again))]]);
  });
  const value = (tag, unit) => { const found = one.components[tag]?.value; return found === null || found === undefined ? 'not known' : `${Number(found.toFixed(unit === 'g' ? 2 : 0))} ${unit}`; };
  return h('li', {}, h('div', { class: 'cards__head' }, h('h2', { dir: 'auto' }, one.description), h('small', {}, one.id)),
    h('p', {}, `In 100 g: energy ${value(tagOf('ENERC'), state.energy)}, fat ${value('FAT', 'g')}, protein ${value('PROCNT', 'g')}, total carbohydrate ${value('CHOCDF', 'g')}, fibre ${value('FIBTG', 'g')}.`),
    one.findings.length ? h('ul', { class: 'findings' }, one.findings.map(found => h('li', {}, found.text))) : null,
    h('p', { class: 'cards__acts' }, button(['Change', h('span', { class: 'unseen' }, ` ${one.description}`)], edit), button(['Delete', h('span', { class: 'unseen' }, ` ${one.description}`)], remove)), more);
}

/** A deleted food is saved anew, under another id. */
async function back(one, meant) {
  const { id } = await api.post('/foods', one.form), left = await meanAgain(meant, id);
  if (left) notices.show('error', `${one.description} is back, as ${id}.`, left.trim());
}

function editor(id, one, again, acts) {
  const name = h('input', { type: 'text', id: `${id}-name`, maxlength: 300, value: one?.description ?? '' });
  const fields = fieldsOf(id, unitOf(id, `${id}-ENERC`), one?.form.components, one?.form.carbohydrate_basis);
  const save = () => acts.guard(async () => {
    const wrong = noNumber(box), { body } = fields.read(name.value.trim());
    if (wrong) throw new Error(wrong);
    const kept = one ? { ...one.form, ...body, basis: one.form.basis, components: { ...fields.rest, ...body.components } } : body;
    const saved = one ? await api.put(`/foods/${one.id}`, kept, one.revision) : await api.post('/foods', kept);
    forget(id);
    await again();
    say(`${saved.description} is kept. ${saved.changed?.length ? `It changed ${saved.changed.map(impact).join('; ')}.` : ''}`);
  });
  const box = h('div', { class: 'own-food' }, h('p', { class: 'own-food__name' }, h('label', { for: name.id }, 'Name'), name), one && one.form.basis !== '100 g' ? h('p', {}, `These are of ${one.form.basis}.`) : null, fields.box,
    h('p', { class: 'list__acts' }, button('Keep it', save, { class: 'main' }), button('Throw away', () => { forget(id); box.replaceWith(editor(id, one, again, acts)); })));
  keepTyped(id, box);
  return box;
}

