"""Words and names as data: what a word does in a line, and which food entry a name stands for.

The rows come from service/tables; this module only looks them up. A row's form is read by the same rules as a
line, so that one spelling in the table meets every spelling of it in a line.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from itertools import chain, combinations, pairwise
from math import log10
from typing import NamedTuple

from rapidfuzz import process
from rapidfuzz.distance import OSA

from service.core.text import fold, singular
from service.core.values import quick

_TOKEN = re.compile(r"\d+/\d+|\d+(?:[.,]\d+)*%?|[^\W\d_]+(?:'[^\W\d_]+)?|[^\s\w]|_")
_HYPHEN = re.compile(r"(?<=[^\W\d_])-(?=[^\W\d_])")
_PERCENT = re.compile(r"(?<=\d) ?(?:(?:percent|per cent|pct)\b|%)")
_BARE_POINT = re.compile(r"(?<![\w.])\.(?=\d)")  # ".5 tsp"
_POSSESSIVE = re.compile(r"'s\b|(?<=s)'(?=\s|$)")

# A phrase's words that a look-up combines; more would cost time and say nothing.
MOST_WORDS = 8
# Words whose reading is kept.
MOST_READ = 50_000
# Letters of the shortest and the longest word whose spelling is put right.
_LEAST_SPELLED, _MOST_SPELLED = 4, 24
# Letters that a scanner takes for one, and that one.
_LOOKALIKES = (("rn", "m"), ("cl", "d"), ("vv", "w"))
# In so many names a word is common enough to be read for one spelled two letters off.
COMMON = 8
# The kind of amount that accepts every name.
ANY_AMOUNT = "any"


@quick
@dataclass(frozen=True, slots=True)
class Token:
    """One word or mark of a folded line.

    kind      its class in tables/words.csv, "number", "measure", "word" or "mark"
    value     the class's value: the canonical state, size or measure; the number as text; a word's singular
    distance  letters by which the spelling was put right, 0 where it was read as written
    several   a measure in the plural: "sprigs"
    key       the word under which it takes part in look-ups, "" for none: canonical state, singular, as written
    """

    text: str
    kind: str
    value: str = ""
    distance: int = 0
    several: bool = False
    key: str = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "key", _key_word(self))


class Name(NamedTuple):
    """One row of tables/names: a form, the entry it stands for (None: no table has it), and how surely.

    kind  "name" | "regional" | "trade" | "near" | "default" | "absent"
    key   its words as the look-up uses them;  place  file and line of the row
    when  the kinds of amount with which the row applies ("spoon", "cup", "piece", "weight", "none"); empty: all
    abroad  it is of another language than the lists are in, so that no slip is meant for it
    """

    form: str
    kind: str
    when: frozenset[str]
    food_id: str | None
    source: str
    key: frozenset[str] = frozenset()
    place: str = ""
    abroad: bool = False

    @property
    def words(self) -> int:
        """How many words the name has."""
        return len(self.key)


@dataclass(frozen=True, slots=True)
class TitleWords:
    """The words of titles and labels, by tables/titles.csv; every form in singulars, joined by single spaces.

    dishes    form -> "dish" (a title alone or behind other words), "head" (behind other words only), "bought"
    family    whose dish it is ("nana");  honorifics  before a person's name ("mrs")
     openings  how it is cooked ("one pot")
    origins   whence a dish is ("peruvian")
    made      what makes a dish of the foods around it ("crusted")
    ready     words that say that a dish is at hand and hence an ingredient ("leftover")
    labels    what stands before a colon and a figure ("prep")
    diets     whom a dish suits ("gluten free");  equipment  what a kitchen uses and nobody eats ("muffin tin")
    vessels, builds   what is equipment where a line says how it is made ("vessel"); words of that ("thick")
    tools     equipment whose use a food may tell ("press")
    aisles, shelves   parts of a shop by which no food is called ("dairy"); foods that are named beside them
    links     words of any language behind which a dish says with what it is ("con")
    attributive      dishes that English sets before another noun ("soup" starter)
    minutes, periods, pauses   times of cooking ("hour"), longer ones ("week"), what takes them ("resting")
    heats, degrees             what an oven's heat is told in ("gas"); what stands behind its figure ("fahrenheit")
    months, eaters, for_whom   "march"; who eats ("guest"); behind what they are told in other languages ("pour")
    portions, claims           of what figures of a dish are ("slice"); which are told of dishes alone ("kcal")
    nutrients, nutrient_foods  of which no food goes by the name ("fibre"), and those that are foods as well ("salt")
    stages, moments            what recipes are made in ("layer" 2), when things are needed ("the night before")
    sections                   parts of a list that hold foods ("topping"), which stay that before a purpose
    groups                     groups of foods, which are food before a purpose ("meat" for kebabs)
    feedback                   what readers leave on a page ("votes")
    served                     purposes of what is bought or made before ("of choice")
    own_parts                  what a food comes with without being a dish ("skin")
    ranks, batches             which of several a part of a list is ("final"); what a list is one of ("version")
    eaten_with                 what is eaten with another food and makes no dish with it ("toast")
    free_of                    what a food may be said to hold none of ("gluten")
    praises                    what titles say of dishes ("simple")
    step_words, step_verbs, handling   "then"; verbs that no food is called by ("peel"); those before a tool ("brush")
    wholes                             what is said of the weight of all of it ("final" weight)
    readying                           verbs that make a food ready, said before its amount ("core")
    exchanges, dividing                verbs of another food's place ("swap"), and before a part of one ("set aside")
    shared_heads, wanted_heads         heads that foods share across "or" ("juice"), that none goes without ("extract")
    made_heads, taken_alone            heads of what is made of foods ("oil"); foods taken as they are ("butter")
    components, dish_components        what cooks make of other lines ("salsa"), and that behind a dish ("paste")
    plates, plate_sides                what a plate is filled with ("rice"); what stands beside it ("potato")
    going, poured                      verbs of what is not used ("leave out"), and what is poured off a food ("liquid")
    """

    dishes: Mapping[str, str] = field(default_factory=dict)
    family: frozenset[str] = frozenset()
    honorifics: frozenset[str] = frozenset()
    openings: frozenset[str] = frozenset()
    origins: frozenset[str] = frozenset()
    made: frozenset[str] = frozenset()
    ready: frozenset[str] = frozenset()
    labels: frozenset[str] = frozenset()
    diets: frozenset[str] = frozenset()
    equipment: frozenset[str] = frozenset()
    links: frozenset[str] = frozenset()
    attributive: frozenset[str] = frozenset()
    minutes: frozenset[str] = frozenset()
    periods: frozenset[str] = frozenset()
    pauses: frozenset[str] = frozenset()
    heats: frozenset[str] = frozenset()
    degrees: frozenset[str] = frozenset()
    months: frozenset[str] = frozenset()
    eaters: frozenset[str] = frozenset()
    for_whom: frozenset[str] = frozenset()
    portions: frozenset[str] = frozenset()
    claims: frozenset[str] = frozenset()
    nutrients: frozenset[str] = frozenset()
    nutrient_foods: frozenset[str] = frozenset()
    stages: frozenset[str] = frozenset()
    moments: frozenset[str] = frozenset()
    sections: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    feedback: frozenset[str] = frozenset()
    served: frozenset[str] = frozenset()
    own_parts: frozenset[str] = frozenset()
    ranks: frozenset[str] = frozenset()
    batches: frozenset[str] = frozenset()
    eaten_with: frozenset[str] = frozenset()
    praises: frozenset[str] = frozenset()
    step_words: frozenset[str] = frozenset()
    step_verbs: frozenset[str] = frozenset()
    handling: frozenset[str] = frozenset()
    wholes: frozenset[str] = frozenset()
    free_of: frozenset[str] = frozenset()
    exchanges: frozenset[str] = frozenset()
    dividing: frozenset[str] = frozenset()
    going: frozenset[str] = frozenset()
    poured: frozenset[str] = frozenset()
    shared_heads: frozenset[str] = frozenset()
    wanted_heads: frozenset[str] = frozenset()
    made_heads: frozenset[str] = frozenset()
    taken_alone: frozenset[str] = frozenset()
    readying: frozenset[str] = frozenset()
    tools: frozenset[str] = frozenset()
    vessels: frozenset[str] = frozenset()
    builds: frozenset[str] = frozenset()
    aisles: frozenset[str] = frozenset()
    shelves: frozenset[str] = frozenset()
    components: frozenset[str] = frozenset()
    dish_components: frozenset[str] = frozenset()
    plates: frozenset[str] = frozenset()
    plate_sides: frozenset[str] = frozenset()

    def uncounted(self) -> frozenset[str]:
        """Words of times, heats, dates and people, of which no food is counted."""
        times = self.minutes | self.periods | self.pauses
        return times | self.heats | self.degrees | self.months | self.eaters | self.feedback

    def figures(self) -> frozenset[str]:
        """Words of which the figures of a dish are."""
        return self.portions | self.claims | self.nutrients | self.nutrient_foods

    def starts(self) -> frozenset[str]:
        """The first words of the forms that may open a line, and the articles that may stand before them."""
        forms = (*self.dishes, *self.openings, *self.family, "my", "our", "the")
        return frozenset(form.split()[0] for form in forms)

    def words(self) -> set[str]:
        """Every single word that is spelled right wherever it stands: those of dishes and of what is told of them."""
        kinds = (
            self.dishes, self.family, self.openings, self.origins, self.made, self.labels, self.diets, self.equipment,
            self.praises, self.ranks, self.batches, self.stages, self.readying, self.vessels, self.builds, self.aisles,
        )
        return {word for forms in kinds for form in forms for word in form.split()}


# A form of the word table in parts, its class and its value.
Sense = tuple[tuple[str, ...], str, str]
# A word's reading where it stands alone, the forms of two words or more that it opens, the longest first, and the
# second words of those.
Reading = tuple[tuple[Token, ...], tuple[Sense, ...], frozenset[str]]


def split_words(text: str) -> list[str]:
    """Words, numbers and marks of a folded text; hyphens inside a word part it, possessives fall away."""
    if "-" in text:
        text = _HYPHEN.sub(" ", text)
    if "'" in text:
        text = _POSSESSIVE.sub("", text)
    if "." in text:
        text = _BARE_POINT.sub("0.", text)
    if " %" in text or "pct" in text or ("per" in text and "cent" in text):
        text = _PERCENT.sub("%", text)
    return _TOKEN.findall(text)


def _is_share(word: str) -> bool:
    """A share of fat, lean or cocoa ("85%", "80/20") rather than an amount."""
    if word[-1] == "%":
        return True
    first, _, second = word.partition("/")
    return 0 < len(second) < 4 and len(first) < 4 and int(first) + int(second) == 100 and int(first) >= 50


def _form_at(forms: Iterable[Sense], raw: Sequence[str], at: int) -> Sense | None:
    """The first of these forms that stands at a place, whose first word does."""
    for form in forms:
        parts = form[0]
        second = raw[at + 1 : at + 2]
        if not second or (second[0] != parts[1] and singular(second[0]) != parts[1]):
            continue
        window = raw[at + 2 : at + len(parts)]
        if len(window) == len(parts) - 2 and all(
            word == part or singular(word) == part for word, part in zip(window, parts[2:], strict=True)
        ):
            return form
    return None


# Letters of each half of a name that is written as two words.
_LEAST_HALF = 3


class Vocabulary:
    """The hand-kept words and names, indexed for one linear pass over a line."""

    def __init__(
        self,
        words: Mapping[str, tuple[str, str]],
        names: Iterable[Name],
        *,
        other_words: Iterable[str] = (),
        titles: TitleWords = TitleWords(),
        plain_words: Iterable[str] = (),
        abroad: Iterable[str] = (),
    ) -> None:
        """`abroad`: forms of `words` that are of another language than the lists are in."""
        self._abroad = {word for form in abroad for word in form.split()}
        self._take_titles(titles)
        self._senses: dict[str, list[Sense]] = {}
        self.headings: set[str] = set()
        self.headed_foods: set[str] = set()  # headings alone, but foods behind a word: "sauce", "seasoning"
        self._take_words(words)
        self._names: dict[tuple[str, frozenset[str]], list[Name]] = {}
        self._by_words: dict[frozenset[str], list[Name]] = {}
        self.heads: set[str] = set()
        self.nouns: set[str] = set()  # words that name a food alone
        self._companions: dict[str, set[str]] = {}
        self.known: set[str] = set()
        self._uses: dict[str, int] = {}  # word -> how many names have it
        self._plain_keys: dict[str, str] = {}
        self._right: set[str] = set()
        self._read: dict[str, Reading] = {}
        self.told: dict[str, int] = {}  # word -> the questions that it leaves open: see `core/telling`
        self.telling: dict[str, int] = {}  # the same of the words that questions turn on; empty until the first line
        self._spellings: dict[str, list[str]] = {}  # empty while the names are read: they are spelled right
        self._waiting: dict[str, list[Name]] = {}
        self._doubled: set[str] = set()  # words that names have twice in a row
        self._places: dict[str, int] = {}  # form -> its place in the table
        self.datasets: frozenset[str] = frozenset()  # those to whose entries names lead
        self._take(tuple(names))
        self._common = frozenset(word for form in self.headings for word in form.split()).union(plain_words)
        self._right = titles.words() | self._common  # no food's names, and nothing that another word misspells
        self._know(other_words)

    def _take_titles(self, titles: TitleWords) -> None:
        self.titles = titles
        self.title_starts = titles.starts()
        self.verb_starts = {form.split()[0] for form in titles.readying}
        self.uncounted, self.figure_words = titles.uncounted(), titles.figures()
        self.equipment_words = titles.equipment | {form.split()[-1] for form in titles.equipment}
        self.equipment_words |= titles.vessels | titles.tools

    def _take_words(self, words: Mapping[str, tuple[str, str]]) -> None:
        """Take the words of the grammar by their first one, the longest first, and those of headings apart."""
        for form, (kind, value) in words.items():
            parts = tuple(split_words(fold(form)))
            if kind == "heading":
                self.headings.add(" ".join(map(singular, parts)))
                if value == "food" and len(parts) == 1:
                    self.headed_foods.add(singular(parts[-1]))
                continue
            self._senses.setdefault(parts[0], []).append((parts, kind, value))
        for senses in self._senses.values():
            senses.sort(key=lambda sense: -len(sense[0]))

    def _know(self, other_words: Iterable[str]) -> None:
        """Take the words of names and descriptions as spelled right: others may be slips for them."""
        self.known = {*self._uses, *other_words}
        self._described = frozenset(other_words)
        self._strange = self._inner.difference(other_words)
        self._read, self._spellings = {}, {}
        for word in sorted((self.known | set(self._senses)) - self._abroad.difference(other_words)):
            if len(word) > 3 and word.isascii():
                self._spellings.setdefault(word[0], []).append(word)

    def beside(self, other_words: Iterable[str]) -> Vocabulary:
        """The same words and names beside the words of other descriptions.

        This takes a tenth of the time of making one anew, and nothing that either reads later changes the other.
        """
        made = copy(self)
        made._names = {key: [*names] for key, names in self._names.items()}
        made._by_words = {key: [*names] for key, names in self._by_words.items()}
        made._companions = {head: {*words} for head, words in self._companions.items()}
        made.heads, made.nouns = {*self.heads}, {*self.nouns}
        made._waiting, made._plain_keys = {**self._waiting}, {**self._plain_keys}
        made._know(other_words)
        return made

    def _take(self, names: Sequence[Name]) -> None:
        """Note the words of names; most names are read in full only when their head is first asked for."""
        forms = [name.form.split() for name in names]
        self._places = {name.form: place for place, name in enumerate(names)}
        self.datasets = frozenset({name.food_id.partition(":")[0] for name in names if name.food_id})
        self._doubled = {one for words in forms for one, other in pairwise(words) if one == other}
        ends = {sense[0][-2:] for senses in self._senses.values() for sense in senses if len(sense[0]) > 1}
        for word, uses in Counter(chain.from_iterable(forms)).items():
            one = singular(word)
            self._uses[one] = self._uses.get(one, 0) + uses
        self._inner = _inside_names(names, forms)
        self._abroad |= {word for name in names if name.abroad for word in name.form.split()}
        self._abroad -= {word for name in names if not name.abroad for word in name.form.split()}
        for name, words in zip(names, forms, strict=True):
            head = self._plain_key(words[-1])
            if not head or not _LINKS.isdisjoint(words) or tuple(words[-2:]) in ends or words.count(words[-1]) > 1:
                self._add(name)
                continue
            if len(words) == 1:
                self.nouns.add(head)
            self._waiting.setdefault(head, []).append(name)
        self.heads.update(self._waiting)

    def _add(self, name: Name) -> None:
        tokens = self.key_words(name.form)
        if not tokens:
            return
        words = frozenset(tokens)
        name = name._replace(key=words)
        self._list(self._names.setdefault((tokens[-1], words), []), name)
        self._list(self._by_words.setdefault(words, []), name)
        self.heads.add(tokens[-1])
        if len(tokens) == 1:
            self.nouns.add(tokens[0])
        self._companions.setdefault(tokens[-1], set()).update(tokens[:-1])

    def _list(self, names: list[Name], name: Name) -> None:
        """Names of the same words stand in the order of the table, whichever was asked for first."""
        names.append(name)
        if len(names) > 1:
            names.sort(key=lambda one: self._places[one.form])

    def _prepare(self, head: str) -> None:
        for name in self._waiting.pop(head, ()):
            self._add(name)

    def all_names(self) -> Iterator[Name]:
        """Every name with its key, for checks."""
        for head in list(self._waiting):
            self._prepare(head)
        for names in self._names.values():
            yield from names

    def lex(self, text: str, *, joins: bool = True) -> list[Token]:
        """Tokens of a folded text, each with its class; the longest form of the word table that fits is taken.

        joins  a name of one word that is written as two is read as one: "pine apple"
        """
        raw = split_words(text)
        tokens: list[Token] = []
        read, doubled = self._read, self._doubled
        at, end = 0, len(raw)
        while at < end:
            word = raw[at]
            alone, opened, seconds = read.get(word) or self._reading(word)
            behind = raw[at + 1] if opened and at + 1 < end else ""
            may_open = behind in seconds or (behind and singular(behind) in seconds)
            if may_open and (phrase := _form_at(opened, raw, at)):
                parts, kind, value = phrase
                tokens.append(Token(" ".join(parts), kind, value))
                at += len(parts)
                continue
            if word in doubled and raw[at + 1 : at + 2] == [word]:
                twice = f"{word} {word}"  # "su su" is a food, "su" another
                tokens.append(Token(twice, "word", twice))
                at += 2
                continue
            if joins and at + 1 < end and alone[0].kind == "word" and (one := self._joined(word, raw[at + 1])):
                tokens.append(Token(f"{word} {raw[at + 1]}", "word", one))
                at += 2
                continue
            tokens += alone
            at += 1
        return tokens

    def _joined(self, word: str, behind: str) -> str:
        """The name of a food that is written as two words, "pine apple"; "" where they are none or have one as two."""
        if len(word) < _LEAST_HALF or len(behind) < _LEAST_HALF:
            return ""
        joined = word + behind
        one = singular(joined) if joined.endswith("s") else joined
        if one not in self.heads:
            return ""
        first, second = singular(word), singular(behind)
        apart = self.find(second, frozenset((first, second)), ANY_AMOUNT)
        alone = self.find(one, frozenset((one,)), ANY_AMOUNT)
        return one if alone is not None and (apart is None or first not in apart.key) else ""

    def _reading(self, word: str) -> Reading:
        """What a word is alone and what it opens, kept for its next use."""
        if len(self._read) > MOST_READ:  # hostile input must not fill the memory
            self._read.clear()
        opened = tuple(sense for sense in self._senses_of(word) if len(sense[0]) > 1)
        seconds = frozenset(parts[1] for parts, _, _ in opened)
        reading = self._read[word] = self._read_alone(word), opened, seconds
        return reading

    def _read_alone(self, word: str) -> tuple[Token, ...]:
        if word[0].isdigit():
            return (Token(word, "word" if _is_share(word) else "number", word),)
        for parts, kind, value in self._senses_of(word):
            if len(parts) == 1:
                several = kind == "measure" and word != parts[0]
                return (Token(parts[0], kind, value, several=several),)
        return self._plain(word)

    def _senses_of(self, word: str) -> Sequence[Sense]:
        """The senses that begin with a word or its singular, the longest forms first."""
        one = singular(word)
        senses = self._senses.get(word, ())
        return senses if one == word else [*senses, *self._senses.get(one, ())]

    def _plain(self, word: str) -> tuple[Token, ...]:
        """A word without a class of its own, parted or its spelling put right where that is safe."""
        if not word[0].isalpha():
            return (Token(word, "mark", word),)
        one = singular(word)
        if one in self.known or one in self._uses or word in self.known or one in self._right or not word.isascii():
            return (Token(word, "word", one),)
        return self._parted(one) or (self._corrected(word, one),)

    def _parted(self, word: str) -> tuple[Token, ...]:
        """ "porkchop", "bayleaf": two words written as one, where together they are a name."""
        for cut in range(3, len(word) - 2 if len(word) < 24 else 0):
            first, second = word[:cut], word[cut:]
            self._prepare(second)
            if second in self.heads and (second, frozenset((first, second))) in self._names:
                return Token(first, "word", first), Token(second, "word", second)
        return ()

    def _corrected(self, word: str, one: str) -> Token:
        right, distance = self._scanned(one) or self._correct(one)
        if not distance:
            return Token(word, "word", one)
        alone = next((sense for sense in self._senses.get(right, ()) if len(sense[0]) == 1), None)
        if alone is None:
            return Token(word, "word", right, distance)
        return Token(word, alone[1], alone[2], distance) if distance == 1 else Token(word, "word", one)

    def _scanned(self, word: str) -> tuple[str, int] | None:
        """(spelling, 1) of a word in which a scanner took one letter for two: "rnilk" is milk."""
        for seen, meant in _LOOKALIKES:
            right = word.replace(seen, meant)
            if right != word and (right in self.known or right in self._uses):
                return right, 1
        return None

    def _correct(self, word: str) -> tuple[str, int]:
        """(spelling, distance): one letter off in words of up to six letters, else two; the first letter stays.

        Four letters are too few but for two that changed places, "mlik"; seven are too few for two slips unless the
        letters are the same: "chirozo", but not "grandma".
        """
        if not _LEAST_SPELLED <= len(word) <= _MOST_SPELLED:
            return word, 0
        limit = 1 if len(word) <= 6 else 2
        choices = self._spellings.get(word[0], ())
        near = process.extract(word, choices, scorer=OSA.distance, score_cutoff=limit, limit=8)
        found = [
            one
            for one in near
            if ((one[1] < 2 and len(word) > _LEAST_SPELLED) or self._is_likely_slip(word, one[0]))
            and not _is_derived(word, one[0])
        ]
        if not found:
            return word, 0
        # a common word two letters away is likelier than a rare one a letter away
        best = min(found, key=lambda one: (one[1] - 0.7 * log10(1 + self._uses.get(one[0], 0)), one[0]))
        return best[0], int(best[1])

    def _is_likely_slip(self, word: str, right: str) -> bool:
        """Whether two letters that differ are slips: the right word is common, and long or of the same letters."""
        return self._uses.get(right, 0) >= COMMON and (len(word) > 7 or sorted(word) == sorted(right))

    def key_words(self, form: str) -> tuple[str, ...]:
        """The words of a name in the order that the look-up uses: qualifying words first, the head last.

        form = noun-phrase [ preposition noun-phrase ]       "leg of lamb" -> ("lamb", "leg")
        """
        plain = [self._plain_key(word) for word in form.split()]
        if all(plain):
            return tuple(dict.fromkeys(plain))
        before: list[str] = []
        after: list[str] = []
        here = before
        for token in self.lex(fold(form), joins=False):
            if token.text == "of" or token.kind == "preposition":
                here = after if before else before
            word = token.key or (token.text if token.kind not in _EMPTY else "")
            if word and word not in _ARTICLES and word not in before and word not in after:
                here.append(word)
        return (*after, *before)

    def _plain_key(self, word: str) -> str:
        """The key of a word that stands for itself wherever it stands, "" for any other: most names need no more."""
        key = self._plain_keys.get(word)
        if key is None:
            one = singular(word)
            plain = word.isascii() and word.isalpha() and word.islower() and word not in _ARTICLES | self._doubled
            key = one if plain and word not in self._senses and one not in self._senses else ""
            self._plain_keys[word] = key
        return key

    def knows(self, word: str) -> bool:
        """Whether any name or description has the word, and not only inside names of another language."""
        return word in self.known and word not in self._strange

    def is_plain(self, word: str) -> bool:
        """Whether a word is one of plain speech or of titles, and of no name of a food."""
        return word in self._right and word not in self.heads

    def is_common(self, word: str) -> bool:
        """Whether a word is one of plain English or of headings; it may be of the names of foods as well."""
        return word in self._common

    def is_local(self, word: str) -> bool:
        """Whether a word is none of plain speech, nor of any entry's description: "lolo", "kanda"."""
        return word not in self._common and word not in self._described

    def is_word(self, word: str) -> bool:
        """Whether a word is known at all, be it of a food or of plain speech."""
        return word in self.known or word in self._right

    def find(
        self,
        head: str,
        others: frozenset[str],
        amount_kind: str,
        *,
        implied: frozenset[str] = frozenset(),
        weak: frozenset[str] = frozenset(),
        core: frozenset[str] = frozenset(),
    ) -> Name | None:
        """The longest name that ends in `head` and whose other words are all among `others` and `implied`.

        `implied` are canonical states of words that the line spells otherwise; a name that the line spells out wins.
        `weak` are words of cutting: "salt pork, diced" is salt pork before it is diced pork.
        `core` are the words of the phrase itself: "egg whites separated from the yolks" are whites.
        """
        if head not in self.heads or len(head) < 2:
            return None
        self._prepare(head)
        companions = self._companions.get(head, frozenset[str]())
        useful = sorted(companions & (others | implied if implied else others))[:MOST_WORDS]
        for size in range(min(len(useful), 5), -1, -1):
            found = [
                name
                for some in combinations(useful, size)
                if (name := self._pick(self._names.get((head, frozenset((head, *some)))), amount_kind))
            ]
            if found:
                return min(found, key=lambda name: self._fit(name, others, weak, core)) if len(found) > 1 else found[0]
        return None

    def _fit(
        self, name: Name, others: frozenset[str], weak: frozenset[str], core: frozenset[str]
    ) -> tuple[int, int, bool, int, int, str]:
        """The order among names of one length: spelled out, not by cutting, no default, not beside, by rare words."""
        common = sum(self._uses.get(word, 0) for word in name.key)
        usual, beside = name.kind == "default", len((name.key & self.nouns) - core) if core else 0
        return len(name.key - others), len(name.key & weak), usual, beside, common, name.form

    def find_any_order(self, words: frozenset[str], amount_kind: str) -> Name | None:
        """The longest name of two words or more, all among `words`, whichever of them is its head."""
        for word in words & self._waiting.keys():
            self._prepare(word)
        useful = [word for word in sorted(words) if word in self._uses][:MOST_WORDS]
        for size in range(min(len(useful), 5), 1, -1):
            for some in combinations(useful, size):
                if name := self._pick(self._by_words.get(frozenset(some)), amount_kind):
                    return name
        return None

    def names_among(self, words: frozenset[str]) -> Iterator[Name]:
        """Every name of two words or more, all of them among `words`; of many words the first by the alphabet."""
        for word in words & self._waiting.keys():
            self._prepare(word)
        useful = [word for word in sorted(words) if word in self._uses][:MOST_WORDS]
        for some in chain.from_iterable(combinations(useful, size) for size in range(2, min(len(useful), 5) + 1)):
            yield from self._by_words.get(frozenset(some), ())

    def is_kind(self, food_id: str | None, words: Sequence[str]) -> bool:
        """Whether a food goes by a longer name than `words` with their head: atta by "whole wheat flour"."""
        head = words[-1]
        if food_id is None or head not in self.heads:
            return False
        self._prepare(head)
        longer = (frozenset((*words, word)) for word in self._companions.get(head, frozenset[str]()).difference(words))
        return any(name.food_id == food_id for key in longer for name in self._names.get((head, key), ()))

    def is_name(self, words: frozenset[str]) -> bool:
        """Whether the words are, all together and in any order, one name of two words or more."""
        for word in words & self._waiting.keys():
            self._prepare(word)
        return len(words) > 1 and words in self._by_words

    @staticmethod
    def _pick(names: Sequence[Name] | None, amount_kind: str) -> Name | None:
        if not names:
            return None
        for name in names:
            if amount_kind in name.when:
                return name
        if amount_kind == "pinch":  # a pinch is a small spoon
            return Vocabulary._pick(names, "spoon")
        return next((name for name in names if not name.when or amount_kind == ANY_AMOUNT), None)


def _is_derived(word: str, right: str) -> bool:
    """Whether a word is formed from another rather than a slip for it: "vinegary"; or from a verb: "snapped"."""
    return word == f"{right}y" or (word.endswith("ed") and not right.endswith(("ed", "d")))


_SILENT = frozenset({"filler", "joiner", "mark", "remark", "optional", "to taste", "approximate", "number", "heap"})


# Words before which the head may stand: "leg of lamb", "tuna in oil".
_LINKS = frozenset("of in with without from on w/ w/o for to and & or".split())
_EMPTY = frozenset({"joiner", "mark", "preposition"})
_ARTICLES = frozenset({"of", "the", "a", "an"})


def _inside_names(names: Sequence[Name], forms: Sequence[list[str]]) -> set[str]:
    """Words that stand nowhere but before the last word of names of other languages: "hariyo" of "hariyo pyaj"."""
    inner, others = set[str](), set[str]()
    for name, words in zip(names, forms, strict=True):
        (inner if name.kind == "regional" else others).update(words[:-1])
        others.add(words[-1])
    return {singular(word) for word in inner} - {singular(word) for word in others}


def key_word(token: Token) -> str:
    """The word under which a token takes part in look-ups, "" for none."""
    return token.key


def _key_word(token: Token) -> str:
    if token.kind == "word":
        return token.value if token.value else token.text
    if token.kind == "preposition":
        return token.value if token.value == "without" else ""
    if token.kind in _SILENT:
        return token.text if token.kind == "number" else ""  # "00 flour", "five spice"
    return singular(token.text)
