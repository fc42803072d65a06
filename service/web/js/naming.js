// The names of the recipe at hand and of its sections, changed where they stand.
import { $, button, giveFocus, h } from './dom.js';
import { say } from './announcements.js';
import { change, state } from './state.js';
import { makeRecipe } from './saving.js';
import { renamed, tell } from './follow.js';
import { forget, keepTyped, ofRecipe } from './typed.js';

export function rename(acts) {
  const name = $('recipe-name'), input = h('input', { type: 'text', id: 'recipe-title', value: state.form.title, maxlength: 300, 'aria-label': 'Name of the recipe' });
  const box = h('span', { class: 'head__name' }, input), form = ofRecipe('name');
  let left = false;
  const done = ok => {
    if (left) return;
    left = true;
    forget(form);
    const text = input.value.trim();
    box.remove();
    name.hidden = $('rename').hidden = false;
    $('rename').focus();
    if (ok && text && text !== state.form.title) { change(form => { form.title = text; }); acts.weigh().then(ok => ok && say(`It is called ${text}`)); }
  };
  // What the key would do next would be done to the button that gets the focus.
  input.addEventListener('keydown', event => { if (event.key === 'Enter' || event.key === 'Escape') { event.preventDefault(); done(event.key === 'Enter'); } });
  input.addEventListener('blur', () => done(true));
  keepTyped(form, box);
  name.after(box);
  name.hidden = $('rename').hidden = true;
  input.focus();
  input.select();
}

/** Rename a section, or make a saved recipe of it. */
export function sectionActs(section, opener, acts) {
  const box = opener.closest('.part__head').nextElementSibling?.matches('.part__acts') ? opener.closest('.part__head').nextElementSibling : null;
  if (box) return box.remove();
  const name = h('input', { type: 'text', id: `section-name-${section.id}`, value: section.name, maxlength: 100 }), form = ofRecipe(`name of section ${section.id} ${section.name}`);
  const done = () => {
    let ways;
    change(form => { ways = renamed(form, section.id, name.value.trim()); });
    return acts.weigh().then(ok => { if (ok) { made.remove(); forget(form); } giveFocus($(`fold-${section.id}`)); if (ok) { say(`The section is called ${name.value}`); tell(ways); } return ok; });
  };
  // A recipe is made under the name that is typed.
  const make = async () => { if (name.value.trim() === section.name || await done()) { made.remove(); forget(form); makeRecipe(section, acts); } };
  const made = h('div', { class: 'part__acts', on: { keydown: event => { if (event.key === 'Escape') { made.remove(); opener.focus(); } } } },
    h('label', { for: name.id }, 'Name of the section'), name,
    button('Rename', done), button('Make a recipe of it', make));
  made.of = section.name;
  keepTyped(form, made);
  opener.closest('.part__head').after(made);
  name.focus();
}
