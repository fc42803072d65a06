// What leaves the kitchen, as the service makes it from the saved recipe: card, labels, strip, texts.
import { $, button, choice, field, h } from './dom.js';
import { say } from './announcements.js';
import * as access from './access.js';
import * as api from './api.js';
import { keepLooks } from './drafts.js';
import { isDirty, state } from './state.js';
import { ways } from './view.js';

const chosen = { way: '', paper: 'a5', wide: '1920' };
let shown = '';

const units = () => `&mass=${state.mass}&energy=${state.energy}`;
const inName = () => state.house ? `&house=${encodeURIComponent(state.house)}` : '';
const path = (what, more = '') => `/recipes/${state.saved.id}/${what}?variant=${encodeURIComponent(chosen.way)}${more}`;

export function drawHandOut() {
  const { saved, answer } = state;
  $('cautions-list').replaceChildren(...(answer?.cautions ?? []).map(one => h('li', { title: one.source }, one.text)));
  if (!saved) { shown = ''; return $('hand-out-body').replaceChildren(h('p', {}, 'Save the recipe: its card, labels and texts are made from what is saved.')); }
  // A way of another recipe is none of this one.
  if (!ways().some(way => way.name === chosen.way)) chosen.way = '';
  const now = JSON.stringify([saved.id, saved.revision, chosen, state.weighedAt, isDirty(), state.mass, state.energy, state.house]);
  if (now === shown) return;
  shown = now;
  const names = ways().slice(1).map(way => [way.name, way.name]);
  $('hand-out-body').replaceChildren(
    h('p', {}, `Made from revision ${saved.revision}.`, isDirty() ? ' What you changed since is not in it: save first.' : ''),
    h('div', { class: 'print-desk__acts' },
      choice('hand-way', 'Served', [['', 'plain'], ...names], chosen.way, value => { chosen.way = value; drawHandOut(); $('hand-way').focus(); }),
      choice('hand-paper', 'Paper', [['a5', 'A5'], ['half-letter', 'half letter']], chosen.paper, value => { chosen.paper = value; drawHandOut(); $('hand-paper').focus(); }),
      field('hand-house', 'House', { value: state.house, maxlength: 100, autocomplete: 'organization', on: { change: event => { state.house = event.target.value.trim(); keepLooks(); drawHandOut(); $('hand-house').focus(); } } }),
      button('Print the card', () => print(), { id: 'print' }), link('Card as a page', 'card', 'text/html', `&paper=${chosen.paper}${units()}${inName()}`)),
    h('div', { id: 'card', class: 'card', 'data-paper': chosen.paper }),
    h('div', { class: 'labels' }, picture('US label', 'panel', '&rules=us'), picture('EU and UK declaration', 'panel', '&rules=eu'), picture('Strip for a video', 'strip')),
    h('div', { class: 'print-desk__acts' },
      choice('png-wide', 'Strip, pixels wide', ['1280', '1920', '3840'].map(wide => [wide, wide]), chosen.wide, value => { chosen.wide = value; }), button('Strip as PNG', png),
      link('Figures as CSV', 'csv', 'text/csv', '', true), button('Copy JSON-LD', () => copy('schema-org', 'application/ld+json', 'JSON-LD', inName())),
      link('JSON-LD', 'schema-org', 'application/ld+json', inName()), button('Copy the description', () => copy('description', 'text/plain', 'Description', units()))),
    h('pre', { id: 'description', class: 'description', tabindex: 0, 'aria-label': 'Description' }));
  fill();
}

/** A link to an output; with a key in use, which a link cannot carry, it is fetched and handed over as a file. */
const link = (text, what, accept, more = '', download = false, look = 'button') => h('a', { class: look, href: `/v1${path(what, more)}`, target: download ? null : '_blank', rel: 'noopener', download: download ? '' : null,
  on: { click: event => { if (access.key()) { event.preventDefault(); api.blob(path(what, more), accept).then(found => handOver(found, fileName(what, accept)), error => say(`Not here: ${error.message}`)); } } } }, text);
const picture = (name, what, more = '') => h('figure', {}, h('figcaption', {}, name, ' ', link('open', what, 'image/svg+xml', more, false, null)),
  h('img', { src: access.key() ? null : `/v1${path(what, more)}&seen=${state.weighedAt}`, 'data-path': path(what, more), alt: `${name} of ${state.form.title}` }));
const asImage = svg => `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;
const KINDS = { 'text/csv': 'csv', 'application/ld+json': 'jsonld', 'text/html': 'html', 'image/svg+xml': 'svg' };
const fileName = (what, accept) => `${what}.${KINDS[accept]}`;
export function handOver(blob, name) {
  const place = h('a', { href: URL.createObjectURL(blob), download: name });
  place.click();
  setTimeout(() => URL.revokeObjectURL(place.href), 1000);
}

async function fill() {
  const asked = shown, card = $('card');
  try {
    for (const image of document.querySelectorAll('.labels img:not([src])')) api.text(image.dataset.path, 'image/svg+xml').then(svg => { image.src = asImage(svg); }, () => {});
    const [html, words] = await Promise.all([api.text(path('card', `&paper=${chosen.paper}${units()}${inName()}`), 'text/html'), api.text(path('description', units()), 'text/plain')]);
    if (asked !== shown) return;
    $('description').textContent = words;
    lay(card, html);
  } catch (error) { shown = ''; card.replaceChildren(h('p', {}, `The card is not here: ${error.message}.`)); }
}

/** The card of the service inside the page: its own style sheet stays its own. */
function lay(card, html) {
  const STYLE = /<style>([^]*?)<\/style>/g, css = [...html.matchAll(STYLE)].map(found => found[1]).join('\n').replace(/@page\s*{[^}]*}/g, '');
  const page = new DOMParser().parseFromString(html.replace(STYLE, ''), 'text/html'), sheet = new CSSStyleSheet();
  sheet.replaceSync(css.replace(/(^|[\s,{}])html(?=\s*{)/g, '$1:host').replace(/(^|[\s,{}])body(?=\s*{)/g, '$1.sheet'));
  const root = card.shadowRoot ?? card.attachShadow({ mode: 'open' });
  root.adoptedStyleSheets = [sheet];
  root.replaceChildren(h('article', { class: 'sheet', 'aria-label': 'The card' }, [...page.body.childNodes].map(node => document.adoptNode(node))));
}

async function copy(what, accept, name, more = '') {
  try { await navigator.clipboard.writeText(await api.text(path(what, more), accept)); say(`${name} copied`); } catch (error) { say(`Not copied: ${error.message}`); }
}

export async function copyTotals() {
  if (state.saved && !isDirty()) { chosen.way = ways().some(way => way.name === state.way) && state.way !== 'plain' ? state.way : ''; return copy('description', 'text/plain', 'Totals', units()); }
  try { await navigator.clipboard.writeText($('ticket').querySelector('.ticket__paper').innerText); say('Totals copied'); } catch (error) { say(`Not copied: ${error.message}`); }
}

/** The strip as an image of pixels, drawn here from the SVG, as wide as the video asks for. */
async function png() {
  try {
    const image = new Image();
    image.src = asImage(await api.text(path('strip'), 'image/svg+xml'));
    await image.decode();
    const width = Number(chosen.wide), canvas = h('canvas', { width, height: Math.round(width * image.naturalHeight / image.naturalWidth) });
    canvas.getContext('2d').drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.toBlob(blob => handOver(blob, 'strip.png'), 'image/png');
  } catch (error) { say(`No picture: ${error.message}`); }
}
