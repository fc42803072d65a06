// Saving recipes; what cannot be sent waits in this browser and is sent once.
// What waits belongs to the tab that was asked to save it: while that is open no other sends it, and no other takes over
// the revision that comes of it, as only its form has what was changed. What a tab left that is gone any other sends.
import { say } from './announcements.js';
import * as api from './api.js';
import { forgetAside, keepDraft, keepOutbox, layAside, outbox, tab, tellDraft, unique, waiting, whenGone } from './drafts.js';
import { change, state } from './state.js';
import { chosen } from './chosen.js';
import { keeping, lost } from './follow.js';
import { clock, massUnit, tagOf, weight, withUnit } from './figures.js';
import * as notices from './notices.js';
import { partFromSaved, unchanged } from './typed.js';
import { failed } from './weigh.js';

const AGAIN = 60_000;
let saving = false, turn = Promise.resolve();
/** What this tab sends goes one after another: each save knows the revision that the one before it came to. */
const inTurn = act => { turn = turn.then(act, act); return turn; };

/** The form of a saved recipe, without what the service adds. */
export function bodyOf(recipe) {
  const { id: _id, revision: _revision, saved: _saved, notes: _notes, changed: _changed, ...form } = recipe;
  return form;
}
export const seenAs = recipe => ({ id: recipe.id, revision: recipe.revision, body: JSON.stringify(bodyOf(recipe)) });

/** The name that the recipe at hand waits under: neither another recipe nor the same one opened again is taken for it. */
const keyNow = () => state.key ??= unique();

/** A save that may have been done without an answer goes by the same name again, and is done once. */
const sameAgain = (key, body) => waiting().flatMap(name => outbox(name)).find(one => one.key === key && JSON.stringify(one.body) === JSON.stringify(body))?.id ?? unique();

/** Save the recipe at hand; what a second click asks for is under way. */
export async function save(acts) {
  if (saving) return;
  saving = true;
  await inTurn(() => kept(acts)).finally(() => { saving = false; });
}

async function kept(acts) {
  const form = state.form, item = { id: sameAgain(keyNow(), form), key: keyNow(), kind: 'recipe', recipe: state.saved?.id, body: form, seen: state.saved?.revision };
  try {
    const answer = await sent(item);
    keepOutbox(besides(item));
    drop(item);
    if (isHere(item)) done(answer, acts); else say(`${answer.title} is saved as revision ${answer.revision}`);
  } catch (error) {
    if (error instanceof api.Problem && !isPassing(error)) return notSaved(item, error, acts);
    queue(item);
    keepDraft();
    failed(error, acts.retry);
    say('Kept here, and saved when the service answers');
  }
}

/** What becomes of a save that the service refuses: another recipe may have come in place of it meanwhile. */
function notSaved(item, error, acts) {
  if (!isHere(item)) { drop(item); return putAway(item, error); }
  if (error.status === 412) return conflict(item.body, acts);
  if (error.status === 404 && state.saved) return gone(acts);
  return notices.show('error', 'It was not saved.', `${error.message}. It is kept here as a draft.`);
}

/** What waits here but for what was to be saved of the same recipe before. */
const besides = ({ key }) => outbox().filter(one => one.kind !== 'recipe' || one.key !== key);
const queue = item => keepOutbox([...item.kind === 'recipe' ? besides(item) : outbox(), item]);

const sent = item => item.kind === 'choice' ? api.post('/choices', item.body)
  : item.seen === undefined ? api.post('/recipes', item.body, { once: item.id }) : api.put(`/recipes/${item.recipe}`, item.body, item.seen);

function done(recipe, acts) {
  state.saved = seenAs(recipe);
  keepDraft();
  acts.saved(recipe);
  const others = recipe.changed.map(impact);
  if (others.length) notices.show('done', `Saved as revision ${recipe.revision}.`, `It changed the figures of ${others.join('; ')}.`);
  say(`Saved as revision ${recipe.revision}${others.length ? `; it changed the figures of ${others.length} other recipes` : ''}`);
}

/** Keep that a phrase always means a food: true where it holds, 'waits' where it is sent later, false where it is refused. */
export async function stand(phrase, food) {
  try {
    await api.post('/choices', { phrase, food });
    return true;
  } catch (error) {
    if (!isPassing(error)) { notices.show('error', 'The standing choice was not kept.', `${error.message}.`); return false; }
    queue({ id: unique(), key: phrase, kind: 'choice', body: { phrase, food } });
    return 'waits';
  }
}

/** Make a recipe of a section; a line that takes all of its plain lines stands in place of them, optional ones stay. */
export async function makeRecipe(section, acts) {
  const form = state.form.sections[section.id];
  if (!form.name) return notices.show('error', 'The section has no name.', 'Name it first: the recipe is called by it.');
  const body = { title: form.name, servings: state.form.servings, sections: [{ ...form, name: '', optional: false }] }, same = unchanged();
  await acts.guard(async () => {
    const { lines, weight } = await api.preview(body), beside = form.lines.filter((_, at) => lines[at].optional);
    if (!lines.some(line => line.counted)) return notices.show('error', 'No recipe was made of it.', 'Each of its lines is optional or left out, so that a line that takes all of it would take nothing.');
    const line = await takingAll(await api.post('/recipes', body), weight.cooked.value);
    if (!same()) return notices.show('done', `${form.name} is a recipe of its own.`, 'The list was changed meanwhile: no line of it was put in place of the section.');
    let ways;
    change(whole => { const own = whole.sections[section.id], left = own.lines.filter((_, at) => lines[at].optional); ways = keeping(whole, () => { own.lines = [line, ...left]; }); });
    await acts.weigh();
    const stays = beside.length ? `Its line here stands for all but what is optional in it; that stays beside it: ${beside.map(one => one.text).join('; ')}` : 'Its line here stands for the whole of it';
    notices.show('done', `${form.name} is a recipe of its own.`, `${[stays, ...lost(ways)].join('; ')}.`);
  });
}

/** The line that takes all of a saved recipe, which weighs so many grams as it is served. */
async function takingAll({ id, title }, grams) {
  const line = { text: `all of the ${title}`, food: id }, { lines } = await api.preview({ title, servings: 1, sections: [{ lines: [line] }] }), taken = lines[0].parts[0]?.grams?.low;
  // A number in the name may be read as how many.
  return lines[0].parts.length === 1 && taken != null && Math.abs(taken - grams) <= .001 * taken ? line : { ...line, grams: grams || null };
}

/** Send what waits, in order, each once; stops at the first that cannot be sent. */
export async function flush(acts, { quiet = false } = {}) {
  const fails = error => { if (!quiet) failed(error, acts.retry); };
  if (outbox().length && !await inTurn(() => sendOwn(acts, fails))) return;
  for (const name of waiting()) if (name !== tab && !await navigator.locks.request('gramwright.outbox', () => sendLeft(name, fails))) return;
}
/** Whatever became of the notice that counts down: what waits is tried again. */
export const sendAgain = acts => setInterval(() => flush(acts, { quiet: true }), AGAIN);

const isPassing = error => error instanceof api.Offline || (error instanceof api.Problem && (error.status >= 500 || error.status === 429));

async function sendOwn(acts, fails) {
  for (const item of outbox()) {
    try {
      const answer = await sent(item);
      drop(item);
      if (isHere(item)) done(answer, acts);
    } catch (error) {
      if (isPassing(error)) { fails(error); return false; }
      drop(item);
      if (item.kind === 'recipe' && !isHere(item)) putAway(item, error);
      else if (error.status === 412) await conflict(item.body, acts);
      else refused(error);
    }
  }
  return true;
}

/** Send what a tab left that is gone. If it comes back meanwhile it sends it once more, which is done once, and learns what came of it. */
async function sendLeft(name, fails) {
  const settle = (item, act) => whenGone(name, () => { if (outbox(name).some(one => one.id === item.id)) { drop(item, name); act(); } });
  for (const item of outbox(name)) {
    if (!await whenGone(name, () => {})) break;
    try {
      const answer = await sent(item);
      await settle(item, () => { if (item.kind === 'recipe') tellDraft(name, item.key, seenAs(answer)); });
    } catch (error) {
      if (isPassing(error)) { fails(error); return false; }
      await settle(item, () => { if (item.kind === 'recipe') putAway(item, error); else refused(error); });
    }
  }
  return true;
}

/** What was sent waits no more, nor does a copy of it that was put aside as not saved. */
function drop(item, of = tab) {
  keepOutbox(outbox(of).filter(one => one.id !== item.id), of);
  forgetAside(one => !one.text && JSON.stringify(one.form) === JSON.stringify(item.body));
}
const refused = error => notices.show('error', 'What was waiting to be sent was refused.', `${error.message}. It is kept here as a draft.`);

/** A recipe that a change reached, with a serving's energy and net carbohydrate before and after. */
export function impact({ title, ...one }) {
  const pair = (key, unit, word) => { const [old, now] = ['before', 'after'].map(at => withUnit(one[at] && { value: one[at][tagOf(key)], ...one[`${at}_bounds`][tagOf(key)] }, unit)); return old === now ? '' : `${word} ${old} → ${now}`; };
  const said = [pair('ENERC', state.energy, 'energy'), pair('net', 'g', 'net carbohydrate')].filter(Boolean);
  return said.length ? `${title} (${said.join(', ')})` : title;
}

const isHere = item => item.kind === 'recipe' && item.key === state.key;
/** What waited is of another recipe than the one at hand: that is not touched by it. */
function putAway({ key, recipe, seen, body }, error) {
  layAside({ text: '', form: body, saved: recipe ? { id: recipe, revision: seen, body: '' } : null, key });
  notices.show('error', `${body.title} was ${error.status === 412 ? 'changed elsewhere' : 'refused'}.`, `${error.message}. What waited to be sent is put aside, and stands under Recipes.`);
}

/** Somebody else saved in between: both are offered, neither is overwritten. */
async function conflict(mine, acts) {
  const again = () => conflict(state.form, acts), silent = error => { notices.show('error', 'Changed elsewhere.', `Nothing was overwritten, and yours is kept here. Theirs cannot be shown: ${error.message}.`, [['Try again', again]]); };
  const { id } = state.saved, theirs = await api.get(`/recipes/${id}`).catch(silent);
  if (!theirs || state.saved?.id !== id) return;
  const over = async () => { state.saved = { ...state.saved, revision: theirs.revision }; await save(acts); };
  const apart = async () => { partFromSaved(); state.form = { ...state.form, title: `${state.form.title} (mine)` }; await save(acts); };
  notices.show('error', `Changed elsewhere at ${clock(new Date(theirs.saved))}.`, `Revision ${theirs.revision} is not the one you opened. ${differences(theirs, mine)} Nothing was overwritten.`,
    [['Open theirs', () => acts.show(theirs)], ['Save mine over it', over], ['Save mine as another recipe', apart]]);
}

const gone = acts => notices.show('error', 'This recipe was deleted elsewhere.', 'What you have is kept here as a draft.', [['Save it as a new recipe', () => { partFromSaved(); save(acts); }]]);

/** Which lines one recipe has and the other has not. */
export function lineChanges(one, other) {
  const texts = form => form.sections.flatMap(section => section.lines.map(line => [line.text, ...chosen(line)].join(', ')));
  const [before, after] = [texts(one), texts(other)];
  const without = (list, rest) => { const left = [...rest]; return list.filter(text => { const at = left.indexOf(text); if (at < 0) return true; left.splice(at, 1); return false; }); };
  return { gone: without(before, after), come: without(after, before) };
}
function differences(theirs, mine) {
  const { gone, come } = lineChanges(mine, theirs);
  const said = [theirs.title !== mine.title ? `Theirs is called “${theirs.title}”.` : '', theirs.servings !== mine.servings ? `Theirs serves ${theirs.servings}, yours ${mine.servings}.` : '', come.length ? `Theirs has “${come.slice(0, 3).join('”, “')}”.` : '', gone.length ? `Yours has “${gone.slice(0, 3).join('”, “')}”.` : ''].filter(Boolean);
  return said.length ? said.join(' ') : 'The lines are the same.';
}
