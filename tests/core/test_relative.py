"""What was done with a food before it was weighed, said in a clause of its own, and what a scanner made of a line."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures
DONE = [
    ("250 g lentils which you have already boiled and drained", "check", [("16070", 250)]),
    ("250 g lentils that are already cooked", "check", [("16070", 250)]),
    ("3 eggs, large, that you have hard-boiled, cooled and chopped", "resolved", [("01129", 150)]),
    ("3 eggs that you've hard-boiled", "resolved", [("01129", 150)]),
    ("200 g peas which have been frozen", "resolved", [("11312", 200)]),
    ("200 g potatoes that have been boiled in their skins", "resolved", [("11365", 200)]),
    ("200 g rice that was cooked yesterday", "check", [("20045", 200)]),
    ("2 cups rice, the rice you cooked yesterday", "check", [("20045", 316)]),
    ("200 g rice (the one that you boiled the day before)", "resolved", [("20045", 200)]),
    ("1 onion that you have peeled and chopped", "resolved", [("11282", 110)]),
    ("100 g spinach, weighed once wilted and squeezed dry", "resolved", [("11458", 100)]),
    ("200 g wilted kale", "resolved", [("11234", 200)]),
    ("200 g chicken from a roast", "resolved", [("05013", 200)]),
    ("2 cups roasted chicken thighs, boneless and skinless", "resolved", [("05098", 279)]),
    # weighed before it was done
    ("120 g rice, weighed dry, then boiled", "resolved", [("20044", 120)]),
    ("80 g (raw weight) pasta, boiled", "resolved", [("20120", 80)]),
    ("500 g chicken breast (raw weight), poached and shredded", "resolved", [("05062", 500)]),
    ("250 g mince, cooked, weighed raw", "resolved", [("23572", 250)]),
    ("500 g spinach, wilted and squeezed dry (weight before cooking)", "resolved", [("11457", 500)]),
    ("200 g rice, weighed after cooking", "resolved", [("20045", 200)]),
    ("250 g spinach, not fresh but frozen", "resolved", [("11463", 250)]),
    ("150 g salmon (not fresh but tinned)", "resolved", [("15260", 150)]),
    # what is still to be done
    ("200 g potatoes which will be boiled later", "resolved", [("11352", 200)]),
    ("200 g rice that you boil", "resolved", [("20044", 200)]),
]
SCANNED = [
    ("1O oz. frozen spinach", "resolved", [("11463", 283)]),
    ("3 c1oves gar1ic", "resolved", [("11215", 9)]),
    ("2 p0tatoes", "resolved", [("11352", 426)]),
    ("l/2 cup rnilk", "check", [("01077", 122)]),
    ("1 1b. ground beef", "resolved", [("23572", 454)]),
    ("8 0z. cream cheese", "resolved", [("01017", 227)]),
    ("2 tablespoons tornato paste", "resolved", [("11546", 32)]),
    ("1 cup mlik", "check", [("01077", 244)]),
    ("1tspbaking powder", "resolved", [("18369", 4.6)]),
    ("2tbspolive oil", "resolved", [("04053", 27)]),
    ("3ozcream cheese", "resolved", [("01017", 85)]),
    # letters that no scanner changed
    ("1 cup corn", "resolved", [("11167", 145)]),
    ("1cupcake", "resolved", [("18146", 50)]),
    ("flour1kg", "resolved", [("20081", 1000)]),
    ("2 cups B12 soy milk", "resolved", [("16139", 486)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), [*DONE, *SCANNED])
def test_what_is_read(resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
