"""Food descriptions read as comma facets, in arrays: token -> entries with what a match gains and silence costs.

A description like "Beans, black, mature seeds, raw" is read as facets; the first says the kind, later ones narrow
it. A facet that a line does not say costs by what it says: little for "all commercial varieties", much for "baby
food". States (raw, cooked, canned, ...) are kept apart, since what a line leaves unsaid has a meaning of its own.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.core.food import FoodEntry, FoodTable
from service.core.text import fold, singular
from service.core.vocabulary import split_words

STATES = ("raw", "cooked", "roasted", "canned", "dried", "frozen", "smoked", "pickled", "candied")
STATE_BIT = {state: 1 << place for place, state in enumerate(STATES)}
HEAD_WEIGHTS = (1.0, 1.0, 0.5, 0.3)
LATER_WEIGHT = 0.2
BRACKET_WEIGHT = 0.1
# Descriptions whose words are kept.
MOST_DESCRIPTIONS = 20_000
_EMPTY = np.empty(0, dtype=np.int32)
# A word in capitals, which names a maker.
_MAKER = re.compile(r"(?<![^\W\d_])[A-Z][A-Z']{2,}[A-Z](?![^\W\d_])")


@dataclass(frozen=True, slots=True)
class Facet:
    """One facet of a description: its plain words, those in brackets, its states."""

    words: tuple[str, ...]
    bracketed: tuple[str, ...]
    states: frozenset[str]


@dataclass(frozen=True, slots=True)
class FacetWords:
    """How description words are weighed (tables/facet_words.csv).

    states   word -> canonical state;  costs  word -> cost of being unsaid (default_cost where not listed)
    groups   food group's name in lower case -> cost of any entry of it: what cooks seldom mean
    changing words that make another food of one whose description lacks them ("fermented")
    abroad   words that do so in a food's own name only, not behind it ("marinated"), most of them of other languages
    dry      words of foods that are dried though the description says so with no state ("mature seeds", "flour")
    silent   words never counted;  brand_cost  of a facet in capitals, which names a maker
    synonyms words in a row -> the one word that lines are read by: ("fat", "free") -> "nonfat"
    """

    states: Mapping[str, str]
    costs: Mapping[str, float]
    silent: frozenset[str]
    changing: frozenset[str] = frozenset()
    abroad: frozenset[str] = frozenset()
    dry: frozenset[str] = frozenset()
    groups: Mapping[str, float] = field(default_factory=dict)
    synonyms: Mapping[tuple[str, ...], str] = field(default_factory=dict)
    default_cost: float = 0.4
    brand_cost: float = 1.5


def split_facets(description: str) -> list[str]:
    """Facets of a description; commas inside brackets do not part them."""
    if "(" not in description:
        return [facet for facet in description.split(", ") if facet]
    facets: list[str] = []
    depth = start = 0
    for at, char in enumerate(description):
        if char == "(":
            depth += 1
        elif char == ")":
            depth = max(depth - 1, 0)
        elif char == "," and depth == 0 and description[at + 1 : at + 2] in (" ", ""):
            facets.append(description[start:at])
            start = at + 1
    facets.append(description[start:])
    return [facet.strip() for facet in facets if facet.strip()]


def read_facet(facet: str, words: FacetWords) -> Facet:
    """One facet with its words in singular, states taken out; what it denies ("not sweetened") it does not say."""
    plain: list[str] = []
    bracketed: list[str] = []
    states: set[str] = set()
    inside = denied = False
    for raw in _in_one_word(split_words(fold(facet)), words.synonyms):
        if denied or raw == "not":
            denied = raw == "not"
        elif raw in "([":
            inside = True
        elif raw in ")]":
            inside = False
        elif raw[0].isalnum():
            word = singular(raw)
            state = words.states.get(raw) or words.states.get(word)
            if state in STATE_BIT:
                states.add(state)
            elif word not in words.silent and len(word) > 1:
                (bracketed if inside else plain).append(word)
    return Facet(tuple(plain), tuple(bracketed), frozenset(states))


def _in_one_word(raw: list[str], synonyms: Mapping[tuple[str, ...], str]) -> Iterator[str]:
    """The words with those that stand for one word put together, the longest first."""
    at = 0
    while at < len(raw):
        size = next((size for size in (3, 2) if tuple(raw[at : at + size]) in synonyms), 1)
        yield synonyms[tuple(raw[at : at + size])] if size > 1 else raw[at]
        at += size


@dataclass(frozen=True, slots=True)
class Posting:
    """Entries that hold a word, in order of place, with its weight and the cost of its being unsaid there."""

    places: NDArray[np.int32]
    weights: NDArray[np.float32]
    costs: NDArray[np.float32]




# What an entry says of itself: description, common name, group.
Said = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class IndexPart:
    """The entries of one dataset as they are indexed; places count from its first."""

    said: tuple[Said, ...]
    postings: Mapping[str, Posting]
    base_cost: NDArray[np.float32]
    state_bits: NDArray[np.int32]


class FoodIndex:
    """All entries of a table, ready to be matched; places are positions in `table.foods`.

    ranks  by place, that of the entry's dataset in the order in which the tables are preferred, 0 of the first
    """

    def __init__(
        self, table: FoodTable, words: FacetWords, uses: Mapping[str, int], before: FoodIndex | None = None
    ) -> None:
        """`before`: another index; by the same words, datasets whose entries say the same are not read anew."""
        self.table, self.words = table, words
        self.places = {food.id: place for place, food in enumerate(table.foods)}
        self.prior = np.log1p(np.array([uses.get(food.id, 0) for food in table.foods], dtype=np.float32)) * 0.06
        order = {release.dataset: rank for rank, release in enumerate(table.releases)}
        self.ranks = np.array([order.get(food.dataset, len(order)) for food in table.foods], dtype=np.int32)
        self._words_at: dict[int, dict[str, float]] = {}
        self._scratch = np.zeros(len(table.foods), dtype=np.float32)
        same = before._parts if before is not None and before.words is words else ()
        self._parts: tuple[IndexPart, ...] = tuple(self._parted({part.said: part for part in same}))
        self.postings = _joined(self._parts)
        self.base_cost: NDArray[np.float32] = _row([part.base_cost for part in self._parts], np.float32)
        self.state_bits: NDArray[np.int32] = _row([part.state_bits for part in self._parts], np.int32)

    def _parted(self, known: Mapping[tuple[Said, ...], IndexPart]) -> Iterator[IndexPart]:
        for _, foods in groupby(self.table.foods, key=lambda food: food.dataset):
            said = tuple([(food.description, food.common_name, food.group_name) for food in foods])
            yield known.get(said) or _index_part(said, self.words)

    def facets(self, place: int) -> tuple[Facet, ...]:
        """The facets of the description at a place."""
        food = self.entry(place)
        return _facets(food.description, food.common_name, self.words, {})

    def words_at(self, place: int) -> dict[str, float]:
        """Words of the description at a place with their weights; kept, since lines name the same foods."""
        words = self._words_at.get(place)
        if words is None:
            if len(self._words_at) >= MOST_DESCRIPTIONS:
                self._words_at.clear()
            words = {word: weight for word, (weight, _) in _weigh(self.facets(place), self.words).items()}
            self._words_at[place] = words
        return words

    def holding(self, word: str) -> NDArray[np.int32]:
        """Places of the entries whose description has a word."""
        posting = self.postings.get(word)
        return posting.places if posting else _EMPTY

    def holding_all(self, words: Iterable[str]) -> NDArray[np.int32]:
        """Places of the entries that have all these words."""
        lists = sorted((self.holding(word) for word in words), key=len)
        if not lists:
            return _EMPTY
        found = lists[0]
        for other in lists[1:]:
            if not len(found):
                break
            found = found[np.isin(found, other, assume_unique=True)]
        return found

    def score(
        self,
        places: NDArray[np.int32],
        wanted: Mapping[str, float],
        state_cost: NDArray[np.float32],
        *,
        gains: Mapping[str, float] = MappingProxyType({}),
    ) -> NDArray[np.float32]:
        """Scores of some entries for wanted words (word -> factor on what the word gains).

        gains  what a word gains wherever it stands, for words that are to be worth the same in every entry
        """
        scratch = self._scratch
        touched = []
        for word, factor in wanted.items():
            posting = self.postings.get(word)
            if posting is not None:
                # a factor below zero refunds the cost only: the word is accepted, not asked for
                gain = gains.get(word)
                scratch[posting.places] += posting.costs + (posting.weights if gain is None else gain) * factor
                touched.append(posting.places)
        scores = scratch[places] - self.base_cost[places] - state_cost[self.state_bits[places]] + self.prior[places]
        for touched_places in touched:
            scratch[touched_places] = 0.0
        return scores.astype(np.float32, copy=False)

    def entry(self, place: int) -> FoodEntry:
        """The entry at a place."""
        return self.table.foods[place]


# ---- building --------------------------------------------------------------------------------------------------


def _index_part(said: tuple[Said, ...], words: FacetWords) -> IndexPart:
    base_cost, state_bits = np.zeros(len(said), dtype=np.float32), np.zeros(len(said), dtype=np.int32)
    gathered: dict[str, tuple[array[int], array[float], array[float]]] = {}
    cache: dict[str, Facet] = {}
    for place, (description, common_name, group_name) in enumerate(said):
        facets = _facets(description, common_name, words, cache)
        weights = _weigh(facets, words)
        for word, (weight, cost) in weights.items():
            if (found := gathered.get(word)) is None:
                found = gathered[word] = (array("i"), array("f"), array("f"))
            found[0].append(place)
            found[1].append(weight)
            found[2].append(cost)
        base_cost[place] = sum(cost for _, cost in weights.values()) + _unlikely(description, group_name, words)
        for facet in facets:
            for state in facet.states:
                state_bits[place] |= STATE_BIT[state]
    postings = {
        word: Posting(np.array(places, np.int32), np.array(gains, np.float32), np.array(costs, np.float32))
        for word, (places, gains, costs) in gathered.items()
    }
    return IndexPart(said, postings, base_cost, state_bits)


def _facets(description: str, common_name: str, words: FacetWords, cache: dict[str, Facet]) -> tuple[Facet, ...]:
    facets = []
    for text in split_facets(description):
        if (facet := cache.get(text)) is None:
            facet = cache[text] = read_facet(text, words)
        facets.append(facet)
    if common_name:
        facets.append(Facet((), read_facet(common_name, words).words, frozenset()))
    return tuple(facets)


# More than the word "without" costs an entry that is the same but for the salt.
_SALTED = 0.1
_BOILED_IN_SALT = re.compile(r"\bcooked\b.*, with salt$")


def _unlikely(description: str, group_name: str, words: FacetWords) -> float:
    """Cost of an entry that cooks seldom mean: a maker's own product, a group such as baby foods, one cooked in salt.

    The salt of a dish has a line of its own.
    """
    salted = _SALTED if _BOILED_IN_SALT.search(description) else 0.0
    branded = words.brand_cost if _MAKER.search(description) else 0.0
    return words.groups.get(group_name.lower(), 0.0) + branded + salted


def _weigh(facets: Sequence[Facet], words: FacetWords) -> dict[str, tuple[float, float]]:
    """word -> (weight when a line says it, cost when it does not)."""
    found: dict[str, tuple[float, float]] = {}
    for order, facet in enumerate(facets):
        weight = HEAD_WEIGHTS[order] if order < len(HEAD_WEIGHTS) else LATER_WEIGHT
        for word in facet.words:
            cost = words.costs.get(word, words.default_cost)
            found.setdefault(word, (weight, cost / max(1.0, len(facet.words) ** 0.5)))
        for word in facet.bracketed:
            found.setdefault(word, (BRACKET_WEIGHT, min(0.03, words.costs.get(word, 0.03))))
    return found


def _joined(parts: Sequence[IndexPart]) -> Mapping[str, Posting]:
    """The postings of all parts, one behind the other."""
    if len(parts) == 1:
        return parts[0].postings
    gathered: dict[str, list[tuple[np.int32, Posting]]] = {}
    start = 0
    for part in parts:
        for word, posting in part.postings.items():
            gathered.setdefault(word, []).append((np.int32(start), posting))
        start += len(part.said)
    return {word: _posting(found) for word, found in gathered.items()}


def _posting(found: Sequence[tuple[np.int32, Posting]]) -> Posting:
    return Posting(
        _row([posting.places + start for start, posting in found], np.int32),
        _row([posting.weights for _, posting in found], np.float32),
        _row([posting.costs for _, posting in found], np.float32),
    )


def _row(arrays: Sequence[NDArray[Any]], kind: type[np.generic]) -> NDArray[Any]:
    """Arrays of this type in one; the array itself where it is the only one."""
    return arrays[0] if len(arrays) == 1 else np.concatenate([*arrays, np.empty(0, kind)], dtype=kind)
