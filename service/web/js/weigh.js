// Weighing: a list as text line by line, and a recipe after each change. What fails changes nothing and loses nothing.
import { $, giveFocus } from './dom.js';
import { say } from './announcements.js';
import * as api from './api.js';
import { keepAnswer, keepDraft, keepText, layAside, readText } from './drafts.js';
import { look, sections } from './ledger.js';
import { change, lineForms, state } from './state.js';
import { clock, count } from './figures.js';
import { carryAll, chosen, readings } from './chosen.js';
import { follow, headed, paired, sentence, told } from './follow.js';
import * as notices from './notices.js';
import { stream } from './stream.js';
import { begun } from './typed.js';

// A service that answers at once is not announced as one that is waited for.
const SILENCE = 100;
const RETRY = 10, AWAY = 30, FROM_MEMORY = 'the service answers from memory, its database is away: what was saved elsewhere right before may not be in these figures';
const LONGEST_LINE = 1000, LARGEST = 5 * 1024 * 1024, MOST_LINES = 10_000;
let refusal = null;
const sentences = notes => notes.map(sentence).join(' ');

/** Say that the ledger is about to change. */
export const busy = on => $('ledger').setAttribute('aria-busy', String(on));

/** Put an answer in place of the last one. */
function accept(answer) {
  Object.assign(state, { form: answer.ledger.recipe, answer, weighedAt: Date.now(), mode: 'ready', provisional: null, offline: false });
  if (state.way !== 'plain' && !answer.variants.some(way => way.name === state.way)) state.way = 'plain';
  notices.clear('offline');
  notices.clear('loading');
  // An open list in which nothing was typed says what the lines say now.
  if (!readText()) $('list-text').value = asText(state.form);
  keepDraft();
  keepAnswer();
}

/** Weigh the recipe as it stands; false where that was refused, null where something else is weighed meanwhile. */
export async function weighForm(acts, { close = false, at = null } = {}) {
  const mine = ++state.turn, { open } = state;
  let refused = false;
  if (close) state.open = null;
  keepDraft();
  busy(true);
  try {
    const answer = await api.preview(state.form);
    if (mine !== state.turn) return null;
    accept(answer);
    // What was said of a change that was refused is over; what is said of anything else stands.
    if (refusal?.isConnected) notices.clear();
    fromMemory(acts);
  } catch (error) {
    if (mine !== state.turn) return null;
    if (error instanceof api.Problem && error.status < 500 && error.status !== 429) {
      refused = true;
      state.open = open;
      const became = stepBack();
      keepDraft();
      notices.show('error', 'That cannot be weighed.', `${error.message}. ${became}`);
      refusal = $('notice').firstChild;
    } else failed(error, () => weighForm(acts).then(acts.draw));
  }
  if (at !== null) state.at = lineForms(state.form).findIndex(line => line.text === at) + 1 || state.at;
  acts.draw();
  busy(false);
  if (close && !refused) acts.focusLine();
  acts.flush();
  return !refused;
}

const isWeighed = form => JSON.stringify(form) === JSON.stringify(state.answer?.ledger.recipe);
/** Go back to what can be weighed; gives what became of the changes, of which several may have waited for the service. */
function stepBack() {
  const { form, past } = state;
  if (!isWeighed(form) && past.length) state.form = past.pop();
  if (isWeighed(form) || isWeighed(state.form) || !past.some(isWeighed)) return 'Nothing was changed.';
  layAside({ text: '', form, saved: state.saved, key: state.key });
  while (!isWeighed(state.form)) state.form = past.pop();
  return 'All that was changed since the last weighing is put aside, and stands under Recipes.';
}

/** Say that an answer is from memory while the database is away, until one is not. */
function fromMemory(acts) {
  if (state.answer.earlier) notices.wait(AWAY, sentences([FROM_MEMORY]), () => weighForm(acts));
}

/** What is said of a service that is silent, busy or broken; `again` is tried by itself. */
export function failed(error, again) {
  const many = error.status === 429;
  if (error instanceof api.Problem && error.status < 500 && !many) return notices.show('error', 'That was refused.', `${error.message}. Nothing was changed.`);
  state.offline = true;
  const since = state.weighedAt ? `What you see was weighed at ${clock(new Date(state.weighedAt))}, not since. ` : '';
  const what = many ? 'Too many requests for now.' : error instanceof api.Problem ? `The service met an error (${error.status}).` : error instanceof api.Offline ? sentence(error.message) : 'The page met an error.';
  notices.wait(error.retryAfter ?? RETRY, what, again);
  document.querySelector('#notice b').after(` ${since}Changes are kept here and sent when the service answers. `);
}

// ---- a list as text -------------------------------------------------------------------------------------------

/** Mark a line of the list, or one character of it. */
function goToLine(number, at, acts) {
  const area = $('list-text'), lines = area.value.split('\n'), start = lines.slice(0, number - 1).join('\n').length + (number > 1 ? 1 : 0);
  acts.openList(area.value);
  area.setSelectionRange(start + (at ?? 0), start + (at === null ? lines[number - 1].length : at + 1));
}

const isData = text => /^\s*[{[]/.test(text);

/** Weigh a list that was typed or pasted; lines fill in as the service answers. */
export async function weighText(text, acts) {
  const mine = ++state.turn, before = state.form.sections.length ? state.form : null;
  const long = faultIn(text);
  notices.clear('error');
  keepText(text);
  busy(!long);
  if (long) return notices.show('error', 'The list could not be weighed.', `${long.says} Nothing was changed.`, long.line ? [[`Go to line ${long.line}`, () => goToLine(long.line, long.at ?? null, acts)]] : []);
  try {
    if (!isData(text)) await watched(text, mine, acts);
    if (mine !== state.turn) return;
    const answer = await read(text, before);
    await acts.furnish();
    if (mine !== state.turn) return;
    if (before) state.past.push(before);
    const waiting = before ? halfTaken(before, answer.ledger.recipe) : [];
    accept(answer);
    // What was typed meanwhile waits for its own weighing.
    if (readText() === text) keepText('');
    busy(false);
    const notes = `${sentences([...answer.notes, ...waiting, ...answer.earlier ? [FROM_MEMORY] : []])} ${state.unkept}`.trim();
    weighed(answer, notes, acts);
    if (notes) notices.show('done', 'Weighed.', notes, before ? [['Take it back', () => undo(acts)]] : []);
    acts.flush();
  } catch (error) {
    if (mine !== state.turn) return;
    state.provisional = null;
    busy(false);
    state.mode = before ? 'ready' : 'empty';
    acts.draw();
    acts.openList();
    if (error instanceof api.Problem && error.status < 500 && error.status !== 429) {
      const line = error.errors.find(one => one.line)?.line;
      notices.show('error', 'The list could not be weighed.', `${error.message}. Nothing was changed.`, line ? [[`Go to line ${line}`, () => goToLine(line, null, acts)]] : []);
    } else failed(error, () => weighText(readText() || text, acts));
  }
}

/** What was put in on the benches of lines that are no more. */
function halfTaken(before, form) {
  const [old, now] = [before, form].map(one => lineForms(one).map(line => line.text));
  return begun(old.filter(text => !now.includes(text))).map(text => `what you put in for “${text}” was not taken: no line reads so any more`);
}

/** Show a list that was weighed. */
function weighed(answer, notes, acts) {
  // What is being typed in a list that was opened meanwhile stays under the hand.
  if (!readText()) acts.closeList();
  look({ fold: true });
  state.at = 1;
  acts.draw();
  if (document.activeElement === $('ledger')) $('ledger').blur();
  giveFocus(sections().some(section => section.id === 0 && !state.folded.has(0)) ? $('line-1') : document.querySelector('.part h3 button'));
  const needs = document.querySelectorAll('.word--check, .word--no_match').length;
  say(`Weighed ${answer.lines.length} lines. ${needs ? `${needs} need a look` : 'Nothing needs a look'}. ${notes}`);
}

function faultIn(text) {
  if (!text.trim()) return { says: 'There is nothing in it yet.' };
  if (new Blob([text]).size > LARGEST) return { says: 'It is larger than 5 MB.' };
  // A half of a pair would reach the service as another character.
  const odd = /\0|\p{Surrogate}/u.exec(text)?.index ?? -1;
  if (odd >= 0) return unkeepable(text.slice(0, odd).split('\n'));
  if (isData(text)) return null;
  const lines = text.trimEnd().split('\n'), line = lines.findIndex(one => one.length > LONGEST_LINE) + 1, many = one => one.toLocaleString('en');
  // So many rows would be drawn for nothing: they are refused.
  if (lines.length > MOST_LINES) return { says: `It has ${many(lines.length)} lines; at most ${many(MOST_LINES)} are read.` };
  return line ? { line, says: `Line ${line} is ${many(lines[line - 1].length)} characters long; a line may have ${many(LONGEST_LINE)}.` } : null;
}

function unkeepable(before) {
  const line = before.length, at = before.at(-1).length;
  return { line, at, says: `Line ${line} holds something that is no character of any writing, its character ${at + 1}. “Go to line” marks it: delete it, or type what it should be.` };
}

/** Show each line as it is weighed. */
async function watched(text, mine, acts) {
  const places = new Map();
  state.provisional = [{ name: '', optional: false, lines: [] }];
  text.split(/\r?\n/).forEach((raw, place) => {
    const words = raw.trim(), head = /^(\+?)\s*([^\d+].{0,98}?)\s*:$/.exec(words);
    if (!words) return;
    if (head) return state.provisional.push({ name: head[2], optional: !!head[1], lines: [] });
    const line = { text: words, result: null };
    places.set(place, line);
    state.provisional.at(-1).lines.push(line);
  });
  state.provisional = state.provisional.filter(section => section.lines.length);
  Object.assign(state, { mode: 'loading', open: null });
  let due = false, done = 0;
  const draw = () => { due = false; if (mine === state.turn && state.provisional) { notices.progress(done, places.size); acts.draw(); } };
  setTimeout(() => { if (!done) draw(); }, SILENCE);
  const coming = stream(text, (result, place) => {
    const line = places.get(place);
    if (!line) return false;
    line.result = result;
    done += 1;
    if (!due) { due = true; requestAnimationFrame(draw); }
    return done === places.size;
  });
  acts.closeList();
  await coming;
}

const UNTITLED = 'Untitled recipe', NAMELESS = 'Without a heading';
const asPlain = text => api.preview(text, { type: 'text/plain' });
/** The first line of a list that has no heads is no title of it. */
const untitled = text => `${UNTITLED}\n\n${text}`;

/** The recipe in a text, with what was chosen for the recipe before and its lines, and its ways. */
async function read(text, before) {
  const answer = isData(text) ? await api.preview(text, { type: 'application/ld+json' }) : await asPlain(before && text.trim().split('\n')[0].trim() === asText(before).split('\n')[0] ? untitled(text) : text);
  const form = answer.ledger.recipe, silent = answer.notes.find(note => /for how many/.test(note)), { servings } = before ?? state.form;
  if (!before && !(silent && servings !== form.servings)) return answer;
  const said = before ? await taken(answer, before) : [];
  if (silent) form.servings = servings;
  const weighed = await api.preview(form), notes = answer.notes.filter(note => note !== silent);
  return { ...weighed, notes: [...new Set([...notes, ...weighed.notes, ...said])] };
}

/** Take what was chosen before into a recipe that was read anew; gives what did not stay as it was. */
async function taken(answer, before) {
  const form = answer.ledger.recipe, made = Object.entries(form.yield).filter(([, value]) => value !== null), renamed = form.title !== UNTITLED && form.title !== before.title;
  if (!renamed) form.title = before.title;
  const { cooked_grams, factor } = form.yield;
  form.yield = { ...before.yield, ...cooked_grams ?? factor ? { cooked_grams, factor } : {}, ...Object.fromEntries(made) };
  form.net_carbohydrate = before.net_carbohydrate;
  for (const section of form.sections) if (section.name === NAMELESS) section.name = '';
  form.variants = structuredClone(before.variants);
  const was = paired(before, form), now = readings(answer);
  const old = lineForms(before).some(line => chosen(line).length) ? readings(await asPlain(untitled(asText(before)))) : line => ({ line, parts: [] });
  return [...renamed ? [`it is called “${form.title}” now, as the list begins, no longer “${before.title}”`] : [], ...carryAll(was, old, now), ...told(follow(form, was, headed(was, before, form)))];
}

/** The list as it would be typed. */
export const asText = form => form.sections.map((section, at) => [
  ...section.name || section.optional || at ? [`${section.optional ? '+ ' : ''}${section.name || NAMELESS}:`] : [], ...section.lines.map(line => line.text)].join('\n')).join('\n\n');

export function undo(acts) {
  if (!state.past.length) return say('Nothing to take back');
  const undone = state.form, again = () => { change(() => {}); state.form = undone; return weighForm(acts, { close: true }); };
  state.form = state.past.pop();
  state.open = null;
  weighForm(acts, { close: true }).then(ok => {
    if (!ok) return;
    say(`Taken back. ${count(lineForms(state.form).length, 'line')}.`);
    notices.show('done', 'Taken back.', '', [['Do it again', again]]);
  });
}
