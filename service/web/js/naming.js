// The name of the recipe at hand, changed where it stands.
import { $, h } from './dom.js';
import { say } from './announcements.js';
import { change, state } from './state.js';

export function rename(acts) {
  const name = $('recipe-name'), input = h('input', { type: 'text', value: state.form.title, maxlength: 300, 'aria-label': 'Name of the recipe' });
  let left = false;
  const done = ok => {
    if (left) return;
    left = true;
    const text = input.value.trim();
    input.remove();
    name.hidden = $('rename').hidden = false;
    $('rename').focus();
    if (ok && text && text !== state.form.title) { change(form => { form.title = text; }); acts.weigh().then(ok => ok && say(`It is called ${text}`)); }
  };
  // What the key would do next would be done to the button that gets the focus.
  input.addEventListener('keydown', event => { if (event.key === 'Enter' || event.key === 'Escape') { event.preventDefault(); done(event.key === 'Enter'); } });
  input.addEventListener('blur', () => done(true));
  name.after(input);
  name.hidden = $('rename').hidden = true;
  input.focus();
  input.select();
}
