// What is kept in this browser until the service has it: the recipe at hand, what was typed, what waits to be sent.
// Each tab has drafts of its own; what waits to be sent and how the page looks is one for all.
import { isDirty, state } from './state.js';

const DRAFT = 'gramwright.draft', ANSWER = 'gramwright.answer', TEXT = 'gramwright.text', OUTBOX = 'gramwright.outbox', LOOKS = 'gramwright.looks', ASIDE = 'gramwright.aside', MOST_ASIDE = 20;
const TAB = 'gramwright.tab', MOST_TABS = 8, PATIENCE = 400;
let tab = '', failed = null;
export const whenFull = act => { failed = act; };

const own = key => key + tab;
function put(key, value) {
  try {
    if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch { return false; }
}
function keep(key, value) {
  if (put(key, value)) return;
  failed?.();
  failed = null;
}
function kept(key) {
  try { return JSON.parse(localStorage.getItem(key)); } catch { return null; }
}

// ---- which drafts are this tab's ------------------------------------------------------------------------------

/** Hold a tab's name for as long as the page lives; false where another tab has it. */
const hold = (name, options) => new Promise(done => {
  navigator.locks.request(TAB + name, options, lock => { done(!!lock); return lock && new Promise(() => {}); }).catch(() => done(false));
});

/** After a reload the drafts are the tab's own; a new tab takes up the latest that no open tab has. */
export async function claim() {
  try {
    const before = sessionStorage.getItem(TAB), tabs = known();
    tab = before !== null && await hold(before, { signal: AbortSignal.timeout(PATIENCE) }) ? before : await adopted(before, tabs);
    sessionStorage.setItem(TAB, tab);
    for (const old of tabs.slice(MOST_TABS)) if (old !== tab && await hold(old, { ifAvailable: true })) for (const key of [DRAFT, ANSWER, TEXT]) put(key + old, null);
  } catch { tab = ''; }
}

/** Tabs that left something, the latest first. */
function known() {
  const names = new Set(Object.keys(localStorage).flatMap(key => [DRAFT, TEXT].filter(start => key.startsWith(start)).map(start => key.slice(start.length))));
  return [...names].map(name => [name, kept(DRAFT + name)?.weighedAt ?? 0]).sort((one, other) => other[1] - one[1]).map(([name]) => name);
}

async function adopted(before, tabs) {
  const made = `.${Date.now().toString(36)}${Math.random().toString(36).slice(2, 6)}`;
  if (before === null) for (const name of tabs) if (await hold(name, { ifAvailable: true })) return name;
  await hold(made, { ifAvailable: true });
  // The tab was doubled: it starts with a copy.
  if (before !== null) for (const key of [DRAFT, ANSWER, TEXT]) put(key + made, kept(key + before));
  return made;
}

// ---- what is kept ---------------------------------------------------------------------------------------------

export function keepDraft() {
  if (state.mode !== 'ready') return;
  const { form, saved, key, weighedAt, past } = state, draft = { form, saved, key, weighedAt };
  // The way back and the last answer are worth having, the words are needed: the others go where there is no room.
  if (put(own(DRAFT), { ...draft, past: past.slice(-10) })) return;
  put(own(ANSWER), null);
  keep(own(DRAFT), draft);
}
/** Keep the last answer when there is nothing else to do. */
export function keepAnswer() {
  const { answer } = state, later = self.requestIdleCallback ?? setTimeout;
  later(() => { if (answer === state.answer && state.mode === 'ready') put(own(ANSWER), answer); });
}
export const readDraft = () => kept(own(DRAFT));
export const readAnswer = () => kept(own(ANSWER));
export const dropDraft = () => { for (const key of [DRAFT, ANSWER, TEXT]) put(own(key), null); };
export const keepText = text => keep(own(TEXT), text || null);
export const readText = () => kept(own(TEXT)) ?? '';
export const keepLooks = () => keep(LOOKS, { energy: state.energy, mass: state.mass, house: state.house, light: document.documentElement.dataset.light ?? '' });
export const readLooks = () => kept(LOOKS) ?? {};

export const unique = () => `${Date.now()}-${Math.random().toString(36).slice(2)}`;
export const outbox = () => kept(OUTBOX) ?? [];
export const keepOutbox = list => keep(OUTBOX, list.length ? list : null);

// What was put aside unsaved when something else came in its place, the latest first.
export const aside = () => kept(ASIDE) ?? [];
export const forgetAside = is => keep(ASIDE, aside().filter(one => !is(one)));
/** Keep the recipe at hand, and what is typed, where either is not saved; its id, null where nothing was. */
export function putAside() {
  const text = readText(), { form, saved } = state, dirty = isDirty();
  if (!dirty && !text.trim()) return null;
  return layAside({ text, form: dirty ? form : null, saved: dirty ? saved : null });
}
export function layAside(one) {
  const id = unique();
  keep(ASIDE, [{ id, at: Date.now(), ...one }, ...aside()].slice(0, MOST_ASIDE));
  return id;
}
