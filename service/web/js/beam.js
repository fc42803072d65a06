// The beam: fat on one pan, protein and carbohydrate on the other; its tilt is the ketogenic ratio.
import { $, h } from './dom.js';
import { state } from './state.js';
import { ratioText, read, rounded, withUnit } from './figures.js';
import { wayBeside, wayNow } from './view.js';

const DEGREES = 12, STOP = 27, RADIANS = Math.PI / 180;
const TICKS = [[.5, '1 : 2'], [1, '1 : 1'], [2, '2 : 1'], [4, '4 : 1']];

/** Degrees of the beam at a ratio: 12 a doubling, up to its stops; null is all fat. */
export const tilt = ratio => ratio === null ? STOP : Math.max(-STOP * .55, Math.min(STOP, DEGREES * Math.log2(Math.max(ratio, .001))));

const ratioOf = way => way.per_serving.ketogenic_ratio[`on_${state.basis}`];
/** Where the pointer stands: at the ratio, half way between its bounds where only those are known, level where nothing is. */
function angle(ratio) {
  if (ratio.value !== null) return tilt(ratio.value);
  if (ratio.remark === 'no protein or carbohydrate') return STOP;
  return ratio.low !== null && ratio.high !== null ? (tilt(ratio.low) + tilt(ratio.high)) / 2 : 0;
}

let room = 0;
/** Draw it as wide as was told; asking for its width would lay out the whole page. */
export function drawBeam(told = room) {
  room = told;
  if (!room) return;
  const way = state.provisional ? null : wayNow(), beside = way ? wayBeside() : null;
  const width = Math.max(280, Math.min(900, room)), wide = width >= 720;
  // Beside the right pan its words need 200 px.
  const span = Math.min(1, (width / 2 - 200) / 205);
  const size = wide ? { H: 262, py: 84, arm: 205 * span, tip: 322 * span, reach: 330 * span, half: 60, drop: 96, block: 84, k: 74 }
    : { H: 250, py: 62, arm: width * .225, tip: width * .39, reach: width * .41, half: 36, drop: 92, block: 50, k: 64 };
  const here = way ? ratioOf(way) : null, there = beside ? ratioOf(beside) : null;
  const draw = drawing(size, width, wide), a = here ? angle(here) : 0;
  const [left, right] = [draw.at(size.arm, a), draw.at(-size.arm, a)];
  const most = way ? scale([way, beside]) : 1;
  const svg = h('svg', { viewBox: `0 0 ${width} ${size.H}`, width, height: size.H, role: 'img', 'aria-labelledby': 'beam-says', 'data-tilt': a.toFixed(3) },
    h('defs', {}, ['FAT', 'PROCNT', 'net', 'CHOCDF'].map(key => h('pattern', { id: `hatch-${key}`, width: 5, height: 5, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' }, h('rect', { width: 2, height: 5, fill: `var(--c-${key})` })))),
    h('path', { class: 'beam__arc', d: draw.arc(-14, 25) }),
    here ? band(here, draw) : null, TICKS.map(tick => draw.tick(...tick)),
    h('path', { class: 'post', d: `M${draw.cx - 7} ${size.py}h14V${size.H - 26}q2 18 45 22v4h-104v-4q43 -4 45 -22z` }),
    there && angle(there) !== angle(here) ? draw.ghost(angle(there)) : null,
    h('g', { class: 'beam__live' }, draw.arm(a), draw.pan(...left), draw.pan(...right),
      way ? [draw.stack(...left, [load('FAT', way, 'fat')], most), draw.stack(...right, rightLoads(way), most)] : null),
    h('circle', { class: 'beam__pivot', cx: draw.cx, cy: size.py, r: wide ? 13 : 10 }));
  $('beam-drawing').replaceChildren(svg);
  $('beam-says').replaceChildren(...words(way, beside, here, there));
}

const band = (ratio, draw) => ratio.low === null || ratio.high === null ? null
  : h('path', { class: 'beam__band', d: draw.arc(tilt(ratio.low), tilt(ratio.high)) });

const carbohydrate = () => state.basis === 'net' ? ['net', 'net carbohydrate'] : ['CHOCDF', 'total carbohydrate'];
const rightLoads = way => [load('PROCNT', way, 'protein'), load(carbohydrate()[0], way, carbohydrate()[1])];

/** What lies on a pan: the figure, and which share of it the toppings are. */
function load(key, way, word) {
  const figure = read(way.per_serving, key), plain = way.name === 'plain' ? figure : read(state.answer.per_serving, key);
  return { key, word, figure, plain: figure.known > 0 ? Math.min(1, plain.known / figure.known) : 1 };
}
/** The figure that fills a pan: the heavier pan of either way to serve it. */
const scale = list => Math.max(1, ...list.filter(Boolean).flatMap(way => [[load('FAT', way)], rightLoads(way)].map(pan => pan.reduce((height, { figure }) => height + (figure.high ?? figure.known), 0))));

function drawing(size, width, wide) {
  const cx = width / 2;
  const at = (r, degrees) => [cx - r * Math.cos(degrees * RADIANS), size.py + r * Math.sin(degrees * RADIANS)];
  const line = (r0, r1, degrees, cls) => h('path', { class: cls, d: `M${at(r0, degrees)}L${at(r1, degrees)}` });
  return {
    cx, at,
    arc: (from, to) => { const [x0, y0] = at(size.reach, from), [x1, y1] = at(size.reach, to); return `M${x0} ${y0}A${size.reach} ${size.reach} 0 0 0 ${x1} ${y1}`; },
    tick(ratio, word) {
      const t = tilt(ratio), [x, y] = at(size.reach + (wide ? 11 : 9), t);
      return [line(size.reach - 6, size.reach + 6, t, 'beam__tick'), h('text', { class: 'beam__mark', x, y: y + 4, 'text-anchor': 'end' }, wide ? word : word.replaceAll(' ', ''))];
    },
    ghost: t => line(0, size.tip, t, 'beam__ghost'),
    arm: t => [h('path', { class: 'beam__arm', d: `M${at(size.tip, t)}L${at(size.arm, t)}L${at(-size.arm - 22, t)}` }), h('path', { class: 'beam__spar', d: `M${at(size.arm + 8, t)}L${at(-size.arm - 8, t)}` })],
    pan: (x, y) => h('g', { class: 'pan' }, h('path', { d: `M${x - size.half} ${y + size.drop}V${y + 12}H${x + size.half}V${y + size.drop}M${x} ${y}V${y + 12}` }), h('path', { class: 'pan__plate', d: `M${x - size.half - 10} ${y + size.drop}H${x + size.half + 10}` })),
    stack: (x, y, loads, most) => [stacked(x, y, loads, size, size.k / most, wide), wide ? null : below(x, y, loads, size, cx)],
  };
}

function stacked(x, y, loads, size, k, wide) {
  let base = y + size.drop - 2.5, lowest = Infinity;
  return loads.map(({ key, word, figure, plain }) => {
    const height = Math.max(figure.known * k, figure.known > 0 ? 2 : 0), soft = Math.max(0, (figure.high ?? figure.known) - figure.known) * k, left = x - size.block / 2;
    base -= height;
    const label = Math.min(base + height / 2, lowest - 38);
    lowest = label;
    return h('g', {},
      h('rect', { x: left, y: base + height * (1 - plain), width: size.block, height: height * plain, class: 'block', fill: `var(--c-${key})` }),
      plain < 1 ? h('rect', { x: left + .75, y: base + .75, width: size.block - 1.5, height: Math.max(height * (1 - plain) - .75, 1), class: 'block--top', stroke: `var(--c-${key})`, fill: `url(#hatch-${key})` }) : null,
      h('rect', { x: left, y: base - soft, width: size.block, height: soft, fill: `var(--c-${key})`, class: 'block__soft' }),
      wide ? h('text', { x: x + size.half + 14, y: label - 2, class: 'beam__word' }, h('tspan', { class: 'beam__num' }, withUnit(figure, 'g', { brief: true })), h('tspan', { x: x + size.half + 14, dy: 16 }, word)) : null);
  });
}

const below = (x, y, loads, size, cx) => h('text', { y: y + size.drop + 18, class: 'beam__word' }, loads.map(({ word, figure }, i) => [
  h('tspan', { x: x > cx ? Math.max(cx + 14, x - size.half - 8) : x - size.half - 8, dy: i ? 18 : 0, class: 'beam__num' }, withUnit(figure, 'g', { brief: true })), h('tspan', { dx: 4 }, word.replace(/ carbohydrate$/, ''))]));

function words(way, beside, here, there) {
  if (!way) return ['Nothing is on the scale.'];
  const [key, carb] = carbohydrate(), amount = one => withUnit(read(way.per_serving, one), 'g').replace('–', ' to ');
  const range = here.low !== null && here.high !== null ? `; the soft band on the arc is ${rounded(here.low, 2, 'down')} to ${rounded(here.high, 2, 'up')}` : '';
  const said = { none: 'No protein or carbohydrate', 'not known': 'Ratio not known' }[ratioText(here)] ?? ratioText(here);
  return [h('b', {}, said), ` ${way.name}`,
    ...(!beside ? [] : ratioText(here) === ratioText(there) ? [` and ${beside.name}`] : [h('i', {}, ' against '), h('u', {}, `${ratioText(there)} ${beside.name}`)]),
    h('span', { class: 'unseen' }, `. Fat ${amount('FAT')}; protein ${amount('PROCNT')} and ${carb} ${amount(key)}, a serving.`),
    h('span', { class: 'beam__note' }, `fat : protein + ${carb}${range}`)];
}
