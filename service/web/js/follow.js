// A way to serve a recipe names lines by their words and sections by their heads: where those change, it follows.
import { lineForms } from './state.js';
import * as notices from './notices.js';

const texts = form => lineForms(form).map(line => line.text);
const heads = form => form.sections.map(section => section.name);

/** Let the ways of a changed form name what stands in place of what they named; `became` has names now by the name before.
 * Gives what changed; without `names` it is what could not follow, `by` is what a swap brought in for it. */
export function follow(form, became) {
  const lines = new Set(texts(form)), all = new Set([...lines, ...heads(form)]), changes = [];
  for (const way of form.variants) {
    const now = (name, by = null) => {
      const known = by === null ? all : lines, found = new Set([name, ...(became.get(name) ?? []).filter(Boolean)].filter(one => known.has(one)));
      const names = by !== null && found.size > 1 ? [] : [...found];
      if (names.join() !== name) changes.push({ way: way.name, name, names, by });
      return names;
    };
    for (const key of ['with', 'without']) way[key] = [...new Set(way[key].flatMap(name => now(name)))];
    way.swaps = way.swaps.flatMap(swap => now(swap.line, swap.by.text).map(line => ({ ...swap, line })));
  }
  return changes;
}

/** Call a section otherwise; where its name is none, or that of something else, the ways name its lines. */
export function renamed(form, at, name) {
  const section = form.sections[at], before = section.name, taken = [...texts(form), ...heads(form)];
  if (name === before) return [];
  section.name = name;
  return follow(form, new Map([[before, taken.includes(name) ? section.lines.map(line => line.text) : [name]]]));
}

// ---- said -----------------------------------------------------------------------------------------------------

export const told = changes => changes.map(({ way, name, names, by }) => names.length
  ? `the way “${way}” follows: “${names.join('” and “')}” in place of “${name}”`
  : `the way “${way}” is kept, but says nothing of “${name}” any more${by ? `, nor of “${by}” in place of it` : ''}: no one line stands there now`);
export const lost = changes => told(changes.filter(one => !one.names.length));

/** Say what could not follow a change that was made by hand. */
export function tell(changes) {
  const said = lost(changes).join('; ');
  if (said) notices.show('done', 'A way to serve it has changed.', `${said[0].toUpperCase()}${said.slice(1)}. U takes it back.`);
}

// ---- a list that was typed anew ---------------------------------------------------------------------------------

const words = text => new Set(text.toLowerCase().match(/\p{L}{3,}/gu) ?? []);
/** The share of the words of two lines that both have. */
function likeness(one, other) {
  const [a, b] = [words(one), words(other)], both = [...a].filter(word => b.has(word)).length;
  return both && both / (a.size + b.size - both);
}

/** What became of the names of a list: a guess, to be said. */
export function guessed(before, after) {
  const old = paired(before, after), became = new Map(), add = (name, now) => became.set(name, [...became.get(name) ?? [], ...now]);
  for (const { text, now } of old) if (now && now.text !== text) add(text, [now.text]);
  const [were, are] = [heads(before), heads(after)];
  were.forEach((name, at) => {
    if (are.includes(name)) return;
    const lines = old.filter(one => one.at === at && one.now).map(one => one.now), head = are[lines[0]?.at];
    const whole = lines.every(line => line.at === lines[0].at) && !were.includes(head);
    add(name, whole && head ? [head] : lines.map(line => line.text));
  });
  return became;
}

/** The lines of a list with the line that each is `now` in another: the same words, else the likest ones, else what alone stands in its place. */
function paired(before, after) {
  const [old, left] = [before, after].map(form => form.sections.flatMap((section, at) => section.lines.map(({ text }) => ({ text, at }))));
  const all = [...left];
  for (const one of old) {
    const at = left.findIndex(other => other.text === one.text);
    if (at >= 0) [one.now] = left.splice(at, 1);
  }
  const gone = old.filter(one => !one.now), alone = [place(old, one => one.now), place(all, one => left.includes(one) ? null : one)];
  const offers = gone.flatMap(one => left.map(other => {
    const like = likeness(one.text, other.text), near = one.place === other.place;
    return { one, other, fits: like >= .5 || (near && (like > 0 || alone.every(list => list.get(one.place) === 1))), rank: like + near };
  })).filter(offer => offer.fits).sort((a, b) => b.rank - a.rank);
  const used = new Set();
  for (const { one, other } of offers) if (!one.now && !used.has(other)) { one.now = other; used.add(other); }
  return old;
}

/** Note behind which line that stayed each other one stands, and count how many stand there. */
function place(list, stayed) {
  let last = null;
  const counts = new Map();
  for (const one of list) {
    const kept = stayed(one);
    if (kept) last = kept;
    else { one.place = last; counts.set(last, (counts.get(last) ?? 0) + 1); }
  }
  return counts;
}
