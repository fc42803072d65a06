"""Lines whose states, denials and weights were once taken for something else, in families, over all of SR28."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line -> outcome, entry of the only part; first what only would do as well, and what is the food's own state
STATES = [
    ("Peaches, 2, ripe but firm (tinned if out of season)", "resolved", "09236"),
    ("500 g tomatoes, ripe (tinned in winter)", "resolved", "11529"),
    ("1 lb shrimp (cooked ones will do)", "resolved", "15149"),
    ("1 cup plums, ripe (canned out of season)", "resolved", "09279"),
    ("2 salmon fillets (smoked is good too)", "resolved", "15236"),
    ("300 g spinach, thawed if frozen", "resolved", "11457"),
    ("1 cup cherries (frozen in winter, fresh in summer)", "resolved", "09070"),
    ("200 g prawns, cooked if you like", "resolved", "15149"),
    ("3 beets, cooked (canned ones work too)", "resolved", "11081"),
    ("1 cup blueberries, frozen is okay", "resolved", "09050"),
    ("250 g mushrooms, canned in a pinch", "resolved", "11260"),
    ("1 cup corn kernels, frozen", "resolved", "11178"),
    ("2 cups pumpkin puree, canned or homemade", "resolved", "11424"),
    ("300 g spinach (frozen is best)", "resolved", "11463"),
]
DENIED = [
    ("1 cup milk, never skim", "resolved", "01077"),
    ("1 cup milk (do not use skim)", "resolved", "01077"),
    ("1 cup flour, never self-raising", "resolved", "20081"),
    ("4 eggs, yolks discarded", "resolved", "01124"),
    ("12 eggs without the yolks", "resolved", "01124"),
    ("6 eggs minus the yolks", "resolved", "01124"),
    ("3 eggs (discard the whites)", "resolved", "01125"),
    ("4 eggs, yolks reserved for another use", "resolved", "01124"),
    ("2 egg whites, no yolk", "resolved", "01124"),
    ("6 egg yolks (freeze the whites)", "resolved", "01125"),
    ("3 eggs, separated, whites reserved", "resolved", "01123"),
    ("skin of 1 orange, no pith", "resolved", "09216"),
    ("zest of 1 lemon, no pith", "resolved", "09156"),
    ("1 lemon without peel", "resolved", "09150"),
    ("400 g tin lentils, do not drain", "check", "16070"),  # the table has none with their liquid
    ("400 g tin chickpeas, not drained", "resolved", "16058"),
    ("2 cups chicken broth with no MSG, not from a cube", "check", "06194"),
    ("1 cup no chicken broth", "resolved", "06700"),
    ("8 oz pasta, no eggs", "check", "20120"),
    ("1 cup mayonnaise, without egg", "check", "04025"),
    ("200 g ham, minus the fat", "check", "10182"),
    ("1 cup coconut milk without added sugar", "resolved", "12118"),
    ("3 lemons, no pips", "resolved", "09150"),
]


@pytest.mark.parametrize(("line", "outcome", "code"), STATES + DENIED)
def test_what_is_meant(resolver: Resolver, line: str, outcome: str, code: str) -> None:
    (part,) = resolver.resolve(line).parts
    assert part.food is not None
    assert (part.food.id, part.outcome) == (f"sr28:{code}", outcome), part.reasons
