"""What a cook counts raw and cooks then, "3 beets, roasted", or dries: its pieces are weighed as raw ones.

A publisher's piece of a cooked vegetable is one that was cooked already ("2 cooked beets"): it is smaller, has its own
sizes or none. What is counted before it is called cooked is bought raw; cooking takes water off it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from service.core.food import FoodEntry
from service.core.measure import measure_kind
from service.core.noun_phrase import HEATED, Phrase
from service.core.part import Part
from service.core.twins import dataset_of
from service.core.weighed_line import GramWeight

_RAW = ", raw"
_COOKED = re.compile(r", (?:cooked|grilled|roasted|baked|stir-fried|sauteed)\b.*")
_VEGETABLES = "Vegetables"
# What is left at least of a raw vegetable (SR28: carrots boiled 46 g of 61, mushrooms 12 of 18, beets 50 of 82).
_LEFT = 0.6
_REASON = "its pieces were counted as raw ones; cooking takes water off them"


class RawTwins:
    """The raw entry of each cooked vegetable that has one by its description: "Beets, cooked, ...": "Beets, raw"."""

    def __init__(self, foods: Iterable[FoodEntry]) -> None:
        self._raw = {
            (dataset_of(food.id), food.description.removesuffix(_RAW)): food
            for food in foods
            if food.description.endswith(_RAW) and food.group_name.startswith(_VEGETABLES)
        }

    def counted(self, part: Part, phrase: Phrase, food: FoodEntry) -> FoodEntry | None:
        """The entry with the measures of the raw one, where the line counts raw ones; else None."""
        if not phrase.states & HEATED or not HEATED.isdisjoint(phrase.tokens) or measure_kind(part.amount) != "piece":
            return None
        name = _COOKED.sub("", food.description)
        raw = self._raw.get((dataset_of(food.id), name)) if name != food.description else None
        return replace(food, measures=raw.measures) if raw is not None else None


def less_water(weight: GramWeight) -> GramWeight:
    """The weight of raw pieces that are cooked then: it may be less by the water that they lose."""
    if weight.value is None or weight.low is None or not weight.rule.startswith(("household measure", "piece default")):
        return weight  # "2 carrots, boiled (100 g)"
    return replace(weight, low=min(weight.low, weight.value * _LEFT), reasons=(*weight.reasons, _REASON))


# What is counted whole, dried or not.
_WHOLE = frozenset({None, "piece", "bunch", "head"})
_DRIED = frozenset({"dried"})
FRESH = "it is called dried; its pieces were counted as fresh ones"
# A piece of the dried food weighs less than this share of a fresh one (SR28: a fig 8.4 g of 50, a tomato 2 of 123).
_DRY_SHARE = 0.9


def as_fresh(part: Part, phrase: Phrase) -> Part | None:
    """The part without "dried" where its pieces are counted before it: "3 onions, dried"; mostly None."""
    counted = part.amount is not None and part.amount.measure in _WHOLE and part.amount.package is None
    if "dried" not in phrase.states or not counted or not _DRIED.isdisjoint(phrase.tokens):
        return None
    fresh = replace(phrase, states=phrase.states - _DRIED, qualifiers=phrase.qualifiers - _DRIED)
    return replace(part, phrases=(fresh,), words=part.words - _DRIED)


def counts_fresh(part: Part, dried: FoodEntry, weight: GramWeight, fresh: GramWeight | None) -> bool:
    """Whether the dried food has no piece of its own: it weighs as much as the fresh one, or nobody knows what.

    What is bought dried by the piece is a spice, "4 red chillies, dried and crushed", unless bunches are counted.
    """
    bunches = part.amount is not None and part.amount.measure == "bunch"
    if fresh is None or fresh.value is None or (dried.group_name.startswith("Spices") and not bunches):
        return False
    return weight.value is None or weight.value > _DRY_SHARE * fresh.value
