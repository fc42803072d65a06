"""What the kitchen tests save: dishes and packets of a harbour lunch room, all invented."""

from __future__ import annotations

from typing import Any


def recipe(title: str, *lines: str | dict[str, Any], **more: Any) -> dict[str, Any]:
    """A recipe of one section."""
    made = [{"text": line} if isinstance(line, str) else line for line in lines]
    return {"title": title, "sections": [{"lines": made}], **more}


CRACKERS = recipe(
    "Seed crackers", "100 g sunflower seeds", "50 g flaxseed", "1 tbsp olive oil", "1 tsp salt", "80 ml water",
    servings=20, **{"yield": {"pieces": 20, "piece_name": "cracker", "cooked_grams": 170}},
)  # fmt: skip
RICHER_CRACKERS = {
    **CRACKERS, "sections": [{"lines": [*CRACKERS["sections"][0]["lines"], {"text": "20 g chia seeds"}]}]
}  # fmt: skip
PLATE = recipe("Quay plate", "6 seed crackers", "2 slices quayside bread", "150 g smoked salmon", servings=2)
# An EU label: 5.5 g of carbohydrate, 12 g of fibre beside it; 17 x 4 + 16 x 9 + 5.5 x 4 + 12 x 2 = 258 kcal.
BREAD = {
    "description": "Quayside bread", "carbohydrate_basis": "available",
    "components": {"ENERC_KCAL": 258, "FAT": 16, "CHOAVLDF": 5.5, "FIBTG": 12, "PROCNT": 17, "NACL": 1.1},
    "measures": [{"amount": 1, "measure": "slice", "grams": 35}],
}  # fmt: skip
# A US label of 30 g that does not add up: more fibre than carbohydrate, 60 kcal where its factors give 141.
BISCUIT = {
    "description": "Pier biscuit", "basis": "serving", "serving_grams": 30,
    "components": {"ENERC_KCAL": 60, "FAT": 9, "CHOCDF": 12, "FIBTG": 14, "PROCNT": 3},
}  # fmt: skip
MAYO = {"phrase": "mayo", "food": "sr28:04025"}
