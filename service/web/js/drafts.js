// What is kept in this browser until the service has it: the recipe at hand, what was typed, what waits to be sent.
import { state } from './state.js';

const DRAFT = 'gramwright.draft', TEXT = 'gramwright.text', OUTBOX = 'gramwright.outbox', LOOKS = 'gramwright.looks';
let failed = null;
export const whenFull = act => { failed = act; };

function keep(key, value) {
  try {
    if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch { failed?.(); failed = null; return false; }
}
function kept(key) {
  try { return JSON.parse(localStorage.getItem(key)); } catch { return null; }
}

export function keepDraft() {
  if (state.mode !== 'ready') return;
  const { form, saved, answer, weighedAt, past } = state;
  const draft = { form, saved, weighedAt };
  // The last answer and the way back are worth having, the words are needed: they go first if there is no room.
  if (JSON.stringify(form).length < 200_000 && keep(DRAFT, { ...draft, answer, past: past.slice(-10) })) return;
  keep(DRAFT, draft);
}
export const readDraft = () => kept(DRAFT);
export const dropDraft = () => { keep(DRAFT, null); keep(TEXT, null); };
export const keepText = text => keep(TEXT, text || null);
export const readText = () => kept(TEXT) ?? '';
export const keepLooks = () => keep(LOOKS, { energy: state.energy, mass: state.mass, light: document.documentElement.dataset.light ?? '' });
export const readLooks = () => kept(LOOKS) ?? {};

export const outbox = () => kept(OUTBOX) ?? [];
export const keepOutbox = list => keep(OUTBOX, list.length ? list : null);
