"""Which of several entries stands for a line, and how sure that is: the outcome of a part.

Confidence comes from separate questions, not from a score: is it an ingredient, is every food noun accounted
for, is a generic noun only a default, is the state met, is the spelling certain, is the weight known.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from service.core.amount import LENGTHS, Amount
from service.core.food import FoodEntry
from service.core.food_match import DISHES, Match
from service.core.mass_weight import SHELLED_WHEN
from service.core.measure import measure_kind
from service.core.noun_phrase import ADJECTIVES
from service.core.package_weight import OF_EACH_OR_ALL
from service.core.part import Part
from service.core.piece_weight import ANY_FOOD
from service.core.said_twice import CONTRADICTING, DISAGREEING
from service.core.volume_weight import VESSELS_DIFFER
from service.core.weighed_line import GramWeight

Outcome = Literal["resolved", "check", "no_match", "not_food"]

# From this confidence on nobody has to look; measured on the readable gold lines (tests/benchmarks/lines.py).
SURE = 0.85
FAIR = 0.2
# The weakest part decides the line.
ORDER: dict[str, int] = {"no_match": 0, "check": 1, "resolved": 2, "not_food": 3}


@dataclass(frozen=True, slots=True)
class Choice:
    """The outcome of a part with its confidence in the food and the reasons in plain words."""

    outcome: Outcome
    confidence: float
    reasons: tuple[str, ...]


# Entries among dishes whose names head no recipe: they are only bought.
_ONLY_BOUGHT = (
    "Leavening agents,", "Bread crumbs,", "Gravy, brown instant, dry", "Sauce, worcestershire", "Sauce, fish,",
    "Sauce, oyster,", "Sauce, hoisin,", "Sauce, ready-to-serve, pepper", "Sauce, hot chile, sriracha",
)  # fmt: skip
# Those that cooks buy or make, and that stand in a list oftener than over one: a title has its capital letters.
_OFTEN_BOUGHT = (
    "Bread,", "Rolls,", "Tortillas,", "Crackers,", "Croutons,", "Puff pastry,", "Phyllo dough", "Pie crust,", "Sauce,",
    "Gravy,", "Soup, stock,", "Soup, beef broth", "Soup, chicken broth", "Soup, vegetable broth", "Soup, bouillon",
)  # fmt: skip

_OFTEN_BAKED = ("Bread, cornbread", "Bread, banana")


# What is made of fruit, where a fruit beside another may share the word: "apple/pear syrup".
_MADE_OF_FRUIT = frozenset({"syrup", "jam", "jelly", "marmalade", "chutney", "liqueur", "brandy", "puree", "pie"})


def _may_lack_its_head(part: Part) -> bool:
    """Whether a fruit is counted before an alternative of two words, whose last says what is made of it."""
    if len(part.phrases) < 2 or len(part.phrases[1].tokens) < 2 or part.phrases[1].amount is not None:
        return False
    return part.phrases[1].tokens[-1] in _MADE_OF_FRUIT - set(part.phrases[0].tokens)


def _is_cooked(part: Part, food: FoodEntry | None) -> bool:
    """Whether a food is of those that recipes are named by, as the line writes it."""
    if food is None or food.group_name not in DISHES or food.description.startswith(_ONLY_BOUGHT):
        return False
    bought = food.description.startswith(_OFTEN_BOUGHT) and not food.description.startswith(_OFTEN_BAKED)
    sliced = bool(part.phrases) and "sliced" in part.phrases[0].preparations  # "White sliced bread"
    return not (bought and (part.small or sliced))


# Fruits that are vegetables before they are ripe; nobody else calls them raw.
_EATEN_RIPE = ("Bananas, raw", "Mangos, raw", "Papayas, raw", "Jackfruit, raw")
# Seeds that swell to twice their weight and more.
_PULSES = "Legumes and Legume Products"
# What an amount is counted by where it is not of the whole recipe.
_PER = frozenset(
    {"per person", "per serving", "per portion", "per plate", "per bowl", "per head", "per guest", "for each"}
)


# What cooks follow or please, and count nothing by: "cooked per package directions", "as per taste".
_FOLLOWED = frozenset(
    "package packet box label bag directions direction instructions instruction manufacturer recipe taste choice "
    "liking preference need requirement required".split()
)


def _is_rate(part: Part) -> bool:
    """Whether an amount is said to be for one of something: "onions (4 g per sausage)"."""
    return "per" in part.words and part.words.isdisjoint(_FOLLOWED)


def _says_serving(part: Part) -> bool:
    """Whether servings are counted, which are as large as their writer makes them: "8 servings shortcrust pastry"."""
    return bool(part.phrases) and "serving" in part.phrases[0].tokens


# A comparison that no table weighs, unless it is with what a piece is measured by anyhow.
_LIKENESS, _MEASURING = frozenset({"the size of", "size of"}), frozenset({"thumb", "finger"})


# Words before a food that are no measure.
_TELLING = ADJECTIVES | {"whole", "spicy", "chopped", "and"}


# Groups whose foods are bought whole and served by the slice.
_SLICED = frozenset({"Baked Products", "Dairy and Egg Products"})
# How a publisher measures a cake: "1 piece (1/12 of 16 oz cake) = 38 g".
_OF_A_WHOLE = re.compile(r"1 piece \(1/\d")


# What is used beyond the amount that a line states.
_MORE = frozenset({"plus extra", "plus more", "and more"})

# What is said of a food that goes beside a dish, so that it is no title of one.
_BESIDE = frozenset({"to serve", "for serving", "to garnish", "for garnish", "for garnishing"})

# More grams of yeast than two sachets are of the fresh one, unless it is called dry.
_YEAST, _MOST_YEAST = "Leavening agents, yeast, baker's, active dry", 15.0
_CALLED_DRY = frozenset({"dry", "active", "instant", "fast", "quick", "rapid", "easy"})

# A piece that may weigh so many times as much as another, and so many grams more, is asked for.
_APART = ((4.5, 150.0), (12.0, 30.0))

# Jelly to spread is sold in jars; by the packet or block it is a dessert.
_JELLY, _PACKED = "Jellies", frozenset({"package", "packet", "block", "sachet", "cube", "box"})

# Nobody stirs more grams of a dried spice into a dish; so much of it may be the fresh plant.
_MOST_SPICE = 250.0
# So many small onions are button onions, of which two or three weigh as much as one.
_ONIONS, _MOST_ONIONS = "Onions, raw", 12
# Nor so many grams of a snack that shares its name with the raw skin.
_RIND, _MOST_RIND = "Snacks, pork skins", 300.0


def choose(part: Part, match: Match, weight: GramWeight | None, food: FoodEntry | None = None) -> Choice:
    """Decide the outcome of a part from its match, and the weight of its food."""
    if not match.found or match.confidence < FAIR:
        return Choice("no_match", 0.0, match.reasons or ("the tables have no fair entry",))
    doubts = [*_doubts_of_amount(part, food), *_doubts_of_name(part, match, food)]
    if food is not None and _is_of_a_carton(part, food):
        doubts.append("the line says a carton, the entry is of a can")
    more = _MORE & part.words if part.amount is not None else frozenset()
    said = (*doubts, *(f"{word!r} has no amount: what it adds is not counted" for word in sorted(more)[:1]))
    if weight is not None:
        weighed = [
            *_doubts_of_pieces(part, weight, food),
            *_doubts_of_cooking(part, weight, food),
            *_doubts_of_so_much(part, weight, food),
        ]
        doubts += weighed
        said = (*said, *weight.reasons, *weighed)
    sure = match.confidence >= SURE and match.certain and not (weight is not None and _may_differ(weight))
    outcome: Outcome = "resolved" if sure and not doubts else "check"
    return Choice(outcome, round(match.confidence, 4), (*match.reasons, *said))


def _doubts_of_amount(part: Part, food: FoodEntry | None) -> Iterator[str]:
    """Why what is counted is not clear from the line alone."""
    if part.shared:
        yield "one amount for several foods, divided evenly"
    if part.divided:
        yield "the line says what becomes of some and of others; all are counted alike"
    if part.amount is not None and (not part.words.isdisjoint(_PER) or _is_rate(part)):
        yield "the amount is for one; the line does not say for how many"
    if part.amount is not None and part.amount.measure is None and _says_serving(part):
        yield "a serving of it is not weighed; pieces were counted"
    if not part.words.isdisjoint(_LIKENESS) and part.words.isdisjoint(_MEASURING):
        yield "the size that the line compares it with is not weighed"
    if food is not None and _is_part_alone(part, food):
        yield "a part of it is asked for; the figures are of the whole"
    if food is not None and _may_be_weighed_soaked(part, food):
        yield "the line does not say whether it is measured before or after soaking"
    if part.phrases and part.phrases[0].cut:
        yield "pieces of it may be counted, or the whole that is cut into them"


# What lies around the flesh that an entry is of; what grows above a root that is eaten.
_COVERS = frozenset({"peel", "skin", "rind", "shell", "husk", "stalk", "root", "core", "top"})
_ABOVE = frozenset({"leaf", "leave", "leaves", "green", "top", "frond"})
_ROOTS = ("Beets,", "Radishes,", "Turnips,", "Carrots,", "Kohlrabi,", "Celeriac,", "Celery,", "Fennel,", "Cauliflower,")


# Groups whose foods weigh two or three times as much when they are soaked.
_SWELLING = frozenset({"Cereal Grains and Pasta", "Legumes and Legume Products"})


def _may_be_weighed_soaked(part: Part, food: FoodEntry) -> bool:
    """Whether what is measured is not dry: "1 cup soaked chickpeas", "500 g chickpeas (soaked weight)"."""
    counted = part.amount is None or part.amount.measure is None or part.amount.package is not None
    if counted or not part.phrases or food.group_name not in _SWELLING or "cooked" in food.description:
        return False
    dry = "dried" in part.phrases[0].states
    return not dry and (part.text.startswith("soaked ") or {"soaked", "weight"} <= part.words)


def _is_part_alone(part: Part, food: FoodEntry) -> bool:
    """Whether a line wants what the entry is without: "1 pineapple, peel only", "2 beets, leaves only"."""
    described = frozenset(food.description.lower().partition(",")[0].split())
    asked = part.words & (_COVERS | (_ABOVE if food.description.startswith(_ROOTS) else frozenset())) - described
    return "only" in part.words and part.taken is None and bool(asked) and " only" not in food.description


def _doubts_of_name(part: Part, match: Match, food: FoodEntry | None) -> Iterator[str]:
    """Why a name that is found may be a title, hold a measure or be of a food before it was cooked."""
    group = food.group_name if food is not None else ""
    if part.amount is not None and "pressure" in part.words and group == _PULSES:
        yield "it may have been measured before it was cooked"  # "1/2 cup toor dal, pressure cooked"
    titled = (_is_cooked(part, food) and part.words.isdisjoint(_BESIDE)) or match.strange  # "Harbour granola"
    if part.amount is None and titled and not (part.to_taste or part.optional):
        yield "the line states no amount and may be a title"
    if food is not None and food.group_name.startswith("Fruits") and _may_lack_its_head(part):
        yield "the fruit may be one of those that the second food is made of"
    if unread := _may_measure(part, match):
        yield f"{unread!r} may be a measure; pieces were counted"


# What is sold in these by the piece comes in several sizes.
_PACKED = frozenset({"can", "tube", "jar"})


def _doubts_of_pieces(part: Part, weight: GramWeight, food: FoodEntry | None) -> Iterator[str]:
    """Why a piece may weigh something else, or a package hold something else."""
    food_group, description = (food.group_name, food.description) if food is not None else ("", "")
    held = part.amount.package if part.amount is not None and part.amount.measure in _PACKED else None
    if held is not None and held.measure is None:
        yield "the pieces that it holds may be of another size"
    if part.amount is not None and _is_of_any_size(part.amount, weight):
        yield "one of it may weigh several times as much as another"
    if _is_slice_unsaid(part, weight, food_group):
        yield "one of it was taken for a slice"
    if part.amount is not None and part.amount.measure in _PACKED and description == _JELLY:
        yield "what is sold so may be set with gelatine"
    if _may_be_a_part(part, weight, food_group):
        yield "a piece of it may be a part; a whole one was counted"


# Groups whose foods weigh another amount when they are cooked: they take up water, or lose it with their fat.
_CHANGED_BY_COOKING = frozenset({
    "Breakfast Cereals", "Cereal Grains and Pasta", "Legumes and Legume Products", "Beef Products", "Pork Products",
    "Poultry Products", "Lamb, Veal, and Game Products", "Sausages and Luncheon Meats",
})  # fmt: skip
# What holds a serving: nobody says whether of the dry or of the cooked food.
_BOWLS = frozenset({"bowl", "plate"})
_UNCOOKED = frozenset({"dry", "raw", "uncooked"})
# What says in which state it was weighed.
_TOLD = frozenset({"leftover", "weighed", "weight"})
_HALF_COOKED = frozenset({"half cooked", "par cooked", "parcooked", "partcooked", "undercooked"})


def _doubts_of_cooking(part: Part, weight: GramWeight, food: FoodEntry | None) -> Iterator[str]:
    """Why a weight may be of the food in another state than that of its entry."""
    food_group = food.group_name if food is not None else ""
    if weight.value is None or food_group not in _CHANGED_BY_COOKING or part.amount is None:
        return
    uncooked = food is not None and not _UNCOOKED.isdisjoint(food.description.replace(",", " ").split())
    if part.amount.measure in _BOWLS and uncooked:
        yield "a bowl of it may be of the cooked food"
    weighed = part.amount.package is not None or measure_kind(part.amount) in ("spoon", "cup", "weight")
    if part.cooked_later and weighed and _TOLD.isdisjoint(part.words):
        yield "it may have been weighed before it was cooked"
    grown = food_group.startswith(("Cereal", "Legumes"))
    if grown and any(f"{word} weight" in part.words for word in _HALF_COOKED):
        yield "what is half cooked weighs more than what is dry and less than what is cooked"


def _doubts_of_so_much(part: Part, weight: GramWeight, food: FoodEntry | None) -> Iterator[str]:
    """Why so much of a food or a fruit so called may be another one, and where nothing is known of its weight."""
    description, grams = food.description if food is not None else "", weight.value or 0.0
    if description.startswith("Spices,") and grams > _MOST_SPICE:
        yield "so much of a dried spice may mean another food"
    if description.startswith(_RIND) and grams > _MOST_RIND:
        yield "so much of it may be the raw skin"
    if description == _ONIONS and part.amount is not None and _are_small(part.amount):
        yield "so many small onions may be button onions"
    if description == _YEAST and grams >= _MOST_YEAST and not _is_called_dry(part):
        yield "so much yeast may be fresh yeast"
    if "raw" in part.words and description.startswith(_EATEN_RIPE):
        yield "raw may mean unripe"  # "1 raw banana" of Indian cooks is no dessert banana
    if part.amount is not None and weight.value is None:
        yield "no weight is known for this amount"


def _is_of_a_carton(part: Part, food: FoodEntry) -> bool:
    """Whether a drink of cartons was read as what tins hold under its name: "coconut milk (from a carton)"."""
    held = part.amount.measure if part.amount is not None else None
    return "carton" in part.words and held != "carton" and "canned" in food.description
_DIFFERING = (CONTRADICTING, DISAGREEING, VESSELS_DIFFER, OF_EACH_OR_ALL, SHELLED_WHEN)


def _may_differ(weight: GramWeight) -> bool:
    """Whether what was weighed differs from shelf to shelf or from house to house, as the weight itself says."""
    unsure = weight.rule.startswith(("package default", ANY_FOOD))
    return unsure or any(reason.startswith(_DIFFERING) for reason in weight.reasons)


def _may_measure(part: Part, match: Match) -> str:
    """A word that the entry lacks between a number and the food, which may be what is counted: "6 ser potatoes"."""
    if part.amount is None or part.amount.measure is not None or not part.phrases:
        return ""
    return min(match.strange.intersection(part.phrases[0].tokens) - _TELLING, default="")


def _are_small(amount: Amount) -> bool:
    """Whether onions are counted as small ones, and too many for a dish."""
    return amount.measure is None and amount.size == "small" and amount.low >= _MOST_ONIONS


def _is_called_dry(part: Part) -> bool:
    """Whether a line that means dry yeast says so."""
    said = part.words.union(*(phrase.tokens for phrase in part.phrases))
    return "dried" in said.union(*(phrase.states for phrase in part.phrases)) or not said.isdisjoint(_CALLED_DRY)


# So many small ones may be of a small kind: "8 small eggplants", but not "1 small eggplant".
_SEVERAL = 4.0


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


def _is_slice_unsaid(part: Part, weight: GramWeight, food_group: str) -> bool:
    """Whether a slice stands in for a loaf or cheese that is only counted: "1 rye bread"."""
    counted = part.amount is not None and part.amount.measure is None and part.amount.package is None
    sliced = weight.basis.startswith("1 slice") or _OF_A_WHOLE.match(weight.basis) is not None
    return counted and food_group in _SLICED and sliced and "slice" not in part.words


# From this weight on, in grams, a fruit or vegetable is often used in part: "1 piece of daikon", but "1 piece carrot".
_USED_IN_PART = 250.0


def _may_be_a_part(part: Part, weight: GramWeight, food_group: str) -> bool:
    """Whether "a piece" of a large fruit or vegetable was counted as a whole one."""
    one = part.amount is not None and part.amount.measure == "piece" and part.amount.low == part.amount.high == 1
    grown = food_group.startswith(("Vegetables", "Fruits"))
    counted = weight.rule.startswith(("household measure", "piece default"))
    return one and grown and counted and (weight.value or 0.0) >= _USED_IN_PART


def weakest(outcomes: list[Outcome]) -> Outcome:
    """The outcome of a line: the weakest of its parts'."""
    return min(outcomes, key=ORDER.__getitem__)
