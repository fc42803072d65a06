"""What dishes come to: laws that hold for every recipe, and cases of net carbohydrate, ratio, yield and bounds."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.composition import Composition, Dish, Spread, Taken, dish, ingredients
from service.core.cooking import Treated
from service.core.errors import InputError, NotFoundError
from service.core.figures import Figures, bounds_of, differences, net_of, per_100_grams, weight_fault
from service.core.food import FoodEntry
from service.core.lacking import lacking_lines
from service.core.nutrients import NetConvention
from service.core.recipe import (
    Recipe,
    RecipeLine,
    RecipeYield,
    Section,
    Swap,
    Variant,
    all_lines,
    checked,
    plain_lines,
)
from tests.core.larder import COLUMNS, COMPONENTS, FOODS, Larder, dish_of, figures_of, parts_of, recipe, row

LARDER = Larder()
NAMES = st.sampled_from(sorted(FOODS))
WEIGHTS = st.floats(0.1, 2000).map(lambda grams: round(grams, 1))
LISTS = st.lists(st.tuples(NAMES, WEIGHTS), min_size=1, max_size=12)


def work(made: Recipe, foods: list[str], grams: list[float], larder: Larder = LARDER) -> Figures:
    return figures_of(dish_of(larder, made, foods, grams), made)


def plain(
    lines: list[tuple[str, float]], *, factor: float = 1.0, title: str = "Test dish"
) -> tuple[Recipe, list[str], list[float]]:
    foods, grams = [food for food, _ in lines], [weight * factor for _, weight in lines]
    return recipe(*foods, title=title), foods, grams


def near(one: Figures, other: Figures, factor: float = 1.0) -> None:
    for a, b in zip((*one.components, one.net_carbohydrate), (*other.components, other.net_carbohydrate), strict=True):
        assert (a.value is None) == (b.value is None), a.tagname
        for x, y in ((a.value, b.value), (a.low, b.low), (a.high, b.high), (a.known, b.known)):
            if x is not None and y is not None:
                assert y == pytest.approx(x * factor, rel=1e-9, abs=1e-9), a.tagname


# ---- laws ------------------------------------------------------------------------------------------------------


@given(LISTS)
def test_doubling_a_recipe_doubles_it(lines: list[tuple[str, float]]) -> None:
    near(work(*plain(lines)), work(*plain(lines, factor=2)), 2)


@given(LISTS, st.randoms())
def test_the_order_of_lines_does_not_matter(lines: list[tuple[str, float]], random: object) -> None:
    shuffled = list(lines)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = work(*plain(lines)), work(*plain(shuffled))
    assert [total.value for total in one.components] == [total.value for total in other.components]
    near(one, other)


@given(LISTS, st.one_of(st.none(), st.floats(0.3, 1.0)))
def test_a_recipe_used_whole_in_another_gives_the_same(lines: list[tuple[str, float]], factor: float | None) -> None:
    inner, foods, grams = plain([*lines, ("test:water", 40_000)])  # enough to lose
    inner = replace(inner, yields=RecipeYield(factor=factor))
    larder = Larder({"recipe:1": (inner, foods, grams)})
    weight = larder.dish("recipe:1").cooked.value
    outer = recipe("all of it", title="Plate")
    near(work(inner, foods, grams, larder), work(outer, ["recipe:1"], [weight], larder))


SPREAD_LISTS = st.lists(st.tuples(NAMES, WEIGHTS, st.floats(0, 0.5), st.floats(0, 1)), min_size=1, max_size=6)


@given(SPREAD_LISTS, st.sampled_from([None, 0.9]), st.booleans())
def test_a_recipe_used_whole_keeps_its_bounds_and_those_of_100_grams(
    lines: list[tuple[str, float, float, float]], factor: float | None, weighed: bool
) -> None:
    """Its weight is known as well, or as badly, as its own; one that was weighed weighs what was weighed."""
    foods = ["test:water", *(food for food, *_ in lines)]  # enough to lose
    spreads = [Spread(40_000, 40_000, 40_000)]
    spreads += [Spread(grams, grams * (1 - below), grams * (1 + above)) for _, grams, below, above in lines]
    inner = recipe(*foods, yields=RecipeYield(factor=factor))
    if weighed:
        inner = replace(inner, yields=RecipeYield(cooked_grams=dish_of(LARDER, inner, foods, spreads).cooked.value))
    made, outer = dish_of(LARDER, inner, foods, spreads), recipe("all of it", title="Plate")
    taken = Taken(1, "all", FoodEntry("recipe:1", "All"), made.cooked, share=Spread(1, 1, 1))
    used = dish(outer, ingredients(outer, [taken], Served(made)), frozenset({1}))
    assert used.cooked == made.cooked
    one, other = figures_of(made, inner), figures_of(used, outer)
    near(one, other)
    for total, same in zip(
        *(per_100_grams(*of, COMPONENTS, inner.net).components for of in ((one, made), (other, used))),  # type: ignore[union-attr]
        strict=True,
    ):
        ends = ((total.low, same.low), (total.high, same.high))
        assert all(b == (None if a is None else pytest.approx(a, rel=1e-6, abs=1e-9)) for a, b in ends), total.tagname


@pytest.mark.parametrize("share_eaten", [1, 0.5])
def test_grams_of_a_dish_weigh_what_the_scale_says_whatever_went_into_it(share_eaten: float) -> None:
    """Of 100 to 300 g leaf and 100 g butter, 40 g hold 10 to 20 g butter; a little less where half is left."""
    inner = dish_of(LARDER, recipe("butter", "leaf"), ["test:butter", "test:leaf"], [100, Spread(200, 100, 300)])
    outer = recipe(RecipeLine("40 g of it", share_eaten=share_eaten), title="Plate")
    found = dish_of(Served(inner), outer, ["recipe:1"], [40])
    assert found.cooked == Spread(*(40 * share_eaten,) * 3)
    butter = found.ingredients[0].grams
    assert butter == Spread(*(pytest.approx(share_eaten * grams) for grams in (40 / 3, 10, 20)))
    further = dish_of(Served(found), recipe("half", title="Board"), ["recipe:2"], [10])
    assert further.cooked == Spread(10, 10, 10)


@given(LISTS, LISTS)
def test_sections_add_up(first: list[tuple[str, float]], second: list[tuple[str, float]]) -> None:
    both, apart = work(*plain(first + second)), (work(*plain(first)), work(*plain(second)))
    for total, one, other in zip(both.components, apart[0].components, apart[1].components, strict=True):
        assert total.known == pytest.approx(one.known + other.known, rel=1e-9, abs=1e-9)


@given(LISTS, st.floats(0.5, 50))
def test_servings_times_a_serving_are_the_whole(lines: list[tuple[str, float]], servings: float) -> None:
    whole = work(*plain(lines))
    near(whole.divided(servings), whole, servings)


@given(st.lists(st.tuples(NAMES, WEIGHTS, st.floats(0, 0.5), st.floats(0, 1)), min_size=1, max_size=8))
def test_bounds_contain_the_value(lines: list[tuple[str, float, float, float]]) -> None:
    foods = [food for food, *_ in lines]
    spreads = [Spread(grams, grams * (1 - below), grams * (1 + above)) for _, grams, below, above in lines]
    found = figures_of(dish_of(LARDER, recipe(*foods), foods, spreads), recipe(*foods))
    for total in (*found.components, found.net_carbohydrate, found.grams):
        assert total.low <= total.known + 1e-9
        assert total.high is None or total.known <= total.high + 1e-9


@given(LISTS, st.lists(st.booleans(), min_size=12, max_size=12))
def test_plain_and_toppings_make_everything(lines: list[tuple[str, float]], optional: list[bool]) -> None:
    foods, grams = [food for food, _ in lines], [weight for _, weight in lines]
    marked = [RecipeLine(food, optional=mark) for (food, _), mark in zip(lines, optional, strict=False)]
    made = Recipe("Test dish", (Section(tuple(marked)),))
    every = parts_of(LARDER, made, foods, grams)
    base = plain_lines(made)
    toppings = all_lines(made) - base
    for total, one, other in zip(
        *(figures_of(dish(made, every, lines), made).components for lines in (all_lines(made), base, toppings)),
        strict=True,
    ):
        assert total.known == pytest.approx(one.known + other.known, rel=1e-9, abs=1e-9)


@given(
    st.lists(st.tuples(NAMES, WEIGHTS, st.floats(0, 0.5), st.floats(0, 1)), min_size=1, max_size=6),
    st.lists(st.floats(0, 1), min_size=6, max_size=6),
)
def test_bounds_of_100_grams_and_of_a_weighed_out_share_contain_what_may_be(
    lines: list[tuple[str, float, float, float]], places: list[float]
) -> None:
    """Whatever each line really weighs within its bounds, 100 g of the dish and 50 g of it in another are inside."""
    foods = [food for food, *_ in lines]
    spreads = [Spread(grams, grams * (1 - below), grams * (1 + above)) for _, grams, below, above in lines]
    made = recipe(*foods)
    unsure, sure = (dish_of(LARDER, made, foods, weights) for weights in (
        spreads, [one.low + place * (one.high - one.low) for one, place in zip(spreads, places, strict=False)]
    ))  # fmt: skip
    bounds, true = (per_100_grams(figures_of(one, made), one, COMPONENTS, made.net) for one in (unsure, sure))
    assert bounds is not None
    assert true is not None
    used = [figures_of(dish_of(Served(one), recipe("50 g of it"), ["recipe:1"], [50]), made) for one in (unsure, sure)]
    for among, real in ((bounds, true), (used[0], used[1])):
        for total, other in zip((*among.components, among.grams), (*real.components, real.grams), strict=True):
            if other.value is not None:
                assert total.low <= other.value * (1 + 1e-9) + 1e-9, total.tagname
                assert total.high is None or other.value <= total.high * (1 + 1e-9) + 1e-9, total.tagname


# ---- unknown is never zero -------------------------------------------------------------------------------------


def test_an_unknown_part_is_bounded_by_its_whole() -> None:
    found = work(*plain([("test:meal", 100)]))
    soluble = found.total("FIBSOL")
    assert (soluble.value, soluble.low, soluble.high) == (None, 0, 12)
    assert found.total("POLYL").high == 20


def test_what_is_surely_there_of_a_value_that_is_not_known_counts() -> None:
    """Of an EU label without fibre: 50 g of available carbohydrate in 100 g are in its total carbohydrate."""
    found = work(*plain([("test:packet", 50)]))
    total = found.total("CHOCDF")
    assert (total.value, total.known, total.low, total.high) == (None, 25, 25, None)


def test_unknown_fibre_makes_net_carbohydrate_a_span() -> None:
    net = work(*plain([("test:leaf", 50), ("test:meal", 100)])).net_carbohydrate
    assert (net.value, net.low, net.high, net.unknown_in) == (None, 8, 10, (1,))


def test_a_line_without_an_entry_leaves_every_figure_a_lower_bound() -> None:
    made = recipe("meal", "mystery")
    every = (*parts_of(LARDER, made, ["test:meal"], [100]),)
    lacking = replace(every[0], line=2, food=None, row=None)
    found = figures_of(dish(made, (*every, lacking), plain_lines(made)), made)
    assert all(total.value is None and total.high is None for total in found.components)
    assert found.total("FAT").low == 50
    assert found.ratio_on_total.value is None


def test_a_food_without_a_weight_leaves_unknown_only_what_it_may_hold() -> None:
    made = recipe("meal", "butter to taste")
    every = parts_of(LARDER, made, ["test:meal", "test:butter"], [100, 0])
    every = (every[0], replace(every[1], grams=None))
    found = figures_of(dish(made, every, plain_lines(made)), made)
    assert found.total("CHOCDF").value == 20
    assert found.total("FAT").value is None
    assert found.total("FAT").high is None
    assert found.grams.value is None


class Served(Larder):
    """A larder whose saved recipe is this dish."""

    def __init__(self, made: Dish) -> None:
        super().__init__()
        self._made = made

    def dish(self, food_id: str) -> Dish:
        return self._made


@pytest.mark.parametrize(
    ("share", "known"),
    [(None, 0), (Spread(0.5, 0.5, 0.5), 40.5)],
    ids=["50 g of it may be any share", "half of it is half"],
)
def test_a_sub_recipe_with_a_food_of_no_weight(share: Spread | None, known: float) -> None:
    """50 g of 100 g butter and nobody knows how much meal may hold less fat than 50 g of butter."""
    every = parts_of(LARDER, recipe("butter", "meal"), ["test:butter", "test:meal"], [100, 0])
    inner = dish(recipe("butter", "meal"), (every[0], replace(every[1], grams=None)), frozenset({1, 2}))
    taken = Taken(1, "crumble", FoodEntry("recipe:1", "Crumble"), Spread(50, 50, 50), share=share)
    outer = recipe("crumble", title="Plate")
    found = figures_of(dish(outer, ingredients(outer, [taken], Served(inner)), frozenset({1})), outer)
    assert (found.total("FAT").value, found.total("FAT").known) == (None, known)


def test_a_weighed_dish_has_a_weight_whatever_its_lines_weigh() -> None:
    made = recipe("butter", "water", yields=RecipeYield(cooked_grams=150))
    found = dish_of(LARDER, made, ["test:butter", "test:water"], [100, Spread(100, 50, 200)])
    assert found.cooked == Spread(150, 150, 150)
    assert figures_of(found, made).grams.high == 150
    every = parts_of(LARDER, made, ["test:butter", "test:water"], [100, 0])
    lacking = dish(made, (every[0], replace(every[1], grams=None)), frozenset({1, 2}))
    assert figures_of(lacking, made).grams.value == 150
    assert figures_of(lacking, made).total("WATER").value is None


# ---- net carbohydrate ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("polyols", "allulose", "net"),
    [("all", True, 10), ("all", False, 20), ("half", True, 50), ("none", True, 90), ("none", False, 100),
     ("by name", True, 50)],
)  # fmt: skip
def test_conventions_of_polyols_and_allulose(polyols: str, allulose: bool, net: float) -> None:
    """Of 100 g carbohydrate: 80 g maltitol, 10 g allulose (invented food; conventions are common practice)."""
    made = recipe("syrup", net=NetConvention(polyols, allulose))  # type: ignore[arg-type]
    assert work(made, ["test:syrup"], [100]).net_carbohydrate.value == pytest.approx(net)


@pytest.mark.parametrize(("polyols", "net"), [("all", 0), ("by name", 0), ("half", 50), ("none", 100)])
def test_erythritol_is_taken_off_whole_by_name(polyols: str, net: float) -> None:
    made = recipe("sweetener", net=NetConvention(polyols))  # type: ignore[arg-type]
    assert work(made, ["test:sweetener"], [100]).net_carbohydrate.value == pytest.approx(net)


def test_fibre_is_not_taken_off_available_carbohydrate() -> None:
    """An EU or UK label has the fibre out already: Regulation (EU) 1169/2011, Annex I."""
    found = work(*plain([("test:bread", 100)]))
    assert found.net_carbohydrate.value == 45
    assert found.total("CHOCDF").value == 49


@pytest.mark.parametrize(("amounts", "polyols", "value", "low", "high"), [
    ({"CHOAVL": 4.1, "POLYL": 28.0}, "none", 32.1, 32.1, 32.1),
    ({"CHOAVL": 1.7, "CHOCDF": 55.65, "FIBTG": 3.5}, "none", math.nan, 1.7, 52.15),
    ({"CHOAVL": 8.2, "CHOCDF": 11.0, "FIBTG": 2.0}, "none", 8.2, 8.2, 9.0),
    ({"CHOAVL": 8.2, "CHOCDF": 11.0, "FIBTG": 2.0}, "all", 8.2, 8.2, 8.2),
    ({"CHOAVL": 8.2}, "half", math.nan, 8.2, math.inf),
])  # fmt: skip
def test_unknown_polyols_outside_of_a_sum_widen_the_net(
    amounts: dict[str, float], polyols: str, value: float, low: float, high: float
) -> None:
    """AFCD 2, F009837 and Fineli 20, 37 as published; the others invented."""
    cells = row(**amounts)
    upper = np.where(np.isnan(cells), math.inf, cells)
    found = net_of(cells, upper, "available", COLUMNS, NetConvention(polyols))  # type: ignore[arg-type]
    assert found == pytest.approx((value, low, high), nan_ok=True)


# ---- ratio -----------------------------------------------------------------------------------------------------


def test_ketogenic_ratio_on_total_and_on_net() -> None:
    found = work(*plain([("test:meal", 100), ("test:butter", 100)]))
    assert found.ratio_on_total.value == pytest.approx(131 / (22 + 20))
    assert found.ratio_on_net.value == pytest.approx(131 / (22 + 8))


def test_a_ratio_without_protein_and_carbohydrate_is_undefined() -> None:
    found = work(*plain([("test:water", 100)]))
    assert found.ratio_on_total.value is None
    assert found.ratio_on_total.remark == "no protein or carbohydrate"


# ---- yield and cooking -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("yields", "cooked", "water"),
    [(RecipeYield(), 300, 197), (RecipeYield(factor=0.8), 240, 137), (RecipeYield(cooked_grams=150), 150, 47),
     (RecipeYield(cooked_grams=330), 330, 227)],
)  # fmt: skip
def test_a_yield_changes_weight_and_water_alone(yields: RecipeYield, cooked: float, water: float) -> None:
    made = recipe("meal", "leaf", yields=yields)
    found = work(made, ["test:meal", "test:leaf"], [86, 214])
    assert found.grams.value == pytest.approx(cooked)
    before = 86 * 0.05 + 214 * 0.92
    assert found.total("WATER").value == pytest.approx(before + cooked - 300)
    assert found.total("FAT").value == pytest.approx(43)


def test_toppings_join_a_weighed_dish_uncooked() -> None:
    lines = (RecipeLine("meal"), RecipeLine("butter", optional=True))
    made = Recipe("Test dish", (Section(lines),), yields=RecipeYield(cooked_grams=60))
    every = parts_of(LARDER, made, ["test:meal", "test:butter"], [100, 10])
    base = plain_lines(made)
    assert dish(made, every, base).cooked.value == pytest.approx(60)
    assert dish(made, every, all_lines(made), plain=base).cooked.value == pytest.approx(70)


def test_the_share_eaten_counts() -> None:
    made = recipe(RecipeLine("butter", share_eaten=0.25))
    assert work(made, ["test:butter"], [40]).total("FAT").value == pytest.approx(8.1)


@pytest.mark.parametrize("food", ["test:leaf", None, "recipe:1"], ids=["unweighed", "unmatched", "sub-recipe"])
def test_what_is_not_eaten_at_all_adds_exactly_nothing(food: str | None) -> None:
    """Whether or not a weight, an entry and its fibre are known."""
    gone = RecipeLine("gone", share_eaten=0)
    larder = Larder({"recipe:1": (recipe("test:leaf"), ["test:leaf"], [50])})
    entry = None if food is None else FoodEntry(food, food)
    meal = FoodEntry("test:meal", "meal")
    for grams in (None, Spread(80, 60, 100)):
        made = recipe("test:meal", gone)
        taken = [Taken(1, "meal", meal, Spread(100, 90, 110)), Taken(2, "gone", entry, grams)]
        every = ingredients(made, taken, larder)
        with_it, without = (dish(made, every, frozenset(lines)) for lines in ((1, 2), (1,)))
        near(figures_of(with_it, made), figures_of(without, made))
        assert figures_of(with_it, made).total("FIBTG").value == 12
        assert not with_it.unmatched + with_it.unweighed + with_it.undivided
        per_100g = [per_100_grams(figures_of(one, made), one, COMPONENTS, made.net) for one in (with_it, without)]
        assert per_100g[0] is not None
        assert per_100g[1] is not None
        near(*per_100g)
        assert {one.value for one in differences(every, {2: 1.0}, COMPONENTS, made.net)} == {0.0}


def test_the_bounds_of_a_part_go_as_far_as_cooking_lets_the_whole() -> None:
    """Trans fat that no table gives is bounded by the fat that may be there, not by the fat that likely is."""
    columns = {"FAT": 0, "FATRN": 1}
    likely, least, fullest = (np.array([fat, math.nan]) for fat in (10.0, 3.0, 20.0))
    [one] = parts_of(LARDER, recipe("meal"), ["test:meal"], [100])
    lows, highs = bounds_of([replace(one, row=likely, least=least, fullest=fullest)], columns)
    assert (lows.tolist(), highs.tolist()) == ([[3, 0]], [[20, 20]])


def test_a_treated_line_weighs_what_its_treatment_leaves() -> None:
    made = recipe(RecipeLine("meal", treatment="dried"), "leaf")
    assert dish_of(LARDER, made, ["test:meal", "test:leaf"], [100, 50]).cooked.value == 100


def test_a_yield_of_the_dish_stands_in_place_of_those_of_its_lines() -> None:
    """Raw against cooked is counted once: 0.8 of what went in, though the meal alone would lose half its weight."""
    made = recipe(RecipeLine("meal", treatment="dried"), "water", yields=RecipeYield(factor=0.8))
    assert dish_of(LARDER, made, ["test:meal", "test:water"], [100, 100]).cooked.value == pytest.approx(160)


def test_the_yield_of_a_sub_recipe_is_its_own() -> None:
    """Of 100 g that boiled down to 50 g, those 50 g go into a dish that keeps 0.9 of what goes in."""
    inner = recipe("water", "meal", title="Filling", yields=RecipeYield(factor=0.5))
    larder = Larder({"recipe:1": (inner, ["test:water", "test:meal"], [80, 20])})
    pie = recipe("filling", "butter", title="Pie", yields=RecipeYield(factor=0.9))
    assert dish_of(larder, pie, ["recipe:1", "test:butter"], [50, 100]).cooked.value == pytest.approx(135)


def test_a_treatment_of_a_sub_recipe_is_not_applied_and_said() -> None:
    larder = Larder({"recipe:1": (recipe("meal", title="Crumble"), ["test:meal"], [100])})
    made = dish_of(larder, recipe(RecipeLine("crumble", treatment="dried")), ["recipe:1"], [50])
    assert made.cooked.value == 50
    assert made.ingredients[0].notes == ("dried: not applied, Crumble is a recipe of its own",)


@pytest.mark.parametrize(
    ("line", "treatment", "fat", "check"),
    [
        (RecipeLine("1 l oil for deep-frying"), "fried", 50 + 10, False),  # 100 g of the meal took up 10 g
        (RecipeLine("oil, to fry"), "fried", 50 + 10, False),
        (RecipeLine("1 l oil for frying", share_eaten=0.02), None, 50 + 16.2, False),
        (RecipeLine("1 l oil for frying"), None, 50 + 810, True),
        (RecipeLine("1 l oil"), "fried", 50 + 10 + 810, False),
    ],
    ids=lambda one: one.text if isinstance(one, RecipeLine) else None,
)
def test_frying_fat_is_counted_once(line: RecipeLine, treatment: str | None, fat: float, check: bool) -> None:
    class Fryer(Larder):
        def treated(self, composition: Composition, treatment: str) -> Treated:
            return Treated(composition.row + row(FAT=10), None, (), fat_change=10, fat_low=8, fat_high=12)

    made = recipe(RecipeLine("meal", treatment=treatment), line)
    done = dish_of(Fryer(), made, ["test:meal", "test:butter"], [100, 1000])
    assert figures_of(done, made).total("FAT").value == pytest.approx(fat)
    assert done.ingredients[1].check is check


def test_what_a_food_takes_up_in_frying_is_a_lower_bound_where_no_table_tells() -> None:
    class Fryer(Larder):
        def treated(self, composition: Composition, treatment: str) -> Treated:
            soaked = composition.row + row(FAT=math.nan, **{name: 0 for name in COLUMNS if "FAT" not in name})
            soaked[COLUMNS["ENERC_KCAL"]] = math.nan
            return Treated(soaked, None, (), absorbs=True, least=composition.row, most=soaked)

    made = recipe(RecipeLine("meal", treatment="fried"), "1 l oil for frying", yields=RecipeYield(cooked_grams=240))
    done = dish_of(Fryer(), made, ["test:meal", "test:butter"], [200, 1000])
    found = figures_of(done, made)
    for tagname, least in (("FAT", 100), ("ENERC_KCAL", 1140), ("WATER", 0)):
        total = found.total(tagname)
        assert (total.value, total.low, total.high) == (None, least, None), tagname
        assert total.known == least
    assert found.total("PROCNT").value == 42
    assert "the dish weighs more than its ingredients: water or frying fat was taken up" in done.notes
    assert lacking_lines(done, found, ("FAT", "ENERC_KCAL")) == []  # the table has them


def test_the_span_of_a_cooking_table_is_in_the_bounds() -> None:
    class Fryer(Larder):
        def treated(self, composition: Composition, treatment: str) -> Treated:
            bounds = [composition.row + row(FAT=more) for more in (8, 12)]
            return Treated(composition.row + row(FAT=10), None, (), fat_change=10, least=bounds[0], most=bounds[1])

    made = recipe(RecipeLine("meal", treatment="fried"))
    fat = figures_of(dish_of(Fryer(), made, ["test:meal"], [200]), made).total("FAT")
    assert (fat.low, fat.value, fat.high) == (116, 120, 124)


@pytest.mark.parametrize(
    ("lines", "swaps"), [(["oil", "oil"], ["oil"]), (["oil"], ["oil", "oil"])], ids=["two lines", "twice"]
)
def test_a_swap_means_one_line(lines: list[str], swaps: list[str]) -> None:
    variant = Variant("other", swaps=tuple(Swap(line, RecipeLine("butter")) for line in swaps))
    with pytest.raises(InputError) as error:
        checked(recipe(*lines, variants=(variant,)))
    assert error.value.pointer == f"/variants/0/swaps/{len(swaps) - 1}/line"
    assert str(error.value).startswith("variant 'other': 'oil' is ")


def test_an_unknown_treatment_is_refused() -> None:
    with pytest.raises(NotFoundError):
        dish_of(LARDER, recipe(RecipeLine("meal", treatment="wished away")), ["test:meal"], [100])


@pytest.mark.parametrize(
    ("yields", "pointer"),
    [(RecipeYield(cooked_grams=900), "/yield/cooked_grams"), (RecipeYield(factor=3), "/yield/factor")],
)
def test_a_dish_heavier_than_it_can_be_is_refused(yields: RecipeYield, pointer: str) -> None:
    """Fat and sugars take up no water: what else the butter has may take up three times its 38 g."""
    made, foods = recipe("butter", "sweetener", yields=yields), ["test:butter", "test:sweetener"]
    fault = weight_fault(dish_of(LARDER, made, foods, [200, 100]), COMPONENTS)
    assert fault is not None
    assert fault.pointer == pointer
    assert "cannot come from 300 g" in str(fault)


@pytest.mark.parametrize(("grams", "refused"), [(300, False), (490, True)])
def test_what_is_dry_takes_up_water_but_not_without_end(grams: float, refused: bool) -> None:
    made = dish_of(LARDER, recipe("leaf", yields=RecipeYield(cooked_grams=grams)), ["test:leaf"], [100])
    assert (weight_fault(made, COMPONENTS) is not None) is refused


# (foods, grams, cooked grams, refused). Meal holds 5 % water; leaf 92 %, so that 100 g are 8 g dry. The label of bread
# tells no water: 39 % at most. No table has what is "": it may be water.
LIGHT = [
    (["test:meal"], [100], 50, True),
    (["test:meal"], [100], 92, False),
    (["test:leaf"], [300], 1, True),
    (["test:leaf"], [300], 15, True),
    (["test:leaf"], [300], 20, False),
    (["test:leaf"], [Spread(300, 100, 400)], 15, False),
    (["test:butter", "test:leaf"], [50, 300], 40, True),
    (["test:butter", "test:leaf"], [50, 300], 65, False),
    (["test:bread"], [100], 62, False),
    (["test:bread"], [100], 40, True),
    (["", "test:leaf"], [200, 100], 20, False),
]


@pytest.mark.parametrize(("foods", "grams", "cooked", "refused"), LIGHT)
def test_a_dish_that_lost_more_than_its_water_is_refused(
    foods: list[str], grams: list[float | Spread], cooked: float, refused: bool
) -> None:
    made = recipe(*foods, yields=RecipeYield(cooked_grams=cooked))
    weights = [one if isinstance(one, Spread) else Spread(one, one, one) for one in grams]
    taken = [
        Taken(line, food, FoodEntry(food, food) if food else None, weight)
        for line, (food, weight) in enumerate(zip(foods, weights, strict=True), 1)
    ]
    light = dish(made, ingredients(made, taken, LARDER), plain_lines(made))
    fault = weight_fault(light, COMPONENTS)
    assert (fault is not None) is refused
    assert fault is None or (fault.pointer, "poured off" in str(fault)) == ("/yield/cooked_grams", True)
    assert figures_of(light, made).grams.known == cooked


def test_nested_twice_keeps_the_way() -> None:
    spice = recipe("meal", title="Spice mix")
    sauce = recipe("spice mix", "butter", title="Sauce")
    larder = Larder(
        {"recipe:1": (spice, ["test:meal"], [50]), "recipe:2": (sauce, ["recipe:1", "test:butter"], [10, 40])}
    )
    made = dish_of(larder, recipe("sauce", title="Plate"), ["recipe:2"], [25])
    assert [one.within for one in made.ingredients] == [("Sauce", "Spice mix"), ("Sauce",)]
    assert [one.grams.value for one in made.ingredients if one.grams] == pytest.approx([5, 20])
    assert math.isclose(made.cooked.value, 25)


def test_a_dish_a_little_too_light_has_unknown_water() -> None:
    water = work(recipe("meal", yields=RecipeYield(cooked_grams=92)), ["test:meal"], [100]).total("WATER")
    assert (water.value, water.low, water.unknown_in) == (None, 0, (1,))


@pytest.mark.parametrize(("most", "carbohydrate", "high"), [(4.0, 20, 20.8), (60.0, None, 32)])
def test_a_seasoning_to_taste_widens_a_figure_or_leaves_it_unknown(
    most: float, carbohydrate: float | None, high: float
) -> None:
    """Up to a twentieth of what is known is within a figure's rounding (common practice, no source)."""
    made = recipe("meal", "sweetened meal to taste")
    every = parts_of(LARDER, made, ["test:meal", "test:meal"], [100, 0])
    every = (every[0], replace(every[1], grams=None, most=most))
    total = figures_of(dish(made, every, plain_lines(made)), made).total("CHOCDF")
    assert (total.value, total.known, total.low) == (carbohydrate, 20, 20)
    assert total.high == pytest.approx(high)


def test_sweeteners_give_the_energy_that_they_have() -> None:
    """Erythritol has none, Regulation (EU) 1169/2011 Annex XIV: the fat of a sweetened butter is all of its energy."""
    shares = work(*plain([("test:butter", 100), ("test:sweetener", 50)])).energy_shares
    assert shares is not None
    assert shares["CHOCDF"] == 0
    assert shares["FAT"] == pytest.approx(81 * 9 / (81 * 9 + 4))


# ---- ways to serve ---------------------------------------------------------------------------------------------


Ends = tuple[float | None, float | None, float | None]


def changes(served: Recipe, shares: Mapping[int, float]) -> dict[str, Ends]:
    parts = parts_of(LARDER, served, ["test:meal", "test:leaf", "test:butter"], [Spread(100, 80, 120), 50, 10])
    found = differences(parts, shares, COMPONENTS, served.net)
    return {one.tagname: (one.value, one.low, one.high) for one in found}


def test_what_two_ways_to_serve_have_alike_cancels() -> None:
    """Without the leaf, whose fibre is unknown: the meal cancels, its bounds too, and the leaf's fibre is 0 to 2 g."""
    found = changes(recipe("meal", "leaf", "butter"), {2: -1.0})
    assert found["CHOCDF"] == (-2.0, -2.0, -2.0)
    assert found["FIBTG"] == (None, -2.0, 0.0)
    assert found["FAT"] == (0.0, 0.0, 0.0)
    butter = changes(recipe("meal", "leaf", "butter"), {3: 0.5})
    assert butter["FIBTG"] == (0.0, 0.0, 0.0)
    assert butter["FAT"] == (pytest.approx(4.05),) * 3
