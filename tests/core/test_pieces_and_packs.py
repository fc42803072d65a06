"""Pieces and packages that share a word with others: small cakes, sizes of eggs, sizes of cans, strips, pouches."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures, pieces by common kitchen practice
WEIGHED = [
    # one small cake is no layer cake: SR28 18127, a cupcake 50 g
    ("12 cupcakes", "resolved", [("18146", 600)]),
    ("12 fairy cakes", "resolved", [("18146", 600)]),
    ("12 chocolate cupcakes", "resolved", [("18101", 600)]),
    ("6 plain cupcakes", "resolved", [("18146", 300)]),
    ("6 rock cakes", "check", [("18146", 300)]),
    ("2 mini cupcakes", "check", [("18146", 30)]),
    ("1 yellow cake", "resolved", [("18146", 817)]),
    # sizes of cooked eggs as of raw ones: SR28 01123
    ("4 medium eggs, hard-boiled", "resolved", [("01129", 176)]),
    ("3 medium fried eggs", "resolved", [("01128", 121)]),
    ("2 small eggs, hard boiled", "resolved", [("01129", 76)]),
    ("2 extra large eggs, hard boiled", "resolved", [("01129", 112)]),
    ("2 jumbo eggs, hard boiled", "resolved", [("01129", 126)]),
    ("4 medium eggs, poached", "resolved", [("01131", 176)]),
    ("4 large eggs, hard-boiled", "resolved", [("01129", 200)]),
    ("4 medium-boiled eggs", "resolved", [("01129", 200)]),
    ("2 eggs, medium boiled", "resolved", [("01129", 100)]),
    ("3 medium egg yolks", "resolved", [("01125", 45)]),
    ("2 medium cooked beets", "resolved", [("11081", 164)]),
    # a pot of concentrated stock is no pot to cook in
    ("1 Knorr stock pot", "no_match", []),
    ("1 Oxo stock pot", "no_match", []),
    ("1 stock pot, any flavour", "no_match", []),
    ("1 stock pot (any flavor)", "no_match", []),
    ("1 large stock pot", "not_food", []),
    ("1 Tesco stock pot", "no_match", []),
    ("1 heavy stockpot", "not_food", []),
    ("1 enamel stock pot", "not_food", []),
    ("1 big old stock pot with lid", "not_food", []),
    # named after the meal that they follow
    ("12 after-dinner mints", "resolved", [("19153", 101)]),
    ("a box of after dinner mints", "check", [("19153", 200)]),
    # a number before what is eaten counts it, or what the list makes
    ("20 wontons", "check", [("32013", 580)]),
    ("24 cupcakes", "check", [("18146", 1200)]),
    ("30 dumplings", "no_match", []),
    ("about 40 dumplings", "not_food", []),
    # squares of baking chocolate are an ounce: SR28 19078
    ("6 squares semisweet chocolate", "resolved", [("19080", 170)]),
    ("4 squares semisweet", "resolved", [("19080", 113)]),
    ("6 squares bittersweet", "resolved", [("19903", 170)]),
    ("4 squares dark chocolate", "resolved", [("19905", 40)]),
    # trade sizes of cans, and grades
    ("1 (No. 2) can tomatoes", "resolved", [("11531", 567)]),
    ("1 (No. 303) can corn", "resolved", [("11172", 337)]),
    ("1 (#2) can pineapple", "resolved", [("09268", 567)]),
    ("1 can tomatoes (No. 303)", "resolved", [("11531", 468)]),
    ("1 No. 2 can tomatoes", "resolved", [("11531", 567)]),
    ("2 No. 1 eggs", "resolved", [("01123", 100)]),
    ("3 No. 1 potatoes", "resolved", [("11352", 639)]),
    ("No. 1 eggs, 2", "resolved", [("01123", 100)]),
    # a truss holds several
    ("2 trusses cherry tomatoes", "resolved", [("11529", 400)]),
    ("4 trusses tomatoes on the vine", "check", [("11529", 1800)]),
    ("1 vine tomatoes", "check", [("11529", 450)]),
    ("cherry tomatoes, 1 vine", "resolved", [("11529", 200)]),
    ("4 vine tomatoes", "resolved", [("11529", 492)]),
    ("4 truss tomatoes", "resolved", [("11529", 492)]),
    # pieces that share their name with larger or smaller ones
    ("1 popsicle", "resolved", [("19283", 52)]),
    ("2 ice lollies", "resolved", [("19283", 104)]),
    ("1 chateaubriand", "resolved", [("23336", 500)]),
    ("1 côte de boeuf", "resolved", [("23192", 800)]),
    ("1 bread bowl", "check", [("18353", 230)]),
    ("1 gross clams", "check", [("15157", 1368)]),
    ("200 g gross weight potatoes", "resolved", [("11352", 200)]),
    # strips are no whole fruit's peel
    ("2 strips lemon zest", "resolved", [("09156", 4)]),
    ("2 wide strips lemon zest", "resolved", [("09156", 4)]),
    ("4 wide strips orange peel", "resolved", [("09216", 8)]),
    ("3 long strips lemon zest", "resolved", [("09156", 6)]),
    ("2 3-inch strips orange zest", "resolved", [("09216", 4)]),
    ("3 (2-inch) strips orange zest", "resolved", [("09216", 6)]),
    ("1 (3-inch) piece orange peel", "resolved", [("09216", 2)]),
    ("2 lemons, zest peeled in strips", "resolved", [("09156", 12)]),
    # of eggs of other birds the share that is yolk or white in a hen's egg
    ("2 duck egg yolks", "check", [("01125", 48)]),
    ("3 quail egg yolks", "check", [("01125", 9)]),
    ("whites of 2 duck eggs", "check", [("01124", 92)]),
    ("yolk of a duck egg", "check", [("01125", 24)]),
    ("2 goose egg whites", "check", [("01124", 190)]),
    ("2 duck eggs", "resolved", [("01138", 140)]),
    # pouches of the size in which grains and pulses are sold cooked
    ("250g pouch brown rice", "check", [("20037", 250)]),
    ("2 x 250g pouches rice", "check", [("20045", 500)]),
    ("1 (8.5 oz) pouch brown rice", "check", [("20037", 241)]),
    ("1 pouch (250g) lentils", "check", [("16070", 250)]),
    ("1 250g pouch quinoa", "check", [("20137", 250)]),
    ("500g pouch rice", "resolved", [("20044", 500)]),
    ("250g pouch flour", "resolved", [("20081", 250)]),
    ("250g brown rice", "resolved", [("20036", 250)]),
    # sheets that each region sells in sizes of its own
    ("2 sheets savoury short pastry", "check", [("18402", 490)]),
    ("1 sheet shortcrust pastry", "check", [("18402", 245)]),
    # whole heads
    ("1 big sour cabbage", "resolved", [("11439", 1560)]),
    ("1 head sauerkraut", "resolved", [("11439", 1300)]),
    # as large as an egg, a lemon, a marble
    ("6 egg-sized potatoes", "resolved", [("11352", 300)]),
    ("8 small potatoes, about the size of an egg", "resolved", [("11352", 400)]),
    ("6 potatoes the size of an egg", "resolved", [("11352", 300)]),
    ("potatoes, egg sized", "resolved", [("11352", None)]),
    ("butter the size of an egg", "resolved", [("01001", 50)]),
    ("tamarind lemon size ball", "resolved", [("09322", 30)]),
    ("tamarind marble size", "resolved", [("09322", 6)]),
    # an entry's own roll, SR28 28288, before rolls of any kind; peppers by their kind, with either noun
    ("4 bolillo rolls", "resolved", [("28288", 392)]),
    ("2 bolillos", "resolved", [("28288", 196)]),
    ("2 focaccia", "check", [("18973", 600)]),
    ("4 bread rolls", "resolved", [("18342", 240)]),
    ("2 brown rolls", "resolved", [("18347", 120)]),
    ("4 piri-piri chillies", "resolved", [("11819", 8)]),
    ("4 piri piri peppers", "resolved", [("11819", 8)]),
    ("4 peri-peri chilli", "resolved", [("11819", 8)]),
    ("2 malagueta chillies", "resolved", [("11819", 4)]),
    ("2 malagueta peppers", "resolved", [("11819", 4)]),
    ("4 bird's eye peppers", "resolved", [("11819", 8)]),
    ("4 pickled piri piri peppers", "resolved", [("31034", 8)]),
    ("2 dried piri piri peppers", "resolved", [("11962", 2)]),
    ("2 pimento seasoning peppers", "check", [("11821", 24)]),
    ("3 seasoning peppers", "check", [("11821", 36)]),
    ("1 pimento pepper", "check", [("11821", 30)]),
    # slices of a thickness; a root by the stick
    ("4 slices thick-cut bacon", "resolved", [("10123", 152)]),
    ("4 thick-cut slices bacon", "resolved", [("10123", 152)]),
    ("4 slices bacon, thick cut", "resolved", [("10123", 152)]),
    ("4 thick-cut bacon slices", "resolved", [("10123", 152)]),
    ("4 slices bacon", "resolved", [("10123", 112)]),
    ("4 thin slices rye bread", "resolved", [("18060", 100)]),
    ("2 thin slices white bread", "resolved", [("18069", 40)]),
    ("2 thick slices ham", "check", [("10182", 56)]),
    ("2 slices ham, cut into thin strips", "resolved", [("10182", 56)]),
    ("1/2 stick burdock (gobo)", "resolved", [("11104", 78)]),
    ("1 stick gobo", "resolved", [("11104", 156)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), WEIGHED)
def test_pieces_and_packs(resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]) -> None:
    assert_read(resolver.resolve(line), outcome, parts)


# Weights that differ much from shop to shop: what is sold lies within the bounds.
WIDE = [
    ("1 sheet shortcrust pastry", 150, 330),
    ("1 truss cherry tomatoes", 120, 300),
    ("1 chateaubriand", 400, 600),
    ("1 côte de boeuf", 600, 1000),
    ("1 sour cabbage", 1000, 2000),
    ("6 squares semisweet chocolate", 60, 170),
]


@pytest.mark.parametrize(("line", "low", "high"), WIDE)
def test_what_is_sold_lies_within_the_bounds(resolver: Resolver, line: str, low: float, high: float) -> None:
    (part,) = resolver.resolve(line).parts
    assert part.grams is not None
    assert part.grams.low is not None
    assert part.grams.high is not None
    assert part.grams.low <= low < high <= part.grams.high
