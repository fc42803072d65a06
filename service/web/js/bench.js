// The bench under a line: what it is taken as, what it weighs, where it belongs, and what that would change.
import { button, choice, h, mark, notches } from './dom.js';
import { say } from './announcements.js';
import * as api from './api.js';
import { change, component, lineForms, placeOf, state } from './state.js';
import { figure, massUnit, number, ratioText, read, tagOf, weight, withUnit } from './figures.js';
import { gramsIn, inUnit, reworded } from './grams.js';
import { STATES, ways } from './view.js';
import { ownFood } from './own_food.js';
import { fitted, stems } from './chosen.js';
import { keeping, sentence, tell } from './follow.js';
import * as notices from './notices.js';
import { busy } from './weigh.js';
import { NUMBER, forget, half, keepHalf, keepTyped, noNumber, numberIn, ofRecipe, unchanged, unitOf } from './typed.js';

const PAUSE = 180;
let treatments = null;

let standing = null;
/** The bench of a line; what was typed in it outlives whatever is drawn anew around it. */
export function bench(line, id, acts) {
  const now = JSON.stringify([line.n, line.id, line.line, line.result, state.form.sections.map(section => section.name)]);
  if (standing?.now !== now) {
    standing = { now, n: line.n, id: line.id, text: line.text, typed: false, box: built(line, id, acts) };
    keepTyped(formOf(line), standing.box, `-${line.n}`);
  }
  standing.box.querySelector('.bench__food')?.dispatchEvent(new Event('rescale', { bubbles: true }));
  standing.box.querySelector('.bench__weight')?.dispatchEvent(new Event('rescale'));
  return standing.box;
}
/** Close the bench, with a way back to what was typed in it and not taken. */
export function closeBench(acts) {
  const left = standing?.box.isConnected ? standing : null, again = () => { standing = left; state.open = left.n; acts.draw(); left.box.querySelector('input')?.focus(); };
  standing = null;
  if (left) forget(formOf(left));
  if (left?.typed) notices.show('done', `What you put in for “${left.text}” was not taken.`, '', [['Take it back', again]]);
}
/** Lines of the same words have benches of their own: each is told by its section and its place among them. */
function formOf({ n, id, text }) {
  const same = lineForms(state.form).flatMap((one, at) => one.text === text ? [at + 1] : []);
  return ofRecipe(`bench ${text}${same.length > 1 ? `, ${same.indexOf(n) + 1} of ${same.length}, in ${id}` : ''}`);
}
/** Say beside the button why it did nothing: until something else is put in, no consequence takes its place. */
function refuse(box, text) {
  const place = box.querySelector('.bench__result');
  place.refused = true;
  place.replaceChildren(text);
}
/** What of a bench's own fields is no number, or would be lost, whatever is to become of the line; it is said. */
function odd(box, what) {
  const own = box.querySelector('.own-food'), left = own?.typed && !own.hidden && !box.querySelector('.offer :checked')?.value.startsWith('own:');
  const wrong = noNumber(box.querySelector('.bench__weight')) || (left ? 'choose the own food that you put in, or close it' : '');
  if (wrong) refuse(box, `${what}: ${wrong}.`);
  return wrong;
}
const isTyped = target => { if (target.type !== 'search' && standing) standing.typed = true; };

function built(line, id, acts) {
  if (!line.result) return h('div', { class: 'bench', id, role: 'group', 'aria-label': `Bench: ${line.text}` }, h('p', { class: 'bench__why' }, 'This line waits for the service; what you took is kept.'), button('Close', () => acts.toggle(line.n)));
  const draft = { ...line.line }, mine = new Set(), part = line.parts[0];
  const result = h('p', { class: 'bench__result', role: 'status' });
  const compare = comparison(line, draft, mine, result);
  const set = more => { Object.assign(draft, more); Object.keys(more).forEach(key => mine.add(key)); isTyped({}); compare(); };
  const always = part?.text ? h('input', { type: 'checkbox', id: `always-${line.n}` }) : null;
  const close = () => acts.toggle(line.n);
  const take = () => takeIt(line, draft, mine, always?.checked ? part.text : null, acts);
  const put = async alter => !odd(standing.box, 'Nothing was changed') && putIn(line, draft, mine, acts, alter);
  return h('div', { class: 'bench', id, role: 'group', 'aria-label': `Bench: ${line.text}`, on: { keydown: event => { if (event.key === 'Escape') { event.stopPropagation(); close(); } }, input: event => isTyped(event.target), rescale: compare.again } },
    why(line),
    line.parts.length > 1 ? splitter(line, draft, acts) : foods(line, draft, set),
    scales(line, draft, set),
    h('div', { class: 'bench__acts' },
      belongs(line, set, draft, put),
      always ? h('label', { class: 'tick' }, always, ` Always take “${part.text}” as this entry`) : null,
      h('div', { class: 'bench__end' }, result, h('p', {}, button('Take it', take, { class: 'main' }), button('Close', close)))));
}

/** Why the line needs a look, in the words of the API. */
function why(line) {
  const reasons = [...line.result.reasons, ...line.parts.flatMap(part => part.reasons)].filter(text => text && !/means this entry$/.test(text));
  const texts = [...new Set(reasons)].map(text => text[0].toUpperCase() + text.slice(1).replace(/[.]$/, ''));
  if (line.kind === 'no_match') texts.push('Enter it as an own food from the packet, choose an entry, or leave it out');
  const cooked = state.answer.lines[line.number - 1].ingredients.flatMap(one => one.notes);
  return texts.length || cooked.length ? h('p', { class: 'bench__why' }, mark(STATES[line.kind].shape || 'ring'), h('span', {}, [...texts, ...new Set(cooked)].join('. '), '.')) : null;
}

// ---- taken as -------------------------------------------------------------------------------------------------

function foods(line, draft, set) {
  const part = line.parts[0], group = `food-${line.n}`;
  const chosen = part?.food && line.kind !== 'no_match' ? part.food.id : null;
  const candidates = [...(part?.candidates ?? [])];
  if (part?.food && !candidates.some(found => found.id === part.food.id)) candidates.unshift({ ...part.food, confidence: null });
  let now = chosen;
  const form = formOf(line), before = half(form)?.food, taken = food => {
    now = food;
    set({ food: food === chosen && !line.line.food ? null : food });
    keepHalf(form, { ...half(form), food });
  };
  const offer = found => offered(found, { group, checked: found.id === now, take: () => taken(found.id) });
  const offers = h('div', { class: 'offers' }, candidates.map(offer));
  const scale = h('p', { class: 'bench__scale', 'aria-hidden': 'true' }, h('span', {}), candidates.length ? h('span', {}, 'how sure') : null);
  const found = h('div', { class: 'offers' });
  const take = saved => { found.prepend(offered({ ...saved, confidence: null }, { group, checked: true, take: () => taken(saved.id) })); taken(saved.id); rescale(box); };
  const own = ownFood(line, part?.text ?? line.text, take, unitOf(form, 'own-ENERC'));
  const box = h('fieldset', { class: 'bench__food' }, h('legend', {}, 'Taken as'),
    candidates.length ? [scale, offers] : null, search(line, found, offer, () => rescale(box)), candidates.length ? null : scale, found,
    h('p', { class: 'bench__else' },
      button('Enter an own food', event => { own.hidden = !own.hidden; event.target.setAttribute('aria-expanded', String(!own.hidden)); if (!own.hidden) own.querySelector('input').focus(); }, { 'aria-expanded': 'false', 'aria-controls': own.id })),
    own);
  box.addEventListener('rescale', () => rescale(box));
  // What was found by a search is among what is offered no more when the bench is drawn anew.
  if (before && !candidates.some(one => one.id === before)) api.food(before).then(take, () => {});
  return box;
}

function offered(found, { group, checked, take }) {
  const bar = h('span', { class: 'offer__bar', 'data-food': found.id }), value = h('span', { class: 'offer__value' }, '…');
  return h('label', { class: 'offer' },
    h('input', { type: 'radio', name: group, value: found.id, checked, on: { change: take } }),
    h('span', { class: 'offer__name' }, found.description, h('small', {}, found.id, found.group ? `, ${found.group}` : '')), bar, value,
    found.confidence === null || found.confidence === undefined ? h('span', { class: 'sure' }) : notches(found.confidence));
}

/** Fill in values of 100 g; bars of one bench share a scale. */
async function rescale(box) {
  const one = component(state.component), rows = [...box.querySelectorAll('.offer')];
  box.querySelector('.bench__scale span').textContent = rows.length ? `${one.word} in 100 g` : '';
  const values = await Promise.all(rows.map(row => api.food(row.querySelector('.offer__bar').dataset.food).then(food => valueOf(food, one), () => undefined)));
  const most = Math.max(...values.filter(value => value > 0), .1);
  rows.forEach((row, place) => {
    const value = values[place];
    row.querySelector('.offer__value').textContent = value === undefined ? '' : value === null ? 'not known' : `${number(value, one.unit)} ${one.unit}`;
    row.style.setProperty('--c', `var(--c-${one.key})`);
    row.querySelector('.offer__bar').replaceChildren(h('i', value === null || value === undefined ? { class: 'bar__void' } : { css: { '--w': `${100 * value / most}%` } }));
  });
}
const valueOf = (food, one) => one.key === 'net' ? food.net_carbohydrate.value : food.components[tagOf(one.key)]?.value ?? null;

/** Whether an entry's names hold every word of a search; the number of a bar code or an id stands in no name. */
const holdsAll = words => food => /^\s*\d{8,}\s*$/.test(words) || stems(words).every(word => stems(`${food.description} ${food.common_name ?? ''} ${food.scientific_name ?? ''}`).includes(word));

function search(line, found, offer, drawn) {
  let late = null;
  // What is chosen stays on offer, whatever is looked for next.
  const fill = (...list) => {
    const held = found.querySelector('.offer:has(:checked)'), id = held?.querySelector('input').value, stays = list.flat().some(one => one.matches?.('.offer') && one.querySelector('input').value === id);
    found.replaceChildren(...held && !stays ? [held] : [], ...list);
  };
  const seek = async words => {
    if (!words.trim()) return fill();
    try {
      const { foods } = await api.get(`/foods?limit=6&search=${encodeURIComponent(words)}`);
      const whole = foods.filter(holdsAll(words)), rest = foods.filter(food => !whole.includes(food));
      const told = whole.length ? 'These hold only some of the words, or go by another name' : foods.length ? 'No entry holds every word. These hold only some of them, or go by another name' : 'No entry has these words. Take fewer of them, or enter an own food.';
      // An earlier search may be answered later.
      if (words !== place.querySelector('input').value) return;
      fill(...whole.map(offer), rest.length || !foods.length ? h('p', { class: 'none' }, told) : '', ...rest.map(offer));
      say(`${foods.length} found${rest.length ? `, ${whole.length || 'none'} with every word` : ''}`);
      drawn();
    } catch (error) { fill(h('p', { class: 'none' }, error.message)); }
  };
  const place = h('p', { class: 'find' }, h('label', { for: `find-${line.n}` }, 'Search the tables'),
    h('input', { type: 'search', id: `find-${line.n}`, autocomplete: 'off', maxlength: 200, on: { input: event => { clearTimeout(late); late = setTimeout(() => seek(event.target.value), PAUSE); } } }));
  return place;
}

/** A line of several foods is put right as lines of one food each. */
function splitter(line, draft, acts) {
  const split = () => {
    if (odd(standing.box, 'Not split')) return;
    const was = formOf(line);
    let ways;
    change(form => {
      const { section, row, line: whole } = placeOf(form, line.n), made = line.parts.filter(part => part.food || part.outcome === 'no_match').map(part => ({ ...draft, text: part.text, food: part.food?.id ?? null, grams: part.grams?.value ?? null }));
      ways = keeping(form, () => { section.lines.splice(row, 1, ...made); return [whole, made]; });
    });
    acts.weigh({ close: true }).then(ok => { if (ok) { standing = null; forget(was); say(`Split into ${line.parts.length} lines. U takes it back.`); tell(ways); } });
  };
  return h('div', { class: 'bench__food' }, h('p', {}, `This line names ${line.parts.length} foods. As lines of their own each can be put right; what they weigh now is kept.`), h('p', { class: 'bench__else' }, button(`Split into ${line.parts.length} lines`, split)));
}

// ---- weighs ---------------------------------------------------------------------------------------------------

function scales(line, draft, set) {
  const grams = line.parts.length === 1 ? line.parts[0].grams : null;
  // What was typed before it was drawn anew is in the unit of that time.
  const own = h('input', { ...NUMBER, id: `grams-${line.n}`, on: { input: () => set({ grams: gramsIn(own) }) } });
  const measures = h('div', { class: 'measures' }), basis = h('span', {}), unit = h('span', {});
  const food = line.parts[0]?.food?.id, known = food ? api.food(food).then(found => found.measures.slice(0, 8), () => []) : Promise.resolve([]);
  const measure = one => button([`${one.amount} ${one.measure}`, h('b', {}, `${weight(one.grams)} ${state.mass}`)], () => { own.value = inUnit(one.grams); own.dispatchEvent(new Event('input', { bubbles: true })); set({ grams: one.grams }); }, { class: 'measure' });
  /** In the reader's unit; what was typed stays what it weighs. */
  const weighed = (mass = state.mass) => {
    if (own.dataset.unit === mass) return;
    own.dataset.unit = mass;
    own.placeholder = inUnit(grams?.value, mass);
    if (!Number.isNaN(draft.grams)) own.value = inUnit(draft.grams, mass);
    basis.textContent = reworded(grams?.basis ?? '');
    unit.textContent = `${mass}, edible part, whole recipe`;
    known.then(found => measures.replaceChildren(...found.map(measure)));
  };
  weighed(unitOf(formOf(line), 'grams', state.mass));
  const text = h('input', { type: 'text', id: `text-${line.n}`, dir: 'auto', maxlength: 1000, value: line.text, on: { input: event => set({ text: event.target.value }) } });
  return h('fieldset', { class: 'bench__weight', on: { rescale: () => weighed() } }, h('legend', {}, 'Weighs'),
    h('p', { class: 'bench__rule' }, h('b', {}, grams?.rule || (line.kind === 'not_food' ? 'a note' : 'no rule')), basis),
    h('p', { class: 'own' }, h('label', { for: own.id }, 'Own weight'), own, unit), measures,
    h('p', { class: 'field' }, h('label', { for: text.id }, 'As written'), text),
    cooked(line, draft, set));
}

const percent = share => Math.round(1000 * share) / 10;
function cooked(line, draft, set) {
  const eaten = h('input', { ...NUMBER, id: `eaten-${line.n}`, value: percent(draft.share_eaten), on: { input: () => set({ share_eaten: Math.min(1, Math.max(0, (numberIn(eaten.value) ?? 100) / 100)) }), change: () => { if (!Number.isNaN(draft.share_eaten)) eaten.value = percent(draft.share_eaten); } } });
  const choose = list => choice(`treatment-${line.n}`, 'Cooked', [['', 'as the table has it'], ...list.map(one => spelt(one, draft.treatment)).map(name => [name, name])], draft.treatment ?? '', value => set({ treatment: value || null }));
  const place = h('div', { class: 'cooked' }, choose(draft.treatment ? [{ name: draft.treatment, also: [] }] : []), h('p', { class: 'field' }, h('label', { for: eaten.id }, 'Eaten, %'), eaten));
  treatments ??= api.get('/treatments').then(found => found.treatments).catch(() => { treatments = null; return []; });
  // Whoever types beside it goes on typing.
  treatments.then(list => place.firstChild.replaceWith(choose(list)));
  return place;
}

/** A treatment as the line spells it, where that is another spelling of it that the service understands. */
function spelt({ name, also }, said) {
  const plain = text => text.toLowerCase().match(/[a-z0-9.]+/g)?.join(' ');
  return said && [name, ...also].some(one => plain(one) === plain(said)) ? said : name;
}

// ---- belongs to -----------------------------------------------------------------------------------------------

function belongs(line, set, draft, put) {
  const sections = state.form.sections.map((section, at) => [String(at), section.name || 'Without a heading']);
  const place = h('select', { id: `place-${line.n}`, 'data-at-once': true, on: { change: () => move(line, place, put) } },
    [...sections, ['new', 'a new section from here']].map(([value, text]) => h('option', { value, selected: value === String(placeOf(state.form, line.n).at) }, text)));
  const optional = h('input', { type: 'checkbox', id: `optional-${line.n}`, checked: draft.optional, on: { change: event => set({ optional: event.target.checked }) } });
  return h('p', { class: 'place' }, h('label', { for: place.id }, 'Belongs to'), place,
    h('label', { class: 'tick' }, optional, ' a topping by itself'), button(line.line.left_out ? 'Put it back' : 'Leave it out', () => leaveOut(line, put)));
}

/** Ways to serve it, plain among them, by whether they count the line of a number. */
const counting = number => new Map(ways().map(way => [way.name, way.lines.has(number)]));

async function move(line, place, put) {
  const to = place.value, before = counting(line.number);
  let number = 0;
  const ok = await put(form => {
    const { at, line: moved } = placeOf(form, line.n);
    if (to === 'new') fromHere(form, at, moved); else {
      form.sections[at].lines.splice(form.sections[at].lines.indexOf(moved), 1);
      form.sections[Number(to)].lines.push(moved);
    }
    number = lineForms(form).indexOf(moved) + 1;
  });
  if (ok === false) place.value = placeOf(state.form, line.n).at;
  if (!ok) return;
  const after = counting(number), turned = on => [...after].filter(([name, is]) => is === on && before.get(name) === !on).map(([name]) => `“${name}”`).join(', ');
  const said = [[true, 'now counted in'], [false, 'no longer counted in']].filter(([on]) => turned(on)).map(([on, words]) => `${words} ${turned(on)}`).join('; ');
  if (said && !state.offline) notices.show('done', `${line.text} is moved.`, `It is ${said}. U takes it back.`);
  say(`${line.text} moved${said ? `, ${said}` : ''}. U takes it back.`);
}

/** A new section of a line and those after it, of the same kind: ways that name the old one name both. */
function fromHere(form, at, first) {
  const { name, optional, lines } = form.sections[at], taken = form.sections.map(section => section.name);
  let made = 'New section';
  for (let n = 2; taken.includes(made); n += 1) made = `New section ${n}`;
  form.sections.splice(at + 1, 0, { name: made, optional, lines: lines.splice(lines.indexOf(first)) });
  for (const way of form.variants) for (const key of ['with', 'without']) if (name && way[key].includes(name)) way[key].push(made);
}

/** A line that is left out stays in the list, struck, and counts nowhere. */
function leaveOut(line, put) {
  const out = !line.line.left_out;
  return put(form => { placeOf(form, line.n).line.left_out = out; }).then(ok => ok && say(`${out ? 'Left out' : 'Put back'}: ${line.text}. U takes it back.`));
}

// ---- before it is taken ---------------------------------------------------------------------------------------

/** Put a line of a form right; the ways to serve it that name the line follow. */
const redo = (form, number, draft) => keeping(form, () => { Object.assign(placeOf(form, number).line, draft); });

/** Change the recipe by what was put in for a line, and by `alter`; whether it was weighed. */
async function putIn(line, draft, mine, acts, alter = null, same = unchanged()) {
  const here = standing, form = formOf(line), fit = await fitted(line.line, draft, mine);
  let followed;
  if (!same()) {
    notices.show('error', `What you put in for “${line.text}” was not taken.`, 'The list has changed meanwhile: look at the line, then take it.');
    return false;
  }
  change(form => { followed = redo(form, line.n, fit.draft); alter?.(form); });
  const ok = await acts.weigh({ close: true, at: alter && fit.draft.text });
  if (ok === false) return false;
  if (standing === here) standing = null;
  forget(form);
  tell(followed, fit.told);
  return ok;
}

/** Weigh the recipe as it would be, and say what would change; nothing is kept. */
function comparison(line, draft, mine, place) {
  let late = null, asked = null, last = null, beside = null, told = [];
  const show = async () => {
    asked?.abort();
    asked = new AbortController();
    const form = structuredClone(state.form), { signal } = asked, { answer } = state;
    if (place.refused || !placeOf(form, line.n)) return; // another recipe has come meanwhile
    const wrong = noNumber(place.closest('.bench').querySelector('.bench__weight'), false);
    last = null;
    if (wrong) return place.replaceChildren(`${wrong}.`);
    try {
      const fit = await fitted(line.line, draft, mine, signal);
      redo(form, line.n, fit.draft);
      const found = await api.preview(form, { signal });
      if (signal.aborted) return;
      [last, beside, told] = [found, answer, fit.told];
      compare.again();
    } catch (error) {
      if (error.name !== 'AbortError' && !place.refused) place.replaceChildren(error instanceof api.Offline ? 'What it would change is not known until the service answers.' : error.message);
    }
  };
  const compare = () => { place.refused = false; clearTimeout(late); late = setTimeout(show, PAUSE); };
  compare.again = () => { if (place.refused || !last) return; if (beside === state.answer) place.replaceChildren(...told.map(text => h('span', {}, sentence(text))), ...consequence(last)); else compare(); };
  return compare;
}

function consequence(answer) {
  const one = component(state.component), last = ways().find(way => way.name === 'with everything') ?? ways()[0];
  const then = last.name === 'plain' ? answer : answer.variants.find(way => way.name === last.name) ?? answer;
  const [before, after] = [last, then].map(way => figure(read(way.per_serving, one.key), one.unit));
  const ratio = way => ratioText(way.per_serving.ketogenic_ratio[`on_${state.basis}`]);
  return [h('span', {}, `${one.word} a serving, ${last.name}`), h('b', {}, before === after ? `stays ${withUnit(read(then.per_serving, one.key), one.unit)}` : `${before} → ${withUnit(read(then.per_serving, one.key), one.unit)}`),
    h('span', {}, ratio(last) === ratio(then) ? `ratio stays ${ratio(then)}` : `ratio ${ratio(last).replace(/ : 1$/, ratio(then).endsWith(' : 1') ? '' : '$&')} → ${ratio(then)}`)];
}

/** Whether the line would have a weight; where the service is silent, what was typed decides. */
async function weighs(line, draft) {
  if (draft.grams !== null) return true;
  const form = structuredClone(state.form);
  redo(form, line.n, draft);
  try { return (await api.preview(form)).lines[line.n - 1].parts.every(part => part.grams?.value != null); } catch { return false; }
}

async function takeIt(line, draft, mine, phrase, acts) {
  const radio = document.querySelector(`input[name="food-${line.n}"]:checked`), food = radio?.value ?? line.line.food;
  const reread = draft.text !== line.text, asWas = Object.entries(draft).every(([key, value]) => line.line[key] === value), same = unchanged();
  const { box } = standing;
  if (odd(box, 'Nothing taken')) return null;
  busy(true);
  if (!reread && line.kind !== 'not_food' && line.parts.length < 2 && !(food && (line.known || await weighs(line, { ...draft, food })))) {
    busy(false);
    return refuse(box, `Nothing taken: ${food ? 'give a weight' : 'choose an entry and give a weight'}.`);
  }
  const confirmed = asWas || line.kind === 'check' || line.line.food !== null || food !== line.parts[0]?.food?.id;
  // A line that its kitchen's choice does not reach yet keeps what was chosen for itself.
  const stands = !!(phrase && food) && await acts.stand(phrase, food);
  if (stands === true) draft.food = null; else if (!reread && food && confirmed && line.parts.length < 2) draft.food = food;
  const ok = await putIn(line, draft, mine, acts, null, same);
  if (!ok) return ok === false && say('Nothing taken. The notice says why.');
  const one = component(state.component), way = ways().find(found => found.name === state.way) ?? ways()[0];
  const name = radio?.closest('.offer').querySelector('.offer__name').firstChild.textContent;
  say(state.offline ? `Taken, and not yet sent. ${line.text} is kept here.`
    : `Taken. ${draft.text}${name ? ` stands for ${name}` : ''}${stands === true ? ', now and in later recipes' : stands ? ', and in later recipes when that is sent' : ''}. ${one.word} a serving ${withUnit(read(way.per_serving, one.key), one.unit)}. U takes it back.`);
}
