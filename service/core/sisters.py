"""Entries of one cut that differ in what was analysed of it alone: lean or lean and fat, meat or meat and skin, boned.

What one entry of a cut leaves open another tells: whether a piece was weighed as it is bought, since the same weight
stands beside different refuse then; what a chop of it weighs where the entry has a roast only.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping

from service.core.food import FoodEntry
from service.core.measure import as_published

# What is said of the share of a cut that was analysed, and of its bones.
_ANALYSED = re.compile(
    r",?\s*\b(?:(?:separable )?lean (?:only|and fat)|meat only|meat and skin|bone-in|boneless"
    r"|trimmed to \d+(?:/\d+)?\" fat)(?=,|$)"
)


def sisters(foods: Iterable[FoodEntry]) -> Mapping[str, tuple[FoodEntry, ...]]:
    """By id, the entries of the same cut and state, itself left out; only of entries with refuse and measures."""
    cuts: dict[tuple[str, str], list[FoodEntry]] = {}
    for food in foods:
        if food.refuse_percent > 0 and food.measures:
            cut = _ANALYSED.sub("", food.description)
            cuts.setdefault((food.dataset, cut), []).append(food)
    return {
        food.id: tuple(other for other in cut if other is not food)
        for cut in cuts.values() if len(cut) > 1 for food in cut
    }  # fmt: skip


# The entry among kin of the same cut with less of it analysed, None where there is none.
Sister = Callable[[FoodEntry, Iterable[FoodEntry]], FoodEntry | None]
WITH_SKIN = "meat and skin"
# What a publisher says of a bird's meat only where it has no skin.
_BARE = re.compile(r",? (?:skinless|boneless|dark meat|light meat|meat only|meat and skin)(?=,|$)")


def without_skin(food: FoodEntry, kin: Iterable[FoodEntry]) -> FoodEntry | None:
    """The entry among `kin` of a bird's same cut without its skin; None where there is none or it is not clear."""
    bare = [one for one in kin if WITH_SKIN not in one.description]
    only = food.description.replace(WITH_SKIN, "meat only")
    if exact := next((one for one in bare if one.description == only), None):
        return exact
    cut = _bare_cut(food)  # "Chicken, thigh": with no more than the bird's name, any of its meat would fit
    found = [one for one in bare if "meat only" in one.description and _bare_cut(one) == cut]
    return found[0] if len(found) == 1 and cut.count(",") > 1 else None


WITH_FAT = "separable lean and fat"


def lean_only(food: FoodEntry, kin: Iterable[FoodEntry]) -> FoodEntry | None:
    """The entry among `kin` of a cut's same meat without the fat that comes off it; None where there is none."""
    lean = [one for one in kin if "separable lean only" in one.description]
    exact = food.description.replace(WITH_FAT, "separable lean only")
    cut = _ANALYSED.sub("", food.description)
    same = (one for one in lean if _ANALYSED.sub("", one.description) == cut)
    return next((one for one in lean if one.description == exact), None) or next(same, None)


def _bare_cut(food: FoodEntry) -> str:
    """The bird and the cut; SR28 writes "broilers or fryers" of most of them and "broiler or fryers" of some."""
    return _BARE.sub("", food.description.replace("broiler or", "broilers or"))


# A text that says of what its weight is.
_OF_WHAT = re.compile(r"refuse|removed|yield|skin")


def weighed_as_bought(food: FoodEntry, text: str, kin: Iterable[FoodEntry]) -> bool:
    """Whether a household measure is of a piece as bought: the same one stands where other refuse was analysed."""
    if _OF_WHAT.search(text):
        return False
    others = (other for other in kin if other.refuse_percent != food.refuse_percent)
    return any(as_published(measure) == text for other in others for measure in other.measures)
