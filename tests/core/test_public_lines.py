"""What lines of published recipes taught: amounts said twice, lists of choices, titles, pieces of a rate."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line -> outcome, entry and grams of each part (None: unknown)
READ = [
    # a bracket before cups says of all of them what the cups say, one before a spoon too
    ("3 1/2 (440 g) cups flour", "resolved", [("20081", 440)]),
    ("6 (1.4 L) cups water", "resolved", [("14411", 1400)]),
    ("1 (6 oz) cup plain yogurt", "resolved", [("01116", 170)]),
    # a volume in brackets behind a sum is of the sum
    ("1/4 cup + 1 tablespoon (75 ml) whole milk", "resolved", [("01077", 78)]),
    # two amounts that cannot both be meant
    ("1 cup/700 ml cider vinegar", "check", [("02048", 707)]),
    ("1 1/2 oz (14g) sachet gelatine", "check", [("19177", 43)]),
    ("1 pint (570 ml) milk", "resolved", [("01077", 588)]),
    # sachets: the spoons that fill one, and the size of all
    ("1 packet (2 1/4 tsp) active dry yeast", "resolved", [("18375", 7)]),
    ("2 packets (4 1/2 tsp) active dry yeast", "resolved", [("18375", 14)]),
    ("2 packets vanilla sugar (16 g)", "resolved", [("19335", 16)]),
    ("2 (15 oz) cans black beans", "resolved", [("16018", 850)]),
    ("2 (3 1/2) pound whole chickens", "resolved", [("05006", 2159)]),
    # a rate, a serving
    ("onions (5 g per sausage)", "check", [("11282", 5)]),
    ("2 tbsp butter per duck breast", "check", [("01001", 28)]),
    ("8 oz macaroni, cooked per package directions", "check", [("20121", 227)]),
    ("6 servings shortcrust pastry", "check", [("18402", 600)]),
    # what is no range, and what may be one
    ("3 veal cutlets (1 ~ 160 g)", "check", [("17426", None)]),
    ("2/3 cardamom pods", "check", [("02006", None)]),
    ("5/6 bay leaves", "check", [("02004", None)]),
    ("2/3 avocado", "resolved", [("09038", 91)]),
    ("from 40 g to 60 g of sugar", "resolved", [("19335", 50)]),
    # the first of a list of choices counts
    ("3 tsp sugar, honey, or molasses", "resolved", [("19335", 12.6)]),
    ("2 tbsp olive oil, vegetable oil, or butter", "resolved", [("04053", 27)]),
    ("500 g fish, cod or haddock", "resolved", [("15015", 500)]),
    ("1 cup rice, basmati, or jasmine", "resolved", [("20044", 185)]),
    ("60 ml rum, brandy, or whisky", "resolved", [("14050", 57)]),
    ("1/2 each red, green, and yellow bell pepper", "resolved", [("11821", 60), ("11333", 60), ("11951", 60)]),
    ("sherry or dry white wine (any will do) (2 tablespoons)", "resolved", [("14536", 29.5)]),
    # what is said beside the phrase is no other food
    ("egg whites separated from the yolks", "resolved", [("01124", None)]),
    ("3 beets with greens attached", "resolved", [("11080", 246)]),
    ("1 small lemon, with a smooth thin rind", "resolved", [("09150", 58)]),
    ("1 lemon, grated rind", "resolved", [("09156", 6)]),
    ("300 g risotto rice (arborio or carnaroli)", "resolved", [("20052", 300)]),
    # states that would do as well
    ("parsley (fresh is best, dry is fine)", "resolved", [("11297", None)]),
    ("2 cups blueberries (frozen is fine)", "resolved", [("09050", 296)]),
    ("1 turkey, 12 lb (thawed)", "resolved", [("05165", 3919)]),
    ("1 (12 oz) can frozen orange juice concentrate", "resolved", [("09214", 340)]),
    # so little ginger is the spice
    ("1/2 tsp ginger", "resolved", [("02021", 0.9)]),
    ("1 pinch ginger", "resolved", [("02021", 0.15)]),
    ("1 tbsp ginger", "check", [("02021", 5.2)]),
    # what brackets name beside the food: others that would do, examples, how it is cut
    ("300 g kale (chard, sorrel, or spinach can also be used)", "resolved", [("11233", 300)]),
    ("1 spoon thyme/rosemary (finely chopped)", "resolved", [("02049", 2)]),
    ("2 tbsp oil (e.g. sunflower, canola)", "resolved", [("04506", 27)]),
    ("100 g grain of choice (e.g. rye, spelt)", "no_match", []),
    ("1 stock cube (dissolved in 400 ml boiling water)", "resolved", [("06081", 5)]),
    ("1 tbsp cornflour (mixed with 2 tbsp water)", "resolved", [("20027", 8)]),
    # a fruit, or what is made of it
    ("1 tbsp apricot or peach jam", "resolved", [("19719", 20)]),
    ("2 tbsp apple/pear syrup", "no_match", []),
    ("1 cup strawberries or strawberry jam", "check", [("09316", None)]),
    ("2 tbsp honey or maple syrup", "resolved", [("19296", 42)]),
    # roasting changes no seed
    ("1 tbsp roasted flax seeds", "resolved", [("12220", 10.3)]),
    # slips of the pen
    ("4 gloves of garlic", "resolved", [("11215", 12)]),
    ("1 cup un-cooked grits", "resolved", [("08090", 156)]),
    ("3 bayleaves", "resolved", [("02004", 0.6)]),
    ("150 g grinded edam", "resolved", [("01018", 150)]),
    # bread or the dough's starter
    ("300 g sourdough", "check", [("18029", 300)]),
    ("2 slices sourdough", "resolved", [("18029", 100)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), READ)
def test_a_published_line(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)


@pytest.mark.parametrize("line", [
    "Worcestershire sauce", "Fish sauce", "Instant yeast", "Tabasco", "beef gravy granules", "chicken stock",
    "barbecue sauce", "white bread", "hot cooked rice", "Whole peeled tomatoes", "Neutral oil", "Bread crumbs",
])  # fmt: skip
def test_what_heads_no_recipe_needs_no_amount(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "resolved"


@pytest.mark.parametrize("line", ["Barbecue Sauce", "Chicken stock", "cornbread", "Puff Pastry", "White bread"])
def test_what_may_head_one_is_asked(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "check"
