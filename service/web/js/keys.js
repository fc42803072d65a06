// Keys of the ledger. Letters and digits work only while one of its lines has the focus (WCAG 2.1.4).
import { $ } from './dom.js';
import { say } from './announcements.js';
import { COMPONENTS, state } from './state.js';
import { lineAt, looks } from './ledger.js';
import { numberIn } from './typed.js';
import { ways } from './view.js';

/** One tab stop for all lines: the one that had the focus last. */
export function rove(n) {
  if (state.at === n) return;
  const old = $(`line-${state.at}`), now = $(`line-${n}`);
  if (old) old.tabIndex = -1;
  state.at = n;
  if (now) now.tabIndex = 0;
}

export function move(step) {
  const shown = [...document.querySelectorAll('.row__words')], i = shown.findIndex(one => one.id === `line-${state.at}`);
  const to = step === 'first' ? 0 : step === 'last' ? shown.length - 1 : Math.max(0, Math.min(shown.length - 1, i + step));
  shown[to]?.focus();
}

export function seek(step, draw) {
  const needs = looks().map(line => line.n);
  if (!needs.length) return say('Nothing needs a look');
  const n = step > 0 ? needs.find(one => one > state.at) ?? needs[0] : needs.findLast(one => one < state.at) ?? needs.at(-1);
  if (state.folded.delete(lineAt(n).id)) draw();
  $(`line-${n}`).scrollIntoView({ block: 'center' });
  $(`line-${n}`).focus({ preventScroll: true });
}

/** A field of a number goes up and down by one; not below 0. */
function count(event) {
  const { target: field, key } = event, by = { ArrowUp: 1, ArrowDown: -1 }[key], now = numberIn(field.value ?? '');
  if (!by || !field.matches('[inputmode=decimal]') || Number.isNaN(now)) return;
  event.preventDefault();
  field.value = Math.max(0, Number((now + by).toPrecision(12)));
  for (const kind of ['input', 'change']) field.dispatchEvent(new Event(kind, { bubbles: true }));
}

export function listen(acts) {
  document.addEventListener('keydown', count);
  $('ledger').addEventListener('keydown', event => {
    if (!event.target.matches('.row__words') || event.ctrlKey || event.metaKey || event.altKey) return;
    const nextWay = () => { const list = ways(), at = list.findIndex(way => way.name === state.way); acts.choose('way', list[(at + 1) % list.length]?.name ?? 'plain'); };
    const act = { ArrowDown: () => move(1), ArrowUp: () => move(-1), Home: () => move('first'), End: () => move('last'),
      Escape: () => state.open && acts.toggle(state.open), n: () => acts.seek(1), p: () => acts.seek(-1), u: acts.undo, v: nextWay,
    }[event.key.length === 1 ? event.key.toLowerCase() : event.key] ?? (COMPONENTS[Number(event.key) - 1] && (() => acts.choose('component', COMPONENTS[Number(event.key) - 1].key)));
    if (act) { event.preventDefault(); act(); }
  });
}
