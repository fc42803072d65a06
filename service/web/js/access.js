// The key that a kitchen may want: asked for once, kept until the tab is closed, never in an address.
import { $ } from './dom.js';

const PLACE = 'gramwright.key';
let held = null, asked = null;

export function key() {
  try { held ??= sessionStorage.getItem(PLACE); } catch { /* forbidden: it is held here alone */ }
  return held;
}
export function keep(text) {
  held = text;
  try { if (text) sessionStorage.setItem(PLACE, text); else sessionStorage.removeItem(PLACE); } catch { /* as above */ }
  $('forget-key').hidden = !text;
}
export const forget = () => keep(null);

/** Ask the person for a key; all who wait get the same answer, null where there is none. */
export function ask(refused) {
  if (key() && key() !== refused) return Promise.resolve(key());
  const given = ({ asking }) => asking(refused).then(text => { if (text) keep(text); return text; });
  return asked ??= import('./asking.js').then(given).finally(() => { asked = null; });
}
