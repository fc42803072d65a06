"""What a line takes of a food, drains, leaves out or leaves over, said as recipes order it."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures, pieces by common kitchen practice
TAKEN = [
    # a drained tin, as recipes order it
    ("1 can (15 oz) black beans, rinse and drain", "resolved", [("16018", 255)]),
    ("1 can kidney beans - rinse and drain", "resolved", [("16145", 255)]),
    ("1 (15 oz) can chickpeas, discard liquid", "resolved", [("16358", 255)]),
    ("1 (28 oz) can tomatoes, drain well", "resolved", [("11531", 476)]),
    ("1 can tomatoes, juice discarded", "resolved", [("11531", 240)]),
    ("1 (20 oz) can pineapple, drain and save juice", "check", [("09354", 352)]),
    ("1 can beans, do not drain", "check", [("16029", 425)]),
    ("1 cup yogurt, strained", "resolved", [("01293", 244)]),
    # the part of an egg or a bird that is left
    ("2 eggs, omit yolks", "resolved", [("01124", 66)]),
    ("2 eggs, leave out the whites", "resolved", [("01125", 34)]),
    ("3 eggs, use only the yolks", "resolved", [("01125", 51)]),
    ("3 eggs (you only need the yolks)", "resolved", [("01125", 51)]),
    ("1 egg (use the white only)", "resolved", [("01124", 33)]),
    ("4 chicken thighs, remove skin", "resolved", [("05096", 596)]),
    ("1 rotisserie chicken, skin and bones discarded", "resolved", [("05013", 600)]),
    ("1 whole chicken (3 lb), bones removed", "resolved", [("05011", 653)]),
    ("mixed nuts except peanuts, 1 cup", "resolved", [("12138", 144)]),
    # used without a part of it, in whatever words
    ("4 chicken thighs, remove skin and bones", "resolved", [("05096", 596)]),
    ("4 chicken thighs, skin not used", "resolved", [("05096", 596)]),
    ("1 bunch kale, stems not needed", "resolved", [("11233", 162)]),
    ("1 tin (160 g) tuna in oil - throw away the oil", "resolved", [("15119", 125)]),
    ("1 can chickpeas, leave the liquid in the can", "resolved", [("16358", 255)]),
    ("6 chicken thighs, the skin thrown away", "resolved", [("05096", 894)]),
    ("1 can peaches in light syrup (410 g), drain off the syrup", "resolved", [("09240", 238)]),
    ("1 tin apricot halves in syrup, 400 g, throw away the syrup", "resolved", [("09357", 232)]),
    ("1 can chickpeas, 400 g, tip away the liquid", "resolved", [("16358", 240)]),
    ("3 eggs, but not the yolks", "resolved", [("01124", 99)]),
    ("6 eggs not using the whites", "resolved", [("01125", 102)]),
    ("3 eggs - I only use the whites", "resolved", [("01124", 99)]),
    ("300 g chard leaves, no stalks", "resolved", [("11147", 300)]),
    ("Squeeze in the juice of 1 lemon", "resolved", [("09152", 48)]),
    ("2 eggs (yolks unused)", "resolved", [("01124", 66)]),
    ("2 eggs, skip the whites", "resolved", [("01125", 34)]),
    ("100 g tomatoes, skins and seeds discarded", "resolved", [("11529", 91)]),
    ("1 bunch kale without the stalks", "resolved", [("11233", 162)]),
    ("1 bunch kale, stalks removed", "resolved", [("11233", 162)]),
    ("1 apple, minus the core", "resolved", [("09003", 182)]),
    ("1 tin (432 g) pineapple rings in juice, without the juice", "resolved", [("09354", 268)]),
    ("1 can tomatoes, no juice", "resolved", [("11531", 240)]),
    ("1 x 160 g tin tuna in oil, minus the oil", "resolved", [("15119", 125)]),
    ("2 lemons, no pips, juice only", "resolved", [("09152", 96)]),
    ("zest but not the juice of 1 orange", "resolved", [("09216", 10)]),
    ("whites but not yolks of 3 eggs", "resolved", [("01124", 99)]),
    ("200 g whelks, cooked and out of the shell", "resolved", [("15178", 200)]),
    ("300 g mussels, out of their shells", "resolved", [("15164", 300)]),
    ("2 cups walnuts, out of their shells", "resolved", [("12155", 200)]),
    ("3 cans chickpeas, 400 g each, drained", "resolved", [("16358", 720)]),
    ("3 cans chickpeas, 400 g each", "resolved", [("16058", 1200)]),
    ("coconut milk, 2 x 400 ml", "resolved", [("12118", 764)]),
    ("1 cabbage, core removed and 2 carrots", "resolved", [("11109", 908), ("11124", 122)]),
    ("1 whole chicken, giblets removed and 2 lemons", "resolved", [("05006", 920), ("09150", 116)]),
    ("2 lb pork chops, fat trimmed and 2 onions", "resolved", [("10036", 907), ("11282", 220)]),
    # an amount of the whole that something is taken of
    ("juice of 1 kg lemons", "check", [("09152", 1000)]),
    ("skin of 1 chicken", "check", [("05015", 1000)]),
    ("meat from a 3 lb chicken", "check", [("05011", 1360)]),
    ("juice of 2 lemons", "resolved", [("09152", 96)]),
    ("skin of 1 orange, no pith", "resolved", [("09216", 15)]),
    # only a part of it is used, or something else
    ("1 lb butter, use half of it", "check", [("01001", 454)]),
    ("2 onions, use only one", "check", [("11282", 220)]),
    ("1 box (17.3 oz) puff pastry, 1 sheet only", "check", [("18337", 490)]),
    ("1 lb ground beef (I substitute ground turkey)", "check", [("23572", 454)]),
    ("100 ml olive oil, half of it is left in the pan", "resolved", [("04053", 91.3)]),
    # cooked before it was measured
    ("2 cups rice when cooked", "check", [("20045", 316)]),
    ("200 g lentils (weight when cooked)", "resolved", [("16070", 200)]),
    # its leaves may be on it
    ("1 lb carrots with tops", "check", [("11124", 454)]),
    ("1 lb beet greens", "resolved", [("11086", 454)]),
    # pieces of the trade
    ("8 lamb kebabs", "resolved", [("17059", 800)]),
    ("4 artichoke bottoms", "resolved", [("11007", 160)]),
    ("6 peanut butter cups", "resolved", [("19150", 102)]),
    ("1 cup hot chocolate", "resolved", [("01105", 250)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), TAKEN)
def test_what_is_taken_and_left(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
