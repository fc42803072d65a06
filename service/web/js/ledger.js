// The ledger: what each line was taken to mean, its grams on the board, its bar beside it.
import { $, giveFocus, h, lay, mark, notches } from './dom.js';
import { say } from './announcements.js';
import { axisTop, bar, fill } from './bars.js';
import { component, change, COMPONENTS, state } from './state.js';
import { count, massUnit, read, share, tagOf, weight, withUnit } from './figures.js';
import { STATES, view, wayNow, ways } from './view.js';

let seen = [];
export const sections = () => seen;
export const lines = () => seen.flatMap(section => section.lines);
let byNumber = new Map();
export const lineAt = n => byNumber.get(n);
export const looks = () => lines().filter(line => line.needs);

/** Read the state anew; long lists start with their quiet sections folded. */
export function look({ fold = false } = {}) {
  seen = view();
  byNumber = new Map(lines().map(line => [line.n, line]));
  if (fold) state.folded = new Set(lines().length > 40 ? seen.filter(one => !one.lines.some(line => line.needs)).map(one => one.id) : []);
  state.at = Math.min(state.at, Math.max(lines().length, 1));
}

export function drawLedger(acts) {
  const top = axisTop(lines()), way = wayNow(), needs = looks();
  drawAxis(top);
  lay($('sections'), seen.map(section => part(section, { top, way, acts })));
  forget();
  $('next-look').replaceChildren(needs.length ? mark('pennant') : mark('knot'), needs.length ? `${needs.length} need${needs.length > 1 ? '' : 's'} a look` : 'Nothing needs a look');
  $('next-look').disabled = !needs.length;
  $('fold-all').hidden = seen.length < 2;
  $('fold-all').textContent = state.folded.size ? 'Unfold all' : 'Fold all';
  drawFoot(way);
}

function drawAxis(top) {
  const one = component(state.component);
  $('axis-name').textContent = `${one.word}, ${one.unit} a serving`;
  $('axis-grams').textContent = massUnit() === 'oz' ? 'ounces' : 'grams';
  $('axis-ticks').replaceChildren(...[0, .5, 1].map(part => h('span', { css: { left: `${part * 100}%` } }, +(top * part).toPrecision(3) + '')));
}

/** Another component: only bars, sums and the axis change, the rows stay. */
export function drawBars() {
  const top = axisTop(lines()), way = wayNow();
  drawAxis(top);
  for (const place of $('sections').querySelectorAll('[data-line]')) {
    const line = lineAt(Number(place.dataset.line));
    scale(place, line, top, way);
  }
  for (const section of seen) $(`sum-${section.id}`)?.replaceChildren(...sum(section));
  standing()?.dispatchEvent(new Event('rescale', { bubbles: true }));
  drawFoot(way);
}
/** Draw the bar of a row where it is not that already. */
function scale(place, line, top, way) {
  const how = { off: isLeftOff(line, way), hatched: isTopping(line) }, found = read(line.brought, state.component), known = found?.value != null && line.kind !== 'not_food' && line.kind !== 'left_out';
  const now = JSON.stringify([state.component, state.energy, line.kind, how, known || [found, top]]), figure = JSON.stringify([found, top]);
  if (place.shownBar !== now) place.querySelector('.row__bar').replaceChildren(bar(line, top, how));
  if (known && (place.shownBar !== now || place.shownFigure !== figure)) fill(place, found, top);
  Object.assign(place, { shownBar: now, shownFigure: figure });
}
const standing = () => $('sections').querySelector('.bench__food');
const isLeftOff = (line, way) => !!way && line.number != null && !way.lines.has(line.number) && line.kind !== 'not_food' && line.kind !== 'left_out';
const isTopping = line => seen[line.id].optional || !!line.line.optional;
function sum(section) {
  const one = component(state.component), { brought } = section;
  return brought ? [withUnit(read(brought, one.key), one.unit), h('small', {}, shareText(brought.shares[tagOf(one.key)]))] : [];
}

function part(section, { top, way, acts }) {
  const open = !state.folded.has(section.id), off = isOff(section.lines, way);
  const shown = section.lines.filter(line => !state.only || line.needs || state.open === line.n);
  const place = parts.get(section.id) ?? h('section', { 'aria-labelledby': `part-${section.id}` }, h('ol', { class: 'rows', role: 'list' }));
  parts.set(section.id, place);
  place.className = `part${section.optional ? ' part--topping' : ''}${off ? ' part--off' : ''}`;
  place.hidden = state.only && !shown.length;
  const list = place.querySelector('ol');
  lay(list, open ? shown.map(line => row(line, { top, way, acts })) : []);
  list.hidden = !open;
  lay(place, [headed(place, section, open, acts), ...[...place.querySelectorAll('.part__acts')].filter(one => one.of === section.name), list]);
  return place;
}
/** The head of a section, the one that stands where it says the same. */
function headed(place, section, open, acts) {
  const now = JSON.stringify([section.name, section.optional, open, seen.length > 1, state.component, state.energy, state.mass, !!state.provisional, ways().length, digest(section.brought)]);
  const old = place.firstElementChild;
  if (place.shownHead === now && old.querySelector('input').checked === section.optional) return old;
  place.shownHead = now;
  return head(section, open, acts);
}
// Sections by place and rows by what they show: a row that says the same stays where it is.
const parts = new Map();
let rows = new Map(), drawn = new Map();
function forget() {
  for (const id of [...parts.keys()]) if (id >= seen.length) parts.delete(id);
  rows = drawn;
  drawn = new Map();
}
const digests = new WeakMap();
/** A piece of an answer as text, written once. */
function digest(piece) {
  if (!piece) return '';
  if (!digests.has(piece)) digests.set(piece, JSON.stringify(piece));
  return digests.get(piece);
}
const isOff = (list, way) => !!way && list.some(line => line.number) && !list.some(line => line.number && way.lines.has(line.number));

function head(section, open, acts) {
  const { brought } = section;
  const name = section.name || (seen.length > 1 ? 'Without a heading' : 'All lines');
  const fold = () => { if (open) state.folded.add(section.id); else state.folded.delete(section.id); acts.draw(); $(`fold-${section.id}`).focus(); };
  return h('div', { class: 'part__head' },
    h('div', { class: 'part__name' },
      h('h3', { id: `part-${section.id}` }, h('button', { type: 'button', id: `fold-${section.id}`, 'aria-expanded': String(open), on: { click: fold } }, h('span', { class: 'fold', 'aria-hidden': 'true' }), name)),
      state.provisional ? null : h('button', { type: 'button', class: 'plain part__more', on: { click: event => acts.section(section, event.target) } }, 'Change', h('span', { class: 'unseen' }, ` section ${name}`)),
      h('label', { class: 'tick' }, h('input', { type: 'checkbox', checked: section.optional, id: `topping-${section.id}`, disabled: !!state.provisional, on: { change: event => topping(section, event.target.checked, acts) } }), ' topping', h('span', { class: 'unseen' }, `: ${name}`))),
    h('div', { class: 'part__grams' }, brought ? [h('span', {}, brought.listed.value === 0 && brought.unweighed.length ? 'not known' : weight(brought.listed.value)), h('span', { class: 'unseen' }, ` ${massUnit()}`)] : '…'),
    h('div', { class: 'part__sum', id: `sum-${section.id}` }, sum(section)));
}
const shareText = part => part === null || part === undefined ? '' : `${share(part)} of ${ways().length > 1 ? 'the topped plate' : 'the plate'}`;

function topping(section, on, acts) {
  const id = `topping-${section.id}`;
  change(form => { form.sections[section.id].optional = on; });
  acts.weigh().then(ok => { giveFocus($(id)); if (ok) say(`${section.name || 'The section'} is ${on ? 'a topping' : 'part of the plain plate'}. U takes it back.`); });
}

function row(line, { top, way, acts }) {
  const off = isLeftOff(line, way), open = state.open === line.n && !state.provisional;
  const key = JSON.stringify([line.n, line.text, line.kind, line.word, line.known, off, state.mass, cooked(line), digest(line.result), line.brought?.listed]);
  const place = (open ? null : rows.get(key)) ?? rowed(line, off, open, acts);
  if (!open) drawn.set(key, place);
  place.querySelector('.row__words').tabIndex = state.at === line.n ? 0 : -1;
  scale(place, line, top, way);
  return place;
}

function rowed(line, off, open, acts) {
  const id = `bench-${line.n}`, several = line.parts.length > 1;
  const button = h('button', { type: 'button', class: 'row__words', id: `line-${line.n}`, 'aria-expanded': String(open), 'aria-controls': open ? id : null,
    'aria-describedby': 'row-help', on: { click: () => acts.toggle(line.n), focus: () => acts.rove(line.n) } },
    mark(STATES[line.kind].shape), h(line.kind === 'left_out' ? 'del' : 'span', { class: 'row__said', dir: 'auto' }, line.text), ' ',
    h('span', { class: 'row__taken' }, line.word ? [h('b', { class: `word word--${line.kind}` }, line.word), ' '] : null, several ? `${line.parts.length} foods` : h('span', { class: 'row__food' }, takenAs(line)), cooked(line)), ' ',
    confidence(line));
  return h('li', { class: `row row--${line.kind}${off ? ' row--off' : ''}${open ? ' row--open' : ''}`, 'data-line': line.n },
    button, h('div', { class: 'row__grams' }, grams(line)), h('div', { class: 'row__bar' }),
    several ? h('ul', { class: 'row__parts' }, line.parts.map(piece)) : null,
    open ? acts.bench(line, id) : null);
}

const piece = one => h('li', {}, h('span', { class: 'piece__text', dir: 'auto' }, one.text), h('span', {}, one.food?.description ?? (one.outcome === 'not_food' ? 'not an ingredient' : 'nothing in the tables')),
  h('span', { class: 'piece__grams' }, one.grams?.value == null ? 'not known' : `${weight(one.grams.value)} ${massUnit()}`), one.food ? notches(one.confidence) : null);

function takenAs(line) {
  if (line.kind === 'waiting' || line.kind === 'unsent') return ' ';
  if (line.kind === 'not_food') return 'not an ingredient';
  return line.parts[0]?.food?.description ?? 'nothing in the tables';
}
/** How a line is counted where that is not the whole of it as it is written. */
const cooked = ({ line }) => [line.treatment, line.share_eaten < 1 && `${+(100 * line.share_eaten).toFixed(1)} % eaten`].filter(Boolean).map(one => ` · ${one}`).join('');
function confidence(line) {
  const sure = line.parts.filter(one => one.food && !one.by).map(one => one.confidence);
  return sure.length && line.kind !== 'not_food' && line.kind !== 'left_out' ? notches(Math.min(...sure)) : null;
}

function grams(line) {
  if (line.kind === 'not_food' || line.kind === 'left_out') return '';
  if (line.kind === 'waiting' || line.kind === 'unsent') return h('span', { class: 'nk' }, '…');
  const single = line.parts.length === 1 ? line.parts[0].grams : null;
  const listed = single ?? (line.known ? line.brought?.listed : null);
  if (!listed || listed.value === null) return h('span', { class: 'nk' }, 'not known');
  const wide = listed.high - listed.low > .12 * listed.value;
  return [h('b', {}, weight(listed.value)), h('span', { class: 'unseen' }, ` ${massUnit() === 'oz' ? 'ounces' : 'grams'}`), wide ? h('small', {}, `${weight(listed.low)}–${weight(listed.high)}`) : null];
}

function drawFoot(way) {
  const { answer } = state;
  if (!answer || !way) return $('ledger-foot').replaceChildren();
  const one = component(state.component), covered = coverage(way), listed = answer.ledger.listed[way.name], serving = way.per_serving.grams;
  const known = listed.value > 0 || covered.counted === covered.food;
  $('ledger-foot').replaceChildren(
    h('p', { class: 'foot__words' }, `${covered.counted} of ${count(covered.food, 'line')} counted`, h('small', {}, 'weights as the list gives them')),
    h('p', { class: 'foot__grams' }, h('b', {}, known ? weight(listed.value) : 'not known'), known && h('small', {}, serving.value === null ? `≥\u00a0${weight(serving.known)} a serving` : `${weight(serving.value)} a serving`)),
    h('p', { class: 'foot__sum' }, h('b', {}, withUnit(read(way.per_serving, one.key), one.unit)), h('small', {}, `${one.word} a serving, ${way.name}`)));
}

/** Lines of a way to serve it, and how many of them count; plain is as the API says. */
export function coverage(way) {
  if (way.name === 'plain') return { food: state.answer.coverage.lines.food, counted: state.answer.coverage.lines.counted };
  const food = lines().filter(line => way.lines.has(line.number) && line.kind !== 'not_food');
  return { food: food.length, counted: food.filter(line => line.known && line.kind !== 'no_match').length };
}

export function drawChoices() {
  const pick = (name, list, chosen) => list.map(([value, text, colour]) => h('label', colour ? { css: { '--c': `var(--c-${colour})` } } : {},
    h('input', { type: 'radio', name, value, checked: value === chosen }), h('span', {}, text)));
  $('components').replaceChildren(...pick('component', COMPONENTS.map(one => [one.key, one.word, one.key]), state.component));
  const list = ways().length ? ways().map(way => [way.name, way.name]) : [['plain', 'plain']];
  $('ways').replaceChildren(...pick('way', list, wayNow()?.name ?? 'plain'));
}
