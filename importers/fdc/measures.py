"""Household measures as FoodData Central writes them: amount, unit and modifier, or all in one text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

import pandas as pd

from importers.fdc.rows import records
from service.core.food import HouseholdMeasure

NO_UNIT = "9999"  # measure_unit.csv: undetermined; the modifier is the measure
NO_MEASURE = "quantity not specified"  # a default of the dietary survey, no household measure
_LEADING = re.compile(r"^(\d+(?:\.\d+)?|\.\d+)?(?:[ -]?(\d+)\s*/\s*(\d+))?(?=[\s(]|$)\s*")


def read_leading_amount(text: str) -> tuple[float, str]:
    """The amount that a text begins with and the rest: "1 1/2 cups" is (1.5, "cups"); (1, text) where there is none.

    >>> read_leading_amount("1/2 cup, NFS")
    (0.5, 'cup, NFS')
    """
    text = " ".join(text.split())
    simple = re.match(r"^(\d+)\s*/\s*(\d+)\s+(.*)$", text)
    if simple and int(simple[2]):
        return float(Fraction(int(simple[1]), int(simple[2]))), simple[3]
    mixed = _LEADING.match(text)
    if not mixed or not mixed[1]:
        return 1.0, text
    part = Fraction(int(mixed[2]), int(mixed[3])) if mixed[2] and int(mixed[3]) else Fraction(0)
    amount = float(mixed[1]) + float(part)
    rest = text[mixed.end():]
    return (amount, rest) if amount > 0 and rest else (1.0, text)


def read_measures(portions: pd.DataFrame, units: Mapping[str, str]) -> dict[int, list[HouseholdMeasure]]:
    """The measures of each food, numbered from 1 in the publisher's order.

    The survey's defaults and measures of 0 g weigh nothing anybody can use and are left out. `seq_num` is empty for
    many foods and twice the same for some, so that it gives an order only.
    """
    found: dict[int, list[HouseholdMeasure]] = {}
    for row in records(portions.sort_values(["food", "sequence", "portion"])):
        amount, text = _named(row.amount, units.get(row.unit, ""), row.unit, row.text, row.modifier)
        if text and row.grams > 0 and amount > 0 and not text.lower().startswith(NO_MEASURE):
            measures = found.setdefault(int(row.food), [])
            measures.append(HouseholdMeasure(amount, text, float(row.grams), len(measures) + 1))
    return found


def _named(amount: float, unit_name: str, unit: str, text: str, modifier: str) -> tuple[float, str]:
    text, modifier = " ".join(text.split()), " ".join(modifier.split())
    if amount != amount:  # the dietary survey: all in the text, the modifier is a code
        return read_leading_amount(text)
    if unit == NO_UNIT:
        return amount, modifier or text
    return amount, ", ".join(filter(None, (unit_name, modifier, text)))
