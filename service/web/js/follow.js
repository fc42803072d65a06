// Which line of a list stands for which line of the list before, and how ways to serve it, which name lines by their words
// and sections by their heads, follow where those change.
import * as notices from './notices.js';

const heads = form => form.sections.map(section => section.name);
/** The lines of a form with their words and heads as they are now. */
const laid = form => form.sections.flatMap(({ name, lines }, at) => lines.map(line => ({ line, text: line.text, at, head: name })));
const quoted = names => `“${names.join('” and “')}”`;
const unlike = (one, at, all) => all.indexOf(one) === at;

/** Let the ways of a changed form name what stands in place of what they named: the lines that each line before is `now`,
 * and heads by the head before. Gives what changed: without `names` it is what could not follow, `by` is what a swap
 * brought in for it, `twice` are words that lines have which the way did not mean. */
export function follow(form, was, became = new Map()) {
  const lines = laid(form), known = new Set(heads(form)), changes = [];
  const standing = (name, head = name) => was.filter(one => one.text === name || one.head === head).flatMap(one => one.now);
  const noted = (way, name, found, twice = [], by = null) => {
    const clear = found.filter(text => !twice.includes(text)), names = by !== null && clear.length > 1 ? [] : clear;
    if (names.join() !== name) changes.push({ way: way.name, name, names, by, twice });
    return names;
  };
  const named = (way, name, stand, meant, by = null) => {
    const found = stand.map(line => line.text).filter(unlike);
    return noted(way, name, found, found.filter(text => lines.some(one => one.text === text && !meant.has(one.line)) || (by === null && known.has(text))), by);
  };
  for (const way of form.variants) {
    for (const key of ['with', 'without']) {
      const meant = new Set(way[key].flatMap(name => standing(name)));
      way[key] = way[key].flatMap(name => {
        const head = [name, became.get(name)].find(one => known.has(one));
        return head === undefined ? named(way, name, standing(name), meant) : noted(way, name, [head]);
      }).filter(unlike);
    }
    way.swaps = way.swaps.flatMap(swap => {
      const stand = standing(swap.line, null);
      return named(way, swap.line, stand, new Set(stand), swap.by.text).map(line => ({ ...swap, line }));
    });
  }
  return changes;
}

/** Change a form whose lines stay what they are under other words; `alter` may give a line and the lines made of it. */
export function keeping(form, alter, became) {
  const was = laid(form), [split, made] = alter() ?? [], left = new Set(laid(form).map(one => one.line));
  return follow(form, was.map(one => ({ ...one, now: one.line === split ? made : left.has(one.line) ? [one.line] : [] })), became);
}

/** Call a section otherwise; where its name is none, or that of something else, the ways name its lines. */
export function renamed(form, at, name) {
  const section = form.sections[at], taken = [...heads(form), ...laid(form).map(one => one.text)].includes(name);
  return keeping(form, () => { section.name = name; }, new Map(taken ? [] : [[section.name, name]]));
}

// ---- said -----------------------------------------------------------------------------------------------------

export const sentence = text => `${text[0].toUpperCase()}${text.slice(1)}.`;
export const told = changes => changes.map(({ way, name, names, by, twice }) => names.length
  ? `the way “${way}” follows: ${quoted(names)} in place of “${name}”${twice.length ? `, without ${quoted(twice)}, which other lines read too` : ''}`
  : `the way “${way}” is kept, but says nothing of “${name}” any more${by ? `, nor of “${by}” in place of it` : ''}: ${twice.length ? `other lines read ${quoted(twice)} too, so word them apart` : 'no one line stands there now'}`);
export const lost = changes => told(changes.filter(one => !one.names.length || one.twice.length));

/** Say what could not follow a change that was made by hand, with `more` that went. */
export function tell(changes, more = []) {
  const said = [...more, ...lost(changes)].join('; ');
  if (said) notices.show('done', more.length ? 'Not all that was chosen has stayed.' : 'A way to serve it has changed.', `${sentence(said)} U takes it back.`);
}

// ---- a list that was typed anew ---------------------------------------------------------------------------------

// How many lines that share a word with a line are looked at: all pairs of a list of thousands would take seconds.
const MOST_ALIKE = 100;
const words = text => new Set(text.toLowerCase().match(/\p{L}{3,}/gu) ?? []);
/** The share of the words of two lines that both have. */
function likeness(a, b) {
  let both = 0;
  for (const word of a) if (b.has(word)) both += 1;
  return both && both / (a.size + b.size - both);
}

/** The lines of a list with the line that each is `now` in another: the same words, best under the same head, else the
 * likest ones, else what alone stands in its place. */
export function paired(before, after) {
  const old = laid(before).map(one => ({ ...one, now: [] })), all = laid(after), left = new Set(all), same = grouped(all, one => [one.text]);
  const take = (one, other) => { one.now = [other.line]; left.delete(other); };
  for (const is of [(one, other) => one.head === other.head, () => true]) {
    for (const one of old.filter(one => !one.now.length)) {
      const other = same.get(one.text)?.find(other => left.has(other) && is(one, other));
      if (other) take(one, other);
    }
  }
  const gone = old.filter(one => !one.now.length), stands = new Set([...left].map(one => one.line));
  const alone = [place(old, one => one.now[0]), place(all, one => stands.has(one.line) ? null : one.line)];
  for (const { one, other } of offers(gone, [...left], alone)) if (!one.now.length && left.has(other)) take(one, other);
  return old;
}

/** Which lines may be one line worded anew, the likest first: those that share words, or stand alone in one place. */
function offers(gone, left, alone) {
  for (const [order, one] of [...gone, ...left].entries()) Object.assign(one, { order, words: words(one.text) });
  const having = grouped(left, one => one.words), standing = grouped(left, one => [one.place]), count = new Map(), found = [];
  for (const one of gone) {
    const others = new Set(alone.every(list => list.get(one.place) === 1) ? standing.get(one.place) : []), lonely = [...others];
    for (const word of one.words) {
      const at = count.get(word) ?? 0;
      count.set(word, at + 1);
      for (const other of about(having.get(word) ?? [], at)) others.add(other);
    }
    for (const other of [...others].sort((a, b) => a.order - b.order)) {
      const like = likeness(one.words, other.words), near = one.place === other.place;
      if (like >= .5 || (near && like > 0) || lonely.includes(other)) found.push({ one, other, rank: like + near });
    }
  }
  return found.sort((a, b) => b.rank - a.rank);
}
/** Of many lines with a word those that come about as late in their list. */
const about = (list, at) => list.length > MOST_ALIKE ? list.slice(Math.max(0, at - MOST_ALIKE / 2), at + MOST_ALIKE / 2) : list;

/** Lists of things by each of their keys. */
function grouped(list, keys) {
  const groups = new Map();
  for (const one of list) for (const key of keys(one)) { if (groups.has(key)) groups.get(key).push(one); else groups.set(key, [one]); }
  return groups;
}

/** What the heads of a list became, where all of a section's lines stand under one new head: a guess, to be said. */
export function headed(was, before, after) {
  const were = heads(before), now = new Map(laid(after).map(({ line, head }) => [line, head])), became = new Map();
  for (const name of were.filter(one => !heads(after).includes(one))) {
    const found = was.filter(one => one.head === name).flatMap(one => one.now).map(line => now.get(line)).filter(unlike);
    if (found.length === 1 && found[0] && !were.includes(found[0])) became.set(name, found[0]);
  }
  return became;
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
