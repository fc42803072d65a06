// What is kept in this browser until the service has it: the recipe at hand, what was typed, what waits to be sent.
// Each tab has drafts of its own and an outbox that no other open tab writes in; how the page looks is one for all.
import { state } from './state.js';

const DRAFT = 'gramwright.draft', ANSWER = 'gramwright.answer', TEXT = 'gramwright.text', OUTBOX = 'gramwright.outbox', LOOKS = 'gramwright.looks', ASIDE = 'gramwright.aside', FIELDS = 'gramwright.fields';
const TAB = 'gramwright.tab', MOST_TABS = 8, PATIENCE = 400;
export let tab = '';
const unkept = new Set();
let told = null, typed = null;
/** Be told when there comes to be something that this browser cannot keep, and when there is nothing any more. */
export const whenFull = act => { told = act; };

const own = key => key + tab;
function put(key, value) {
  try {
    if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch { return false; }
}
/** The way back and the last answer are worth having, the words are needed: the others go where there is no room. */
function keep(key, value, less = value) {
  const before = unkept.size;
  if (put(key, value) || (put(own(ANSWER), null), put(key, less))) unkept.delete(key); else unkept.add(key);
  if (!before !== !unkept.size) told?.(!before);
}
function kept(key) {
  try { return JSON.parse(localStorage.getItem(key)); } catch { return null; }
}

// ---- which drafts are this tab's ------------------------------------------------------------------------------

/** Hold a tab's name for as long as the page lives; false where another tab has it. */
const hold = (name, options) => new Promise(done => {
  navigator.locks.request(TAB + name, options, lock => { done(!!lock); return lock && new Promise(() => {}); }).catch(() => done(false));
});

/** Do something for a tab that is gone, and cannot come back meanwhile; false where it is open. */
export const whenGone = (name, act) => navigator.locks.request(TAB + name, { ifAvailable: true }, lock => { if (lock) act(); return !!lock; });
const clear = name => { for (const key of [DRAFT, ANSWER, TEXT]) put(key + name, null); };

/** After a reload the drafts are the tab's own; a new tab takes up the latest that no open tab has. */
export async function claim() {
  try {
    const before = sessionStorage.getItem(TAB), tabs = known();
    // A browser that is slow to answer has the last word: a copy is of a tab that is open.
    tab = before !== null && (await hold(before, { signal: AbortSignal.timeout(PATIENCE) }) || await hold(before, { ifAvailable: true })) ? before : await adopted(before, tabs);
    sessionStorage.setItem(TAB, tab);
    gather(MOST_TABS).catch(() => {});
  } catch { tab = ''; }
}

/** Put aside what tabs left that are gone, but for the latest; one at a time, so that who waited finds all of it. */
export const gather = (latest = 0) => navigator.locks.request('gramwright.gathering', () => gatherBut(latest));
async function gatherBut(latest) {
  const gone = [];
  for (const old of known().slice(latest)) if (await whenGone(old, () => {})) gone.push(old);
  // One that is loaded anew comes back.
  if (gone.length) await new Promise(done => setTimeout(done, 2 * PATIENCE));
  for (const old of gone) await whenGone(old, () => { layDraft(kept(DRAFT + old), kept(TEXT + old) ?? ''); clear(old); });
}

const named = start => Object.keys(localStorage).filter(key => key.startsWith(start)).map(key => key.slice(start.length));
/** Tabs that left something, the latest first. */
function known() {
  return [...new Set([DRAFT, TEXT, FIELDS].flatMap(named))].map(name => [name, kept(DRAFT + name)?.weighedAt ?? 0]).sort((one, other) => other[1] - one[1]).map(([name]) => name);
}

async function adopted(before, tabs) {
  const made = `.${Date.now().toString(36)}${Math.random().toString(36).slice(2, 6)}`;
  if (before === null) for (const name of tabs) if (await hold(name, { ifAvailable: true })) return name;
  await hold(made, { ifAvailable: true });
  // The tab was doubled: it starts with a copy.
  if (before !== null) for (const key of [DRAFT, ANSWER, TEXT, FIELDS]) put(key + made, kept(key + before));
  return made;
}

// ---- what is kept ---------------------------------------------------------------------------------------------

export function keepDraft() {
  if (state.mode !== 'ready') return;
  const { form, saved, key, weighedAt, past } = state, draft = { form, saved, key, weighedAt };
  keep(own(DRAFT), { ...draft, past: past.slice(-10) }, draft);
}
/** Keep the last answer when there is nothing else to do. */
export function keepAnswer() {
  const { answer } = state, later = self.requestIdleCallback ?? setTimeout;
  later(() => { if (answer === state.answer && state.mode === 'ready') put(own(ANSWER), answer); });
}
export const readDraft = () => kept(own(DRAFT));
/** Let the draft of a tab that is gone know what became of its recipe. */
export function tellDraft(name, key, saved) {
  const draft = kept(DRAFT + name);
  if (draft?.key === key) put(DRAFT + name, { ...draft, saved });
}
// An answer from before an update of the page may lack what is drawn.
export const readAnswer = () => { const answer = kept(own(ANSWER)); return answer?.ledger.listed ? answer : null; };
export const dropDraft = () => clear(tab);
export const keepText = text => { typed = text; keep(own(TEXT), text || null); };
export const readText = () => typed ??= kept(own(TEXT)) ?? '';
/** What is half typed in forms that are no recipe, by form and field. */
export const keepFields = (all, of = tab) => keep(FIELDS + of, Object.keys(all).length ? all : null);
export const readFields = (of = tab) => kept(FIELDS + of) ?? {};
export const withFields = () => named(FIELDS);
export const keepLooks = () => keep(LOOKS, { energy: state.energy, mass: state.mass, house: state.house, light: document.documentElement.dataset.light ?? '' });
export const readLooks = () => kept(LOOKS) ?? {};

export const unique = () => `${Date.now()}-${Math.random().toString(36).slice(2)}`;
export const outbox = (of = tab) => kept(OUTBOX + of) ?? [];
export const keepOutbox = (list, of = tab) => keep(OUTBOX + of, list.length ? list : null);
/** Tabs that have something waiting to be sent. */
export const waiting = () => { try { return named(OUTBOX); } catch { return []; } };

// What was put aside unsaved when something else came in its place, the latest first.
export const aside = () => kept(ASIDE) ?? [];
export const forgetAside = is => keep(ASIDE, aside().filter(one => !is(one)));
/** Keep the recipe at hand, and what is typed, where either is not saved; its id, null where nothing was. */
export function putAside() {
  return layDraft(state.form.sections.length && state, readText());
}
function layDraft(draft, text) {
  const { form, saved, key } = draft && JSON.stringify(draft.form) !== draft.saved?.body ? draft : {};
  return form || text.trim() ? layAside({ text, form: form ?? null, saved: saved ?? null, key }) : null;
}
export function layAside(one) {
  const id = unique();
  keep(ASIDE, [{ id, at: Date.now(), ...one }, ...aside()]);
  return id;
}
