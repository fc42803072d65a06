"""Loads what cautions are drawn from into the values of service/core; README.md explains the columns."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from service.core.allergens import EU_ANNEX_II, US_MAJOR, Allergen, AllergenTable, AllergenWords
from service.core.cautions import CautionTables, SafeTemperature
from service.core.text import fold, singular
from service.tables.rows import TableRow, read_rows

_WORD = re.compile(r"[a-z]+")
DENIES = "no "
# No food is cooked to a temperature outside these inside, in degrees Fahrenheit.
LEAST, MOST = 120, 212


def load_caution_tables(folder: Path = Path(__file__).parent) -> CautionTables:
    """The allergens, the words that bring them and the safe temperatures; TableError for the first bad row."""
    allergens = list(_allergens(folder))
    words = _words(folder, frozenset(one.name for one in allergens))
    return CautionTables(AllergenTable(allergens, words), tuple(_temperatures(folder)))


def _allergens(folder: Path) -> Iterator[Allergen]:
    for row in read_rows(folder / "allergens.csv", ("allergen", "us", "eu", "source"), key=("allergen",)):
        us, eu = row.one_of("us", (*US_MAJOR, "")), row.one_of("eu", (*EU_ANNEX_II, ""))
        if not us and not eu:
            raise row.fault("us", "and eu are both empty: no law lists it")
        yield Allergen(row.required("allergen"), us, eu, row.required("source"))


def _words(folder: Path, known: frozenset[str]) -> Iterator[AllergenWords]:
    columns = ("group", "food", "without", "brings", "source")
    for row in read_rows(folder / "allergen_words.csv", columns, key=("group", "food", "without")):
        row.required("source")
        if not row.text("food") and not row.text("group"):
            raise row.fault("food", "and group are both empty: every food would fit")
        said = [one for one in row.alternatives("brings") if one]
        denied = frozenset(one.removeprefix(DENIES) for one in said if one.startswith(DENIES))
        brought = frozenset(said) - {DENIES + one for one in denied}
        if unknown := (denied | brought) - known:
            raise row.fault("brings", f"{min(unknown)!r} is no allergen of allergens.csv")
        group = tuple(fold(one) for one in row.alternatives("group") if one)
        for phrase in row.alternatives("food"):
            yield AllergenWords(_phrase(phrase), group, _any_word(row), brought, denied)


def _temperatures(folder: Path) -> Iterator[SafeTemperature]:
    columns = ("food", "group", "what", "without", "fahrenheit", "rest_minutes", "source")
    for row in read_rows(folder / "safe_temperatures.csv", columns, key=("food", "group")):
        fahrenheit = row.number("fahrenheit")
        if not LEAST <= fahrenheit <= MOST:
            raise row.fault("fahrenheit", f"is not between {LEAST} and {MOST}")
        row.required("food")
        foods = tuple(frozenset(_phrase(one)) for one in row.alternatives("food"))
        group = tuple(one for one in row.alternatives("group") if one)
        rest = row.number("rest_minutes", 0)
        what, source = row.required("what"), row.required("source")
        yield SafeTemperature(what, group, foods, _any_word(row), fahrenheit, rest, source)


def _phrase(text: str) -> tuple[str, ...]:
    return tuple(singular(word) for word in _WORD.findall(fold(text)))


def _any_word(row: TableRow) -> frozenset[str]:
    return frozenset(singular(fold(word)) for word in row.alternatives("without") if word)
