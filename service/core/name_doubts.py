"""Why a line does not tell for certain what it names or how much of it: the doubts that its words leave.

Each is a sentence for `reasons`; one is enough that somebody has to look.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from service.core.denial import SOME_GONE
from service.core.edible_portion import OF_WHITE, colour_asked
from service.core.food import FoodEntry
from service.core.food_match import DISHES, Match
from service.core.measure import measure_kind
from service.core.noun_phrase import ADJECTIVES, COLOURS
from service.core.part import Part
from service.core.portion import FOR_ONE
from service.core.text import singular


@dataclass(frozen=True, slots=True)
class EntryKinds:
    """What the descriptions of entries begin with of which a line leaves more open than of others.

    only_bought      dishes whose names head no recipe
    often_bought     dishes that stand in a list oftener than over one, where a title has its capital letters
    often_baked      of these, those that are titles as often
    often_made       of other groups, what cooks make as often as they buy it, and write over what goes into it
    under_leaves     what is eaten below leaves that may be meant;  root_spices  ground roots that are eaten fresh too
    eaten_ripe       vegetables before they are ripe;  often_dry_cured  cooked ones, which may be cured where it is raw
    separates        liquids that part into cream and water when they stand
    """

    only_bought: tuple[str, ...] = ()
    often_bought: tuple[str, ...] = ()
    often_baked: tuple[str, ...] = ()
    often_made: tuple[str, ...] = ()
    under_leaves: tuple[str, ...] = ()
    root_spices: tuple[str, ...] = ()
    eaten_ripe: tuple[str, ...] = ()
    often_dry_cured: tuple[str, ...] = ()
    separates: tuple[str, ...] = ()


NO_KINDS = EntryKinds()
MAY_BE_TITLE = "the line states no amount and may be a title"
# What an amount is counted by where it is not of the whole recipe.
_PER = frozenset(
    {"per person", "per serving", "per portion", "per plate", "per bowl", "per head", "per guest", "for each"}
)
# What cooks follow or please, and count nothing by: "cooked per package directions", "as per taste".
_FOLLOWED = frozenset(
    "package packet box label bag directions direction instructions instruction manufacturer recipe taste choice "
    "liking preference need requirement required".split()
)
# A comparison that no table weighs, unless it is with what a piece is measured by anyhow.
_LIKENESS, _MEASURING = frozenset({"the size of", "size of"}), frozenset({"thumb", "finger"})
# What foods are used for that are not eaten: "2 lemons, for washing the chicken".
_USED = frozenset({
    "to wash", "for washing", "to clean", "for cleaning", "to rinse", "for rinsing", "to scrub", "for scrubbing",
    "to purge", "for purging", "to disinfect", "for disinfecting",
})  # fmt: skip
# What lies around the flesh that an entry is of; what grows above a root that is eaten.
_COVERS = frozenset(
    {"peel", "skin", "rind", "shell", "husk", "stalk", "stem", "rib", "root", "core", "top", "cream", "solid", "solids"}
)
_ABOVE = frozenset({"leaf", "leave", "leaves", "green", "top", "frond"})
# Groups whose foods weigh two or three times as much when they are soaked.
_SWELLING = frozenset({"Cereal Grains and Pasta", "Legumes and Legume Products"})


def doubts_of_amount(part: Part, food: FoodEntry | None, kinds: EntryKinds = NO_KINDS) -> Iterator[str]:
    """Why what is counted is not clear from the line alone."""
    if part.shared:
        yield "one amount for several foods, divided evenly"
    if part.divided:
        yield "the line says what becomes of some and of others; all are counted alike"
    if part.amount is not None and (not part.words.isdisjoint(_PER) or _is_rate(part)):
        yield FOR_ONE
    if not part.words.isdisjoint(_LIKENESS) and part.words.isdisjoint(_MEASURING):
        yield "the size that the line compares it with is not weighed"
    if part.drained and not part.words.isdisjoint(_KEPT) and not part.words.isdisjoint(_LIQUIDS):
        yield "what is drained off is kept; nothing of it is counted"
    if SOME_GONE in part.words:
        yield "some of it is not used; all of it is counted"
    if not part.words.isdisjoint(_USED):
        yield "what is used so is hardly eaten; all of it is counted"
    if food is not None and any(asks(part, food, kinds) for asks in _ASKING):
        yield _OF_THE_WHOLE
    if food is not None and (when := _popped(part, food)):
        yield when
    if food is not None and _may_be_weighed_soaked(part, food):
        yield "the line does not say whether it is measured before or after soaking"
    if part.phrases and part.phrases[0].cut:
        yield "pieces of it may be counted, or the whole that is cut into them"


def _is_rate(part: Part) -> bool:
    """Whether an amount is said to be for one of something: "onions (4 g per sausage)"."""
    return "per" in part.words and part.words.isdisjoint(_FOLLOWED)


def _may_be_weighed_soaked(part: Part, food: FoodEntry) -> bool:
    """Whether what is measured is not dry: "1 cup soaked chickpeas", "500 g chickpeas (soaked weight)"."""
    counted = part.amount is None or part.amount.measure is None or part.amount.package is not None
    if counted or not part.phrases or food.group_name not in _SWELLING or "cooked" in food.description:
        return False
    dry = "dried" in part.phrases[0].states
    return not dry and (part.text.startswith("soaked ") or {"soaked", "weight"} <= part.words)


def _is_part_alone(part: Part, food: FoodEntry, kinds: EntryKinds) -> bool:
    """Whether a line wants what the entry is without: "1 pineapple, peel only", "2 beets, leaves only"."""
    if "only" not in part.words or part.taken is not None:
        return False
    first, *facets = food.description.lower().split(", ")
    described = {*first.split(), *(singular(facet) for facet in facets)}  # "Broccoli, stalks, raw"
    above = _ABOVE if food.description.startswith(kinds.under_leaves) else frozenset()
    asked = part.words & (_COVERS | above) - described
    return bool(asked) and " only" not in food.description


def _is_green_of_white(part: Part, food: FoodEntry, kinds: EntryKinds) -> bool:
    """Whether the green is taken of what the publisher has the white of: "green parts of 2 leeks"."""
    del kinds
    own = part.phrases[0].tokens if part.phrases else ()
    return OF_WHITE in food.description and colour_asked(own, "".join(own[-1:]), part.words) == "green"


def _is_leaf_of_whole(part: Part, food: FoodEntry, kinds: EntryKinds) -> bool:
    """Whether leaves are taken of wholes that an entry is of without them: "celery leaves from 4 stalks"."""
    named = bool(part.phrases) and "leaf" in (*part.phrases[0].tokens[-1:], part.phrases[0].piece)
    return named and measure_kind(part.amount) == "piece" and food.description.startswith(kinds.under_leaves)


# What a liquid parts into, and what is said of the one that is not used, or of the one that is.
_PARTED = frozenset({"cream", "solid", "solids", "water", "liquid"})
_SEPARATED = frozenset("discarded discard removed scooped skimmed spooned off only reserved separated drained".split())


def _is_parted(part: Part, food: FoodEntry, kinds: EntryKinds) -> bool:
    """Whether only a part of a liquid that separates is taken: "1 can coconut milk, water discarded"."""
    if not food.description.startswith(kinds.separates):
        return False
    if "discarded" in part.words:  # "(water discarded)"
        return True
    if part.words.isdisjoint(_SEPARATED):
        return False
    return not part.words.difference(_own(part)).isdisjoint(_PARTED)


_ASKING = (_is_part_alone, _is_green_of_white, _is_leaf_of_whole, _is_parted)


def _popped(part: Part, food: FoodEntry) -> str:
    """Why what was measured may not be in the state that is counted: "1/4 cup popcorn, popped"."""
    if "popped" not in part.words or part.amount is None:
        return ""
    before, raw = "popped" in part.text.split(), food.description.startswith("Corn grain")
    if before and raw:
        return "it was measured when it was popped; the figures are of the kernels"
    return "it may have been measured before it was popped" if not (before or raw) else ""


# What is said of a liquid that is drained off and used, and what it is called.
_KEPT = frozenset("reserve reserved reserving save saved saving keep kept keeping".split()) | {"set aside", "save the"}
_LIQUIDS = frozenset("juice juices liquid oil syrup brine water marinade".split())
_OF_THE_WHOLE = "a part of it is asked for; the figures are of the whole"


# ---- the name --------------------------------------------------------------------------------------------------

# What is said of a food that goes beside a dish, so that it is no title of one.
_BESIDE = frozenset({"to", "for serving", "for garnish", "for garnishing", "for the table"})
# What is made of fruit, where a fruit beside another may share the word: "apple/pear syrup".
_MADE_OF_FRUIT = frozenset({"syrup", "jam", "jelly", "marmalade", "chutney", "liqueur", "brandy", "puree", "pie"})
# Words before a food that are no measure.
_UNITS = frozenset({"g", "kg", "ml", "l", "oz", "lb"})
_TELLING = ADJECTIVES | {"whole", "spicy", "chopped", "and"}


def doubts_of_name(
    part: Part, match: Match, food: FoodEntry | None, kinds: EntryKinds = NO_KINDS
) -> Iterator[str]:
    """Why a name that is found may be a title, hold a measure or mean another food."""
    description = food.description if food is not None else ""
    titled = (_is_cooked(part, food, kinds) and not _goes_beside(part)) or match.strange  # "Harbour granola"
    headed = bool(titled) or (part.amount is None and _may_head(part, match, food))
    if part.amount is None and headed and not (part.to_taste or part.optional):
        yield MAY_BE_TITLE
    if part.amount is None and part.text.startswith("all ") and _tells_what_is_done(part):
        yield "it may be said of what other lines count"  # "all onions sliced"
    if food is not None and (remade := _unmet(part, match, description)):
        yield f"the line says '{remade}', which the entry is not"
    if food is not None and food.group_name.startswith("Fruits") and _may_lack_its_head(part):
        yield "the fruit may be one of those that the second food is made of"
    if unread := _may_measure(part, match):
        yield f"{unread!r} may be a measure; pieces were counted"
    if part.amount is not None and (unit := min(match.odd & _UNITS & _own(part), default="")):
        yield f"{unit!r} may be a unit, or belong to the name"  # "2 spoons g/nut oil"
    if _is_part_of(part, match, description):
        yield _OF_THE_WHOLE
    if _is_listed(part):
        yield "the line says what is mixed; the figures are of another mixture"
    if (colour := match.odd & COLOURS) and COLOURS.intersection(description.replace(",", " ").split()) - colour:
        yield f"the line says '{min(colour)}' too"  # "1 red, green pepper"
    if apart := match.odd & part.apart:
        yield f"the line also names '{min(apart)}', of which nothing is counted"
    if "raw" in part.words and description.startswith(kinds.eaten_ripe):
        yield "raw may mean unripe"  # "1 raw banana" of Indian cooks is no dessert banana
    if "freshly grated" in part.words and description.startswith(kinds.root_spices):
        yield "what is grated freshly is the root"
    if "raw" in part.words and description.startswith(kinds.often_dry_cured):
        yield "raw ham may be dry-cured"  # as it is in Europe
    if description.startswith(_BITTER) and {"added", "sugar"} <= part.words:
        yield "what has no added sugar may be sweetened otherwise, and the entry is not sweetened"
    if "carton" in part.words and not _holds(part, "carton") and "canned" in description:
        yield "the line says a carton, the entry is of a can"  # "coconut milk (from a carton)"


_BITTER = "Baking chocolate, unsweetened"


def _tells_what_is_done(part: Part) -> bool:
    """Whether the words that name a food end in what is done to it, with no mark between."""
    return bool(part.phrases) and part.text.split()[-1] in part.phrases[0].preparations


def _may_head(part: Part, match: Match, food: FoodEntry | None) -> bool:
    """Whether a bare capital word of a cook's own language is what dishes are made of, as headings name it: "Papas"."""
    bare = not part.small and len(part.words) <= len({*part.text.split(), *_own(part)}) and " " not in part.text
    regional = match.name is not None and match.name.kind == "regional"
    return bare and regional and food is not None and food.group_name in _BASES


_BASES = frozenset({
    "Cereal Grains and Pasta", "Legumes and Legume Products", "Vegetables and Vegetable Products",
})  # fmt: skip


# What makes another food of one, and the parts of a plant that are no spice of it.
_REMADE = frozenset({"smoked", "powdered", "candied"})
_OF_PLANT = frozenset({"leaf", "leaves", "stalk", "stalks", "stem", "stems"})
_OF_SEED = re.compile(r"Spices, .*\bseed\b|Mustard, prepared")


def _unmet(part: Part, match: Match, description: str) -> str:
    """A word of the line that makes another food of the entry: "salmon, the sort that comes smoked"."""
    seed = _OF_SEED.match(description) is not None
    lost = part.words & _REMADE if not seed else part.words & _OF_PLANT
    if not lost or not part.phrases:
        return ""
    phrase, name = part.phrases[0], match.name.key if match.name is not None else frozenset[str]()
    read = name | phrase.states if seed else name | phrase.states | frozenset(phrase.tokens)
    return next((word for word in sorted(lost - read) if word[:4] not in description.lower()), "")


def _own(part: Part) -> frozenset[str]:
    """The words of the counted phrase."""
    return frozenset(part.phrases[0].tokens) if part.phrases else frozenset()


def _is_cooked(part: Part, food: FoodEntry | None, kinds: EntryKinds) -> bool:
    """Whether a food is of those that recipes are named by, as the line writes it."""
    if food is not None and food.description.startswith(kinds.often_made):
        return not part.small
    if food is None or food.group_name not in DISHES or food.description.startswith(kinds.only_bought):
        return False
    bought = food.description.startswith(kinds.often_bought) and not food.description.startswith(kinds.often_baked)
    sliced = bool(part.phrases) and "sliced" in part.phrases[0].preparations  # "White sliced bread"
    return not (bought and (part.small or sliced))


def _goes_beside(part: Part) -> bool:
    """Whether the line says what the food is for: "to scoop", "for mopping up"."""
    if not part.words.isdisjoint(_BESIDE):
        return True
    return any(word.startswith("for ") and word.endswith("ing") for word in part.words) or (
        "for" in part.words and any(word.endswith("ing") for word in part.words)
    )


def _is_part_of(part: Part, match: Match, description: str) -> bool:
    """Whether a line names a part of a food that neither its name nor the entry has: "tops of 4 leeks"."""
    last = part.phrases[0].tokens[-1] if part.phrases else ""
    if last not in _CUT_OFF or (match.name is not None and match.name.form.split()[-1:] == [last]):
        return False
    return last not in map(singular, description.lower().replace(",", "").split())


def _is_listed(part: Part) -> bool:
    """Whether a bracket says what is mixed: "mixed vegetables (carrots, cauliflower, broccoli)"."""
    phrase = part.phrases[0] if part.phrases else None
    return phrase is not None and "mixed" in phrase.tokens and len(set(phrase.glosses)) > 1


# What grows on a food, around it or in it, and names it seldom.
_CUT_OFF = frozenset({
    "top", "core", "stem", "husk", "shell", "trimming", "scrap", "skin", "peel", "stone", "pit", "pip", "bone",
})  # fmt: skip


def _may_lack_its_head(part: Part) -> bool:
    """Whether a fruit is counted before an alternative of two words, whose last says what is made of it."""
    if len(part.phrases) < 2 or len(part.phrases[1].tokens) < 2 or part.phrases[1].amount is not None:
        return False
    return part.phrases[1].tokens[-1] in _MADE_OF_FRUIT - set(part.phrases[0].tokens)


def _may_measure(part: Part, match: Match) -> str:
    """A word that the entry lacks between a number and the food, which may be what is counted: "6 ser potatoes"."""
    if part.amount is None or part.amount.measure is not None or not part.phrases:
        return ""
    return min(match.strange.intersection(part.phrases[0].tokens) - _TELLING, default="")


def _holds(part: Part, measure: str) -> bool:
    return part.amount is not None and part.amount.measure == measure
