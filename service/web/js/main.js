// Start: what is drawn when, which room is open, and what the controls outside the ledger do.
import { $, giveFocus, h } from './dom.js';
import { say } from './announcements.js';
import * as access from './access.js';
import * as api from './api.js';
import { claim, keepLooks, keepText, readAnswer, readDraft, readLooks, readText, waiting, whenFull } from './drafts.js';
import { change, component, isDirty, state } from './state.js';
import { drawBars, drawChoices, drawLedger, look, sections } from './ledger.js';
import { drawBeam } from './beam.js';
import { drawTicket } from './ticket.js';
import * as notices from './notices.js';
import { ways } from './view.js';

// ---- drawing --------------------------------------------------------------------------------------------------

let desk = null;
async function furnish() {
  if (desk) return;
  const [found] = await Promise.all([import('./desk.js'), import('./weigh.js')]);
  desk ??= (found.listen(acts), found);
}

function draw() {
  const held = document.activeElement?.id, start = performance.now();
  look();
  document.body.classList.toggle('is-empty', state.mode === 'empty');
  drawHead();
  drawChoices();
  drawBeam();
  drawLedger(acts);
  drawTicket(acts);
  if (state.mode === 'ready' && desk) drawDesk();
  if (held && document.activeElement?.id !== held) $(held)?.focus({ preventScroll: true });
  performance.clearMeasures('gramwright.draw');
  performance.measure('gramwright.draw', { start });
}

let below = '';
/** What stands below the ledger follows from the weighing alone, and keeps what is being typed in it. */
function drawDesk() {
  const now = JSON.stringify([state.weighedAt, state.energy, state.mass, state.form]);
  if (now !== below) { desk.drawMakes(acts); desk.drawWays(acts); }
  below = now;
  desk.drawHandOut();
}

/** Choose one of some radio buttons. */
const check = (name, value) => document.querySelectorAll(`input[name=${name}]`).forEach(input => { input.checked = input.value === value; });

function drawHead() {
  const { form, saved, mode } = state;
  if (!$('recipe-name').hidden) $('recipe-name').textContent = form.title;
  document.title = `${form.title}: Gramwright`;
  if (!$('serves').typed) $('serves').value = form.servings;
  $('standing').textContent = mode === 'empty' ? 'Paste a list, see what each line was taken to mean, put it right.'
    : saved ? `${saved.id}, revision ${saved.revision}${isDirty() ? ', changed since' : ''}` : state.unkept ? 'Not saved yet' : 'Not saved yet; kept in this browser';
  if (state.unkept) $('standing').append(mode === 'empty' ? ' ' : '. ', state.unkept);
  $('save').disabled = mode !== 'ready' || !isDirty();
  for (const id of ['as-text', 'rename', 'new']) $(id).hidden = mode === 'empty';
  $('list-close').hidden = mode === 'empty';
  if (mode === 'empty') $('list').hidden = false;
  $('sill').textContent = state.answer ? `${state.answer.releases.map(one => `${one.name}, release ${one.release}`).join('; ')}. Same list, same releases, same figures.` : '';
}

// ---- what others may ask for ----------------------------------------------------------------------------------

let fault = null;
const acts = {
  draw, furnish,
  bench: (line, id) => desk?.bench(line, id, acts),
  weigh: more => furnish().then(() => desk.weighForm(acts, more)),
  undo: () => desk.undo(acts),
  rove: n => desk?.rove(n),
  seek: step => desk?.seek(step, draw),
  flush: () => !state.offline && waiting().length ? furnish().then(() => desk.flush(acts), () => {}) : null,
  retry: () => state.mode === 'ready' ? acts.weigh() : acts.flush(),
  copyTotals: () => desk.copyTotals(),
  focusLine: () => giveFocus($(`line-${state.at}`)),
  toggle(n) {
    state.open = state.open === n ? null : n;
    state.at = n;
    desk?.closeBench(acts);
    drawLedger(acts);
    $(`line-${n}`)?.focus();
  },
  choose(name, value) {
    state[name] = value;
    if (name === 'component') { check(name, value); drawBars(); } else draw();
    say(name === 'component' ? `Bars show ${component(value).word}` : name === 'way' ? `Weighed ${ways().find(way => way.name === value)?.name ?? value}` : `Ratio on ${value} carbohydrate`);
  },
  openList, closeList,
  saved(recipe) {
    history.replaceState(null, '', `#/recipe/${recipe.id.slice(7)}`);
    draw();
  },
  show: (recipe, latest) => furnish().then(() => desk.show(recipe, latest, acts)),
  takeUp: one => furnish().then(() => desk.takeUp(one, acts)),
  lead: (hash, text = '') => { go(hash); openRoom(null); if (text) openList(text); else closeList(); },
  stand: (phrase, food) => desk.stand(phrase, food),
  section: (section, opener) => desk.sectionActs(section, opener, acts),
  async guard(act) {
    try {
      const done = await act();
      // What did not work does now.
      if (fault?.isConnected) notices.clear();
      return done;
    } catch (error) {
      notices.show('error', 'That did not work.', `${error.message}. Nothing was changed.`);
      fault = $('notice').firstChild;
      return null;
    }
  },
};

// ---- the list as text -----------------------------------------------------------------------------------------

function openList(text = null) {
  $('list').hidden = false;
  $('as-text').setAttribute('aria-expanded', 'true');
  $('list-text').value = text ?? (readText() || desk?.asText(state.form) || '');
  $('list-text').focus();
}
function closeList() {
  if (state.mode === 'empty') return;
  if ($('list').contains(document.activeElement)) $('ledger').focus({ preventScroll: true });
  $('list').hidden = true;
  $('as-text').setAttribute('aria-expanded', 'false');
}
/** Close the list, with a way back to what was typed in it and not weighed. */
function leaveList() {
  const typed = readText();
  closeList();
  keepText('');
  $('as-text').focus();
  if (typed.trim() && typed !== desk?.asText(state.form)) notices.show('done', 'What you typed in the list was not weighed.', '', [['Take it back', () => { keepText(typed); openList(typed); }]]);
}
/** Put another text in place of what is typed, with a way back to it. */
function replaceList(text) {
  const before = readText();
  notices.clear('error');
  if (!$('room').hidden) { go('#/'); openRoom(null); }
  openList(text);
  keepText(text);
  if (before.trim() && before !== text) notices.show('done', 'Another list stands in place of what you had typed.', state.unkept, [['Take it back', () => { keepText(before); openList(before); }]]);
}

const takeFile = file => file && furnish().then(() => desk.readFile(file, replaceList));

function weighList() {
  const text = $('list-text').value;
  $('weigh').focus();
  furnish().catch(() => {});
  return import('./weigh.js').then(({ weighText }) => weighText(text, acts), () => notices.wait(10, 'The rest of the page is not here yet: no answer from the service.', weighList));
}

// ---- rooms ----------------------------------------------------------------------------------------------------

const ROOMS = new Set(['recipes', 'choices', 'foods', 'releases']);

function openRoom(name) {
  $('weigh-room').hidden = !!name;
  $('stub').hidden = !!name;
  $('room').hidden = !name;
  document.querySelectorAll('.lintel a').forEach(link => { if (link.getAttribute('href') === `#/${name ?? ''}`) link.setAttribute('aria-current', 'page'); else link.removeAttribute('aria-current'); });
  if (!name) return draw();
  // What comes late is drawn where nobody sees it.
  const room = h('div', {}, h('p', {}, 'Looking it up …'));
  $('room').replaceChildren(room);
  return import(`./rooms/${name}.js`).then(one => one[name](room, acts)).then(() => room.querySelector('h1').focus(), error => room.replaceChildren(h('h1', { tabindex: -1 }, 'That is not here'), h('p', { role: 'alert' }, error.message)));
}

const go = hash => { if (location.hash !== hash) history.pushState(null, '', hash); };
/** Follow the address: a room, a saved recipe, or the recipe at hand. */
async function route() {
  const [, name, number] = /^#\/(\w*)(?:\/(\d+))?$/.exec(location.hash) ?? [];
  if (location.hash && name === undefined) return null; // a place on the page, not a room
  notices.clear('done');
  if (ROOMS.has(name)) return openRoom(name);
  openRoom(null);
  if (name !== 'recipe' || state.saved?.id === `recipe:${number}`) return null;
  return open(number);
}
const open = number => acts.guard(async () => { const { hash } = location, recipe = await api.get(`/recipes/recipe:${number}`); return hash === location.hash && acts.show(recipe); });

// ---- controls -------------------------------------------------------------------------------------------------

function serve(event) {
  const servings = Number(event.target.value);
  event.target.typed = false;
  if (!(servings > 0)) { event.target.value = state.form.servings; return say(`Still serves ${state.form.servings}`); }
  if (state.mode !== 'ready') { state.form.servings = servings; return; }
  change(form => { form.servings = servings; });
  acts.weigh().then(ok => ok && say(`Serves ${state.form.servings}. U takes it back.`));
}

function wire() {
  const on = (id, kind, act) => $(id).addEventListener(kind, act);
  on('as-text', 'click', () => { if ($('list').hidden) openList(); else { closeList(); $('as-text').focus(); } });
  on('list-close', 'click', leaveList);
  on('list-text', 'focus', () => furnish().catch(() => {}));
  on('list-text', 'input', event => { keepText(event.target.value); furnish().catch(() => {}); });
  on('example', 'click', async () => { const { EXAMPLE } = await import('./example.js'); replaceList(EXAMPLE); $('weigh').focus(); });
  on('list-file', 'change', event => takeFile(event.target.files[0]).then(() => { event.target.value = ''; }));
  on('weigh', 'click', weighList);
  on('save', 'click', () => furnish().then(() => desk.save(acts)).then(draw));
  on('forget-key', 'click', () => { access.forget(); say('The key is forgotten'); });
  on('rename', 'click', () => furnish().then(() => desk.rename(acts)));
  on('new', 'click', () => furnish().then(() => desk.startAnew(acts)));
  on('serves', 'input', ({ target }) => { target.typed = true; });
  on('serves', 'blur', ({ target }) => { target.typed = false; });
  on('serves', 'change', serve);
  on('next-look', 'click', () => acts.seek(1));
  on('only-look', 'change', event => { state.only = event.target.checked; drawLedger(acts); });
  on('fold-all', 'click', () => { if (state.folded.size) state.folded.clear(); else sections().forEach(section => state.folded.add(section.id)); drawLedger(acts); });
  on('light', 'change', event => { document.documentElement.dataset.light = event.target.value; keepLooks(); });
  on('units', 'change', event => { [state.mass, state.energy] = event.target.value.split(' '); keepLooks(); draw(); });
  document.addEventListener('change', event => { if (['component', 'way', 'basis'].includes(event.target.name)) acts.choose(event.target.name, event.target.value); });
  // Words that are dropped on a field are for that field.
  const taken = event => (event.dataTransfer.types.includes('Files') || !event.target.matches?.('input, textarea')) && !event.preventDefault();
  document.addEventListener('dragover', taken);
  document.addEventListener('drop', event => { if (!taken(event)) return; if (event.dataTransfer.files.length) takeFile(event.dataTransfer.files[0]); else replaceList(event.dataTransfer.getData('text/plain')); });
  addEventListener('hashchange', route);
  addEventListener('online', () => { if (state.offline || waiting().length) { notices.clear('offline'); state.offline = false; acts.retry(); } });
  whenFull(full => {
    state.unkept = full ? 'This browser cannot keep it, its storage is full or forbidden: save before you close the page.' : '';
    drawHead();
    if (full) notices.show('error', 'What you typed is not kept.', state.unkept);
  });
  new ResizeObserver(([{ contentRect }]) => drawBeam(Math.floor(contentRect.width))).observe($('beam-drawing'));
}

async function start() {
  await claim();
  const looks = readLooks(), draft = readDraft(), early = $('list-text').value;
  // What was typed before there was a page to keep it comes below what was kept.
  if (early) keepText([readText(), early].filter(Boolean).join('\n'));
  const typed = readText();
  Object.assign(state, { energy: looks.energy ?? 'kcal', mass: looks.mass ?? 'g', house: looks.house ?? '' });
  if (looks.light) document.documentElement.dataset.light = $('light').value = looks.light;
  $('units').value = `${state.mass} ${state.energy}`;
  if (draft?.form) Object.assign(state, { form: draft.form, saved: draft.saved ?? null, key: draft.key, answer: readAnswer(), weighedAt: draft.weighedAt ?? null, past: draft.past ?? [], mode: 'ready' });
  wire();
  if (state.mode === 'ready') closeList();
  if (typed) { $('list').hidden = false; $('list-text').value = typed; }
  draw();
  if (state.mode === 'ready') { $('list').hidden = !typed; look({ fold: true }); furnish().then(() => { draw(); acts.weigh(); }, () => notices.wait(10, 'No answer from the service.', () => location.reload())); } else acts.flush();
  $('forget-key').hidden = !access.key();
  route();
  // What came before the worker did is told to it.
  navigator.serviceWorker?.register('/worker.js').then(() => navigator.serviceWorker.ready).then(({ active }) =>
    new PerformanceObserver(list => active.postMessage(list.getEntries().map(one => one.name))).observe({ type: 'resource', buffered: true })).catch(() => {});
}

start();
