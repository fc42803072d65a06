"""From the foods that lines were taken to mean to the ingredients of a dish, through sub-recipes and cooking.

Everything is linear in grams, so a dish is a flat list of ingredients: a sub-recipe is expanded into its own, scaled
by the share of its cooked weight that is used. The method is the mixed one that INFOODS and EuroFIR recommend:
retention per ingredient, yield per dish.

    amount of a component   sum over i of  m_i * x_i * RF_i / 100
    cooked weight           as weighed, or YF * sum of m_i, or sum of m_i * YF_i by the treatments of lines
    water                   sum of what ingredients hold + (cooked weight - sum of m_i * YF_i)

m edible grams as they go in (of a sub-recipe: of its cooked dish), x amount per 100 g, RF retention factor, YF yield
factor (grams cooked per gram that goes in). A dish's own yield stands in place of those of its lines, never on top.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from service.core.cooking import FRYING_FAT, Treated, is_frying_fat
from service.core.food import CarbohydrateBasis, FoodEntry
from service.core.kitchen import RECIPE_PREFIX
from service.core.nutrients import CONVENTION, Array, NetConvention
from service.core.recipe import Recipe, RecipeLine, RecipeYield

# Grams of fat in which food is shallow-fried, so that most of it is eaten: four tablespoons (no source).
MOST_SHALLOW = 60.0
# Grams cooked of one raw: what can hold water may take up some that no line names, hardly more than dry rice or pasta.
MOST_GAIN = 4.0
EXACT = (1.0, 1.0)
# What the basis of a weight begins with where it is worked out by a stated factor.
BY_FACTOR = "yield factor"


@dataclass(frozen=True, slots=True)
class Spread:
    """A figure with its bounds; `low` <= `value` <= `high`."""

    value: float
    low: float
    high: float

    def __mul__(self, factor: float) -> Spread:
        return Spread(self.value * factor, self.low * factor, self.high * factor)

    def scaled(self, by: Spread) -> Spread:
        """The product of two independent figures that are not negative."""
        return Spread(self.value * by.value, self.low * by.low, self.high * by.high)


NOTHING = Spread(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Composition:
    """What 100 g of a food hold: a row over the larder's columns, NaN where unknown.

    limits   upper bounds of unknown amounts by tagname, where the table says that they are below a limit or a trace
    derived  formulas of amounts that the publisher does not give, by tagname
    """

    food: FoodEntry
    row: Array
    basis: CarbohydrateBasis = "total"
    limits: Mapping[str, float] = field(default_factory=dict)
    derived: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Taken:
    """One food that a line was taken to mean.

    food   None: the tables have no fair entry
    grams  edible grams as the line states them, None where no weight is known
    share  of a saved recipe: the share of all of it that the line states (pieces, a half), which `grams` only restate
    most   grams that a food left to taste can weigh at most, where `grams` is None
    check  somebody should look at it
    gone   it has no food since the one that somebody chose for it is no longer there
    """

    line: int
    text: str
    food: FoodEntry | None
    grams: Spread | None
    check: bool = False
    most: float | None = None
    share: Spread | None = None
    gone: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Portion:
    """Grams of a cooked dish that are known together, however its ingredients share them: one object for them all.

    balanced  the dish was weighed when cooked: whatever its ingredients weigh, water makes up the difference
    """

    grams: Spread
    balanced: bool


@dataclass(frozen=True, slots=True, eq=False)
class Ingredient:
    """One food of a dish as it is eaten.

    within     titles of the sub-recipes it came through, the outermost first
    through    those sub-recipes
    row        amounts in what is left of 100 g raw after the line's own cooking
    grams      raw edible grams that are eaten; None: unknown, but not above `most`, if that is given
    factor     grams in the cooked dish per gram raw
    water      grams of water that the dish gained per gram raw, beside what `row` says (a loss is negative)
    notes      what cooking did, in plain words
    limits     upper bounds of unknown amounts by tagname; of a food that its line cooks there are none
    derived    formulas of amounts in 100 g raw that the publisher does not give, by tagname
    fried      it took up frying fat, which `row` counts
    absorbs    it took up frying fat of which nobody knows how much
    undivided  its line states grams of a sub-recipe of which not all has a weight: they may be any share of it
    span       bounds of `factor` by the tables of cooking, as shares of it
    least      `row` at its least and at its `fullest`, where the tables of cooking give a span; None: `row` itself
    gone       it has no food since the one that somebody chose for it is no longer there
    portion    of a sub-recipe: what it weighs together with the others of it, where that was weighed
    """

    line: int
    text: str
    food: FoodEntry | None
    row: Array | None
    grams: Spread | None
    basis: CarbohydrateBasis = "total"
    within: tuple[str, ...] = ()
    factor: float = 1.0
    water: float = 0.0
    check: bool = False
    notes: tuple[str, ...] = ()
    most: float | None = None
    limits: Mapping[str, float] = field(default_factory=dict)
    derived: Mapping[str, str] = field(default_factory=dict)
    least: Array | None = None
    fullest: Array | None = None
    fried: bool = False
    absorbs: bool = False
    undivided: bool = False
    span: tuple[float, float] = EXACT
    gone: bool = False
    portion: Portion | None = None
    through: tuple[Dish, ...] = ()

    @property
    def unmatched(self) -> bool:
        """Whether no table has it, though some of it is eaten."""
        return self.food is None and self.grams != NOTHING

    @property
    def lacks_weight(self) -> bool:
        """Whether nobody knows what it adds to the weight of the dish."""
        return self.grams is None and self.portion is None

    def of_columns(self, places: Sequence[int]) -> Ingredient:
        """The same over some of its columns."""
        row, least, fullest = (None if one is None else one[places] for one in (self.row, self.least, self.fullest))
        return replace(self, row=row, least=least, fullest=fullest)


@dataclass(frozen=True, slots=True, eq=False)
class Dish:
    """What is eaten of a recipe: its ingredients and weights in grams.

    weight_basis  where the cooked weight comes from
    weighed       all of it was weighed when cooked, whatever its lines weigh
    net           by which convention its net carbohydrate is taken
    fault         why it cannot weigh that, "" where it can
    """

    title: str
    ingredients: tuple[Ingredient, ...]
    raw: Spread
    cooked: Spread
    weight_basis: str
    notes: tuple[str, ...] = ()
    weighed: bool = False
    net: NetConvention = CONVENTION
    fault: str = ""

    @property
    def faulty(self) -> tuple[Dish, ...]:
        """The sub-recipes in it that cannot weigh what their yields say, each once."""
        return tuple(dict.fromkeys(used for one in self.ingredients for used in one.through if used.fault))

    @property
    def unmatched(self) -> tuple[int, ...]:
        """Lines with a food that no table has, or of which the food that was chosen is gone."""
        return _lines(one for one in self.ingredients if one.unmatched)

    @property
    def unweighed(self) -> tuple[int, ...]:
        """Lines whose food is known but whose weight is neither stated nor even bounded."""
        return _lines(one for one in self._weightless if not one.undivided)

    @property
    def undivided(self) -> tuple[int, ...]:
        """Lines that state grams of a sub-recipe of which not all has a weight, so that nothing of it is counted."""
        return _lines(one for one in self._weightless if one.undivided)

    @property
    def _weightless(self) -> Iterator[Ingredient]:
        return (one for one in self.ingredients if one.food is not None and one.grams is None and one.most is None)

    @property
    def to_taste(self) -> tuple[int, ...]:
        """Lines of seasonings without a weight, whose weight is bounded."""
        return _lines(one for one in self.ingredients if one.grams is None and one.most is not None)

    @property
    def whole_weight(self) -> Spread | None:
        """Grams of the cooked dish with all that is left to taste; None where something in it has no weight."""
        if self.weighed:
            return self.cooked
        lacking = [one.most for one in self.ingredients if one.lacks_weight]
        if None in lacking:
            return None
        most = math.fsum(one for one in lacking if one is not None)
        return replace(self.cooked, high=self.cooked.high + most)


class Larder(Protocol):
    """Where foods and sub-recipes come from."""

    def composition(self, food_id: str) -> Composition:
        """The composition of a food entry, own food or pantry substance."""

    def dish(self, food_id: str) -> Dish:
        """The plain dish of a saved recipe, by `recipe:<number>`."""

    def treated(self, composition: Composition, treatment: str) -> Treated:
        """What a cooking treatment leaves of a food; NotFoundError for an unknown treatment."""


# ---- ingredients -----------------------------------------------------------------------------------------------


def ingredients(recipe: Recipe, taken: Iterable[Taken], larder: Larder) -> tuple[Ingredient, ...]:
    """Every ingredient of every line, optional ones and those of swaps too; sub-recipes are expanded."""
    lines = [*recipe.lines, *recipe.swapped]
    found: list[Ingredient] = []
    for food in taken:
        line = lines[food.line - 1]
        eaten = None if food.grams is None else food.grams * line.share_eaten
        if food.food is not None and food.food.id.startswith(RECIPE_PREFIX):
            brought = _expanded(food, line, larder.dish(food.food.id))
        else:
            brought = [_single(food, eaten, line.treatment, larder)]
        found += brought if line.share_eaten > 0 else [_uneaten(one) for one in brought]
    fried = any(one.fried and not one.within for one in found)
    return tuple(_in_the_pan(one, lines[one.line - 1], fried=fried) for one in found)


def _uneaten(one: Ingredient) -> Ingredient:
    """Of what is not eaten at all nothing counts, whatever it is and weighs."""
    return replace(one, grams=NOTHING, most=None, undivided=False, absorbs=False, portion=None)


def _in_the_pan(one: Ingredient, line: RecipeLine, *, fried: bool) -> Ingredient:
    """The fat that a line says others are fried in: with a food that is `fried` it is not counted once more.

    What the writer says of the share eaten is taken as it is.
    """
    if one.food is None or line.share_eaten < 1 or not is_frying_fat(line.text):
        return one
    if fried:
        note = f"{FRYING_FAT}: what is taken up is counted with the food that is fried, the rest is left in the pan"
        return replace(one, grams=NOTHING, most=None, notes=(*one.notes, note), portion=None)
    if one.grams is None:
        return one
    left = "for what is left in the pan, set its share eaten or what is fried in it"
    note = f"{FRYING_FAT}: all of it is counted; {left}"
    return replace(one, check=one.check or one.grams.value > MOST_SHALLOW, notes=(*one.notes, note))


def _single(taken: Taken, eaten: Spread | None, treatment: str | None, larder: Larder) -> Ingredient:
    if taken.food is None:
        return Ingredient(taken.line, taken.text, None, None, eaten, check=taken.check, gone=taken.gone)
    composition = larder.composition(taken.food.id)
    plain = Ingredient(
        taken.line,
        taken.text,
        taken.food,
        composition.row,
        eaten,
        composition.basis,
        check=taken.check,
        most=taken.most,
        limits=composition.limits,
        derived=composition.derived,
    )
    if not treatment:
        return plain
    treated = larder.treated(composition, treatment)
    return replace(
        plain, row=treated.row, factor=treated.yield_factor or 1.0, notes=treated.notes, limits={},
        least=treated.least, fullest=treated.most, fried=treated.absorbs or (treated.fat_change or 0) > 0,
        absorbs=treated.absorbs, span=_span(treated),
    )  # fmt: skip


def _span(treated: Treated) -> tuple[float, float]:
    factor, low, high = treated.yield_factor, treated.yield_low, treated.yield_high
    return (low / factor, high / factor) if factor and low is not None and high is not None else EXACT


def _expanded(taken: Taken, line: RecipeLine, dish: Dish) -> list[Ingredient]:
    """The ingredients of the share of a dish that a line uses."""
    stated = taken.share or _share(taken.grams, dish)
    share = None if stated is None else stated * line.share_eaten
    eaten = None if taken.share or taken.grams is None else taken.grams * line.share_eaten
    uncooked = (f"{line.treatment}: not applied, {dish.title} is a recipe of its own",) if line.treatment else ()
    portions = _portions(dish, share, eaten)
    whole = None if eaten is None or dish.weighed else dish.whole_weight
    return [
        replace(
            one,
            line=taken.line,
            within=(dish.title, *one.within),
            through=(dish, *one.through),
            grams=None if one.grams is None or share is None else _taken_of(one, one.grams, whole, share, eaten),
            check=one.check or taken.check or bool(dish.fault),
            most=None if one.most is None or share is None else one.most * share.high,
            notes=(*one.notes, *uncooked),
            undivided=one.undivided or (taken.grams is not None and share is None),
            # Grams of the dish are so many grams, whatever went into them.
            span=one.span if taken.share else EXACT,
            portion=portion,
        )
        for one, portion in zip(dish.ingredients, portions, strict=True)
    ]


def _share(grams: Spread | None, dish: Dish) -> Spread | None:
    """The share of a dish that so many grams of it are; None where they may be any share."""
    whole = dish.whole_weight
    if grams is None or whole is None or whole.low <= 0:
        return None
    return Spread(grams.value / whole.value, grams.low / whole.high, grams.high / whole.low)


def _portions(dish: Dish, share: Spread | None, eaten: Spread | None) -> list[Portion | None]:
    """By ingredient, what was weighed of the share of a dish that is eaten: so many grams of it, or all of it before.

    What of it was weighed apart, by the line of a sub-recipe, stays apart.
    """
    if share is None:
        return [None] * len(dish.ingredients)
    if eaten is not None or dish.weighed:
        grams = dish.cooked.scaled(share) if eaten is None else eaten
        return [Portion(grams, dish.weighed)] * len(dish.ingredients)
    held = (one.portion for one in dish.ingredients if one.portion)
    scaled = {one: replace(one, grams=one.grams.scaled(share)) for one in held}
    return [one.portion and scaled[one.portion] for one in dish.ingredients]


def _taken_of(one: Ingredient, grams: Spread, whole: Spread | None, share: Spread, eaten: Spread | None) -> Spread:
    """Raw grams of an ingredient in the `share` of its dish that is eaten, or in so many grams `eaten` of a `whole`.

    Grams of a dish hold the least of an ingredient where it weighs least and all others weigh most.
    """
    if eaten is None or whole is None or one.portion is not None or grams.high <= 0:
        return grams.scaled(share)
    lightest, heaviest = (one.factor * end for end in one.span)
    least = grams.low / (grams.low * heaviest + max(0.0, whole.high - grams.high * heaviest)) if grams.low else 0.0
    most = grams.high / (grams.high * lightest + max(0.0, whole.low - grams.low * lightest))
    value = grams.value * share.value
    return Spread(value, min(value, least * eaten.low), max(value, most * eaten.high))


# ---- dishes ----------------------------------------------------------------------------------------------------


def dish(
    recipe: Recipe, every: Sequence[Ingredient], lines: frozenset[int], *, plain: frozenset[int] | None = None
) -> Dish:
    """The dish of these lines. A stated yield is that of the `plain` lines; what else is served joins it uncooked."""
    plain = lines if plain is None else plain
    if recipe.yields.factor is not None or recipe.yields.cooked_grams is not None:
        every = [replace(one, span=EXACT) if one.line in plain else one for one in every]
    cooked = [one for one in every if one.line in lines and one.line in plain]
    added = [one for one in every if one.line in lines and one.line not in plain]
    base = [one for one in every if one.line in plain]
    ratio, basis = _yield_ratio(recipe.yields, base)
    done = _dried(cooked, ratio) + added
    notes = _weight_notes(done, recipe.yields, ratio)
    made, weighed = _mass(done), recipe.yields.cooked_grams
    if weighed is None or _lines(cooked) != _lines(base) or _mass(base).value <= 0:
        return Dish(recipe.title, tuple(done), _raw(done), made, basis, notes, net=recipe.net)
    made = total([Spread(weighed, weighed, weighed), _mass(added)])
    return Dish(recipe.title, tuple(done), _raw(done), made, basis, notes, weighed=not added, net=recipe.net)


def _yield_ratio(yields: RecipeYield, base: Sequence[Ingredient]) -> tuple[float, str]:
    """Grams of the cooked dish per gram that the treatments of its lines leave, and where it comes from."""
    if yields.factor is not None:
        # A line's own yield is out of it, that of a sub-recipe in it.
        going_in = total(one.grams * (one.factor if one.within else 1.0) for one in base if one.grams is not None)
        before = _mass(base)
        ratio = yields.factor * going_in.value / before.value if before.value > 0 else yields.factor
        return ratio, f"{BY_FACTOR} {yields.factor:g} of the raw weight"
    if yields.cooked_grams is None:
        return 1.0, "the weights of the lines"
    before = _mass(base)
    if before.value <= 0:
        return 1.0, "no line has a weight"
    return yields.cooked_grams / before.value, "cooked weight as weighed"


def _dried(parts: Sequence[Ingredient], ratio: float) -> list[Ingredient]:
    """The ingredients in a dish that weighs `ratio` of what went in; the difference is water."""
    if ratio == 1.0:
        return list(parts)
    held = (one.portion for one in parts if one.portion)
    portions = {one: replace(one, grams=one.grams * ratio) for one in held}
    return [
        replace(
            one, factor=one.factor * ratio, water=one.water + one.factor * (ratio - 1),
            portion=one.portion and portions[one.portion],
        )
        for one in parts
    ]  # fmt: skip


def _weight_notes(done: Sequence[Ingredient], yields: RecipeYield, ratio: float) -> tuple[str, ...]:
    notes = []
    if yields.cooked_grams is None and yields.factor is None and all(one.factor == 1 for one in done):
        what = "no yield" if yields.pieces is None else "no cooked weight"
        notes.append(f"{what} is stated: figures per 100 g and per gram are of the raw weight")
    if ratio > MOST_GAIN:
        notes.append(f"the dish weighs {ratio:.0f} times what its lines with a weight do: look at both")
    elif ratio > 1.05:
        what = "water or frying fat" if any(one.absorbs for one in done) else "water"
        notes.append(f"the dish weighs more than its ingredients: {what} was taken up")
    if yields.cooked_grams is None and any(one.lacks_weight and one.most is None for one in done):
        notes.append("the weight lacks what has no weight")
    return tuple(notes)


def _mass(parts: Iterable[Ingredient]) -> Spread:
    """Grams that ingredients bring to the cooked dish."""
    parts = list(parts)
    portions = dict.fromkeys(one.portion for one in parts if one.portion is not None)
    weighed = ((one.grams, one.factor, one.span) for one in parts if one.grams is not None and one.portion is None)
    alone = (
        Spread(grams.value * factor, grams.low * factor * low, grams.high * factor * high)
        for grams, factor, (low, high) in weighed
    )
    return total([*alone, *(one.grams for one in portions)])


def _raw(parts: Iterable[Ingredient]) -> Spread:
    return total(one.grams for one in parts if one.grams is not None)


def total(spreads: Iterable[Spread]) -> Spread:
    """The sum of figures, exactly rounded, so that the order of lines does not matter."""
    values, lows, highs = [], [], []
    for one in spreads:
        values.append(one.value)
        lows.append(one.low)
        highs.append(one.high)
    return Spread(math.fsum(values), math.fsum(lows), math.fsum(highs))


def _lines(parts: Iterable[Ingredient]) -> tuple[int, ...]:
    return tuple(sorted({one.line for one in parts}))
