"""Entries of a preferred table that are near-equal to the one that answers: which of them stands for the line instead.

Names lead to entries of one table; other tables have foods of the same names under descriptions of their own. Such an
entry is near-equal where all of this holds, and nothing less:

    called   its description has the words of a name of the food that the line names, and no longer name of another
    plain    beyond those it says no food and nothing that makes another one of it, and no sister says less
    state    it is cooked, canned, smoked, ... as the answer is; raw and dried may stay unsaid, since water tells them
    figures  water, protein, fat, available carbohydrate, fibre, energy and sodium are near the answer's

Of several, the one that says most of the line's words, then the nearest by its figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from service.core.food_index import STATE_BIT, STATES, FoodIndex
from service.core.likeness import BOUNDS, UNLIKE, compared_figures, shares_apart
from service.core.noun_phrase import HEATED
from service.core.text import fold, singular
from service.core.vocabulary import ANY_AMOUNT, Name, Vocabulary, split_words

# So many of the figures must be known of both; water, protein and fat or a bound of it are always among them.
ALWAYS, FEWEST = 3, 4
# Words of a description that cost so much where a line does not say them make another food ("light", "powder"); see
# tables/facet_words.csv.
TELLING = 0.9
# Free of gluten, lactose or alcohol, low in them, mixed or marinated, a food may have the same figures and is another.
_ANOTHER = frozenset({"free", "low", "mixed", "nectar", "marinated"})
# Of what a food may be free of, that of which its figures tell: "without salt".
_TOLD = frozenset({"salt", "sodium", "sugar", "fat", "protein", "fibre", "fiber", "carbohydrate", "carb", "calorie"})
_OF_MILK = frozenset({"milk", "cow", "goat", "ewe", "sheep", "buffalo"})
# They name a food alone; a description says by them how much of it there is.
_NO_FOOD = frozenset({"fat", "bone"})
# Entries are as plain as each other where what they leave unsaid costs no more than this: less than one word.
PLAIN = 0.2
# States that an entry need not say: the water of both tells them.
_UNSAID = STATE_BIT["raw"] | STATE_BIT["dried"]
# Names that are an entry's own; others ("fruit", taken for an apple) may be those of another food.
_OWN_NAMES = frozenset({"name", "regional", "trade"})
_NO_COST = np.zeros(1 << len(STATES), dtype=np.float32)


class NearEntries:
    """Finds near-equal entries of preferred tables; what it finds for a food is kept."""

    def __init__(self, index: FoodIndex, vocabulary: Vocabulary, neutral: frozenset[str]) -> None:
        self._index, self._vocabulary, self._neutral = index, vocabulary, neutral
        self._untold = vocabulary.titles.free_of - _TOLD
        self._found: dict[tuple[str, int], tuple[int, ...]] = {}
        self._words_at: dict[int, frozenset[str]] = {}
        self._names_at: dict[int, tuple[Name, ...]] = {}

    def of(self, name: Name, chosen: int, said: frozenset[str]) -> int | None:
        """The place of the near-equal entry of the most preferred table; None where none is preferred to the answer's.

        name  by which the line found the answer at `chosen`;  said  words of the line: what the answer has of them the
        entry has too
        """
        if not self._index.ranks[chosen] or name.food_id is None or name.kind == "near":
            return None
        asked_for = name.form, chosen
        found = self._found.get(asked_for)
        if found is None:
            found = self._found[asked_for] = self._near(name, name.food_id, chosen)
        if not found:
            return None
        asked = (said & self._index.words_at(chosen).keys()) - name.key - self._neutral
        fit = [place for place in found if asked <= self._index.words_at(place).keys()]
        best = self._index.ranks[fit[0]] if fit else 0
        told = said | name.key
        return max((place for place in fit if self._index.ranks[place] == best), default=None,
                   key=lambda place: len(told & self._index.words_at(place).keys()))  # fmt: skip

    def is_unlike(self, place: int, chosen: int) -> bool:
        """Whether known figures of two entries are too far apart for one food, whatever their descriptions say."""
        return bool(self._shares(np.array([place], dtype=np.int32), chosen).max(initial=0.0) > UNLIKE)

    def difference(self, place: int, chosen: int) -> str:
        """The figure that is too far apart for one food, in words; "" where none is."""
        shares = self._shares(np.array([place], dtype=np.int32), chosen)[0]
        if shares.max(initial=0.0) <= UNLIKE:
            return ""
        column = int(shares.argmax())
        here, there = self._figures[place, column], self._figures[chosen, column]
        return f"their figures are far apart: {BOUNDS[column][0][0]} {here:.4g} against {there:.4g} per 100 g"

    def is_another(self, place: int, words: frozenset[str], name: Name) -> bool:
        """Whether an entry that is called by these words says what makes another food of it: "Quark, flavoured".

        Another name of the same food does not, nor whose milk a cheese is made of.
        """
        unsaid = self._words(place) - words - (_OF_MILK if "cheese" in self._words(place) else frozenset())
        return any(self._changes(word) or (word in self._foods and not self._is_also(word, name)) for word in unsaid)

    def _is_also(self, word: str, name: Name) -> bool:
        """Whether a word is another name of a food."""
        other = self._vocabulary.find(word, frozenset(), ANY_AMOUNT)
        return other is not None and other.food_id == name.food_id

    def is_told_apart(self, place: int, target: int, name: Name) -> bool:
        """Whether the table of an entry has another one too that goes by what the target's own description says."""
        dataset, bits, own = self._index.entry(place).dataset, self._index.state_bits, self._words(target)
        named = [key - STATE_BIT.keys() for key in self._keys.get(self._index.entry(target).id, ()) if len(key) > 1]
        for key in (*(key for key in named if key <= own), *self._first_words(target)):
            others = [at for at in self._index.holding_all(key).tolist() if self._index.entry(at).dataset == dataset]
            called = (at for at in others if key.issuperset(self._index.facets(at)[0].words))
            if any(not (bits[at] ^ bits[target]) & ~_UNSAID and not name.key <= self._words(at) for at in called):
                return True
        return False

    def _first_words(self, place: int) -> Iterator[frozenset[str]]:
        """The words of the first two facets, where both have any: "Yogurt, Greek, plain"."""
        first, *others = (facet.words for facet in self._index.facets(place)[:2])
        if first and any(others):
            yield frozenset(first).union(*others)

    def _near(self, name: Name, target: str, chosen: int) -> tuple[int, ...]:
        """Places of near-equal entries, those of the preferred table first, then the nearest by their figures.

        Of each table only the plainest count: where its "Onion" is unlike the answer, its "Onion, red" is no match.
        """
        called = self._called(target)
        places = called[self._index.ranks[called] < self._index.ranks[chosen]]
        apart = self.apart(places, chosen)
        close = np.flatnonzero(apart <= 1.0).tolist()
        near = [at for at in close if self._is_same(int(places[at]), name, target, chosen)]
        if not near:
            return ()
        own, ranks = self._index.words_at(chosen), self._index.ranks[places]
        unsaid = -self._index.score(places, dict.fromkeys(own, 1.0), _NO_COST, gains=dict.fromkeys(own, 0.0))
        plain = [at for at in near if not any(
            self._is_same(int(places[other]), name, target, chosen)
            for other in np.flatnonzero((ranks == ranks[at]) & (unsaid < unsaid[at] - PLAIN)).tolist()
        )]  # fmt: skip
        return tuple(int(places[at]) for at in sorted(plain, key=lambda at: (ranks[at], apart[at], places[at])))

    def _called(self, target: str) -> NDArray[np.int32]:
        """Places of the entries whose description has all words of a name of the target."""
        found = [self._index.holding_all(key - STATE_BIT.keys()) for key in self._keys.get(target, ())]
        return np.unique(np.concatenate(found)) if found else np.empty(0, dtype=np.int32)

    def _is_same(self, place: int, name: Name, target: str, chosen: int) -> bool:
        """Whether what an entry says is the chosen entry's food in its state."""
        bits = int(self._index.state_bits[place])
        if (bits ^ int(self._index.state_bits[chosen])) & ~_UNSAID:
            return False
        if not self._methods(place) <= self._methods(chosen):
            return False
        words, own = self._words(place), frozenset(self._index.words_at(chosen))
        names = [key for key in self._keys[target] if key - STATE_BIT.keys() <= words]
        longest, called = max(map(len, names), default=0), frozenset[str]().union(*names)
        for other in self._names(place, words):
            if other.food_id != target and (other.words > longest or not other.key <= own | called):
                return False
        # by a synonym alone two descriptions may have another food in common: yogurt of whole milk, curd milk
        shared = own if name.key & words & self._foods else own - self._foods
        return any(not any(map(self._makes_another, words - key - shared)) for key in names)

    def _words(self, place: int) -> frozenset[str]:
        """The words of a description but those behind "without"; without gluten and its like is free of them."""
        if (found := self._words_at.get(place)) is None:
            said: set[str] = set()
            for facet in self._index.facets(place):
                words = (*facet.words, *facet.bracketed)
                cut = words.index("without") if "without" in words else len(words)
                said.update(words[:cut], () if self._untold.isdisjoint(words[cut:]) else ("free",))
            found = self._words_at[place] = frozenset(said)
        return found

    def _methods(self, place: int) -> set[str]:
        """How a description says that the food was cooked ("boiled", "steamed") where it says more than that it was."""
        words = split_words(fold(self._index.entry(place).description))
        cooked = {word for word in words if self._index.words.states.get(word) in HEATED}
        return cooked - HEATED

    def _names(self, place: int, words: frozenset[str]) -> tuple[Name, ...]:
        """The names of two words or more that the words of a description have, with its states."""
        if (found := self._names_at.get(place)) is None:
            bits = int(self._index.state_bits[place])
            states = frozenset(state for state in STATES if bits & STATE_BIT[state])
            found = self._names_at[place] = tuple(self._vocabulary.names_among(words | states))
        return found

    def _makes_another(self, word: str) -> bool:
        return self._changes(word) or word in self._foods

    def _changes(self, word: str) -> bool:
        costly = self._index.words.costs.get(word, 0.0) >= TELLING
        return costly or word in _ANOTHER or word in self._index.words.changing

    @cached_property
    def _foods(self) -> frozenset[str]:
        """Words that name a food alone or are all of an entry's first facet."""
        firsts = {food.description.partition(",")[0] for food in self._index.table.foods}
        kinds = {singular(fold(first)) for first in firsts if " " not in first}
        return frozenset(self._vocabulary.nouns | kinds) - _NO_FOOD

    @cached_property
    def _keys(self) -> Mapping[str, list[frozenset[str]]]:
        """The words of each name by the entry that it stands for."""
        keys: dict[str, list[frozenset[str]]] = {}
        for name in self._vocabulary.all_names():
            if name.food_id is not None and name.kind in _OWN_NAMES and name.key - STATE_BIT.keys():
                keys.setdefault(name.food_id, []).append(name.key)
        return keys

    def apart(self, places: NDArray[np.int32], chosen: int) -> NDArray[np.float64]:
        """How far figures are from the chosen entry's, the furthest one in bounds; infinite where too few are known."""
        known = ~np.isnan(self._figures[chosen] - self._figures[places])
        enough = known[:, :ALWAYS].all(axis=1) & (known.sum(axis=1) >= FEWEST)
        return np.where(enough, self._shares(places, chosen).max(axis=1, initial=0.0), np.inf)

    def _shares(self, places: NDArray[np.int32], chosen: int) -> NDArray[np.float64]:
        return shares_apart(self._figures[chosen], self._figures[places])

    @cached_property
    def _figures(self) -> NDArray[np.float64]:
        return compared_figures(self._index.table, range(len(self._index.table.foods)))
