"""Weights of lines with the bounds that honesty asks for: where a source or the kin of an entry differ, so do these."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line, grams, at most so high the low bound, at least so high the high bound, source
WEIGHTS = [
    # a grating is a grind of what is ground over a dish only; of cheese and chocolate it is a spoonful
    ("a grating of parmesan", 5, 2, 12, "SR28 01032: a tablespoon 5 g"),
    ("a grating of cheese", 5, 2, 12, "common kitchen practice"),
    ("a grating of chocolate", 3, 1, 8, "common kitchen practice"),
    ("a grating of nutmeg", 0.1, 0.05, 0.3, "common kitchen practice"),
    ("a handful of spaghetti", 75, 40, 120, "common kitchen practice: a portion is 75 to 100 g"),
    ("a handful of penne", 40, 25, 70, "common kitchen practice"),
    ("1 dollop of whipped cream", 8, 4, 20, "SR28 01054: a tablespoon 3 g"),
    # the entry's own row of the size said comes before a row of its kind without that size
    ("1 large dill pickle", 135, 125, 145, "SR28 11937"),
    ("2 large dill pickles, chopped", 270, 250, 290, "SR28 11937"),
    ("1 dill pickle", 65, 35, 135, "common kitchen practice"),
    ("2 large gherkins", 70, 56, 270, "SR28 11940: 35 g; 11937: 135 g"),
    ("2 large loaves pita bread", 180, 100, 200, "the size is of a loaf, not of a small pita"),
    # the peeled row is of what is peeled
    ("1 large eggplant", 548, 440, 620, "SR28 11209: unpeeled"),
    ("1 large eggplant, peeled", 458, 370, 520, "SR28 11209: peeled"),
    ("10 large marshmallows", 72, 65, 80, "SR28 19116: a regular one 7.2 g"),
    # shrimp are sold with and without shell, and are called by sizes that differ
    ("12 large shrimp", 84, 76, 150, "SR28 15149: 4 large 28 g"),
    ("20 medium shrimp", 120, 108, 200, "SR28 15149: 1 medium 6 g"),
    ("12 shrimp", 72, 48, 192, "SR28 15149: 1 medium 6 g"),
    # what is bought with bone is counted by what is eaten of it
    ("1 smoked ham hock", 300, 150, 650, "edible part of one of 350 g to 1 kg"),
    ("1 beef shank cross cut", 190, 100, 350, "edible part of a slice 3 to 4 cm thick"),
    ("1 pork chop", 199, 115, 239, "SR28 10036: 199 g; its kin from 67 to 219 g"),
    ("8 slices prosciutto", 96, 56, 128, "packs hold 6 to 16 slices to 80 to 100 g"),
    ("6 slices roast beef", 120, 54, 186, "SR28 07043: 9.3 and 13.8 g"),
    ("2 thick slices white bread", 84, 60, 110, "SR28 18071: 44 g"),
    ("2 slices white bread", 58, 40, 60, "SR28 18069"),
    ("1 hoagie roll", 94, 65, 135, "SR28 18348"),
    ("1 crab", 100, 21, 250, "SR28 15139: blue 21 g, 15143: dungeness 163 g"),
    ("2 blue crabs", 42, 34, 50, "SR28 15139"),
    ("1 dungeness crab", 163, 140, 190, "SR28 15143"),
    ("4 scones", 240, 160, 320, "SR28 18016: 2 1/2 in 60 g"),
    ("4 buttermilk biscuits", 240, 160, 404, "SR28 18016: 2 1/2 in 60 g, 4 in 101 g"),
    # pieces that are called cooked behind them are counted raw; those that are bought cooked are not
    ("2 acorn squash, roasted", 862, 700, 1000, "SR28 11482: 431 g"),
    ("3 medium beets, roasted", 246, 150, 300, "SR28 11080: 82 g"),
    ("3 cooked beets", 150, 130, 170, "SR28 11081: 50 g"),
    ("1 large head cauliflower, roasted", 840, 510, 900, "SR28 11135: 840 g"),
    ("2 carrots, roasted", 122, 75, 144, "SR28 11124: 61 g"),
    ("8 large mushrooms, grilled", 184, 120, 190, "SR28 11260: 23 g"),
    ("2 leeks, braised", 178, 120, 300, "SR28 11246: 89 g"),
    ("2 carrots, boiled (100 g)", 100, 100, 100, "stated"),
    # a cup of a loose or unsaid form is none of what is chopped; volumes of kin that differ are bounds
    ("3 cups chopped kale", 75, 48, 200, "SR28 11233: loosely packed 16 g a cup, 11622: chopped 67 g"),
    ("4 cups packed chopped kale", 125, 90, 268, "SR28 11233, 11622"),
    ("2 cups kale", 32, 32, 134, "SR28 11233, 11622"),
    ("1 tsp mustard seeds", 3.4, 2, 3.7, "whole ones weigh more than those that SR28 02024 has ground"),
    ("1 tbsp mustard seeds", 10.2, 6.3, 11.2, "whole ones weigh more than those that SR28 02024 has ground"),
    ("1 tsp ground mustard", 2, 2, 2, "SR28 02024"),
    ("1 tsp whole allspice", 1.9, 1.3, 2.4, "SR28 02001 is ground"),
    ("1 tsp whole cloves", 2.1, 1.2, 2.2, "SR28 02011 is ground"),
    ("1 tbsp chopped mint", 3, 1.6, 5.7, "SR28 02064, 02065"),
    ("1/4 cup chopped mint", 12, 6.4, 23, "SR28 02064, 02065"),
    ("2 tbsp chopped coriander leaves", 3, 2, 6, "SR28 11165; chopped 20 to 50 g a cup"),
    ("1 cup chopped coriander", 25, 16, 50, "SR28 11165; chopped 20 to 50 g a cup"),
    ("2 cups shredded mozzarella", 172, 172, 226, "SR28 01271: 86 g, 01026: 112 g, 01029: 113 g a cup"),
    ("1 cup cornmeal", 157, 122, 157, "SR28 20020, 20022"),
    ("1 cup cake flour", 137, 100, 137, "SR28 20084: dipped"),
    ("1 cup crushed walnuts", 100, 80, 120, "SR28 12155: ground 80 g, pieces 120 g"),
    ("1 cup grated provolone", 113, 86, 120, "SR28 01208 and 26 other cheeses: 113 g a cup shredded"),
    # cartons and bottles of liquids state fluid ounces, tins do not
    ("1 (32 oz) carton chicken broth", 996, 907, 996, "SR28 06194: a cup 249 g"),
    ("1 (8 oz) bottle clam juice", 240, 227, 240, "SR28 15162: a cup 240 g"),
    ("1 (16 oz) carton heavy cream", 476, 454, 476, "SR28 01053: a fluid ounce 29.8 g"),
    ("1 (14.5 oz) can chicken broth", 411, 411, 411, "stated"),
    ("1 (8 oz) container sour cream", 227, 227, 227, "stated; sold by weight"),
    ("1 (16 oz) carton egg whites", 454, 454, 454, "stated; sold by weight"),
    ("1 (2 oz) tin anchovies, drained", 34, 31, 47, "SR28 15002: 45 g of 2 oz"),
    # packages as the trade has them
    ("1 small can tomato paste", 170, 70, 175, "6 oz in the US"),
    ("1 package flour tortillas", 407, 300, 500, "SR28 18364: a package 407 g"),
    ("1 package hot dogs", 450, 340, 454, "SR28 07022: a package 446 g"),
    ("1 package hot dog buns", 350, 300, 450, "SR28 18350: 44 g each"),
    ("1 bag rocket", 100, 60, 200, "net weight as commonly sold"),
]


@pytest.mark.parametrize(("line", "grams", "low", "high", "source"), WEIGHTS)
def test_a_weight_with_its_bounds(
    resolver: Resolver, line: str, grams: float, low: float, high: float, source: str
) -> None:
    found = resolver.resolve(line).parts[0].grams
    assert found is not None, source
    assert found.value == pytest.approx(grams, rel=0.04), source
    assert found.low is not None, source
    assert found.high is not None, source
    assert found.low <= low * 1.04, source
    assert found.high >= high * 0.96, source
