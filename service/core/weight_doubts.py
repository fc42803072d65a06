"""Why a weight may be of another piece, package or state of the food than the line means, or of another food.

Each doubt is a sentence for `reasons`; one is enough that somebody has to look.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from service.core.amount import LENGTHS, Amount
from service.core.food import FoodEntry
from service.core.mass_weight import IN_RIND_WHEN, SHELLED_WHEN
from service.core.measure import measure_kind
from service.core.package_weight import OF_EACH_OR_ALL, OF_WHICH, UNDRAINED
from service.core.part import Part
from service.core.piece_size import SHAVED
from service.core.piece_weight import ANY_FOOD, PIECES_DIFFER
from service.core.said_twice import CONTRADICTING, DISAGREEING, OF_PIECE_OR_ALL
from service.core.sisters import WITH_SKIN
from service.core.volume_weight import ROWS_DIFFER, VESSELS_DIFFER
from service.core.weighed_line import GramWeight

# Reasons of a weight that differs from shelf to shelf or from house to house.
_DIFFERING = (
    CONTRADICTING, DISAGREEING, ROWS_DIFFER, VESSELS_DIFFER, OF_EACH_OR_ALL, OF_PIECE_OR_ALL, OF_WHICH,
    SHELLED_WHEN, UNDRAINED, IN_RIND_WHEN, PIECES_DIFFER, SHAVED,
)  # fmt: skip


def doubts_of_weight(part: Part, weight: GramWeight, food: FoodEntry | None) -> list[str]:
    """Every doubt about the weight of a part that was taken to be a food."""
    return [
        *_doubts_of_pieces(part, weight, food),
        *_doubts_of_cooking(part, weight, food),
        *_doubts_of_so_much(part, weight, food),
    ]


def may_differ(weight: GramWeight) -> bool:
    """Whether what was weighed differs from shelf to shelf or from house to house, as the weight itself says."""
    unsure = weight.rule.startswith(("package default", ANY_FOOD))
    return unsure or any(reason.startswith(_DIFFERING) for reason in weight.reasons)


# ---- pieces and packages ---------------------------------------------------------------------------------------

# What is sold in these by the piece comes in several sizes.
_SIZED = frozenset({"can", "tube", "jar"})
# How SR28 describes the breasts of chickens, which lines may mean by both halves.
_BREASTS = ("Chicken, broilers or fryers, breast, ", "Chicken, broiler or fryers, breast, ")
# Jelly to spread is sold in jars; by the packet or block it is a dessert.
_JELLY, _PACKED = "Jellies", frozenset({"package", "packet", "block", "sachet", "cube", "box"})
# A piece that may weigh so many times as much as another, and so many grams more, is asked for.
_APART = ((4.5, 150.0), (12.0, 30.0))
# So many small ones may be of a small kind: "8 small eggplants", but not "1 small eggplant".
_SEVERAL = 4.0
# Groups whose foods are bought whole and served by the slice.
_SLICED = frozenset({"Baked Products", "Dairy and Egg Products"})
# How a publisher measures a cake: "1 piece (1/12 of 16 oz cake) = 38 g".
_OF_A_WHOLE = re.compile(r"1 piece \(1/\d")
# From this weight on, in grams, a fruit or vegetable is often used in part: "1 piece of daikon", but "1 piece carrot".
_USED_IN_PART = 250.0


def _doubts_of_pieces(part: Part, weight: GramWeight, food: FoodEntry | None) -> Iterator[str]:
    """Why a piece may weigh something else, or a package hold something else."""
    food_group, description = (food.group_name, food.description) if food is not None else ("", "")
    held = part.amount.package if part.amount is not None and part.amount.measure in _SIZED else None
    if held is not None and held.measure is None:
        yield "the pieces that it holds may be of another size"
    if part.amount is not None and _is_of_any_size(part.amount, weight):
        yield "one of it may weigh several times as much as another"
    if _is_slice_unsaid(part, weight, food_group):
        yield "one of it was taken for a slice"
    if part.amount is not None and _is_slice_measured(part, part.amount, weight):
        yield "slices of that thickness may weigh otherwise"
    if part.amount is not None and _is_of_any_sheet(part.amount, weight):
        yield "sheets of it are sold in other sizes elsewhere"
    if part.amount is not None and part.amount.measure in _PACKED and description == _JELLY:
        yield "what is sold so may be set with gelatine"
    if description.startswith(_BREASTS) and "whole" in part.words and _is_counted(part.amount):
        yield "a whole breast may be both its halves"
    if food is not None and part.amount is not None and _may_be_tinned(part, part.amount, food):
        yield "it may be out of a tin"
    if part.drained and held is not None and weight.basis == "the package size is stated":
        yield "no table says how much of its contents is poured off"
    if _may_be_a_part(part, weight, food_group):
        yield "a piece of it may be a part; a whole one was counted"
    if _is_of_small_kind(part, weight, food_group):
        yield "they are called small ones; those of the usual size were counted"


def _may_be_tinned(part: Part, amount: Amount, food: FoodEntry) -> bool:
    """Whether a raw food is drained, or packed as tins are: "15 oz beans, drained", "2 x 400 g chickpeas"."""
    if not _RAW.search(food.description) or food.description.startswith(_CURDS):
        return False
    pulse = food.group_name == _PULSES
    if part.drained and measure_kind(amount) in ("weight", "cup"):
        return part.words.isdisjoint(_WET) and (pulse or "rinsed" not in part.words)
    size = amount.package if amount.measure is None else None
    if size is None or not (pulse or food.description.startswith(_TINNED)):
        return False
    least, most = _TIN_SIZES.get(size.measure or "", (0.0, 0.0))
    return least <= size.middle <= most


_RAW = re.compile(r", raw\b")
_TINNED, _CURDS = ("Tomatoes", "Corn, sweet"), ("Tofu", "Tempeh")
_TIN_SIZES = {"g": (380.0, 430.0), "oz": (14.0, 16.0)}
# What is drained after that was no tin's.
_WET = frozenset("washed soaked blanched boiled cooked salted thawed squeezed parboiled scalded brined".split())


def _is_slice_measured(part: Part, amount: Amount, weight: GramWeight) -> bool:
    """Whether slices are counted, of which the line says how thick they are: "2 slices ham, 1/2 inch thick"."""
    if amount.measure != "slice" or not weight.rule.startswith(("household measure", "piece default")):
        return False
    told = amount.also is not None and amount.also.measure in LENGTHS
    # "4 thick slices" are large ones, "thick cut" is how bacon is sold
    return told or ("thick" in part.words and "cut" not in part.words and not amount.size)


def _is_of_any_size(amount: Amount, weight: GramWeight) -> bool:
    """Whether a piece was counted that may be many times another one: "1 breadfruit", "1 garlic", a clove or a head."""
    told = amount.size and (amount.low < _SEVERAL or not weight.rule.startswith("piece default"))
    if amount.combined or told or not weight.rule.startswith(("household measure", "piece default")):
        return False
    if not weight.low or weight.high is None or amount.low <= 0:
        return False
    least, most = weight.low / amount.low, weight.high / amount.high
    if amount.measure in LENGTHS:  # of a root as thick as an arm, or as a thumb
        least, most = weight.low, weight.high
    return any(most >= times * least and most - least >= grams for times, grams in _APART)


# Sheets that weigh so many grams and more are of pastry, which each region sells in sizes of its own.
_LEAST_SHEET, _SHEETS_APART = 100.0, 2.0


def _is_of_any_sheet(amount: Amount, weight: GramWeight) -> bool:
    """Whether sheets were weighed by what is sold, which differs from region to region: "2 sheets puff pastry"."""
    if amount.measure != "sheet" or amount.combined or not weight.rule.startswith("piece default"):
        return False
    if weight.low is None or weight.high is None or amount.low <= 0:
        return False
    least, most = weight.low / amount.low, weight.high / amount.high
    return least >= _LEAST_SHEET and most >= _SHEETS_APART * least


def _is_slice_unsaid(part: Part, weight: GramWeight, food_group: str) -> bool:
    """Whether a slice stands in for a loaf or cheese that is only counted: "1 rye bread"."""
    if food_group not in _SLICED or "slice" in part.words:
        return False
    counted = part.amount is not None and part.amount.measure is None and part.amount.package is None
    return counted and (weight.basis.startswith("1 slice") or _OF_A_WHOLE.match(weight.basis) is not None)


def _may_be_a_part(part: Part, weight: GramWeight, food_group: str) -> bool:
    """Whether "a piece" of a large fruit or vegetable was counted as a whole one."""
    if part.amount is None or part.amount.measure != "piece" or not part.amount.low == part.amount.high == 1:
        return False
    grown = food_group.startswith(("Vegetables", "Fruits"))
    counted = weight.rule.startswith(("household measure", "piece default"))
    return grown and counted and (weight.value or 0.0) >= _USED_IN_PART


_SMALL_KINDS = frozenset({"baby", "mini", "miniature", "bite"})


def _is_of_small_kind(part: Part, weight: GramWeight, food_group: str) -> bool:
    """Whether pieces are called small ones, of which the publisher says nothing: "6 bite-size potatoes"."""
    if not food_group.startswith(("Vegetables", "Fruits")) or not _is_counted(part.amount):
        return False
    named = any(not _SMALL_KINDS.isdisjoint(phrase.tokens) for phrase in part.phrases[:1])
    return named and weight.rule.startswith("household measure") and "baby" not in weight.basis.lower()


# ---- cooking ---------------------------------------------------------------------------------------------------

# Groups whose foods weigh another amount when they are cooked: they take up water, or lose it with their fat.
_CHANGED_BY_COOKING = frozenset({
    "Breakfast Cereals", "Cereal Grains and Pasta", "Legumes and Legume Products", "Beef Products", "Pork Products",
    "Poultry Products", "Lamb, Veal, and Game Products", "Sausages and Luncheon Meats",
})  # fmt: skip
# What holds a serving: nobody says whether of the dry or of the cooked food.
_BOWLS = frozenset({"bowl", "plate"})
_UNCOOKED = frozenset({"dry", "raw", "uncooked"})
# What says in which state it was weighed.
_TOLD = frozenset({"leftover", "weighed", "weight", "pre", "preboiled"})
_HALF_COOKED = frozenset({"half cooked", "par cooked", "parcooked", "partcooked", "undercooked"})
# Seeds that swell to twice their weight and more.
_PULSES = "Legumes and Legume Products"


def _doubts_of_cooking(part: Part, weight: GramWeight, food: FoodEntry | None) -> Iterator[str]:
    """Why a weight may be of the food in another state than that of its entry."""
    food_group = food.group_name if food is not None else ""
    if part.dried_later and part.amount is not None and measure_kind(part.amount) != "piece":
        yield "it may have been weighed after it was dried"
    if food is not None and (other := _other_than_fresh(part, food)):
        yield f"the line says that it is fresh, and the entry is {other}"
    if weight.value is None or food_group not in _CHANGED_BY_COOKING or part.amount is None:
        return
    uncooked = food is not None and not _UNCOOKED.isdisjoint(food.description.replace(",", " ").split())
    if part.amount.measure in _BOWLS and uncooked:
        yield "a bowl of it may be of the cooked food"
    grown = food_group.startswith(("Cereal", "Legumes", "Breakfast"))
    # Nobody fills cups with raw meat: "2 cups chicken, cooked and chopped" are of the cooked
    asked = ("spoon", "cup", "weight") if grown else ("weight",)
    weighed = part.amount.package is not None or measure_kind(part.amount) in asked
    pressed = food_group == _PULSES and "pressure" in part.words  # "1/2 cup toor dal, pressure cooked"
    if pressed or (part.cooked_later and weighed and _TOLD.isdisjoint(part.words)):
        yield "it may have been weighed before it was cooked"
    if grown and any(f"{word} weight" in part.words for word in _HALF_COOKED):
        yield "what is half cooked weighs more than what is dry and less than what is cooked"


def _other_than_fresh(part: Part, food: FoodEntry) -> str:
    """What an entry is of a vegetable or pulse that the line calls fresh: "fresh kidney beans"."""
    if part.words.isdisjoint(_CALLED_FRESH):
        return ""
    if food.group_name == _PULSES and "fresh" in part.words and "mature seeds, raw" in food.description:
        return "dried"
    said = set(food.description.lower().replace(",", " ").split())
    grown = food.group_name.startswith("Vegetables") and "raw" not in said
    return "cooked" if grown and not said.isdisjoint(_COOKED_OR_CANNED) else ""


_CALLED_FRESH = frozenset({"fresh", "raw", "uncooked"})
_COOKED_OR_CANNED = frozenset({"cooked", "boiled", "canned"})


# ---- so much of it ---------------------------------------------------------------------------------------------

# More grams of yeast than two sachets are of the fresh one, unless it is called dry.
_YEAST, _MOST_YEAST = "Leavening agents, yeast, baker's, active dry", 15.0
_CALLED_DRY = frozenset({"dry", "active", "instant", "fast", "quick", "rapid", "easy"})
# Nobody stirs more grams of a dried spice into a dish; so much of it may be the fresh plant.
_MOST_SPICE = 250.0
# Nor so many grams of a snack that shares its name with the raw skin.
_RIND, _MOST_RIND = "Snacks, pork skins", 300.0
_PREPARED_RAW = frozenset("singed scraped scalded soaked boiled blanched simmered braised raw".split())
# So many small onions are button onions, of which two or three weigh as much as one.
_ONIONS, _MOST_ONIONS = "Onions, raw", 12
# So many pieces of one food nobody counts: "200 mushrooms" are 200 g.
_MOST_PIECES, _COUNTED = 100, frozenset({None, "piece", "fillet"})
# So many grams nobody buys in packages for a dish.
_MOST_PACKED = 10_000.0


def _doubts_of_so_much(part: Part, weight: GramWeight, food: FoodEntry | None) -> Iterator[str]:
    """Why so much of a food may be another one, and where nothing is known of its weight."""
    description, grams = food.description if food is not None else "", weight.value or 0.0
    if description.startswith("Spices,") and grams > _MOST_SPICE:
        yield "so much of a dried spice may mean another food"
    if _is_with_leaves(part, weight, food):
        yield "it may have been weighed with its leaves"
    if {"meat", "only"} <= part.words and food is not None and _is_with_more(food):
        yield "only its meat may have been weighed"
    if part.as_purchased and weight.basis == "the weight is stated" and (lost := _unknown_loss(part, food)):
        yield f"no table says how much of it is {lost}"
    if _is_leaves_of_bunch(part, weight):
        yield "the bunch is weighed with its stems, and only leaves are used"
    if description.startswith(_RIND) and (grams > _MOST_RIND or not _PREPARED_RAW.isdisjoint(part.words)):
        yield "it may be the raw skin"
    if description == _ONIONS and part.amount is not None and _are_small(part.amount):
        yield "so many small onions may be button onions"
    if part.amount is not None and part.amount.package is not None and grams > _MOST_PACKED:
        yield "so much is rarely bought in packages: the first number may count something else"
    if part.amount is not None and _may_be_grams(part.amount):
        yield "so many are rarely counted: the number may be grams"
    if part.amount is not None and _may_be_ready(part, part.amount, description):
        yield "the figures are of a condensed soup, and it may be one that is ready to eat"
    if part.amount is not None and _may_be_made_up(part, part.amount, description):
        yield "the figures are of it as sold, and it may be measured as prepared"
    if description == _YEAST and grams >= _MOST_YEAST and not _is_called_dry(part):
        yield "so much yeast may be fresh yeast"
    if description.startswith(_INSTANT) and grams > _MOST_INSTANT:
        yield "so much of it may be the drink made with it"
    if part.amount is not None and weight.value is None:
        yield "no weight is known for this amount"


_LEAVES_ON, _LEAVES = frozenset({"tops", "greens", "fronds"}), frozenset({"top", "green", "leaf", "frond"})


def _is_with_more(food: FoodEntry) -> bool:
    """Whether an entry has more on it than meat, or is of what is weighed with more."""
    return WITH_SKIN in food.description or (food.refuse_percent > 0 and "meat" not in food.description)


def _may_be_ready(part: Part, amount: Amount, description: str) -> bool:
    """Whether soup is measured that is sold condensed in tins, of which the line says neither: "1 cup lentil soup"."""
    if "condensed" not in description or "oup" not in description or not _CONDENSED.isdisjoint(part.words):
        return False
    least, most = _SOUP_TINS.get(amount.package.measure or "", (0.0, 0.0)) if amount.package is not None else (0.0, 0.0)
    return amount.measure not in _SIZED if amount.package is None else not least <= amount.package.middle <= most


def _may_be_made_up(part: Part, amount: Amount, description: str) -> bool:
    """Whether what is sold dry or concentrated is said to be prepared: "1 cup gravy from dry mix, prepared"."""
    sold_so = description.endswith(_SOLD_DRY) or "undiluted" in description
    return sold_so and amount.measure not in _SPOONS and not part.words.isdisjoint(_MADE_UP)


_SOLD_DRY = (", dry", ", dry mix", ", powder", ", dry form", ", instant", ", dried")
_MADE_UP = frozenset({"diluted", "prepared", "reconstituted"})
_SPOONS = frozenset({"tsp", "tbsp", "dsp"})
# The tin of condensed soup, 10 1/2 to 10 3/4 oz in the US, 295 g in the UK, 284 ml in Canada (common practice).
_SOUP_TINS = {"oz": (10.0, 11.0), "g": (280.0, 310.0), "ml": (280.0, 300.0), "fl oz": (10.0, 11.0)}
_CONDENSED = frozenset({"condensed", "undiluted", "concentrated", "concentrate"})
# More instant coffee or tea than a recipe for many takes.
_INSTANT, _MOST_INSTANT = ("Beverages, coffee, instant", "Beverages, tea, instant"), 16.0


def _is_with_leaves(part: Part, weight: GramWeight, food: FoodEntry | None) -> bool:
    """Whether a root may have been weighed with what grows on it: "1 lb carrots with tops"."""
    grown = food is not None and food.group_name.startswith("Vegetables")
    said = not part.words.isdisjoint(_LEAVES_ON) and part.words.isdisjoint({"trimmed", "removed", "off", "without"})
    named = any(not _LEAVES.isdisjoint(phrase.tokens) for phrase in part.phrases)  # "beet greens"
    return said and not named and grown and weight.rule == "stated mass"


def _is_leaves_of_bunch(part: Part, weight: GramWeight) -> bool:
    """Whether only the leaves are used of a bunch that is weighed with its stems: "1 bunch kale, leaves only"."""
    bunch = part.amount is not None and part.amount.measure == "bunch" and "stem" not in weight.basis
    return bunch and not part.words.isdisjoint({"leaf", "leaves"}) and not part.words.isdisjoint(_CHOSEN)


def _unknown_loss(part: Part, food: FoodEntry | None) -> str | None:
    """What no one eats of an animal or a nut that is weighed with it; the "shell" of psyllium is the food."""
    lost = part.words & _LOST if food is not None and food.group_name.startswith(_WITH_BONE_OR_SHELL) else ()
    return min(lost, default=None)


_LOST = frozenset({"bone", "shell"})
_WITH_BONE_OR_SHELL = ("Finfish", "Beef", "Pork", "Poultry", "Lamb", "Nut", "Dairy and Egg")
_CHOSEN = frozenset({"only", "just", "picked", "stripped", "plucked"})


def _are_small(amount: Amount) -> bool:
    """Whether onions are counted as small ones, and too many for a dish."""
    return _is_counted(amount) and amount.size == "small" and amount.low >= _MOST_ONIONS


def _may_be_grams(amount: Amount) -> bool:
    alone = amount.also is None and amount.package is None
    return alone and amount.measure in _COUNTED and amount.low >= _MOST_PIECES


def _is_counted(amount: Amount | None) -> bool:
    """Whether pieces are counted, and nothing else says what they weigh."""
    return amount is not None and amount.measure in (None, "piece") and amount.also is None and amount.package is None


def _is_called_dry(part: Part) -> bool:
    """Whether a line that means dry yeast says so."""
    said = part.words.union(*(phrase.tokens for phrase in part.phrases))
    return "dried" in said.union(*(phrase.states for phrase in part.phrases)) or not said.isdisjoint(_CALLED_DRY)
