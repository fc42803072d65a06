// Standing choices that mean a food or a recipe of the kitchen: said where it is deleted, given to it where it is back.
import * as api from '../api.js';

const quoted = choices => choices.map(one => `“${one.phrase}”`).join(', ');

export const meaning = async id => (await api.get('/choices')).choices.filter(choice => choice.food === id);

export const lostWith = meant => meant.length ? ` Standing choices that meant it have no food now: ${quoted(meant)}.` : '';

/** What is back has another id; '' or the words on choices that were changed meanwhile. */
export async function meanAgain(meant, id) {
  const left = [];
  for (const one of meant) await api.put(`/choices/${one.id}`, { phrase: one.phrase, food: id }, one.revision).catch(() => left.push(one));
  return left.length ? ` These standing choices could not be given it: ${quoted(left)}.` : '';
}
