// One recipe in place of another: what is not saved of the one at hand is put aside first.
import { $ } from './dom.js';
import { dropDraft, forgetAside, keepText, putAside, readText } from './drafts.js';
import { look } from './ledger.js';
import * as notices from './notices.js';
import { bodyOf, seenAs } from './saving.js';
import { fresh, isDirty, state } from './state.js';
import { bring } from './typed.js';
import { busy } from './weigh.js';

/** Keep what is not saved, and say where it is; its id. */
function setAside() {
  const id = putAside();
  keepText('');
  busy(false);
  if (id) notices.show('done', `${state.form.sections.length ? state.form.title : 'What you typed'} is put aside, not saved.`, 'It stands under Recipes.');
  return id;
}
const addressOf = saved => saved ? `#/recipe/${saved.id.slice(7)}` : '#/';

/** Open a saved recipe; `latest` is the revision that a save goes on from, where that is another one. */
export function show(recipe, latest, acts) {
  setAside();
  fresh();
  Object.assign(state, { form: bodyOf(recipe), saved: { ...seenAs(recipe), ...latest }, mode: 'ready' });
  acts.lead(addressOf(recipe));
  return acts.weigh().then(() => { look({ fold: true }); acts.draw(); $('recipe-name').focus(); });
}

/** Go on with what was put aside. */
export async function takeUp({ id, form, saved, key, text }, acts) {
  setAside();
  forgetAside(one => one.id === id);
  fresh();
  if (form) Object.assign(state, { form, saved, key, mode: 'ready' });
  const before = state.turn;
  await bring([saved?.id, key]).catch(() => {});
  if (before !== state.turn) return null;
  if (text) keepText(text);
  acts.lead(addressOf(saved), text);
  return form ? acts.weigh() : acts.draw();
}

export function startAnew(acts) {
  const { form, saved, key, answer, weighedAt, past } = state, old = structuredClone({ form, saved, key, answer, weighedAt, past }), kept = saved && !isDirty(), text = readText(), id = setAside();
  const back = () => { forgetAside(one => one.id === id); setAside(); fresh(); Object.assign(state, old, form.sections.length && { mode: 'ready' }); keepText(text); acts.lead(addressOf(saved), text); acts.draw(); };
  fresh();
  dropDraft();
  history.replaceState(null, '', '#/');
  $('list-text').value = '';
  acts.draw();
  $('list-text').focus();
  notices.show('done', `${form.title} is put aside.`, id ? 'It is not saved, and stands under Recipes.' : kept ? 'It is saved.' : '', [['Take it back', back]]);
}
