// What the recipe makes, and how carbohydrate is counted.
import { $, choice, h, lay } from './dom.js';
import { say } from './announcements.js';
import { change, state } from './state.js';
import { massUnit } from './figures.js';
import * as notices from './notices.js';
import { NUMBER, noNumber, numberIn, ofRecipe } from './typed.js';
import { gramsIn, inUnit, reworded } from './grams.js';

const POLYOLS = [['all', 'all polyols off'], ['half', 'half the polyols off'], ['by name', 'erythritol off, half the others'], ['none', 'no polyols off']];

let drawn = '';
export function drawMakes(acts) {
  if (!state.answer) return;
  const { yield: made, net_carbohydrate: net } = state.form;
  const set = alter => { change(alter); acts.weigh().then(ok => ok && say('Weighed again. U takes it back.')); };
  const taken = (input, alter) => {
    const wrong = noNumber(input.parentNode, false);
    if (wrong) notices.show('error', 'That was not taken.', `${wrong}.`); else set(form => alter(form, input.value.trim(), input));
  };
  const field = (id, label, value, alter, attrs = {}) => h('p', { class: 'field' }, h('label', { for: id }, label), h('input', { id, value: value ?? '', ...attrs, on: { change: event => taken(event.target, alter) } }));
  const before = [...$('makes-form').children], fields = [
    field('makes-pieces', 'Makes, pieces', made.pieces, (form, text) => { form.yield.pieces = numberIn(text); }, NUMBER),
    field('makes-name', 'of what', made.piece_name, (form, text) => { form.yield.piece_name = text || null; }, { type: 'text', maxlength: 100 }),
    field('makes-cooked', `Cooked weight, ${massUnit()}`, inUnit(made.cooked_grams), (form, text, input) => { form.yield.cooked_grams = gramsIn(input); if (text) form.yield.factor = null; }, { ...NUMBER, 'data-unit': massUnit() }),
    field('makes-factor', 'or cooked : raw', made.factor, (form, text) => { form.yield.factor = numberIn(text); if (text) form.yield.cooked_grams = null; }, NUMBER),
    choice('makes-net', 'Net carbohydrate', POLYOLS, net.polyols, value => set(form => { form.net_carbohydrate.polyols = value; })),
    h('label', { class: 'tick' }, h('input', { type: 'checkbox', id: 'makes-allulose', checked: net.allulose, on: { change: event => set(form => { form.net_carbohydrate.allulose = event.target.checked; }) } }), ' allulose off too'),
    h('p', { class: 'hint' }, [...[...state.answer.weight.notes, state.answer.weight.basis].map(reworded), `net: ${state.answer.per_serving.net_carbohydrate.formula}`].join('; '), '.')];
  // What is being typed, or stands there as no number, is not drawn anew for the same recipe.
  const same = drawn === (drawn = ofRecipe('')), stays = one => same && one && (one.contains(document.activeElement) || noNumber(one, false));
  lay($('makes-form'), fields.map((one, at) => stays(before[at]) ? before[at] : one));
}
