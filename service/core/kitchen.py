"""What a kitchen calls things: its own foods, its saved recipes and its standing choices.

They come before the tables. A name of the kitchen is looked for in the line's words and counts only where it is the
whole noun phrase: "mayo" rules "1 tbsp mayo" but not "light mayo". A standing choice says which food a phrase means,
which size a bare number means, or what an amount weighs; one that names its food comes before one of any food:

    choice = phrase "->" food id | phrase "->" size | [ amount ] phrase-or-measure "->" grams
    named  = [ times ] [ "whole" ] [ ( "serving" | "batch" ) [ "of" ] ] [ "the" ] name [ "recipe" ]
           | ( times | "half" | "all" ) [ "of" ] "the" end of a title
    times  = "double" | "twice" | number "times" | number "%" | "a tenth" | "the rest" | "most"

What a line says of such a name that changes how much of it is meant, and is no amount, is a doubt: somebody must look.
So is what it says of what is in it, "without the cream", since the figures are those of the food as it is saved.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from service.core.amount import Amount
from service.core.food import FoodEntry
from service.core.nutrients import Array, NetCarbohydrate
from service.core.part import Part
from service.core.portion import FOR_ONE
from service.core.text import STAND_IN, fold, singular
from service.core.weighed_line import GramWeight

_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?|\d+%?")
# Too short to be respelled.
_STAND_IN = STAND_IN + "{}"
_LETTERS = "bcdfghjklmnpqrstvwxyz"
_TIMES = {"double": 2, "twice": 2, "triple": 3, "treble": 3, "thrice": 3, "quadruple": 4}
_PARTS = {"sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9, "tenth": 10, "twelfth": 12}
_ANY_TIMES, _ANY_PART = "|".join(_TIMES), "|".join(_PARTS)
_WHOLE = re.compile(
    rf"\b(?:all|half|third|quarter|quarters|thirds|fifth|fifths|\d/\d|times|percent|per cent|{_ANY_TIMES}|{_ANY_PART})"
    r"\b.*\bthe\b|\d\s?%.*\bthe\b|\bthe (?:whole|entire|full)\b"
)
# How much of the others is left cannot be told from the line that takes it.
_REST = re.compile(r"\b(?:rest|remaining|remainder|leftover|left (?:of|over)|most of)\b")
# What stands right before a name, behind the number; all of it may be missing.
_HELD = re.compile(
    r"(?P<whole>\b(?:whole|entire|full|complete|single(?=\s+(?:batch|recipe|quantity)))\s+)?"
    r"(?:\b(?:(?P<serving>servings?|portions?|helpings?)|(?P<batch>batch(?:es)?|recipes?|quantit(?:y|ies)))"
    r"(?:['’]s?)?(?:\s+worth)?\s+)?"
    r"(?P<of>\b(?:of|for)\s+)?(?P<the>\b(?:the|my|our|your|this)\s+)?$",
    re.IGNORECASE,
)
_LEFT = re.compile(
    r"\b(?:(?:the\s+)?(?:rest|remainder|remaining|leftover|all|most)|what(?:ever)?(?:['’]s|\s+is)\s+left(?:\s+over)?)\s+$",
    re.IGNORECASE,
)
_DOUBLE = re.compile(rf"(?:\b(?:an?|the|one)\s+)?\b(?P<times>{_ANY_TIMES})\s+$", re.IGNORECASE)
_PART_OF = re.compile(rf"\b(?:an?|one|1)\s+(?P<part>{_ANY_PART})\s+$", re.IGNORECASE)
_SO_MANY_TIMES = re.compile(r"\s*\btimes\s+$", re.IGNORECASE)
_PERCENT = re.compile(r"(?<![\d.,/–-])(?P<number>\d{1,4}(?:[.,]\d{1,2})?)\s*(?:%|per\s?cent\b)\s*$", re.IGNORECASE)
_REMAINING_PART = re.compile(r"\b(?:the\s+)?remaining\s+(?=(?:half|third|quarter|two|three|\d)\b)", re.IGNORECASE)
_THE = re.compile(r"\W*(?:the|my|our|your|this)\s+", re.IGNORECASE)
_ONE_NUMBER = re.compile(r"\W*(?:an?|one|two|three|four|\d+)\s+", re.IGNORECASE)
_OF_ONE = re.compile(r"\b(?:of\s+)?(?:an?|one|the|my|our|your)\s+$", re.IGNORECASE)
_ROUGHLY = re.compile(r"\b(?:roughly|nearly|almost|just\s+(?:over|under))\s+", re.IGNORECASE)
_BOUND = re.compile(r"\b(?:(?:more|less|fewer)\s+than|at\s+(?:least|most)|up\s+to)\s+", re.IGNORECASE)
_HEADS = r"(?:person|serving|portion|plate|bowl|head|guest|diner|eater|child|adult)\b"
_EACH_OF_THEM = (
    rf"(?<!\bas )\bper\s+(?!recipe|pack|instruction|direction|the\b|cent\b)\w|\b(?:each|every)\s+{_HEADS}"
    r"|\bfor\s+(?:each|every)\b(?!\s+of\b)"
)
_FOR_ONE = re.compile(_EACH_OF_THEM, re.IGNORECASE)
_FOR_ONE_BEHIND = re.compile(rf"{_EACH_OF_THEM}|\ba\s+{_HEADS}(?!\s+of\b)|\bapiece\b|\bp\.?p\b", re.IGNORECASE)
# "2 crackers each" are for one; in "(20 g each)" it is of a piece.
_EACH = re.compile(r"(?P<unit>[^\W\d]*)\.?\s+each\s*(?:$|[,;.)])", re.IGNORECASE)
_UNITS = frozenset("g gr gram grams kg oz ounce ounces lb lbs ml cl dl cm mm inch inches".split())
_NEXT_FOOD = re.compile(r"\b(?:and|or|plus)\b|[&+;]", re.IGNORECASE)
_MADE_MORE = re.compile(r"\b(?:doubled|tripled|trebled|quadrupled)\b", re.IGNORECASE)
# What a line says is in a food or not, in brackets too, where else a denial counts as not said.
_OTHERWISE_MADE = re.compile(
    r"\b(?:without|minus|omit(?:ting)?|(?:leav(?:e|ing)|left)\s+(?:out|off)|instead\s+of|in\s+place\s+of|using"
    r"|made\s+(?:with|from|using)|no(?!\s+(?:need|more|less|later|matter|particular)\b))\s+[^\W\d][^,;:().]*",
    re.IGNORECASE,
)
# What is said of a dish and leaves it as it is: where and when it was made, what it stands in, that it is warm; what
# share of it is eaten is read elsewhere (core.eaten).
_AS_IT_IS = frozenset(
    """
    recipe page above below overleaf earlier note see made making make batch advance ahead before day night week
    yesterday today morning evening left over leftover reheated rewarmed cooled chilled cool hot frozen thawed defrosted
    fresh jarred bottled freezer fridge refrigerator pantry shelf shop store jug bowl pan pot dish plate bottle flask
    board table side kitchen spoon eaten absorbed discarded in on at from for to by of as the a an it this and or
    """.split()
)
# Said of a dish that is cooked when it is weighed; of a food bought raw it would be another.
_COOKED_ANYHOW = frozenset({"cooked", "baked"})

_COUNT = rf"(?:\d|[¼½¾⅓⅔⅛]|\b(?:half|an?|one|two|three|four|five|six|quarter|third|{_ANY_TIMES})\b)"
_BATCHES = r"(?:batch(?:es)?|recipes?|quantit(?:y|ies))"
_BATCH_BEHIND = re.compile(rf"{_COUNT}[^,;:()]{{0,20}}\b{_BATCHES}\b", re.IGNORECASE)
_COUNT_FIRST = re.compile(rf"\W*{_COUNT.replace('an?|', '')}", re.IGNORECASE)
_TURNED = re.compile(
    rf"(?P<name>[^,:;()\d]*[^\W\d])\s*(?:[,:(]|\s[-–])\s*"
    rf"(?P<amount>(?:about\s+)?{_COUNT}[^,;:()]*\b(?:{_BATCHES}|servings?|portions?|helpings?))\s*\)?\s*",
    re.IGNORECASE,
)
_RECIPE_BEHIND = re.compile(r"\s+recipes?\b(?!\s*:)", re.IGNORECASE)
# What the measure of a serving is called where lines are read.
_SERVING = "serving"
_REMARK = re.compile(r"\s*[(\[][^()\[\]]*[)\]]")
# Words whose compared form is kept, since lines use the same ones.
MOST_WORDS = 20_000
SAVED_RECIPE = "saved recipe"
RECIPE_PREFIX = "recipe:"


@dataclass(frozen=True, slots=True)
class StandingChoice:
    """The writer's ruling on a phrase; just one of `food`, `size` and `grams` is given.

    grams  of the amount that the phrase states, of one where it states none
    """

    phrase: str
    food: str | None = None
    size: str | None = None
    grams: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Content:
    """What 100 g of a food hold.

    row   amounts over the table's components, NaN where unknown
    net   net carbohydrate; None: it follows from the row as of any food of the tables
    """

    row: Array
    net: NetCarbohydrate | None = None


@dataclass(frozen=True, slots=True, eq=False)
class KitchenFood:
    """An own food, or a saved recipe as a food.

    content       gives what it holds: of a recipe that is worked out only where somebody asks
    yield_grams   cooked weight of a whole recipe, None for an own food
    weighs_more   of the recipe not all has a weight, so that it weighs more than that
    pieces        how many pieces a recipe makes, with their name as it stands in the recipe
    servings      for how many a recipe is
    variants      names of further ways to serve a recipe
    """

    entry: FoodEntry
    content: Callable[[], Content]
    yield_grams: float | None = None
    pieces: float | None = None
    piece_name: str = ""
    servings: float | None = None
    weighs_more: bool = False
    variants: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Named:
    """A name of the kitchen in a line.

    written  the words as they stand
    exact    the whole name stands there, not only the end of a title or a title without its bracket
    before   what the line says before it
    batch    the amount counts whole recipes
    others   further foods of the kitchen that go by the same name
    doubts   why somebody should look at how much of it is meant
    """

    food: str
    written: str
    exact: bool
    before: str
    batch: bool = False
    others: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Marked:
    """A line with its kitchen names replaced by stand-ins."""

    text: str
    names: Mapping[str, Named]


@dataclass(frozen=True, slots=True)
class _Ruling:
    """A standing choice on size or weight, read as a line is."""

    tokens: frozenset[str]
    measure: str | None
    size: str | None
    grams_each: float | None
    phrase: str


@dataclass(frozen=True, slots=True)
class Ruled:
    """What standing choices make of an amount: the size that was not said, or the grams of one measure."""

    amount: Amount | None
    grams_each: float | None = None
    reason: str = ""


def words_of(text: str) -> tuple[str, ...]:
    """The words of a name as they are compared: folded, singular."""
    return tuple(singular(word) for word in _WORD.findall(fold(text)))


def called(title: str) -> tuple[str, ...]:
    """What a recipe goes by: its title, and that without what stands in brackets."""
    bare = _REMARK.sub("", title).strip()
    return (title, bare) if words_of(bare) and words_of(bare) != words_of(title) else (title,)


def may_mean(line: str, name: str) -> bool:
    """Whether a line may mean a name: it has all its words in a row, or says of all of it its last word."""
    words, said = words_of(name), [_compared(word) for word in _WORD.findall(line)]
    if not words or words[-1] not in said:
        return False
    in_a_row = any(tuple(said[at : at + len(words)]) == words for at in range(len(said)))
    return in_a_row or _of_the_whole(line)


@lru_cache(maxsize=MOST_WORDS)
def _compared(word: str) -> str:
    return singular(fold(word))


class Kitchen:
    """The names and rulings of one kitchen; `fetch` gives the food of an id when a line needs it.

    names  (name, food id) of own foods and saved recipes
    read   reads a phrase as a line is read, for the rulings on sizes and weights
    """

    def __init__(
        self,
        names: Iterable[tuple[str, str]],
        choices: Iterable[StandingChoice],
        *,
        fetch: Callable[[str], KitchenFood],
        read: Callable[[str], Sequence[Part]],
    ) -> None:
        self.fetch = fetch
        self._inside: str | None = None
        self._by_first: dict[str, dict[tuple[str, ...], tuple[tuple[str, ...], bool]]] = {}
        self._recipes_by_end: dict[tuple[str, ...], set[str]] = {}
        self._title_words: set[str] = set()
        self._rulings: list[_Ruling] = []
        self.chosen: set[str] = set()
        names = list(names)
        for name, food_id in names:
            self._add(words_of(name), food_id)
        for choice in choices:
            if choice.food is not None:
                self.chosen.add(self._add(words_of(choice.phrase), choice.food, alone=True))
            else:
                self._rulings += _read_ruling(choice, read)
        # "A knob of butter" before "a knob", whichever was ruled first.
        self._rulings.sort(key=lambda ruling: not ruling.tokens)
        self._add_ends(names)
        self._names = {
            first: sorted(found.items(), key=lambda one: -len(one[0])) for first, found in self._by_first.items()
        }

    def _add(self, words: tuple[str, ...], food_id: str, *, alone: bool = False) -> str:
        """Let words mean a food, beside those that go by the same name; a standing choice means it alone."""
        if words:
            found = self._by_first.setdefault(words[0], {})
            held = () if alone or words not in found else found[words][0]
            found[words] = (*(one for one in held if one != food_id), food_id), True
        return " ".join(words)

    def _add_ends(self, names: Iterable[tuple[str, str]]) -> None:
        """The ends of titles, and titles without their brackets where only one recipe is called so."""
        bare: dict[tuple[str, ...], set[str]] = {}
        for name, food_id in names:
            if food_id.startswith(RECIPE_PREFIX):
                words = words_of(called(name)[-1])
                bare.setdefault(words, set()).add(food_id)
                self._title_words.update(words)
                for start in range(len(words)):
                    self._recipes_by_end.setdefault(words[start:], set()).add(food_id)
        for words, found in bare.items():
            if words and len(found) == 1:
                self._by_first.setdefault(words[0], {}).setdefault(words, ((next(iter(found)),), False))

    def inside(self, food_id: str) -> Kitchen:
        """The same kitchen while the lines of a recipe are read, "" of one that is not saved: its title does not mean
        itself there."""
        view = copy.copy(self)
        view._inside = food_id
        return view

    @property
    def in_recipe(self) -> bool:
        """Whether lines of a recipe are read: what is at fault in its sub-recipes is at fault in it. A list goes on."""
        return self._inside is not None

    def meant(self, phrase: str) -> str | None:
        """The id of what a whole phrase means in this kitchen, None where it means nothing of it."""
        words = words_of(phrase)
        found = self._by_first.get(words[0], {}).get(words) if words else None
        return found[0][0] if found is not None else None

    def titled(self, end: tuple[str, ...]) -> int:
        """How many saved recipes end their title in these words."""
        return len(self._recipes_by_end.get(end, ()))

    def __bool__(self) -> bool:
        return bool(self._names or self._rulings)

    def marked(self, line: str, *, leaving: frozenset[str] = frozenset()) -> Marked:
        """The line with its kitchen names replaced, the longest first; names as written in `leaving` stay."""
        line = self._turned(line)
        found = [(match.start(), match.end(), _compared(match[0])) for match in _WORD.finditer(line)]
        text, names, end, at = "", dict[str, Named](), 0, 0
        while at < len(found):
            start = found[at][0]
            held = self._at([word for _, _, word in found[at : at + 12]], line[end:start])
            if held is not None and len(names) < len(_LETTERS):
                words, (food_id, *others), exact = held
                last = found[at + words - 1][1]
                written = line[start:last]
                if written not in leaving:
                    stand_in = _STAND_IN.format(_LETTERS[len(names)])
                    said = _read_share(line[end:start], food_id, heads=line[last:].strip().startswith(":"))
                    behind = _RECIPE_BEHIND.match(line, last)
                    if behind and food_id.startswith(RECIPE_PREFIX) and re.search(r"\w", line[end:start]):
                        said, last = replace(said, batch=True), behind.end()
                    doubts = (*said.doubts, *_doubts_left(said.text), *_doubts_around(line[end:start], line[last:]))
                    names[stand_in] = Named(food_id, written, exact, line[end:start], said.batch, tuple(others), doubts)
                    text += said.text + stand_in
                    end, at = last, at + words
                    while at < len(found) and found[at][0] < end:
                        at += 1
                    continue
            at += 1
        return Marked(text + line[end:], names)

    def _turned(self, line: str) -> str:
        """ "gale dressing (1/2 batch)" with the amount before the name, where that is a whole name of the kitchen."""
        found = _TURNED.fullmatch(line)
        return f"{found['amount']} of {found['name']}" if found and self.meant(found["name"]) else line

    def _at(self, words: Sequence[str], before: str) -> tuple[int, tuple[str, ...], bool] | None:
        """(words, food ids, exact) of the longest name that begins here; "the dressing" means the only dressing."""
        for name, (food_ids, exact) in self._names.get(words[0], ()):
            if tuple(words[: len(name)]) == name:
                meant = tuple(one for one in food_ids if one != self._inside)
                if meant:
                    return len(name), meant, exact
        if words[0] not in self._title_words or not _of_the_whole(before):
            return None
        for length in range(len(words), 0, -1):
            found = self._recipes_by_end.get(tuple(words[:length]), set()) - {self._inside}
            if len(found) == 1:
                return length, (next(iter(found)),), False
        return None

    def ruled(self, part: Part) -> Ruled:
        """The part's amount by the standing choices on sizes and weights."""
        amount = part.amount
        if amount is None or amount.combined or not part.phrases:
            return Ruled(amount)
        tokens = frozenset(part.phrases[0].tokens)
        for ruling in self._rulings:
            if ruling.tokens and ruling.tokens != tokens:
                continue
            if ruling.size and amount.measure is None and not amount.size:
                return Ruled(replace(amount, size=ruling.size), reason=f"standing choice: {ruling.phrase}")
            if ruling.grams_each and ruling.measure == amount.measure and not amount.size:
                return Ruled(amount, ruling.grams_each, f"standing choice: {ruling.phrase}")
        return Ruled(amount)


@dataclass(frozen=True, slots=True)
class _Said:
    """What stands before a name as the grammar of amounts reads it; see `Named` for the rest."""

    text: str
    batch: bool = False
    doubts: tuple[str, ...] = ()


def _read_share(before: str, food_id: str, *, heads: bool) -> _Said:
    """What stands before a name, with shares and multiples of it as plain numbers: "double the" is "2 ".

    `heads`: a colon stands behind the name: "Double lemon dressing:" may be a heading.
    """
    held = _HELD.search(before)
    if held is None or not food_id.startswith((RECIPE_PREFIX, "own:")):
        return _Said(before)
    said, whole = before[: held.start()], food_id.startswith(RECIPE_PREFIX)
    said, doubts = _without_bounds(said)
    stated = said
    batch = bool(held["batch"]) and whole
    if left := _LEFT.search(said):
        return _Said(said[: left.start()], batch, doubts)
    of_one = _OF_ONE.sub("", said) if held["batch"] or held["serving"] else said  # "10 % of a batch of"
    if many := _SO_MANY_TIMES.search(of_one):
        said, batch = f"{of_one[: many.start()]} ", whole
    elif share := _number_of(of_one):
        number, start, written = share
        if held["of"] or held["the"] or held["batch"] or held["serving"]:
            said, batch = f"{said[:start]}{number} ", whole
        elif not (heads or said[:start].strip()):  # "double cream" may be a food, and so is "200 ml double cream"
            return _Said(f"{number} ", whole, (*doubts, f"'{written}' was taken for a share or multiple of all of it"))
    elif held["whole"] and not (held["batch"] or held["serving"]):
        if _THE.fullmatch(said):
            return _Said("1 ", whole, doubts)
        if _ONE_NUMBER.fullmatch(said) and whole:
            return _Said(said, batch, (*doubts, f"'{held['whole'].strip()}' was passed over"))
    if held["serving"]:
        return _Said(f"{said}portion ", False, doubts)
    read = batch or many or said != stated
    return _Said(said if read else said + before[held.start() :], batch, doubts)


def _number_of(said: str) -> tuple[str, int, str] | None:
    """(number, where it begins, as written) of a share or multiple in words or percents at the end of a text."""
    if times := _DOUBLE.search(said):
        return str(_TIMES[times["times"].lower()]), times.start(), times[0].strip()
    if part := _PART_OF.search(said):
        return f"1/{_PARTS[part['part'].lower()]}", part.start(), part[0].strip()
    percent = _PERCENT.search(said)
    share = float(percent["number"].replace(",", ".")) / 100 if percent else 0.0
    return (f"{share:.6f}".rstrip("0").rstrip("."), percent.start(), percent[0].strip()) if percent and share else None


def _without_bounds(said: str) -> tuple[str, tuple[str, ...]]:
    """An amount without the words that make it a bound or a guess, and what is to be looked at for them."""
    said = _ROUGHLY.sub("about ", _REMAINING_PART.sub("", said, count=1), count=1)
    bound = _BOUND.search(said)
    return (_BOUND.sub("", said, count=1), (f"'{bound[0].strip()}' was not counted",)) if bound else (said, ())


def _doubts_left(said: str) -> Iterable[str]:
    """What was not read of the words before a name: "10-20 %" is no amount."""
    if re.search(r"%|\bper\s?cent\b", said):
        yield "the percentage was not counted"
    if more := re.search(r"\b(?:again|as much)\b", said, re.IGNORECASE):
        yield _not_counted(more[0])


def _doubts_around(before: str, behind: str) -> Iterable[str]:
    """Why the amount that stands with a name may not be all that is meant."""
    each = _EACH.search(behind)
    if _FOR_ONE.search(before) or _FOR_ONE_BEHIND.search(behind) or (each and each["unit"].lower() not in _UNITS):
        yield FOR_ONE
    of_it = _NEXT_FOOD.split(behind, maxsplit=1)[0]
    if more := (_MADE_MORE.search(of_it) or _BATCH_BEHIND.search(of_it)):
        yield _not_counted(more[0].strip())
    if other := _OTHERWISE_MADE.search(of_it):
        yield _not_counted(other[0].strip())
    if _REST.search(fold(of_it)):
        yield "the line also speaks of the rest, which was not counted"


def _not_counted(said: str) -> str:
    return f"the line also says '{said}', which was not counted"


def said_otherwise(part: Part, food: KitchenFood, neutral: frozenset[str]) -> Iterable[str]:
    """What a line says of a food of the kitchen that its figures know nothing of: a variant, or words that none read.

    `neutral` are words that tell no foods apart. What stands behind "with" is another food though such a word names it.
    """
    phrase = part.phrases[0]
    said = {word for one in part.words for word in one.split()}
    variant = next((one for one in food.variants if set(words_of(one)) <= said), "") if food.variants else ""
    if variant:
        yield f"'{variant}' is a variant of it: the plain recipe was counted"
        return
    words = {word for one in phrase.qualifiers for word in one.split()} - phrase.preparations
    as_it_is = _AS_IT_IS | (_COOKED_ANYHOW if food.entry.dataset == "recipe" else frozenset())
    words -= as_it_is.union(phrase.lacking, {"without"}, words_of(food.entry.description))
    words = {word for word in words if not word[0].isdigit()}  # "page 12", "10% eaten"
    if unread := sorted(word for word in words if word not in neutral or word in phrase.beside):
        yield _not_counted("', '".join(unread))


def _of_the_whole(before: str) -> bool:
    """Whether what stands before a name asks for a share of all there is of it: "half of the"."""
    said = fold(before)
    return bool(_WHOLE.search(said) or _REST.search(said))


def _read_ruling(choice: StandingChoice, read: Callable[[str], Sequence[Part]]) -> list[_Ruling]:
    """The ruling of a choice on size or weight; "a knob" names no food and so rules every food."""
    stand_in = _STAND_IN.format("z")
    parts = read(f"{choice.phrase} {stand_in}")
    if not parts:
        return []
    amount = parts[0].amount
    tokens = frozenset(parts[0].phrases[0].tokens if parts[0].phrases else ()) - {stand_in}
    each = choice.grams / (amount.middle if amount else 1) if choice.grams is not None else None
    said = choice.size or f"{choice.grams:g} g"
    return [_Ruling(tokens, amount.measure if amount else None, choice.size, each, f"{choice.phrase} -> {said}")]


def chosen_weight(amount: Amount, each: float, reason: str) -> GramWeight:
    """The weight of an amount whose measure weighs `each` grams by a standing choice."""
    return GramWeight(amount.middle * each, amount.low * each, amount.high * each, "standing choice", reason, True)


def recipe_weight(
    amount: Amount | None, before: str, food: KitchenFood, *, batch: bool = False
) -> GramWeight | None:
    """Grams of a saved recipe that are counted in pieces, servings, batches or as a share of it; None for others.

    "2 crackers" are pieces, "half the dressing" and "1 dressing" (a recipe without pieces) are shares of the yield.
    `before` is what the line says before the name.
    """
    total, said = food.yield_grams, fold(before)
    if _REST.search(said) and amount is not None and amount.measure is None and not amount.combined:
        return GramWeight(None, None, None, "no weight", "", False) if food.entry.dataset == "recipe" else None
    if total is None or _REST.search(said) or (amount is not None and amount.combined):
        return None
    if amount is None:
        if not (batch or re.search(r"\ball\b", said)):
            return None
        amount = Amount(1, 1)
    if amount.measure == _SERVING and food.servings:
        counted = f"{food.servings:g} {_plural('serving', food.servings)}"
        return _shared_out(amount, food, food.servings, f"{counted} weigh")
    by_piece = food.pieces is not None and not batch and not _WHOLE.search(said)
    if amount.measure is not None and not (by_piece and amount.measure == singular(fold(food.piece_name))):
        return None
    if by_piece and food.pieces:
        name = food.piece_name or _plural("piece", food.pieces)
        return _shared_out(amount, food, food.pieces, f"{food.pieces:g} {name} weigh")
    return _shared_out(amount, food, 1.0, "the whole recipe weighs")


def begins_with_amount(line: str) -> bool:
    """Whether a line begins with a number, a share or a multiple, and so is hardly a heading or a note."""
    return _COUNT_FIRST.match(line) is not None


def takes_rest(named: Named) -> bool:
    """Whether a line takes what is left of it, or most of it, and so no amount."""
    return _REST.search(fold(named.before)) is not None


def counts_whole(amount: Amount | None, named: Named, food: KitchenFood) -> bool:
    """Whether a bare count of a recipe for several was taken as whole recipes: it may have meant servings."""
    if amount is None or amount.measure or named.batch or food.pieces is not None or (food.servings or 1) <= 1:
        return False
    return amount.low >= 1 and not _of_the_whole(named.before)


def own_weight(amount: Amount | None, entry: FoodEntry) -> GramWeight | None:
    """Grams of an own food that is counted and has a measure of its own last word: "2 quay bars" by "1 bar = 45 g"."""
    if amount is None or amount.measure or amount.size or amount.combined:
        return None
    last = words_of(entry.description)[-1:]
    for measure in entry.measures:
        if last and words_of(measure.text) == last:
            each = measure.grams / measure.amount
            basis = f"{measure.amount:g} {measure.text} = {measure.grams:g} g"
            return GramWeight(
                amount.middle * each, amount.low * each, amount.high * each, "household measure", basis, True
            )
    return None


def _plural(word: str, count: float) -> str:
    return word if count == 1 else f"{word}s"


def _shared_out(amount: Amount, food: KitchenFood, count: float, counted: str) -> GramWeight:
    """The weight of so many of the `count` equal shares of a recipe; a lower bound where not all of that has one."""
    total = food.yield_grams or 0.0
    each, share = total / count, (amount.middle / count, amount.low / count, amount.high / count)
    if food.weighs_more:
        basis = f"{counted} at least {total:.4g} g, as not all of it has a weight"
        return GramWeight(None, amount.low * each, None, SAVED_RECIPE, basis, False, share=share)
    value, low, high = amount.middle * each, amount.low * each, amount.high * each
    return GramWeight(value, low, high, SAVED_RECIPE, f"{counted} {total:.4g} g", True, share=share)
