// What was chosen for a line by hand: in words, and what of it stays where the line is worded anew.
import * as api from './api.js';
import { lineForms, state } from './state.js';
import { massUnit, weight } from './figures.js';

/** A line for which nothing was chosen. */
const PLAIN = { food: null, grams: null, treatment: null, share_eaten: 1, optional: false, left_out: false };
let answered = null, names = new Map();
/** The name of a food that the last answer speaks of. */
function named(id) {
  if (answered !== state.answer) names = new Map((state.answer?.lines ?? []).flatMap(line => line.parts).filter(part => part.food).map(({ food }) => [food.id, food.description]));
  answered = state.answer;
  return names.get(id);
}
const WORDS = {
  food: id => [id, named(id)].filter(Boolean).join(', '), grams: grams => `${weight(grams)} ${massUnit()}`, treatment: name => name,
  share_eaten: share => `${Math.round(1000 * share) / 10} % eaten`, optional: on => on ? 'a topping' : 'no topping', left_out: on => on ? 'left out' : 'not left out',
};
const differ = (line, other) => Object.keys(PLAIN).filter(key => line[key] !== undefined && line[key] !== other[key]);
const said = (line, keys) => keys.map(key => WORDS[key](line[key])).join('; ');
/** All that was chosen for a line, in words. */
export const chosen = line => differ(line, PLAIN).map(key => WORDS[key](line[key]));

/** Words as they are compared: without accents, capitals and the endings of a plural. */
export const stems = text => (text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? [])
  .filter(word => !/^(a|an|and|in|of|or|the|with)$/.test(word)).map(word => word.length < 3 ? word : word.replace(/s+$/, '').replace(/e$/, '').replace(/y$/, 'i').replace(/v$/, 'f'));

const foodsOf = parts => JSON.stringify(parts.map(part => stems(part.text).sort()));
const amountsOf = parts => JSON.stringify(parts.map(part => part.amount));

/** What of the choices for a line stays on the line in its place, and what goes, by why. `was` and `now` are both as
 * they read by their words alone; what these say themselves now is not overruled. */
function carried(line, was, now) {
  const same = line.text === now.line.text, food = same || foodsOf(was.parts) === foodsOf(now.parts), amount = same || (food && amountsOf(was.parts) === amountsOf(now.parts));
  const kept = {}, gone = {};
  for (const key of differ(line, was.line)) {
    const why = now.line[key] !== was.line[key] ? 'its words say otherwise now' : key in { optional: 0, left_out: 0 } ? '' : !food ? 'it names another food now' : key === 'grams' && !amount ? 'its amount is another now' : '';
    if (!why) kept[key] = line[key];
    else if (line[key] !== now.line[key]) (gone[why] ??= []).push(key);
  }
  return { kept, gone };
}

/** What stayed and what went, in words. */
const reported = (line, text, { kept, gone }) => [
  ...line.text !== text && Object.keys(kept).length ? [`“${text}” keeps what was chosen for “${line.text}”: ${said(kept, Object.keys(kept))}`] : [],
  ...Object.entries(gone).map(([why, keys]) => `what was chosen for “${line.text}” is dropped from ${line.text === text ? 'it' : `“${text}”`}, as ${why}: ${said(line, keys)}`)];

// ---- a line at a time -------------------------------------------------------------------------------------------

/** Foods and amounts by the letters and figures alone, for while the service is silent. */
const crude = text => [{ text: text.replace(/\P{L}+/gu, ' '), amount: text.match(/\p{N}+/gu) }];
/** A draft without what was chosen for other words than it has now and not by this `mine` hand, and what goes. */
export async function fitted(line, draft, mine = new Set(), signal = null) {
  if (draft.text === line.text) return { draft, told: [] };
  const texts = [line.text, draft.text], asked = api.preview({ title: 'Both', servings: 1, sections: [{ lines: texts.map(text => ({ text })) }] }, { signal });
  const parts = await asked.then(({ lines }) => lines.map(one => one.parts), error => { if (signal?.aborted) throw error; return texts.map(crude); });
  const [was, now] = texts.map((text, at) => ({ line: { ...PLAIN, text }, parts: parts[at] }));
  const before = Object.fromEntries(Object.entries(line).filter(([key]) => key === 'text' || !mine.has(key))), { gone } = carried(before, was, now);
  const left = Object.fromEntries(Object.values(gone).flat().map(key => [key, PLAIN[key]]));
  return { draft: { ...draft, ...left }, told: reported(before, draft.text, { kept: {}, gone }) };
}

// ---- a list that was typed anew ---------------------------------------------------------------------------------

const MOST_NAMED = 3;
/** Put what was chosen for the lines of a list on those that stand in place of them; `read` and `now` give how a line of
 * either reads by its words alone. */
export function carryAll(pairs, read, now) {
  const told = [], gone = [];
  for (const { line, now: [stands] } of pairs) {
    const was = read(line);
    if (!stands) { if (differ(line, was.line).length) gone.push(`“${line.text}” (${said(line, differ(line, was.line))})`); continue; }
    const result = carried(line, was, now(stands));
    told.push(...reported(line, stands.text, result));
    Object.assign(stands, result.kept);
  }
  const more = gone.length - MOST_NAMED;
  return [...told, ...gone.length ? [`gone from the list, with what was chosen there: ${gone.slice(0, MOST_NAMED).join(', ')}${more > 0 ? ` and ${more} more` : ''}`] : []];
}

/** How the lines of an answer to a text read: its own, or those of the same words. */
export function readings(answer) {
  const found = new Map(lineForms(answer.ledger.recipe).flatMap((line, at) => { const one = { line: { ...line }, parts: answer.lines[at].parts }; return [[line, one], [line.text, one]]; }));
  return line => found.get(line) ?? found.get(line.text) ?? { line: PLAIN, parts: [] };
}
