"""Entries of other tables that go by the very name of a food, for which the table of the names has no entry of its own.

The names of service/tables lead to entries of one table. Of some foods it has nothing ("barramundi" is absent), others
stand under the entry of another food ("quark" under cottage cheese, "skyr" under Greek yogurt). Where a table in use
has an entry of that very name, the name means that entry:

    called    the words of the name are all of its first facets: "Barramundi, fillet, raw", "Emmental cheese, grated";
              what says no more than the kind counts for nothing: "Cheese, haloumi"
    state     it is canned, smoked, ... where the name says so, and only then
    order     it goes before an entry that only stands in, whichever table is asked first. A name of an entry of its
              own ("courgette", of zucchini) leads to another table only where that is asked first, or where that tells
              the two foods apart: it has skyr and Greek yogurt
    sure      it leaves nothing unsaid that makes another food ("flavoured"), and no sister that leaves as little
              unsaid is unlike it; else the name tells no kind, as a generic noun does

An entry whose first facet the name says, but not the next ones ("Kangaroo, loin fillet"), is the likeliest only.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from service.core.food_index import STATE_BIT, STATES, FoodIndex, split_facets
from service.core.near_equal import PLAIN, NearEntries
from service.core.text import fold, singular
from service.core.vocabulary import Name, split_words

# Kinds that publishers put before the name of a food which is called so without them, too.
_KINDS = frozenset({"cheese", "fish", "cake"})
# "Meat in sauce" is no meat sauce.
_LINKS = frozenset({"in", "with", "without", "on", "from", "for", "and", "or"})
_COOKED = STATE_BIT["cooked"] | STATE_BIT["roasted"]
_NO_COST = np.zeros(1 << len(STATES), dtype=np.float32)


class Namesakes:
    """Finds what names mean by the tables in use; what it finds is kept."""

    def __init__(self, index: FoodIndex, near: NearEntries, named: frozenset[str]) -> None:
        """`named`: the datasets that have entries of their own for the names."""
        self._index, self._near, self._named = index, near, named
        self._found: dict[Name, Name] = {}
        self._stood: dict[Name, Name] = {}

    def meant(self, name: Name | None) -> Name | None:
        """The name as leading to the entry that is called so, as a default where it is not sure; else as it is."""
        if name is None or len(self._index.table.releases) < 2 or name.when or name.kind == "default":
            return name  # one that the amount decides ("1 tsp tarragon" is dried) tells more than a description
        found = self._found.get(name)
        if found is None:
            found = self._found[name] = self._meant(name)
        return found

    def named(self, name: Name) -> Name | None:
        """The name as the tables have it, where it was found to mean an entry of another one than that."""
        return self._stood.get(name)

    def _meant(self, name: Name) -> Name:
        words = frozenset(name.key - STATE_BIT.keys())
        target = self._index.places.get(name.food_id or "")
        if not words or (target is not None and self._says(target, name, words)):
            return name
        kinds = _KINDS if target is None else _KINDS.union(self._index.facets(target)[0].words)
        called = [at for at in self._index.holding_all(words).tolist() if self._is_called(at, words | kinds, name)]
        alike = [at for at in called if self._is_in_state(at, target, name)]
        whole = [at for at in alike if self._said(at, words, kinds, name)]
        own = None if name.kind == "near" else target
        if own is not None:
            whole = [at for at in whole if self._goes_before(at, own, name)]
        found = whole or (self._likely(alike or called, words, name) if own is None else [])
        if not found:
            return name
        best, sure = self._best(found, words, target)
        sure = sure and bool(whole) and not self._near.is_another(best, self._said(best, words, kinds, name), name)
        if own is not None and not sure:
            return name
        meant = name._replace(food_id=self._index.entry(best).id, kind="name" if sure else "default")
        if target is not None:
            self._stood[meant] = name
        return meant

    def _says(self, target: int, name: Name, words: frozenset[str]) -> bool:
        """Whether an entry goes by a name itself, be it in one word: "Chickpeas" by "chick pea"."""
        own = self._index.words_at(target).keys()
        return words <= own or "".join(name.form.split()) in own

    def _is_called(self, place: int, words: frozenset[str], name: Name) -> bool:
        """Whether an entry of a table that no names are of says by its first facet nothing but these words.

        In no other state than the name says; cooked it may be where the name does not say so.
        """
        if self._index.entry(place).dataset in self._named or not words.issuperset(self._index.facets(place)[0].words):
            return False
        bits = int(self._index.state_bits[place])
        wanted = _bits(name)
        return bits & wanted == wanted and not bits & ~(wanted | _COOKED | STATE_BIT["raw"])

    def _is_in_state(self, place: int, target: int | None, name: Name) -> bool:
        """Whether an entry is in the state that a name says, or else in that of the entry that it leads to."""
        bits = (int(self._index.state_bits[place]) | _bits(name)) & ~STATE_BIT["raw"]
        usual = int(self._index.state_bits[target]) if target is not None else 0
        return bits == (usual | _bits(name)) & ~STATE_BIT["raw"]

    def _said(self, place: int, words: frozenset[str], kinds: frozenset[str], name: Name) -> frozenset[str]:
        """The words of an entry up to its first facet that tells more than its kind, where that is just the name."""
        form, told = split_words(fold(name.form)), frozenset[str]()
        called = [word for word in map(singular, form) if word in words - kinds]
        for facet, text in zip(self._index.facets(place), self._texts(place), strict=False):
            told = told.union(facet.words)
            if said := [word for word in facet.words if word not in kinds]:
                just = said == called and words <= told and _LINKS.intersection(text) <= set(form)
                return told if just else frozenset()
            if not facet.words:  # "M&M's", before "plain chocolate"
                break
        return frozenset()

    def _texts(self, place: int) -> list[list[str]]:
        return [split_words(fold(text)) for text in split_facets(self._index.entry(place).description)]

    def _likely(self, places: Sequence[int], words: frozenset[str], name: Name) -> Sequence[int]:
        """The entries that an absent name may mean: it stands in two facets, and none says more than its food."""
        return places if name.food_id is not None else [at for at in places if self._may_be_meant(at, words, name)]

    def _may_be_meant(self, place: int, words: frozenset[str], name: Name) -> bool:
        facets, texts = self._index.facets(place)[:2], self._texts(place)[:2]
        said = frozenset(word for facet in facets for word in facet.words)
        linked = any(not _LINKS.isdisjoint(text) for text in texts)
        return words <= said and not linked and not self._near.is_another(place, words, name)

    def _goes_before(self, place: int, target: int, name: Name) -> bool:
        """Whether a table goes before that of an entry which has the name too: by the order, or as it has both."""
        if self._near.is_unlike(place, target):
            return False
        ranks = self._index.ranks
        return bool(ranks[place] < ranks[target]) or self._near.is_told_apart(place, target, name)

    def _best(self, places: Sequence[int], words: frozenset[str], target: int | None) -> tuple[int, bool]:
        """The entry of the preferred table that leaves least unsaid; whether others that leave as little are like it.

        Of several, the one nearest to the entry that stands in.
        """
        found = np.array(places, dtype=np.int32)
        ranks = self._index.ranks[found]
        found = found[ranks == ranks.min()]
        unsaid = -self._index.score(found, dict.fromkeys(words, 1.0), _NO_COST, gains=dict.fromkeys(words, 0.0))
        plain = found[unsaid <= unsaid.min() + PLAIN]
        apart = self._near.apart(plain, target) if target is not None else unsaid[unsaid <= unsaid.min() + PLAIN]
        at = min(range(len(plain)), key=lambda one: (apart[one], plain[one]))
        best = int(plain[at])
        near = target is not None and bool(apart[at] <= 1.0)
        alike = near or not any(self._near.is_unlike(int(other), best) for other in plain)
        return best, alike


def _bits(name: Name) -> int:
    """The states that a name says, as bits of the index."""
    return sum(STATE_BIT.get(state, 0) for state in name.key)
