"""What a kitchen calls things: its own foods, its saved recipes and its standing choices.

They come before the tables. A name of the kitchen is looked for in the line's words and counts only where it is the
whole noun phrase: "mayo" rules "1 tbsp mayo" but not "light mayo". A standing choice says which food a phrase means,
which size a bare number means, or what an amount weighs:

    choice = phrase "->" food id | phrase "->" size | [ amount ] phrase-or-measure "->" grams
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from service.core.amount import Amount
from service.core.food import FoodEntry
from service.core.gram_weight import GramWeight
from service.core.nutrients import Array, NetCarbohydrate
from service.core.part import Part
from service.core.text import fold, singular

_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?|\d+%?")
# Stands in a line for a name of the kitchen while the line is read; no word of any table, too short to be respelled.
_STAND_IN = "qq{}"
_LETTERS = "bcdfghjklmnpqrstvwxyz"
_WHOLE = re.compile(r"\b(?:all|rest|half|third|quarter|quarters|thirds|\d/\d)\b.*\bthe\b|\bthe (?:rest|remaining)\b")
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
    pieces        how many pieces a recipe makes, with their name in the singular
    """

    entry: FoodEntry
    content: Callable[[], Content]
    yield_grams: float | None = None
    pieces: float | None = None
    piece_name: str = ""


@dataclass(frozen=True, slots=True)
class Marked:
    """A line with its kitchen names replaced by stand-ins: stand-in -> (food id, words as written, exact)."""

    text: str
    names: Mapping[str, tuple[str, str, bool]]


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


def may_mean(line: str, name: str) -> bool:
    """Whether a line may mean a name: it has all its words in a row, or says of all of it its last word."""
    words, said = words_of(name), [_compared(word) for word in _WORD.findall(line)]
    if not words or words[-1] not in said:
        return False
    in_a_row = any(tuple(said[at : at + len(words)]) == words for at in range(len(said)))
    return in_a_row or bool(_WHOLE.search(fold(line)))


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
        self._inside = ""
        self._by_first: dict[str, dict[tuple[str, ...], str]] = {}
        self._recipes_by_head: dict[str, set[str]] = {}
        self._rulings: list[_Ruling] = []
        self.chosen: set[str] = set()
        for name, food_id in names:
            self._add(words_of(name), food_id)
        for choice in choices:
            if choice.food is not None:
                self.chosen.add(self._add(words_of(choice.phrase), choice.food))
            else:
                self._rulings += _read_ruling(choice, read)
        self._names = {
            first: sorted(found.items(), key=lambda one: -len(one[0])) for first, found in self._by_first.items()
        }

    def _add(self, words: tuple[str, ...], food_id: str) -> str:
        if words:
            self._by_first.setdefault(words[0], {})[words] = food_id  # a standing choice, added last, overrules a name
            if food_id.startswith(RECIPE_PREFIX):
                self._recipes_by_head.setdefault(words[-1], set()).add(food_id)
        return " ".join(words)

    def inside(self, food_id: str) -> Kitchen:
        """The same kitchen while the lines of one of its recipes are read: its title does not mean itself there."""
        view = copy.copy(self)
        view._inside = food_id
        return view

    def titled(self, head: str) -> int:
        """How many saved recipes end their title in this word."""
        return len(self._recipes_by_head.get(head, ()))

    def __bool__(self) -> bool:
        return bool(self._names or self._rulings)

    def marked(self, line: str, *, leaving: frozenset[str] = frozenset()) -> Marked:
        """The line with its kitchen names replaced, the longest first; names as written in `leaving` stay."""
        found = [(match.start(), match.end(), _compared(match[0])) for match in _WORD.finditer(line)]
        text, names, end, at = "", dict[str, tuple[str, str, bool]](), 0, 0
        while at < len(found):
            held = self._at([word for _, _, word in found[at : at + 12]], line)
            if held is not None and len(names) < len(_LETTERS):
                words, food_id, exact = held
                last = found[at + words - 1][1]
                written = line[found[at][0] : last]
                if written not in leaving:
                    stand_in = _STAND_IN.format(_LETTERS[len(names)])
                    names[stand_in] = (food_id, written, exact)
                    text += line[end : found[at][0]] + stand_in
                    end, at = last, at + words
                    continue
            at += 1
        return Marked(text + line[end:], names)

    def _at(self, words: Sequence[str], line: str) -> tuple[int, str, bool] | None:
        """(words, food id, exact) of the longest name that begins here; "the dressing" means the only dressing."""
        for name, food_id in self._names.get(words[0], ()):
            if tuple(words[: len(name)]) == name and food_id != self._inside:
                return len(name), food_id, True
        heads = self._recipes_by_head.get(words[0], set()) - {self._inside}
        if len(heads) == 1 and _WHOLE.search(fold(line)):
            return 1, next(iter(heads)), False
        return None

    def ruled(self, part: Part) -> Ruled:
        """The part's amount by the standing choices on sizes and weights."""
        amount = part.amount
        if amount is None or amount.package or amount.plus or amount.also or not part.phrases:
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


def recipe_weight(amount: Amount | None, line: str, food: KitchenFood) -> GramWeight | None:
    """Grams of a saved recipe that are counted in pieces, in batches or as a share of all of it; None for others.

    "2 crackers" are pieces, "half the dressing" and "1 dressing" (a recipe without pieces) are shares of the yield.
    """
    total = food.yield_grams
    if total is None or (amount is not None and (amount.package or amount.plus or amount.also)):
        return None
    if amount is None:
        if not re.search(r"\b(?:all|rest)\b", fold(line)):
            return None
        amount = Amount(1, 1)
    by_piece = food.pieces is not None and not _WHOLE.search(fold(line))
    if amount.measure is not None and not (by_piece and amount.measure == singular(fold(food.piece_name))):
        return None
    if by_piece and food.pieces:
        each = total / food.pieces
        basis = f"{food.pieces:g} {food.piece_name or 'pieces'} weigh {total:.4g} g"
    else:
        each, basis = total, f"the whole recipe weighs {total:.4g} g"
    return GramWeight(amount.middle * each, amount.low * each, amount.high * each, SAVED_RECIPE, basis, True)
