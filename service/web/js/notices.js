// The page's own condition: one notice at a time, saying what happened and what was kept.
import { $, button, h, mark } from './dom.js';

const SHAPES = { loading: 'ring', offline: 'half', error: 'open', done: 'knot' };
let ticking = null;

export function clear(kind) {
  if (kind && $('notice').dataset.kind !== kind) return;
  clearInterval(ticking);
  $('notice').hidden = true;
  $('notice').replaceChildren();
}

/** `acts` are [text, act] pairs; pressing one closes the notice. */
export function show(kind, bold, text, acts = [], more = null) {
  const place = $('notice');
  clearInterval(ticking);
  place.hidden = false;
  place.dataset.kind = kind;
  place.className = `notice notice--${kind}`;
  place.setAttribute('role', kind === 'error' ? 'alert' : 'status');
  place.replaceChildren(mark(SHAPES[kind]), h('p', { dir: 'auto' }, h('b', {}, bold), ' ', text), more ?? '',
    ...acts.map(([word, act]) => button(word, () => { clear(); act(); })), kind === 'loading' || kind === 'offline' ? '' : button('Close', () => clear(), { class: 'plain' }));
}

export function progress(done, of) {
  const bar = h('progress', { max: of, value: done, 'aria-label': 'Lines weighed' });
  show('loading', `On the scale: ${done} of ${of} lines weighed.`, 'Nothing you typed is lost if this stops.', [], bar);
}

/** Count seconds down, then act. */
export function wait(seconds, bold, act) {
  let left = Math.ceil(seconds);
  const said = h('span', {}, `${left} s`);
  show('offline', bold, h('span', {}, 'It is tried again by itself in ', said, '. What you typed is kept.'), [['Try now', act]]);
  ticking = setInterval(() => { left -= 1; said.textContent = `${left} s`; if (left <= 0) { clear(); act(); } }, 1000);
}
