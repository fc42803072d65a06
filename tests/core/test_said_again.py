"""What a line says again, takes away, packs into something or gives as an example is no further food."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; the weights are those of SR28's household measures
AGAIN = [
    # the amount of a food in another state, or of what is eaten of it, is no further food
    ("250 g cooked weight black beans, about 100 g dry", "resolved", [("16015", 250)]),
    ("400 g cooked potatoes, about 450 g raw", "resolved", [("11367", 400)]),
    ("100 g dry rice, about 300 g cooked", "resolved", [("20044", 100)]),
    ("2 tbsp fresh dill, about 2 tsp dried", "resolved", [("02045", 1.11)]),
    ("1 kg chicken wings, about 600 g meat", "resolved", [("05100", 600)]),
    ("2 lobsters, about 150 g meat each", "resolved", [("15147", 300)]),
    ("1 coconut, about 300 g grated", "resolved", [("12104", 300)]),
    ("4 ears of corn, about 300 g kernels", "resolved", [("11167", 300)]),
    ("250 g cooked chickpeas, 100 g dry", "check", [("16057", 250), ("16057", 100)]),
    ("1 cup rice, 3 cups cooked", "check", [("20044", 185), ("20045", 474)]),
    ("1 cup cooked rice and 1 cup raw rice", "resolved", [("20045", 158), ("20044", 185)]),
    ("12 lasagne sheets, about 500 g meat", "check", [("20120", 240), ("13795", 500)]),
    ("100 g oats, about 20 g linseed", "resolved", [("08120", 100), ("12220", 20)]),
    ("1.5 x 2 x 3 cm piece ginger", "check", [("11216", 30)]),
    # a food lacks all that "and" joins to what it is without
    ("500 g pumpkin without the skin and seeds", "resolved", [("11422", 500)]),
    ("500 g pumpkin minus seeds", "resolved", [("11422", 500)]),
    ("200 g celery minus the leaves and salt", "check", [("11143", 100), ("02047", 100)]),
    ("2 peppers without seeds and stalks, 100 g feta", "check", [("11333", 238), ("01019", 100)]),
    ("200 g pasta without egg and salt to taste", "check", [("20120", 200), ("02047", None)]),
    ("3 apples minus the cores and skin", "resolved", [("09003", 546)]),
    ("1 whole chicken without giblets and 2 lemons", "check", [("05006", 920), ("09150", 116)]),
    # packages of pieces
    ("1 box (10 packets, 28 g each) plain instant oatmeal", "resolved", [("08122", 280)]),
    ("2 boxes (6 bars, 30 g each) milk chocolate", "resolved", [("19120", 360)]),
    ("2 packs (4 x 125 g) mozzarella", "resolved", [("01026", 1000)]),
    ("1 x 6 x 50 g pots of yoghurt", "resolved", [("01116", 300)]),
    ("1 multipack (6 x 25 g) crisps", "resolved", [("19411", 150)]),
    # the kind before the cut
    ("1 cup cherry tomatoes, quartered", "resolved", [("11529", 149)]),
    # whose millilitres: those of a spoon are rounded
    ("1/2 tsp (2 mL) salt", "resolved", [("02047", 3)]),
    ("1 tbsp (45 ml) oil", "check", [("04044", 41.4)]),
    # what stands behind "such as" is meant
    ("2 tbsp sweetener such as erythritol", "no_match", []),
    ("1 tbsp sweetener like stevia", "check", [("19918", 5.91)]),
    ("100 g nuts, e.g. almonds or hazelnuts", "check", [("12061", 100)]),
    ("oil such as sunflower oil, 2 tbsp", "resolved", [("04506", 27.2)]),
    ("1 cup milk (such as almond milk)", "resolved", [("14091", 262)]),
    ("200 g white fish (e.g. haddock)", "check", [("15033", 200)]),
    ("1 apple, like a pear", "resolved", [("09003", 182)]),
    # sizes by comparison, degrees, tags, prices, pictures, parts of eggs
    ("butter as large as a hazelnut", "resolved", [("01001", 15)]),
    ("200ml milk heated to 82C", "resolved", [("01077", 206)]),
    ("<strong>2 cups</strong> flour", "resolved", [("20081", 250)]),
    ("€3.50 of feta (200 g)", "resolved", [("01019", 200)]),
    ("3 🥕", "resolved", [("11124", 183)]),
    ("yolks of 4, whites of 2 eggs", "resolved", [("01125", 68), ("01124", 66)]),
    ("flesh of 2 aubergines", "resolved", [("11209", 600)]),
    ("1 tsp ginger garlic paste", "check", [("11216", 2.66), ("11215", 2.66)]),
    ("200 g vegan mince like beef mince", "check", [("22120", 200)]),
    ("1 tbsp <peanut butter>", "resolved", [("16098", 16)]),
    ("100 g pine apple", "check", [("09266", 51)]),
    ("50 g wal nuts", "resolved", [("12155", 50)]),
    # a bracket that says less than the line
    ("200 g firm tofu (tahu)", "check", [("16126", 200)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), AGAIN)
def test_what_is_said_again(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
