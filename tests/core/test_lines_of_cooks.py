"""What lines that cooks publish taught: foods that no table has, shares as ranges, weights said twice, sizes of cuts."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line -> outcome, entry and grams of each part (None: unknown)
READ = [
    # what stands in for a food that no table has is asked about, in words or in a bracket
    ("3 tbsp xylitol or honey", "check", [("19296", 63)]),
    ("1 tbsp mirin (or sherry)", "check", [("14536", 15)]),
    ("2 tsp garam masala or curry powder", "check", [("02015", 4)]),
    ("1 tbsp dhania / coriander seeds", "resolved", [("02013", 5)]),
    # a size behind "in" is that of the pieces
    ("1 onion in small cubes", "resolved", [("11282", 110)]),
    ("1 head broccoli in large florets", "resolved", [("11090", 350)]),
    ("1 small onion in large chunks", "resolved", [("11282", 70)]),
    # a range of shares is its middle
    ("200 g 50-70% dark chocolate", "resolved", [("19903", 200)]),
    ("200 g dark chocolate (50% to 70% cocoa)", "resolved", [("19903", 200)]),
    ("cream 30-36% 250 ml", "resolved", [("01053", 251)]),
    ("200 ml milk 1-2%", "resolved", [("01079", 206)]),
    ("500 g ground beef, 15-20% fat", "resolved", [("23572", 500)]),
    # pounds beside kilograms are one mass, unless the line says what was done
    ("2 kg (2 lb) potatoes", "check", [("11352", 2000)]),
    ("450 g (1 lb) potatoes", "resolved", [("11352", 450)]),
    ("1 lb shrimp (300 g peeled)", "resolved", [("15149", 300)]),
    ("1 whole chicken, 2.5 kg (3 lb)", "check", [("05006", 1700)]),
    ("A whole chicken weighing close to 2.5 kg (roughly 3 pounds). Avoid small birds", "check", [("05006", 1700)]),
    ("1 pumpkin weighing in at 1.5 kg", "resolved", [("11422", 1050)]),
    ("close to 2 kg potatoes", "resolved", [("11352", 2000)]),
    # a sentence ends behind a bracket, an abbreviation does not
    ("1 onion (a red one). Keep the skin", "resolved", [("11282", 110)]),
    ("2 (14 oz). cans tomatoes", "resolved", [("11531", 794)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), READ)
def test_a_line_of_a_cook(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    result = resolver.resolve(line)
    assert result.outcome == outcome
    assert [part.food.id.removeprefix("sr28:") for part in result.parts if part.food] == [code for code, _ in parts]
    for part, (_, grams) in zip(result.parts if parts else (), parts, strict=True):
        if grams is not None:
            assert part.grams is not None
            assert part.grams.value == pytest.approx(grams, rel=0.04)
