"""What a food is said to hold none of, as a zero or a "no": never the food with it, and never silently."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line -> outcome, entry (None: the tables have none), grams
ZEROS = [
    ("0 gluten flour 200 g", "check", "20061", 200),
    ("200 g zero gluten flour", "check", "20061", 200),
    ("200 g no gluten flour", "check", "20061", 200),
    ("no gluten bread 2 slices", "resolved", "28337", 70),
    ("0 sugar jam 2 tbsp", "check", "43028", 28),
    ("zero sugar jam 2 tbsp", "check", "43028", 28),
    ("2 tbsp no sugar jam", "check", "43028", 28),
    ("2 tbsp 0 g sugar ketchup", "no_match", None, None),
    ("2 tbsp ketchup 0 g sugar", "no_match", None, None),
    ("0 calorie cola 330 ml", "resolved", "14416", 330),
    ("calorie free cola 330 ml", "resolved", "14416", 330),
    ("zero cola 330 ml", "resolved", "14416", 330),
    ("cola zero 330 ml", "resolved", "14416", 330),
    ("0 alcohol beer 330 ml", "resolved", "14305", 331),
    ("no alcohol beer 330 ml", "resolved", "14305", 331),
    ("20 g 0 salt butter", "resolved", "01145", 20),
    ("0 g lactose milk, 200 ml", "resolved", "01077", 206),
    ("yogurt 0 fat 200 g", "resolved", "01118", 200),
    ("0 g carb noodles 200 g", "check", "20109", 200),
    ("zero carb noodles 200 g", "check", "20109", 200),
    ("0 points vegetable soup 300 g", "check", "06068", 300),
    ("0 trans fat margarine 20 g", "check", "04610", 20),
    # what is left of a zero or a "no" is asked about
    ("330 ml cola, 0 g carb", "check", "14148", 343),
    ("330 ml cola (0 g carb)", "check", "14148", 343),
    ("330 ml cola (0 g sugar)", "check", "14148", 343),
    ("330 ml cola (no sugar)", "check", "14148", 343),
    ("yogurt, 0 g fat, 200 g", "check", "01116", 200),
    ("0.0 beer 330 ml", "check", "14003", 331),
    ("beer 0.0% 330 ml", "check", "14003", 331),
    ("zero waste carrots 200 g", "check", "11124", 200),
    ("no knead flour 200 g", "check", "20081", 200),
    # names, amounts and numbers all the same
    ("0 flour 100 g", "resolved", "20081", 100),
    ("00 flour 100 g", "resolved", "20081", 100),
    ("Coke Zero 330 ml", "resolved", "14416", 330),
    ("0 g butter", "resolved", "01001", 0),
    ("0 eggs", "resolved", "01123", 0),
    ("0 g salt", "resolved", "02047", 0),
    ("2 eggs, no salt", "resolved", "01123", 100),
    ("1 can (No. 2) crushed pineapple", "resolved", "09268", 567),
]


@pytest.mark.parametrize(("line", "outcome", "code", "grams"), ZEROS)
def test_a_zero_before_a_food(
    resolver: Resolver, line: str, outcome: str, code: str | None, grams: float | None
) -> None:
    (part,) = (result := resolver.resolve(line)).parts
    found = part.food.id.removeprefix("sr28:") if part.food else None
    assert (found, result.outcome) == (code, outcome), (result.reasons, part.reasons)
    weight = part.grams.value if part.grams else None
    assert weight == (pytest.approx(grams, rel=0.05) if grams is not None else None), part.reasons


def test_every_food_that_is_free_of_something_is_that_by_a_zero_too(resolver: Resolver) -> None:
    held, wrong, asked = resolver.vocabulary.titles.free_of, [], 0
    for name in list(resolver.vocabulary.all_names()):
        first, free, *food = (*name.form.split(), "", "")
        if first not in held or free != "free":
            continue
        alone = resolver.resolve(f"100 g {name.form}")
        meant = alone.parts[0].food
        for zero in ("0", "zero", "no", "0 g"):
            result = resolver.resolve(line := f"100 g {zero} {first} {' '.join(food).strip()}")
            asked += 1
            if any(part.outcome == "resolved" and part.food != meant for part in result.parts) or not result.parts:
                wrong.append((line, [part.food.id for part in result.parts if part.food], name.form))
    assert asked > 100
    assert not wrong
