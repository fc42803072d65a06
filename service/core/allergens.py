"""Which major allergens a food may contain, by the words of its name and by its food group.

    phrase = words of one part of a name ("egg noodles") | head "," the words before it ("noodles, egg")

The longest phrase is read first, and what it has read says nothing further: "coconut milk" brings no allergen and
keeps "milk" from being read. A table of foods can show that an allergen is likely, never that one is absent.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from service.core.text import fold, singular

Law = Literal["us", "eu"]
# FD&C Act 201(qq) as amended by the FASTER Act of 2021; Regulation (EU) 1169/2011 Annex II, which is UK law too.
US_MAJOR = ("milk", "eggs", "fish", "crustacean shellfish", "tree nuts", "peanuts", "wheat", "soybeans", "sesame")
EU_ANNEX_II = (
    "cereals with gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk", "nuts", "celery", "mustard",
    "sesame", "sulphites above 10 mg/kg", "lupin", "molluscs",
)  # fmt: skip
# Names whose allergens are kept: the foods of a kitchen, not all that pass by.
_MOST_KEPT = 4096
_PART = re.compile(r"[,;:()\[\]/]")
_WORD = re.compile(r"[a-z]+")


@dataclass(frozen=True, slots=True)
class Allergen:
    """An allergen as it is named to a reader, with what each law calls it; "" where the law does not list it."""

    name: str
    us: str
    eu: str
    source: str

    def by(self, law: Law) -> str:
        """What a law calls it."""
        return self.us if law == "us" else self.eu


@dataclass(frozen=True, slots=True)
class AllergenWords:
    """What a phrase brings; the last word is its head.

    phrase   words in the singular; empty: every food of the group
    group    the group's name must begin with one of these; none: any group
    without  words of the name of which none may be there
    brings   names of allergens; none for a phrase that only sounds like one
    denies   names of allergens that the phrase says are left out ("gluten-free")
    """

    phrase: tuple[str, ...]
    group: tuple[str, ...]
    without: frozenset[str]
    brings: frozenset[str]
    denies: frozenset[str]

    def fits(self, group: str, words: frozenset[str]) -> bool:
        """Whether it holds for a food of this group with these words."""
        return (not self.group or group.startswith(self.group)) and not self.without & words


class AllergenTable:
    """The allergens of the laws, in their order, and the words that bring them."""

    def __init__(self, allergens: Iterable[Allergen], words: Iterable[AllergenWords]) -> None:
        self.allergens = {one.name: one for one in allergens}
        self._phrases: dict[tuple[str, ...], list[AllergenWords]] = {}
        for one in words:
            self._phrases.setdefault(one.phrase, []).append(one)
        self._longest = max(map(len, self._phrases), default=0)
        self._read: dict[tuple[str, str], frozenset[str]] = {}

    def of(self, name: str, group: str = "") -> frozenset[str]:
        """Names of the allergens that a food of this name and group may contain."""
        key = (name, group)
        if key not in self._read:
            found = list(self._found(_words_in_parts(name), fold(group)))
            denied = frozenset[str]().union(*(one.denies for one in found))
            if len(self._read) >= _MOST_KEPT:
                self._read.clear()
            self._read[key] = frozenset[str]().union(*(one.brings for one in found)) - denied
        return self._read[key]

    def _found(self, words: Sequence[tuple[str, int]], group: str) -> Iterator[AllergenWords]:
        said = frozenset(word for word, _ in words)
        yield from (one for one in self._phrases.get((), ()) if one.fits(group, said))
        taken: set[int] = set()
        for places, phrase in self._windows(words):
            if taken.isdisjoint(places):
                fitting = [one for one in self._phrases.get(phrase, ()) if one.fits(group, said)]
                taken.update(places if fitting else ())
                yield from fitting

    def _windows(self, words: Sequence[tuple[str, int]]) -> Iterator[tuple[range, tuple[str, ...]]]:
        """Places and words of each phrase that may be meant, the longest first, those in order before turned ones."""
        for length in range(min(self._longest, len(words)), 0, -1):
            windows = [range(start, start + length) for start in range(len(words) - length + 1)]
            for places in windows:
                if words[places[0]][1] == words[places[-1]][1]:
                    yield places, tuple(words[place][0] for place in places)
            for places in windows if length > 1 else ():
                if words[places[0]][1] != words[places[1]][1]:
                    yield places, tuple(words[place][0] for place in (*places[1:], places[0]))


def by_law(found: Mapping[str, frozenset[int]], law: Law, table: AllergenTable) -> dict[str, dict[str, frozenset[int]]]:
    """What a law calls each allergen found -> the allergens of that name -> the lines; in the table's order."""
    named: dict[str, dict[str, frozenset[int]]] = {}
    for one in table.allergens.values():
        if one.by(law) and one.name in found:
            named.setdefault(one.by(law), {})[one.name] = found[one.name]
    return named


def _words_in_parts(name: str) -> list[tuple[str, int]]:
    """Words in the singular with the number of the part, between commas and brackets, that they stand in."""
    parts = _PART.split(fold(name))
    return [(singular(word), number) for number, part in enumerate(parts) for word in _WORD.findall(part)]
