"""What differs between two releases of a dataset: foods, names, values beyond rounding, household measures.

A food is the same in both where its code is. Where a code went and another came, they are one food if the publisher
links both to the same food of another table, and to none that others are linked to.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest
from operator import attrgetter

from service.core.food import Component, FoodEntry, FoodTable, HouseholdMeasure, Release

# Noise of binary numbers, far below any published place.
_NOISE = 1e-9


def told_apart(label: str, digest: str) -> str:
    """The name of a release whose publisher's label another one bears already: "2024-10-31~3f2a91c4"."""
    return f"{label}~{digest[:8]}"


def label_of(release: str) -> str:
    """The publisher's label in the name of a release."""
    return release.partition("~")[0]


def is_older(release: str, other: str) -> bool:
    """Whether a release is older than another of its dataset, by the numbers in their publisher's labels."""
    one, two = ([int(number) for number in re.findall(r"\d+", label_of(name))] for name in (release, other))
    return one < two


@dataclass(frozen=True, slots=True)
class FoodPair:
    """A food in both releases, by both of its entries."""

    old: FoodEntry
    new: FoodEntry

    @property
    def renamed(self) -> bool:
        return self.old.description != self.new.description

    @property
    def recoded(self) -> bool:
        return self.old.id != self.new.id


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount per 100 g as a release gives it: known, below a limit, or (both None) not given."""

    known: float | None = None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class ValueChange:
    """A component of a food that changed by more than rounding, came or went."""

    food: FoodEntry
    component: Component
    old: Amount
    new: Amount


@dataclass(frozen=True, slots=True)
class MeasureChange:
    """A household measure of a food that weighs other than it did, came (`old` None) or went (`new` None)."""

    food: FoodEntry
    old: HouseholdMeasure | None
    new: HouseholdMeasure | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """What differs between two releases; `foods` are those in both, that changed or not."""

    old: Release
    new: Release
    added: tuple[FoodEntry, ...]
    dropped: tuple[FoodEntry, ...]
    foods: tuple[FoodPair, ...]
    components_added: tuple[Component, ...]
    components_dropped: tuple[Component, ...]
    values: tuple[ValueChange, ...]
    measures: tuple[MeasureChange, ...]

    @property
    def renamed(self) -> tuple[FoodPair, ...]:
        return tuple(pair for pair in self.foods if pair.renamed)

    @property
    def recoded(self) -> tuple[FoodPair, ...]:
        return tuple(pair for pair in self.foods if pair.recoded)


def compare(old: FoodTable, new: FoodTable) -> Comparison:
    """What differs between two releases, each as a table of its own."""
    pairs = _pairs(old, new)
    known = {pair.old.id for pair in pairs}, {pair.new.id for pair in pairs}
    tagnames = [{component.tagname for component in table.components} for table in (old, new)]
    return Comparison(
        old.releases[0],
        new.releases[0],
        added=tuple(food for food in new.foods if food.id not in known[1]),
        dropped=tuple(food for food in old.foods if food.id not in known[0]),
        foods=pairs,
        components_added=tuple(one for one in new.components if one.tagname not in tagnames[0]),
        components_dropped=tuple(one for one in old.components if one.tagname not in tagnames[1]),
        values=tuple(_value_changes(old, new, pairs)),
        measures=tuple(change for pair in pairs for change in _measure_changes(pair)),
    )


def _pairs(old: FoodTable, new: FoodTable) -> tuple[FoodPair, ...]:
    """The foods in both, in order of the new release's ids."""
    before, after = ({food.id: food for food in table.foods} for table in (old, new))
    gone = _by_link(old, before.keys() - after.keys())
    came = _by_link(new, after.keys() - before.keys())
    moved = {came[link]: gone[link] for link in gone.keys() & came.keys()}
    pairs = [FoodPair(before[food_id], after[food_id]) for food_id in before.keys() & after.keys()]
    pairs += [FoodPair(before[was], after[now]) for now, was in moved.items()]
    return tuple(sorted(pairs, key=attrgetter("new.id")))


def _by_link(table: FoodTable, ids: Iterable[str]) -> Mapping[str, str]:
    """The one food of `ids` that is linked to a food elsewhere, by the latter's id."""
    linked = [(links[0], food_id) for food_id in ids if len(links := table.links.get(food_id, ())) == 1]
    times = Counter(link for link, _ in linked)
    return {link: food_id for link, food_id in linked if times[link] == 1}


# ---- values ----------------------------------------------------------------------------------------------------


def _value_changes(old: FoodTable, new: FoodTable, pairs: Iterable[FoodPair]) -> Iterator[ValueChange]:
    """Changes of components that both releases know, in order of food and component."""
    before, after = _Amounts(old), _Amounts(new)
    shared = [one for one in new.components if one.tagname in before.columns]
    for pair in pairs:
        was, now = before.of(pair.old.id), after.of(pair.new.id)
        for component in shared:
            one, other = was.get(component.tagname, Amount()), now.get(component.tagname, Amount())
            if one != other and differ(one, other, _decimals(before, after, component)):
                yield ValueChange(pair.new, component, one, other)


def _decimals(before: _Amounts, after: _Amounts, component: Component) -> int:
    """The places that both releases print."""
    return min(before.columns[component.tagname][1].decimals, after.columns[component.tagname][1].decimals)


def differ(one: Amount, other: Amount, decimals: int) -> bool:
    """Whether two amounts differ by more than half of the last place printed, or one is known and the other is not."""
    if one.known is None or other.known is None:
        return (one.known, one.limit) != (other.known, other.limit)
    return abs(one.known - other.known) > 0.5 * 10.0**-decimals + _NOISE


class _Amounts:
    """The given amounts of a table, food by food."""

    def __init__(self, table: FoodTable) -> None:
        self.columns = {one.tagname: (place, one) for place, one in enumerate(table.components)}
        self._places = {food.id: place for place, food in enumerate(table.foods)}
        self._table = table

    def of(self, food_id: str) -> dict[str, Amount]:
        row = self._table.amounts[self._places[food_id]].tolist()
        known = {
            tagname: Amount(row[place]) for tagname, (place, _) in self.columns.items() if not math.isnan(row[place])
        }
        limits = self._table.limits.get(food_id, {}).items()
        return {tagname: Amount(limit=limit) for tagname, limit in limits} | known


# ---- measures --------------------------------------------------------------------------------------------------


def _measure_changes(pair: FoodPair) -> Iterator[MeasureChange]:
    """Measures of the same words are told apart by their order."""
    before, after = _by_words(pair.old), _by_words(pair.new)
    for words in sorted(before.keys() | after.keys()):
        for one, other in zip_longest(before.get(words, ()), after.get(words, ())):
            if one is None or other is None or not math.isclose(one.grams, other.grams, abs_tol=_NOISE):
                yield MeasureChange(pair.new, one, other)


def _by_words(food: FoodEntry) -> dict[tuple[str, float], list[HouseholdMeasure]]:
    found: dict[tuple[str, float], list[HouseholdMeasure]] = {}
    for measure in food.measures:
        found.setdefault((measure.text, measure.amount), []).append(measure)
    return found
