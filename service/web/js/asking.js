// The question for a key.
import { button, h } from './dom.js';

/** A promise of the key that was given, null where the person has none now. */
export function asking(refused) {
  return new Promise(done => {
    const before = document.activeElement, field = h('input', { id: 'access-key', type: 'password', autocomplete: 'off', spellcheck: 'false' });
    const end = text => { box.close(); box.remove(); before?.focus(); done(text); };
    const form = h('form', { on: { submit: event => { event.preventDefault(); if (field.value.trim()) end(field.value.trim()); } } },
      h('h2', { id: 'access-name' }, 'This kitchen wants a key'),
      h('p', { id: 'access-why' }, refused ? 'The key was not taken. Look it over, or ask whoever runs the service for one.' : 'Whoever runs the service gives it out. It is kept until you close this tab, and what you typed stays here.'),
      h('p', { class: 'field' }, h('label', { for: field.id }, 'Access key'), field),
      h('p', { class: 'list__acts' }, h('button', { class: 'main' }, 'Use it'), button('Not now', () => end(null))));
    const box = h('dialog', { class: 'access', 'aria-labelledby': 'access-name', 'aria-describedby': 'access-why', on: { cancel: event => { event.preventDefault(); end(null); } } }, form);
    document.body.append(box);
    box.showModal();
    field.focus();
  });
}
