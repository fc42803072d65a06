// What leaves the kitchen, as the service makes it from the saved recipe: card, labels, strip, texts.
import { $, button, choice, h } from './dom.js';
import { say } from './announcements.js';
import * as api from './api.js';
import { isDirty, state } from './state.js';
import { ways } from './view.js';

const chosen = { way: '', paper: 'a5' };
let shown = '';

const path = (what, more = '') => `/recipes/${state.saved.id}/${what}?variant=${encodeURIComponent(chosen.way)}${more}`;

export function drawHandOut() {
  const { saved, answer } = state;
  $('cautions-list').replaceChildren(...(answer?.cautions ?? []).map(one => h('li', { title: one.source }, one.text)));
  if (!saved) { shown = ''; return $('hand-out-body').replaceChildren(h('p', {}, 'Save the recipe: its card, labels and texts are made from what is saved.')); }
  const now = JSON.stringify([saved.id, saved.revision, chosen, state.weighedAt, isDirty()]);
  if (now === shown) return;
  shown = now;
  const names = ways().slice(1).map(way => [way.name, way.label]);
  $('hand-out-body').replaceChildren(
    h('p', {}, `Made from revision ${saved.revision}.`, isDirty() ? ' What you changed since is not in it: save first.' : ''),
    h('div', { class: 'print-desk__acts' },
      choice('hand-way', 'Served', [['', 'plain'], ...names], chosen.way, value => { chosen.way = value; drawHandOut(); $('hand-way').focus(); }),
      choice('hand-paper', 'Paper', [['a5', 'A5'], ['half-letter', 'half letter']], chosen.paper, value => { chosen.paper = value; drawHandOut(); $('hand-paper').focus(); }),
      button('Print the card', () => print(), { id: 'print' }), link('Card as a page', 'card', `&paper=${chosen.paper}`)),
    h('div', { id: 'card', class: 'card', 'data-paper': chosen.paper }),
    h('div', { class: 'labels' }, picture('US label', 'panel', '&rules=us'), picture('EU and UK declaration', 'panel', '&rules=eu'), picture('Strip for a video', 'strip')),
    h('div', { class: 'print-desk__acts' },
      button('Strip as PNG', png), link('Figures as CSV', 'csv', '', true), button('Copy JSON-LD', () => copy('schema-org', 'application/ld+json', 'JSON-LD')),
      link('JSON-LD', 'schema-org'), button('Copy the description', () => copy('description', 'text/plain', 'Description'))),
    h('pre', { id: 'description', class: 'description', tabindex: 0, 'aria-label': 'Description' }));
  fill();
}

const link = (text, what, more = '', download = false) => h('a', { class: 'button', href: `/v1${path(what, more)}`, target: download ? null : '_blank', rel: 'noopener', download: download ? '' : null }, text);
const picture = (name, what, more = '') => h('figure', {}, h('figcaption', {}, name, ' ', h('a', { href: `/v1${path(what, more)}`, target: '_blank', rel: 'noopener' }, 'open')), h('img', { src: `/v1${path(what, more)}&seen=${state.weighedAt}`, alt: `${name} of ${state.form.title}` }));

async function fill() {
  const asked = shown, card = $('card');
  try {
    const [html, words] = await Promise.all([api.text(path('card', `&paper=${chosen.paper}`), 'text/html'), api.text(path('description'), 'text/plain')]);
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

async function copy(what, accept, name) {
  try { await navigator.clipboard.writeText(await api.text(path(what), accept)); say(`${name} copied`); } catch (error) { say(`Not copied: ${error.message}`); }
}

export async function copyTotals() {
  if (state.saved && !isDirty()) { chosen.way = ways().some(way => way.name === state.way) && state.way !== 'plain' ? state.way : ''; return copy('description', 'text/plain', 'Totals'); }
  try { await navigator.clipboard.writeText($('ticket').querySelector('.ticket__paper').innerText); say('Totals copied'); } catch (error) { say(`Not copied: ${error.message}`); }
}

/** The strip as an image of pixels, at twice its size. */
async function png() {
  try {
    const svg = await api.text(path('strip'), 'image/svg+xml'), image = new Image();
    image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;
    await image.decode();
    const canvas = h('canvas', { width: image.naturalWidth * 2, height: image.naturalHeight * 2 });
    canvas.getContext('2d').drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.toBlob(blob => { const place = h('a', { href: URL.createObjectURL(blob), download: 'strip.png' }); place.click(); setTimeout(() => URL.revokeObjectURL(place.href), 1000); }, 'image/png');
  } catch (error) { say(`No picture: ${error.message}`); }
}
