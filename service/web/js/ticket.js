// The weigh ticket: totals of a serving, plain, what the toppings add, with toppings; and the stub on a narrow screen.
import { $, h, mark } from './dom.js';
import { state } from './state.js';
import { clock, count, figure, number, percents, places, ratioText, read, rounded, tagOf, withUnit } from './figures.js';
import { lines, looks } from './ledger.js';
import { adds, wayBeside, wayNow, ways } from './view.js';

const ROWS = [['Energy', 'ENERC', null], ['Fat', 'FAT', 'g'], ['Protein', 'PROCNT', 'g'], ['Total carbohydrate', 'CHOCDF', 'g'], ['Fibre', 'FIBTG', 'g'], ['Net carbohydrate', 'net', 'g']];
const BRIEF = { brief: true };
const SHARES = [['FAT', 'fat'], ['PROCNT', 'protein'], ['CHOCDF', 'carbohydrate']];

/** Names of lines: three, then how many more. */
function named(list) {
  const texts = [...new Set(list.map(line => line.text))];
  return texts.length > 3 ? `${texts.slice(0, 3).join('; ')}; and ${texts.length - 3} more` : texts.join('; ');
}

export function drawTicket(acts) {
  const list = ways(), plain = list[0], other = plain && (wayNow().name === 'plain' ? wayBeside() : wayNow());
  $('ticket').replaceChildren(h('div', { class: 'ticket__paper' },
    h('h2', { id: 'ticket-name' }, 'Weigh ticket'),
    h('p', { class: 'ticket__for', dir: 'auto' }, state.form.title, h('br'), `one serving of ${plain ? plain.servings : state.form.servings}`, other && other.servings !== plain.servings ? `, ${other.name} of ${other.servings}` : '',
      state.offline && state.weighedAt ? [h('br'), `weighed at ${clock(new Date(state.weighedAt))}, not since`] : null),
    plain && !state.provisional ? full(plain, other) : h('p', { class: 'ticket__none' }, state.provisional ? soFar() : 'Nothing weighed yet. Totals appear here line by line.')),
  h('div', { class: 'hand-out', role: 'group', 'aria-label': 'Hand out' },
    h('button', { type: 'button', disabled: !plain, on: { click: acts.copyTotals } }, 'Copy the totals'),
    plain ? h('a', { href: '#hand-out', class: 'button' }, 'Card, labels, texts') : null));
  drawStub(acts);
}

function soFar() {
  const done = lines().filter(line => line.kind !== 'waiting').length;
  return [h('b', {}, 'So far. '), `${done} of ${count(lines().length, 'line')} weighed; totals come with the last one.`];
}

function full(plain, other) {
  return [bound([plain, other]),
    h('table', {}, h('caption', { class: 'unseen' }, other ? `Totals a serving: plain, what changes, ${other.name}` : 'Totals a serving'),
      h('thead', {}, h('tr', {}, h('td', {}, 'grams'), h('th', { scope: 'col' }, h('i', { class: 'swatch' }), 'plain'),
        other ? [h('th', { scope: 'col' }, h('i', { class: 'swatch swatch--top' }), other.name === 'with everything' ? 'toppings' : 'change'), h('th', { scope: 'col' }, other.name)] : null)),
      h('tbody', {}, ROWS.map(([word, key, unit]) => entry(word, key, unit ?? state.energy, plain, other)), ratioRow('net', plain, other), ratioRow('total', plain, other))),
    strips(plain, other),
    h('p', { class: 'ticket__foot' }, 'Small figures: where the true value lies, about 19 times in 20, by the weights and the spread of the table. A span (11.0–11.9): a value or a weight is not known.')];
}

/** What the totals lack, in the words of the list. */
function bound(list) {
  const short = list.filter(Boolean).some(way => [...ROWS.map(([, key]) => read(way.per_serving, key))].some(total => total?.value === null));
  const of = (...kinds) => lines().filter(line => kinds.includes(line.kind)), missing = of('no_match', 'no_amount'), half = of('part_known');
  if (!missing.length && !short) return null;
  const without = [missing.length ? `Not counted: ${named(missing)}.` : '', short && half.length ? `Not known in full: ${named(half)}.` : ''].filter(Boolean).join(' ') || 'A value is not known.';
  return h('p', { class: 'ticket__bound' }, mark(short ? 'open' : 'ring'), h('span', { dir: 'auto' }, short ? h('b', {}, 'At least. ') : null, without));
}

function entry(word, key, unit, plain, other) {
  const [base, full] = [plain, other].map(way => way && read(way.per_serving, key));
  return [h('tr', { class: `t--${key}` },
    h('th', { scope: 'row' }, word, key === 'ENERC' ? [' ', h('small', {}, unit)] : h('span', { class: 'unseen' }, ', grams'), key === 'net' ? h('small', { class: 'note', title: base.formula }, base.formula.replace(/;.*/, '').replace(' carbohydrate', '').replace(/,? less/g, ' −')) : null),
    cell(base, unit, range(plain, key, unit), 't__plain'), other ? [h('td', { class: 't__add' }, added(key, unit, other, full)), cell(full, unit, range(other, key, unit), 't__dressed', adds(other, plain, key))] : null),
  other ? h('tr', { class: 't__line', 'aria-hidden': 'true' }, h('td', { colspan: 4 }, h('span', { class: 'split', css: { '--c': `var(--c-${key})`, '--p': `${full.known > 0 ? Math.min(100, 100 * base.known / full.known) : 100}%` } }, h('i', {}), h('i', {})))) : null];
}
const cell = (total, unit, around, cls, more) => h('td', { class: cls }, more ? 'more' : figure(total, unit, BRIEF), around && total.value !== null ? h('small', {}, around) : null);

/** The 95 % range of the API where it is wide enough to be seen. */
function range(way, key, unit) {
  const found = state.answer.ledger.uncertainty[way.name]?.[tagOf(key)];
  if (!found) return '';
  const [low, high] = [number(Math.max(0, found.low), unit), number(found.high, unit)];
  return low === high ? '' : `${low}–${high}`;
}

function added(key, unit, other, full) {
  if (other.name === 'with everything') return figure({ ...read(state.answer.ledger.optional, key), ...full.value === null && { value: null } }, unit, BRIEF).replace(/^\d/, '+$&');
  const value = other.difference_per_serving[tagOf(key)], { low, high } = other.difference_bounds[tagOf(key)] ?? {};
  const plus = one => one > 0 ? '+' : '', bound = (one, way) => plus(one) + rounded(one, places(unit), way);
  if (value != null) return plus(value) + number(value, unit);
  if (low && high == null) return `≥\u00a0${bound(low, 'down')}`;
  if (high && low == null) return `≤\u00a0${bound(high, 'up')}`;
  return low == null || high == null ? 'not known' : `${bound(low, 'down')} to ${bound(high, 'up')}`;
}

function ratioRow(basis, plain, other) {
  const of = way => ratioText(way.per_serving.ketogenic_ratio[`on_${basis}`]).replace(' : 1', '');
  return h('tr', { class: 't--ratio' }, h('th', { scope: 'row' }, h('span', { class: basis === 'net' ? '' : 'unseen' }, 'Ketogenic ratio'), ' ', h('small', { class: 'note' }, `to 1, on ${basis} carbohydrate`)),
    h('td', {}, of(plain)), other ? [h('td', { class: 't__add' }), h('td', {}, of(other))] : null);
}

function strips(plain, other) {
  const strip = way => {
    const shares = way.per_serving.energy_shares;
    if (!shares) return h('div', { class: 'strip' }, h('span', { class: 'strip__name', dir: 'auto' }, way.name), h('span', {}, 'not known'));
    const whole = percents(shares), list = [...SHARES, ['ALC', 'alcohol']].filter(([key]) => shares[key] || key !== 'ALC').map(([key, word]) => [key, word, shares[key]]);
    return h('div', { class: 'strip' }, h('span', { class: 'strip__name', dir: 'auto' }, way.name),
      h('div', { class: 'strip__bar', 'aria-hidden': 'true' }, list.map(([key, , part]) => h('i', { class: `strip__${key}`, css: { width: `${100 * part}%` } }, part > .07 ? `${whole[key]}` : ''))),
      h('p', { class: 'unseen' }, list.map(([key, word]) => `${word} ${whole[key]} per cent`).join(', ')));
  };
  return h('div', { class: 'strips' }, h('h3', {}, 'Share of energy, %'), strip(plain), other ? strip(other) : null,
    h('p', { class: 'strips__key', 'aria-hidden': 'true' }, h('span', {}, 'from left'), SHARES.map(([key, word]) => h('span', {}, h('i', { class: `strip__${key}` }), word))));
}

function drawStub(acts) {
  const way = state.provisional ? null : wayNow(), needs = looks().length;
  const ratio = way?.per_serving.ketogenic_ratio[`on_${state.basis}`];
  $('stub').replaceChildren(
    h('a', { href: '#ticket' }, h('span', {}, h('b', {}, way ? withUnit(read(way.per_serving, 'net'), 'g', BRIEF) : 'not yet'), h('small', {}, 'net carbohydrate')), h('span', {}, h('b', {}, way ? ratioText(ratio) : 'not yet'), h('small', {}, 'ratio'))),
    h('button', { type: 'button', disabled: !needs, on: { click: () => acts.seek(1) } }, mark(needs ? 'pennant' : 'knot'), needs ? `${needs} to look at` : 'all seen'));
}
