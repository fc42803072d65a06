// The lines of the recipe at hand with what the last weighing said of each.
import { state, COMPONENTS } from './state.js';
import { read } from './figures.js';

export const STATES = {
  check: { word: 'look', shape: 'pennant', needs: true },
  no_match: { word: 'no entry', shape: 'open', needs: true },
  no_amount: { word: 'no amount', shape: 'ring' },
  part_known: { word: 'not known in full', shape: 'half' },
  by_hand: { word: 'by hand', shape: 'knot' },
  standing: { word: 'standing choice', shape: 'bollard' },
  own_food: { word: 'own food', shape: 'jar' },
  saved_recipe: { word: 'saved recipe', shape: 'pot' },
  unsent: { word: 'by hand, not yet sent', shape: 'knot' },
  waiting: { word: 'on the scale', shape: 'ring' },
  not_food: { word: 'note', shape: 'pilcrow' },
  left_out: { word: 'left out', shape: 'cross' },
  resolved: { word: '', shape: '' },
};
const BY = { 'by hand': 'by_hand', 'standing choice': 'standing', 'own food': 'own_food', 'saved recipe': 'saved_recipe' };
const signature = line => JSON.stringify([line.text, line.food, line.grams, line.treatment, line.share_eaten, !!line.left_out]);

/** Sections with their lines; what the last answer says where it speaks of the same line. */
export function view() {
  if (state.provisional) return provisional();
  const { form, answer } = state, same = answer && JSON.stringify(answer.ledger.recipe) === JSON.stringify(form);
  const find = same ? null : matcher();
  let n = 0;
  return form.sections.map((section, id) => ({
    id, name: section.name, optional: section.optional, brought: same ? answer.ledger.sections[id] : null,
    lines: section.lines.map(line => {
      const place = same ? n : find?.(line);
      n += 1;
      const known = place !== undefined && place !== null && answer;
      return described({ n, id, line, text: line.text, result: known ? answer.lines[place] : null,
        brought: known ? answer.ledger.lines[place] : null, number: known ? place + 1 : null });
    }),
  }));
}

function matcher() {
  if (!state.answer) return null;
  const places = new Map();
  state.answer.ledger.recipe.sections.flatMap(section => section.lines).forEach((line, place) => {
    const key = signature(line);
    places.set(key, [...(places.get(key) ?? []), place]);
  });
  return line => places.get(signature(line))?.shift();
}

function provisional() {
  let n = 0;
  return state.provisional.map((section, id) => ({ ...section, id, brought: null,
    lines: section.lines.map(({ text, result }) => { n += 1; return described({ n, id, line: { text }, text, result, brought: null, waiting: !result }); }) }));
}

function described(line) {
  const parts = line.result?.parts ?? [];
  const weights = parts.filter(part => part.outcome !== 'not_food').map(part => part.grams);
  const known = weights.length > 0 && weights.every(one => one && one.value !== null);
  const kind = kindOf(line, parts, known);
  return { ...line, parts, kind, known, word: kind === 'part_known' ? unknownWord(line) : STATES[kind].word, needs: !!STATES[kind].needs };
}

function kindOf(line, parts, known) {
  if (line.waiting) return 'waiting';
  if (line.line.left_out) return 'left_out';
  if (!line.result) return 'unsent';
  const { outcome } = line.result;
  if (outcome === 'not_food' || outcome === 'no_match') return outcome;
  if (parts.some(part => part.outcome === 'no_match')) return 'no_match';
  if (outcome === 'check') return 'check';
  if (!known) return 'no_amount';
  if (line.brought && unknowns(line).length) return 'part_known';
  const by = parts.map(part => BY[part.by]).find(Boolean);
  return by ?? 'resolved';
}
const unknowns = line => COMPONENTS.filter(one => one.key !== 'net' && read(line.brought, one.key)?.value == null);
const unknownWord = line => {
  const words = unknowns(line).map(one => one.word);
  return words.length > 2 ? `${words.length} values not known` : `${words.join(' and ')} not known`;
};

/** Ways to serve the recipe: plain first, as the API names them. */
export function ways() {
  const { answer } = state;
  if (!answer) return [];
  const plain = answer.lines.filter(line => line.counted).map(line => line.number);
  return [{ ...answer, name: 'plain', lines: new Set(plain) }, ...answer.variants.map(one => ({ ...one, lines: new Set(one.lines) }))];
}
/** What a way with more lines adds at least, where its lower bound, by the lightest weights, lies below the plain figure,
 * by the middle ones, as if it took something off. */
export function adds(way, plain, key) {
  const [total, base] = [way, plain].map(one => read(one.per_serving, key));
  return (total.value ?? total.high) === null && base.value !== null && total.low < base.value
    && way.servings === plain.servings && [...plain.lines].every(n => way.lines.has(n)) && { ...total, low: total.low - base.low };
}
export const wayNow = () => ways().find(way => way.name === state.way) ?? ways()[0];
/** What the ticket and the beam compare with: another way to serve, best the one with everything. */
export function wayBeside() {
  const now = wayNow(), others = ways().slice(1);
  if (now && now.name !== 'plain') return ways()[0];
  return others.find(way => way.name === 'with everything') ?? others[0] ?? null;
}
