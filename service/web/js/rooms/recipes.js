// Saved recipes: open, rename, copy, delete with a way back, and their revisions.
import { button, h } from '../dom.js';
import { say } from '../announcements.js';
import * as api from '../api.js';
import { aside, forgetAside, gather, keepDraft } from '../drafts.js';
import { day } from '../figures.js';
import * as notices from '../notices.js';
import { bodyOf, lineChanges, seenAs } from '../saving.js';
import { lostWith, meanAgain, meaning } from './meant.js';
import { state } from '../state.js';
import { forget, half, keepTyped, partFromSaved } from '../typed.js';

export async function recipes(room, acts) {
  let late = null, turn = 0;
  const list = h('div'), fill = async () => {
    const mine = ++turn, search = field.value, found = await api.all(`/recipes?limit=100&search=${encodeURIComponent(search)}`, 'recipes');
    // An earlier search may be answered later.
    if (mine !== turn) return;
    list.replaceChildren(found.length ? h('ul', { class: 'cards' }, found.map(one => entry(one, fill, acts))) : h('p', {}, search ? 'No title has these words.' : 'Nothing is saved yet. Weigh a list, then save it.'), unsaved(fill, acts));
  };
  const field = h('input', { type: 'search', id: 'recipe-search', on: { input: () => { clearTimeout(late); late = setTimeout(() => acts.guard(fill), 250); } } });
  await fill();
  room.replaceChildren(h('h1', { tabindex: -1 }, 'Recipes'), h('p', { class: 'field' }, h('label', { for: field.id }, 'Words of the title'), field), list);
  const drawn = aside().length;
  gather().then(() => aside().length !== drawn && fill()).catch(() => {});
}

/** What was put aside in this browser. */
function unsaved(again, acts) {
  const list = aside();
  return list.length ? h('section', { 'aria-labelledby': 'aside-name' }, h('h2', { id: 'aside-name' }, 'Put aside in this browser, not saved'),
    h('ul', { class: 'cards' }, list.map(one => {
      const title = one.form?.title ?? one.text.trim().split('\n')[0].slice(0, 80);
      return h('li', {}, h('div', { class: 'cards__head' }, h('h3', { dir: 'auto' }, title), h('small', {}, `${one.saved ? `${one.saved.id} changed, ` : ''}${day(one.at)}`)),
        h('p', { class: 'cards__acts' }, named('Go on with', { title }, () => acts.takeUp(one)), named('Throw away', { title }, () => { forgetAside(({ id }) => id === one.id); again(); })));
    }))) : '';
}

function entry(one, again, acts) {
  const more = h('div', { class: 'cards__more', hidden: true }), rename = () => { renaming(one, more, again); more.querySelector('input').focus(); };
  if (half(nameOf(one))) renaming(one, more, again);
  return h('li', {}, h('div', { class: 'cards__head' },
    h('h2', {}, h('a', { href: `#/recipe/${one.id.slice(7)}`, dir: 'auto' }, one.title)), h('small', {}, `revision ${one.revision}, ${day(one.saved)}`)),
  h('p', { class: 'cards__acts' }, named('Rename', one, rename), named('Copy', one, () => acts.guard(() => copy(one).then(again))),
    named('Delete', one, () => acts.guard(() => remove(one, again))), named('Revisions', one, () => acts.guard(() => revisions(one, more, acts)))), more);
}
const named = (text, one, act) => button([text, h('span', { class: 'unseen' }, ` ${one.title}`)], act);

const nameOf = one => `rename ${one.id}`;
function renaming(one, more, again) {
  const name = h('input', { type: 'text', id: `rename-${one.id}`, value: one.title, maxlength: 300 }), form = nameOf(one);
  const done = async () => { const recipe = await api.get(`/recipes/${one.id}`); await api.put(`/recipes/${one.id}`, { ...bodyOf(recipe), title: name.value.trim() }, recipe.revision); forget(form); say('Renamed'); await again(); };
  const box = h('div', {}, h('label', { for: name.id }, 'New name'), name, button('Rename it', () => done().catch(error => notices.show('error', 'Not renamed.', error.message))),
    button('Throw away', () => { forget(form); more.hidden = true; more.replaceChildren(); }));
  more.hidden = false;
  more.replaceChildren(box);
  keepTyped(form, box);
}

async function copy(one) {
  const recipe = await api.get(`/recipes/${one.id}`);
  await api.post('/recipes', { ...bodyOf(recipe), title: `${one.title} (copy)` });
  say('Copied');
}

async function remove(one, again) {
  const recipe = await api.get(`/recipes/${one.id}`), meant = await meaning(one.id);
  try { await api.remove(`/recipes/${one.id}`, recipe.revision); } catch (error) {
    if (error.status !== 409) throw error;
    return notices.show('error', `${one.title} is in use.`, `Used by ${error.body.users.map(user => user.title).join(', ')}. Nothing was deleted.`);
  }
  // What is at hand of it is a draft from now on.
  const here = state.saved?.id === recipe.id;
  if (here) { partFromSaved(); keepDraft(); }
  const { key } = state;
  await again();
  notices.show('done', `${one.title} is deleted.`, `${here ? 'It is still at hand, not saved.' : ''}${lostWith(meant)}`, [['Take it back', () => back(recipe, here && key, meant).then(again).catch(error => notices.show('error', 'It is not back.', error.message))]]);
}

/** A deleted recipe is saved anew; the page at hand goes on with it. */
async function back(recipe, here, meant) {
  const made = await api.post('/recipes', bodyOf(recipe)), left = await meanAgain(meant, made.id);
  if (here && here === state.key && !state.saved) { state.saved = seenAs(made); keepDraft(); }
  notices.show('done', `${made.title} is back, as ${made.id}.`, `Its number is a new one; its earlier revisions can still be read as those of ${recipe.id}.${left}`);
}

async function revisions(one, more, acts) {
  if (!more.hidden) { more.hidden = true; return; }
  const list = (await api.get(`/recipes/${one.id}/revisions`)).revisions.filter(revision => !revision.deleted);
  const forms = await Promise.all(list.map(revision => api.get(`/recipes/${one.id}?revision=${revision.revision}`)));
  more.hidden = false;
  more.replaceChildren(h('ol', { class: 'revisions' }, list.map((revision, place) => h('li', {}, h('b', {}, `${revision.revision}`), ` ${day(revision.saved)}, ${revision.title}`,
    place ? h('ul', {}, changes(forms[place - 1], forms[place])) : ': as it was first saved',
    place < list.length - 1 ? button([`Work on revision ${revision.revision}`, h('span', { class: 'unseen' }, ` of ${one.title}`)], () => acts.show(forms[place], { revision: list.at(-1).revision, body: JSON.stringify(bodyOf(forms.at(-1))) })) : null)).reverse()));
}

function changes(before, after) {
  const { gone, come } = lineChanges(before, after);
  const said = value => typeof value === 'object' ? '' : ` ${value}`, other = name => JSON.stringify(before[name]) !== JSON.stringify(after[name]);
  const fields = ['title', 'servings', 'yield', 'net_carbohydrate', 'variants'].filter(other).map(name => name.replace('_', ' ') + (said(before[name]) && `${said(before[name])} →${said(after[name])}`));
  const heads = form => form.sections.map(section => [section.name, section.optional]);
  if (JSON.stringify(heads(before)) !== JSON.stringify(heads(after))) fields.push('sections');
  return [...gone.map(text => h('li', {}, h('del', { dir: 'auto' }, text))), ...come.map(text => h('li', {}, h('ins', { dir: 'auto' }, text))), fields.length ? h('li', {}, `changed: ${fields.join(', ')}`) : null];
}
