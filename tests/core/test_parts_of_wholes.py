"""What lines take of wholes that they count: zest and juice, shares, skins, liquids, parts of unknown weight."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures, pieces by common kitchen practice
TAKEN = [
    # both parts of each fruit
    (
        "zest and juice of 1 lemon and 1 orange",
        "resolved",
        [("09156", 6), ("09152", 48), ("09216", 10), ("09206", 86)],
    ),
    (
        "zest and juice of 2 lemons and 2 limes",
        "resolved",
        [("09156", 12), ("09152", 96), ("09156", 8), ("09160", 88)],
    ),
    (
        "grated zest and juice of 1 orange and 1 lemon",
        "resolved",
        [("09216", 10), ("09206", 86), ("09156", 6), ("09152", 48)],
    ),
    (
        "juice and zest of 2 lemons and 1 lime",
        "resolved",
        [("09152", 96), ("09156", 12), ("09160", 44), ("09156", 4)],
    ),
    ("rind and juice of 1 lemon, 1 orange", "resolved", [("09156", 6), ("09152", 48), ("09216", 10), ("09206", 86)]),
    ("zest and juice of 1 lemon", "resolved", [("09156", 6), ("09152", 48)]),
    # zest and then juice of one
    ("1 lemon, zested, then juiced", "resolved", [("09156", 6), ("09152", 48)]),
    ("1 lemon, zest finely grated and juiced", "resolved", [("09156", 6), ("09152", 48)]),
    ("1 lemon, zest grated, juiced", "resolved", [("09156", 6), ("09152", 48)]),
    ("1 orange, zest finely grated, juiced", "resolved", [("09216", 10), ("09206", 86)]),
    ("1 orange, zested and juiced", "resolved", [("09216", 10), ("09206", 86)]),
    ("1 lemon, zested, 1/2 juiced", "resolved", [("09156", 6), ("09152", 24)]),
    ("1 lemon, zest grated and half juiced", "resolved", [("09156", 6), ("09152", 24)]),
    ("1 lemon, zest removed, half juiced", "resolved", [("09156", 6), ("09152", 24)]),
    ("2 lemons, zested, 1 juiced", "resolved", [("09156", 12), ("09152", 48)]),
    ("2 lemons, zested, half juiced", "resolved", [("09156", 12), ("09152", 48)]),
    ("1 lemon, zest of all, juice of half", "resolved", [("09156", 6), ("09152", 24)]),
    ("1 orange, peel grated and juiced", "resolved", [("09216", 10), ("09206", 86)]),
    ("1 orange, zested, flesh segmented", "check", [("09216", 10)]),
    ("1 lemon, juiced, zest discarded", "check", [("09152", 48)]),
    ("2 oranges (zested and juiced)", "check", [("09206", 172)]),
    ("1 lemon, zested, half juiced, half in slices", "check", [("09152", 48)]),
    # some for one thing, some for another
    ("1 lemon, half for juice, half for wedges", "resolved", [("09152", 24), ("09150", 29)]),
    ("1 lemon, 1/2 for juice, 1/2 for slices", "resolved", [("09152", 24), ("09150", 29)]),
    ("1 lemon, 1/2 for juicing, 1/2 for wedges", "resolved", [("09152", 24), ("09150", 29)]),
    ("1 lemon, half juiced, half sliced", "resolved", [("09152", 24), ("09150", 29)]),
    ("2 lemons, half for juice, half for slices", "resolved", [("09152", 48), ("09150", 58)]),
    ("2 lemons, juice of 1, the other sliced", "resolved", [("09152", 48), ("09150", 58)]),
    ("2 limes, juice of 1 and other sliced", "resolved", [("09160", 44), ("09159", 67)]),
    ("3 limes, juice of 2, 1 cut into wedges", "resolved", [("09160", 88), ("09159", 67)]),
    ("1 lemon, half for juice, half for garnish", "check", [("09152", 48)]),
    # a part before a dash, a colon or a bracket
    ("egg whites - 4 eggs", "resolved", [("01124", 132)]),
    ("Egg yolk: 3 eggs", "resolved", [("01125", 51)]),
    ("yolk - 2 eggs", "resolved", [("01125", 34)]),
    ("egg yolk, 3 eggs", "resolved", [("01125", 51)]),
    ("egg yolks: from 3 eggs", "resolved", [("01125", 51)]),
    ("lime juice – 2 limes", "resolved", [("09160", 88)]),
    ("Lemon juice: 1 lemon", "resolved", [("09152", 48)]),
    ("lemon juice: half a lemon", "resolved", [("09152", 24)]),
    ("lemon juice - from 2 lemons", "resolved", [("09152", 96)]),
    ("lemon zest - 1 lemon", "resolved", [("09156", 6)]),
    ("Orange zest: 1 orange", "resolved", [("09216", 10)]),
    ("orange zest (of 1 orange)", "resolved", [("09216", 10)]),
    ("zest & juice - 1 lemon", "resolved", [("09156", 6), ("09152", 48)]),
    ("Juice: 1 lemon", "resolved", [("09152", 48)]),
    ("coconut water - 1 coconut", "resolved", [("12119", 206)]),
    ("coconut milk - 1 coconut", "check", [("12118", None)]),
    ("Skin - 1 chicken", "check", [("05015", None)]),
    ("lemon juice - 2 tbsp", "resolved", [("09152", 30.5)]),
    ("2 tbsp lemon juice (1 lemon)", "resolved", [("09152", 30.5)]),
    ("egg whites - 2 large", "resolved", [("01124", 66)]),
    # meat of a roast bird
    ("meat from 1 roast chicken", "resolved", [("05013", 600)]),
    ("meat picked from 1 roast chicken, shredded", "resolved", [("05013", 600)]),
    ("shredded meat from 1/2 roast chicken", "resolved", [("05013", 300)]),
    ("meat from 1 roast turkey", "resolved", [("05168", 2363)]),
    # how much there is of a part, nobody knows
    ("mushroom stems from 8 oz mushrooms", "check", [("11260", None)]),
    ("chicken skin from 4 thighs", "check", [("05091", None)]),
    ("heads from 1 lb shrimp", "check", [("15149", None)]),
    ("tails from 1 lb shrimp", "check", [("15149", None)]),
    ("beef fat from 1 kg brisket", "check", [("13019", None)]),
    ("chicken fat from 1 chicken", "check", [("04542", None)]),
    ("broccoli stems from 2 heads", "check", [("11741", None)]),
    ("kale stems from 1 bunch", "check", [("11233", None)]),
    ("cauliflower leaves from 1 head", "check", [("11135", None)]),
    ("celery leaves from 4 stalks", "check", [("11143", None)]),
    ("green parts of 2 leeks", "check", [("11246", None)]),
    ("1/4 cup celery leaves", "resolved", [("11143", None)]),
    ("leaves from 4 sprigs thyme", "resolved", [("02049", 3.2)]),
    ("leaves from 1 head lettuce", "resolved", [("11253", 360)]),
    ("stems of 1 bunch cilantro", "check", [("11165", None)]),
    ("tops of 4 leeks", "check", [("11246", None)]),
    ("kernels from 3 ears corn", "resolved", [("11167", 306)]),
    ("peel of 1 orange", "resolved", [("09216", 15)]),
    ("seeds of 1 pomegranate", "resolved", [("09286", 282)]),
    # the white or the green of an onion
    ("4 scallions, white parts only", "resolved", [("11291", 30)]),
    ("white parts of 6 scallions", "resolved", [("11291", 45)]),
    ("2 green onions, green part only", "resolved", [("11291", 19.5)]),
    ("2 green onions, white part only", "resolved", [("11291", 15)]),
    ("2 green onions, sliced", "resolved", [("11291", 30)]),
    ("4 spring onions (white part only)", "resolved", [("11291", 30)]),
    ("greens of 4 scallions", "resolved", [("11291", 39)]),
    ("4 green scallions", "resolved", [("11291", 60)]),
    ("4 scallions, white and green parts", "resolved", [("11291", 60)]),
    ("1 cup scallion greens", "resolved", [("11291", 100)]),
    ("2 leeks, white part only", "resolved", [("11246", 178)]),
    ("100 g scallions, white part only", "resolved", [("11291", 50)]),
    # skin and bone of a bird
    ("1 chicken, skin removed and jointed", "resolved", [("05011", 658)]),
    ("1 chicken, skinned and jointed", "resolved", [("05011", 658)]),
    ("1 chicken, jointed and skinned", "resolved", [("05011", 658)]),
    ("1 chicken, jointed", "resolved", [("05006", 920)]),
    ("4 chicken breast halves, bone in", "resolved", [("05057", 696)]),
    ("4 chicken breast halves with bone", "resolved", [("05057", 696)]),
    ("2 bone-in chicken breasts", "resolved", [("05057", 348)]),
    # what lies around a food, or in it, is not the food
    ("4 banana skins", "check", [("09040", None)]),
    ("2 mango skins", "check", [("09176", None)]),
    ("1 cup onion skins", "check", [("11282", None)]),
    ("onion skins from 6 onions", "check", [("11282", None)]),
    ("tomato skins from 6 tomatoes", "check", [("11529", None)]),
    ("1 avocado stone", "check", [("09038", None)]),
    ("egg shells from 4 eggs", "check", [("01123", None)]),
    ("egg shells", "check", [("01123", None)]),
    ("1 cucumber skin", "check", [("11205", None)]),
    ("8 potato skins", "resolved", [("11362", 304)]),
    ("200 g pasta shells", "resolved", [("20120", 200)]),
    # the state of some
    ("4 eggs, 2 of them hard-boiled", "check", [("01129", None)]),
    ("6 eggs, 4 of them hard-boiled", "check", [("01129", None)]),
    ("4 eggs, 2 of which are hard-boiled", "check", [("01129", None)]),
    ("4 eggs (2 of them boiled)", "check", [("01123", None)]),
    # popped before it was measured, or after
    ("1/4 cup popcorn, popped", "check", [("19034", None)]),
    ("1 cup popped popcorn kernels", "check", [("20014", None)]),
    ("1 cup popped popcorn", "resolved", [("19034", 8)]),
    ("1/4 cup popcorn kernels, popped", "resolved", [("20014", 41.5)]),
    # the cream of a milk that parts
    ("cream from the top of 2 cans coconut milk", "check", [("12115", None)]),
    ("coconut cream from the top of 1 can coconut milk", "check", [("12115", None)]),
    ("thick cream from 1 tin coconut milk", "check", [("12115", None)]),
    ("solid part of 1 can coconut milk", "check", [("12115", None)]),
    ("1 can coconut milk, water discarded", "check", [("12118", None)]),
    ("1 can full-fat coconut milk, refrigerated, cream scooped off", "check", [("12118", None)]),
    # drained, and the liquid is used
    ("1 (20 oz) can pineapple rings, drained, reserve juice", "check", [("09354", None)]),
    ("2 (6.5 oz) cans chopped clams, drained with juice reserved", "check", [("15160", None)]),
    ("1 (28 oz) can whole tomatoes, drained, juice reserved", "check", [("11531", None)]),
    ("1 (6 oz) can tuna in oil, drained, reserve the oil", "check", [("15119", None)]),
    ("1 (2 oz) tin anchovies in their oil", "check", [("15002", None)]),
    ("1 (50 g) tin anchovies including oil", "check", [("15002", None)]),
    # two fats that are mixed, vegetables that are named
    ("2 tbsp butter and oil mixed", "check", [("01001", 14.2), ("04044", 13.6)]),
    ("2 tbsp butter & olive oil mixed", "check", [("01001", 14.2), ("04053", 13.5)]),
    ("1 kg mixed root vegetables (carrots, parsnips, swede)", "check", [("11583", None)]),
    ("500g mixed vegetables (carrots, cauliflower, broccoli)", "check", [("11583", None)]),
    ("500g mixed vegetables (frozen)", "resolved", [("11583", 500)]),
    # a cut of a bird without its skin, whatever the cut is called
    ("8 chicken thigh cutlets, skin removed", "resolved", [("05096", 920)]),
    ("2 chicken marylands, skin removed", "resolved", [("05080", 410)]),
    ("2 skinless chicken marylands", "resolved", [("05080", 410)]),
    ("3 chicken chops, skinned", "resolved", [("05096", 447)]),
    ("2 chicken hindquarters, skin off", "resolved", [("05080", 410)]),
    ("4 chicken supremes, skin off", "resolved", [("05062", 696)]),
    ("4 chicken wingettes, skin removed", "resolved", [("05105", 100)]),
    ("500 g chicken wings, skinless", "resolved", [("05105", 310)]),
    ("8 chicken necks, skin removed", "resolved", [("05088", 160)]),
    ("1 goose, skinned", "resolved", [("05148", 1530)]),
    ("2 poussins, skin removed", "resolved", [("05309", 480)]),
    ("2 guinea fowl, skinned", "resolved", [("05152", 1060)]),
    ("4 duck legs, skinned", "check", [("05141", 800)]),
    ("2 chicken marylands", "resolved", [("05075", 500)]),
    # stems taken off, however that is said; SR28 11161 has 43 % of them
    ("1 lb collards, stems removed", "resolved", [("11161", 259)]),
    ("500 g collards, tough ribs cut away", "resolved", [("11161", 285)]),
    ("1 lb kale, stems removed", "resolved", [("11233", 327)]),
    ("1 lb kale, stems stripped", "resolved", [("11233", 327)]),
    ("1 lb kale (stems torn away)", "resolved", [("11233", 327)]),
    ("1 lb kale, stems cut away", "resolved", [("11233", 327)]),
    ("50 g parsley, stems removed", "resolved", [("11297", 47.5)]),
    ("1 lb chard, stems removed", "resolved", [("11147", 249)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), TAKEN)
def test_what_is_taken_of_wholes(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)


# Parts for which the tables have no fair entry, or none that anybody would take for granted.
UNKNOWN = ["peel from 1 apple", "peel of 1 apple", "seeds from 1 vanilla pod"]


@pytest.mark.parametrize("line", UNKNOWN)
def test_a_part_without_an_entry_is_no_note(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome in ("check", "no_match")
