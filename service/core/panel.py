"""What labels print: the US panel and the EU and UK declaration, as data.

Sources: 21 CFR 101.9(b), (c), (d) as of the 2016 rule, with FDA's Food Labeling Guide, Appendix H; Regulation (EU)
1169/2011, Annexes I, XIV and XV, with the Commission's guidance on tolerances of December 2012, whose rounding table
has no legal force. Both round halves up and choose the step by the unrounded amount.

An amount that is not known in full is a lower bound ("at least", rounded down) or "not known", never 0. Net
carbohydrate has no legal meaning on a label and is no row of either.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Literal

import numpy as np

from service.core.composition import Dish, Ingredient
from service.core.errors import InputError
from service.core.figures import Figures, bounded_per_100, bounds_of, net_of, summed, varies
from service.core.food import Component
from service.core.label import SALT_PER_SODIUM
from service.core.nutrients import Array, NetConvention, Total, eu_energy

State = Literal["known", "at least", "not known"]
NOT_KNOWN: State = "not known"
CALCULATED = "Calculated from food composition tables, not analysed."


def decimal(number: float) -> Decimal:
    """A float as the decimal that it stands for; what is beyond nine places is noise of binary sums."""
    return Decimal(repr(float(number))).quantize(Decimal("1e-9"), ROUND_HALF_UP)


def to_step(amount: Decimal, step: Decimal, rounding: str = ROUND_HALF_UP) -> Decimal:
    """The nearest multiple of a step, halves up."""
    return (amount / step).quantize(Decimal(1), rounding) * step


def digits(number: Decimal) -> str:
    """A number without an exponent or trailing zeros."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


# ---- rounding tables -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Band:
    """How amounts up to `end` are declared: to a step, as "less than" something, or as 0 where neither is given.

    end        None: no end
    inclusive  whether `end` itself is in the band
    """

    end: Decimal | None
    step: Decimal | None = None
    less_than: Decimal | None = None
    inclusive: bool = False

    def holds(self, amount: Decimal) -> bool:
        return self.end is None or amount < self.end or (self.inclusive and amount == self.end)


def _up_to(end: str, *, step: str | None = None, less_than: str | None = None, inclusive: bool = False) -> Band:
    return Band(
        Decimal(end), None if step is None else Decimal(step), None if less_than is None else Decimal(less_than),
        inclusive,
    )  # fmt: skip


def _above(step: str) -> Band:
    return Band(None, Decimal(step))


@dataclass(frozen=True, slots=True)
class Rounding:
    """How one kind of amount is rounded.

    fixed   shows as many decimals as the step has: 1.0 g
    below   how "less than" is written
    """

    bands: tuple[Band, ...]
    fixed: bool = False
    below: str = "less than "

    def band(self, amount: Decimal) -> Band:
        """The band of an unrounded amount."""
        return next(band for band in self.bands if band.holds(amount))

    def text(self, value: Decimal, unit: str) -> str:
        """A rounded value with its unit."""
        step = self.band(value).step if self.fixed else None
        return f"{digits(value) if step is None else f'{value.quantize(step):f}'} {unit}".strip()


# 21 CFR 101.9(c)(1), (2), (3), (4), and (6) with (7); (c)(8)(iv) for the rest, whose steps are FDA's advice by the
# size of the daily value (from memory: 10 for 250 and more).
US_ENERGY = Rounding((_up_to("5"), _up_to("50", step="5", inclusive=True), _above("10")))
US_FAT = Rounding((_up_to("0.5"), _up_to("5", step="0.5"), _above("1")))
US_CHOLESTEROL = Rounding((_up_to("2"), _up_to("5", less_than="5"), _above("5")))
US_SODIUM = Rounding((_up_to("5"), _up_to("140", step="5", inclusive=True), _above("10")))
US_GRAMS = Rounding((_up_to("0.5"), _up_to("1", less_than="1"), _above("1")))
US_TENTHS = Rounding((_above("0.1"),))
US_TENS = Rounding((_above("10"),))
# Commission guidance on tolerances (2012), table 4 (from memory; two copies agree).
EU_ENERGY = Rounding((_above("1"),), fixed=True)
EU_GRAMS = Rounding(
    (_up_to("0.5", less_than="0.5", inclusive=True), _up_to("10", step="0.1"), _above("1")), fixed=True, below="<"
)
EU_FATTY_ACIDS = Rounding(
    (_up_to("0.1", less_than="0.1", inclusive=True), _up_to("10", step="0.1"), _above("1")), fixed=True, below="<"
)
EU_SALT = Rounding(
    (_up_to("0.0125", less_than="0.01", inclusive=True), _up_to("1", step="0.01"), _above("0.1")), fixed=True, below="<"
)


@dataclass(frozen=True, slots=True)
class Declared:
    """An amount as a label states it.

    text    with its unit: "8 g", "less than 1 g", "<0.5 g", "at least 8 g", "not known"
    value   the number of the text, None where there is none
    """

    text: str
    value: Decimal | None
    state: State = "known"


UNKNOWN = Declared(NOT_KNOWN, None, NOT_KNOWN)


def declared(amount: Decimal, rounding: Rounding, unit: str = "") -> Declared:
    """An amount that is known, rounded; nothing at all is always 0."""
    band = rounding.band(amount)
    if amount > 0 and band.less_than is not None:
        return Declared(f"{rounding.below}{digits(band.less_than)} {unit}".strip(), band.less_than)
    value = Decimal(0) if band.step is None or amount <= 0 else to_step(amount, band.step)
    return Declared(rounding.text(value, unit), value)


def declared_total(total: Total, rounding: Rounding, unit: str = "") -> Declared:
    """A total as a label states it; one not known in full is stated where its bounds come to the same figure.

    "Less than" something is true of all that is below its upper bound too.
    """
    if total.value is not None:
        return declared(decimal(total.value), rounding, unit)
    least = decimal(max(0.0, total.low))
    if total.high is not None:
        low, high = declared(least, rounding, unit), declared(decimal(total.high), rounding, unit)
        if low == high or rounding.band(decimal(total.high)).less_than is not None:
            return high
    return _at_least(least, rounding, unit)


def _at_least(least: Decimal, rounding: Rounding, unit: str) -> Declared:
    """A lower bound, rounded down so that it stays true."""
    step = rounding.band(least).step
    value = Decimal(0) if step is None else to_step(least, step, ROUND_FLOOR)
    return Declared(f"at least {rounding.text(value, unit)}", value, "at least") if value else UNKNOWN


# ---- the US panel ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class UsLine:
    """A row that the regulation asks for; `daily_value` in the row's unit, None where there is none."""

    tagname: str
    name: str
    unit: str
    rounding: Rounding
    daily_value: int | None = None
    indent: int = 0
    vitamin: bool = False
    voluntary: bool = False


# Order of 101.9(c) and (d); daily values of (c)(8)(iv) and (c)(9) for adults and children of 4 or more.
US_LINES = (
    UsLine("ENERC_KCAL", "Calories", "", US_ENERGY),
    UsLine("FAT", "Total fat", "g", US_FAT, 78),
    UsLine("FASAT", "Saturated fat", "g", US_FAT, 20, 1),
    UsLine("FATRN", "Trans fat", "g", US_FAT, None, 1),
    UsLine("CHOLE", "Cholesterol", "mg", US_CHOLESTEROL, 300),
    UsLine("NA", "Sodium", "mg", US_SODIUM, 2300),
    UsLine("CHOCDF", "Total carbohydrate", "g", US_GRAMS, 275),
    UsLine("FIBTG", "Dietary fiber", "g", US_GRAMS, 28, 1),
    UsLine("SUGAR", "Total sugars", "g", US_GRAMS, None, 1),
    UsLine("SUGAD", "Includes added sugars", "g", US_GRAMS, 50, 2),
    UsLine("POLYL", "Sugar alcohol", "g", US_GRAMS, None, 1, voluntary=True),
    UsLine("PROCNT", "Protein", "g", US_GRAMS),
    UsLine("VITD", "Vitamin D", "mcg", US_TENTHS, 20, vitamin=True),
    UsLine("CA", "Calcium", "mg", US_TENS, 1300, vitamin=True),
    UsLine("FE", "Iron", "mg", US_TENTHS, 18, vitamin=True),
    UsLine("K", "Potassium", "mg", US_TENS, 4700, vitamin=True),
)
# (d)(9), from memory.
US_FOOTNOTE = (
    "The % Daily Value (DV) tells you how much a nutrient in a serving of food contributes to a daily diet. "
    "2,000 calories a day is used for general nutrition advice."
)


@dataclass(frozen=True, slots=True)
class PanelRow:
    """One row of the US panel.

    amount_text           with its unit, "not known" where unknown
    daily_value_percent   None where there is no daily value or no amount
    daily_value_text      "10%", "at least 10%", "less than 1%", "" where there is none
    indent                0 to 2: a part of the row above with less of it
    vitamin               a vitamin or mineral, which the panel keeps apart
    """

    tagname: str
    name: str
    amount_text: str
    unit: str
    daily_value_percent: Decimal | None
    daily_value_text: str
    indent: int
    vitamin: bool
    state: State


@dataclass(frozen=True, slots=True)
class UsPanel:
    """The US panel of one serving: `servings` and `serving_size` are sentences of the panel's head."""

    servings: str
    serving_size: str
    rows: tuple[PanelRow, ...]
    footnote: str = US_FOOTNOTE
    notes: tuple[str, ...] = (CALCULATED,)


def us_panel(serving: Figures, *, servings: float, measure: str = "1 serving") -> UsPanel:
    """The panel of one serving, of which there are `servings`; `measure` is what a serving is, in household terms.

    Energy is the tables' own, by specific factors, which 101.9(c)(1)(i)(A) allows.
    """
    found = {total.tagname: total for total in serving.components}
    lines = [line for line in US_LINES if not line.voluntary or found.get(line.tagname, _lost(line.tagname)).known > 0]
    rows = tuple(us_row(line, found.get(line.tagname, _lost(line.tagname))) for line in lines)
    return UsPanel(servings_per_container(servings), serving_size(serving.grams, measure), rows)


def _lost(tagname: str) -> Total:
    """A component that the tables in use do not have."""
    return Total(tagname, "", None, 0.0, 0.0, None)


def us_row(line: UsLine, total: Total) -> PanelRow:
    """One row of the panel."""
    amount = declared_total(total, line.rounding, line.unit)
    percent, text = _daily_value(line, total, amount)
    return PanelRow(
        line.tagname, line.name, amount.text, line.unit, percent, text, line.indent, line.vitamin, amount.state
    )


def _daily_value(line: UsLine, total: Total, amount: Declared) -> tuple[Decimal | None, str]:
    """The percent of the daily value, from the unrounded amount; what is declared as 0 has 0 %."""
    if line.daily_value is None or amount.state == NOT_KNOWN:
        return None, ""
    exact = decimal(total.low if total.value is None else total.value)
    least = amount.state == "at least"
    if amount.value == 0:
        percent = Decimal(0)
    elif line.vitamin:
        percent = vitamin_percent(exact, line.daily_value, least=least)
    else:
        percent = daily_percent(exact, line.daily_value, least=least)
    if least:
        return (percent, f"at least {digits(percent)}%") if percent else (None, "")
    if percent == 0 and amount.value != 0 and not line.vitamin:
        return percent, "less than 1%"
    return percent, f"{digits(percent)}%"


def daily_percent(amount: Decimal, daily_value: int, *, least: bool = False) -> Decimal:
    """Percent of a daily reference value, to the nearest 1 (101.9(d)(7)(ii)); a lower bound is rounded down."""
    return to_step(amount * 100 / daily_value, Decimal(1), ROUND_FLOOR if least else ROUND_HALF_UP)


def vitamin_percent(amount: Decimal, daily_intake: int, *, least: bool = False) -> Decimal:
    """Percent of a reference daily intake: 0 below 2, by 2 up to 10, by 5 up to 50, by 10 above (101.9(c)(8)(iii))."""
    percent = amount * 100 / daily_intake
    if percent < 2:
        return Decimal(0)
    step = 2 if percent <= 10 else 5 if percent <= 50 else 10
    return to_step(percent, Decimal(step), ROUND_FLOOR if least else ROUND_HALF_UP)


# ---- how a serving is declared ---------------------------------------------------------------------------------


def servings_per_container(servings: float) -> str:
    """Whole, but to the nearest half from 2 to 5; "about" where it was rounded (101.9(b)(8)).

    InputError unless `servings` is a finite number above 0.
    """
    if not (math.isfinite(servings) and servings > 0):
        raise InputError(f"servings must be a finite number above 0, not {servings:g}", pointer="/servings")
    exact = decimal(servings)
    rounded = max(Decimal(1), to_step(exact, Decimal("0.5") if 2 <= exact <= 5 else Decimal(1)))
    noun = "serving" if rounded == 1 else "servings"
    return f"{'' if rounded == exact else 'about '}{digits(rounded)} {noun} per container"


def metric_serving(grams: float, unit: str = "g") -> str:
    """Grams or ml of a serving: whole above 5, to 0.5 from 2 to 5, to 0.1 below (101.9(b)(7))."""
    exact = decimal(grams)
    step = "1" if exact > 5 else "0.5" if exact >= 2 else "0.1"
    return f"{digits(to_step(exact, Decimal(step)))} {unit}"


def serving_size(grams: Total, measure: str = "1 serving") -> str:
    """A serving in household terms with its grams: "1 serving (236 g)"."""
    if grams.value is not None and grams.value > 0:
        return f"{measure} ({metric_serving(grams.value)})"
    return f"{measure} (weight {NOT_KNOWN})"


# ---- the EU and UK declaration ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class EuLine:
    """A row of the declaration; `name` is also the key of its total."""

    name: str
    unit: str
    rounding: Rounding
    indent: int = 0
    voluntary: bool = False


# Order of Annex XV; fibre and polyols are voluntary (article 30(2)).
EU_LINES = (
    EuLine("energy in kJ", "kJ", EU_ENERGY),
    EuLine("energy in kcal", "kcal", EU_ENERGY),
    EuLine("fat", "g", EU_GRAMS),
    EuLine("saturates", "g", EU_FATTY_ACIDS, 1),
    EuLine("carbohydrate", "g", EU_GRAMS),
    EuLine("sugars", "g", EU_GRAMS, 1),
    EuLine("polyols", "g", EU_GRAMS, 1, voluntary=True),
    EuLine("fibre", "g", EU_GRAMS),
    EuLine("protein", "g", EU_GRAMS),
    EuLine("salt", "g", EU_SALT),
)
NITROGEN_FACTOR = 6.25  # Annex I, point 10
# Foods that a note names before it says how many more there are.
MOST_NAMED = 3
_AVAILABLE = NetConvention(polyols="none", allulose=False)
Cell = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class EuRow:
    """One row: `per_100g` is None where the dish has no known weight."""

    name: str
    unit: str
    indent: int
    per_100g: Declared | None
    per_portion: Declared


@dataclass(frozen=True, slots=True)
class EuDeclaration:
    """The declaration per 100 g and per portion; `portion` says what a portion is."""

    portion: str
    rows: tuple[EuRow, ...]
    notes: tuple[str, ...]


def eu_declaration(
    dish: Dish, components: Sequence[Component], *, grams: Total, servings: float, measure: str = "1 portion"
) -> EuDeclaration:
    """The declaration of a dish that weighs `grams` and is eaten in `servings` portions.

    It is worked out per ingredient: available carbohydrate, protein as nitrogen x 6.25, salt as sodium x 2.5, energy
    by the factors of Annex XIV, in kJ by those for kJ.
    """
    sums = eu_sums(dish, components)
    shares: Sequence[Total | None] = [None] * len(sums.totals)
    if weight := grams.value:
        plain = tuple(total.divided(weight, taken=100.0) for total in sums.totals)
        low, high = sums.cells[:, :, 1], sums.cells[:, :, 2]
        shares = bounded_per_100(plain, sums.counted, low, high) if varies(dish) else plain
    rows = []
    for line, total, share in zip(EU_LINES, sums.totals, shares, strict=True):
        if line.voluntary and total.known <= 0:
            continue
        per_100g = None if share is None else declared_total(share, line.rounding, line.unit)
        per_portion = declared_total(total.divided(servings), line.rounding, line.unit)
        rows.append(EuRow(line.name, line.unit, line.indent, per_100g, per_portion))
    portion = serving_size(grams.divided(servings), measure)
    notes = (*_eu_notes(dish, components), *_sugar_notes(rows, sums.counted, sums.cells))
    return EuDeclaration(portion, tuple(rows), notes)


@dataclass(frozen=True, slots=True, eq=False)
class EuSums:
    """What a whole dish comes to by the definitions of Annex I.

    totals   named and ordered as EU_LINES
    counted  the ingredients that count
    cells    of each of them (value or NaN, least, most) per 100 g of each row of EU_LINES
    """

    totals: tuple[Total, ...]
    counted: Sequence[Ingredient]
    cells: Array


def eu_sums(dish: Dish, components: Sequence[Component]) -> EuSums:
    """The sums that the declaration of a dish rounds."""
    columns = {component.tagname: place for place, component in enumerate(components)}
    counted = [one for one in dish.ingredients if one.row is not None]
    bounds = zip(counted, *bounds_of(counted, columns), strict=True)
    rows = [_eu_cells(one, one.row, (low, high), columns) for one, low, high in bounds if one.row is not None]
    cells = np.array(rows, dtype=float).reshape(len(counted), len(EU_LINES), 3)
    names = [(line.name, line.unit) for line in EU_LINES]
    totals = summed(counted, cells[:, :, 0], cells[:, :, 1], cells[:, :, 2], names, dish.unmatched)
    return EuSums(tuple(totals), counted, cells)


def _eu_cells(one: Ingredient, row: Array, bounds: tuple[Array, Array], columns: Mapping[str, int]) -> list[Cell]:
    """(value or NaN, least, most) per 100 g of one ingredient, in the order of EU_LINES."""
    lower, upper = bounds

    def cell(tagname: str, factor: float = 1.0) -> Cell:
        place = columns.get(tagname)
        if place is None:
            return math.nan, 0.0, math.inf
        return float(row[place]) * factor, float(lower[place]) * factor, float(upper[place]) * factor

    fibre, fat, protein = cell("FIBTG"), cell("FAT"), cell("PROCNT", _nitrogen_share(one))
    carbohydrate: Cell = net_of(row, upper, one.basis, columns, _AVAILABLE)
    salt = cell("NA", float(SALT_PER_SODIUM) / 1000)
    salt = cell("NACL") if math.isnan(salt[0]) else salt
    kcal, kilojoules = cell("ENERC_KCAL"), cell("ENERC_KJ")
    if one.basis != "available" or math.isnan(kcal[0] + kilojoules[0]):
        parts = {"protein": protein, "fat": fat, "carbohydrate": carbohydrate, "fibre": fibre}
        whole = cell("CHOCDF") if one.basis == "total" else (math.nan, 0.0, math.inf)
        given = {name: cell(tagname) for name, tagname in _COUNTED_WHERE_GIVEN.items()}
        also = {name: (0.0, 0.0, 0.0) if math.isnan(one[0]) else one for name, one in given.items()}
        kcal, kilojoules = _energies(parts, whole, also)
    return [kilojoules, kcal, fat, cell("FASAT"), carbohydrate, cell("SUGAR"), cell("POLYL"), fibre, protein, salt]


# Tables that do not give these take them for none.
_COUNTED_WHERE_GIVEN = {"polyols": "POLYL", "erythritol": "ERYTHL", "alcohol": "ALC"}


def _nitrogen_share(one: Ingredient) -> float:
    """What turns a table's protein into nitrogen x 6.25; 1 where the food's own factor is not known."""
    factor = one.food.nitrogen_factor if one.food is not None else None
    return NITROGEN_FACTOR / factor if factor else 1.0


def _energies(parts: Mapping[str, Cell], whole: Cell, also: Mapping[str, Cell]) -> tuple[Cell, Cell]:
    """Cells of kcal and kJ; total carbohydrate whose fibre is not known is all fibre at least, none of it at most."""
    values, lows, highs = ({name: cell[place] for name, cell in (*parts.items(), *also.items())} for place in range(3))
    if math.isnan(parts["fibre"][0]) and not math.isnan(whole[0]):
        polyols = min(also["polyols"][0], whole[0])
        lows |= {"carbohydrate": polyols, "fibre": whole[0] - polyols}
        highs |= {"carbohydrate": whole[0], "fibre": 0.0}
    value, low, high = map(_energy, (values, lows, highs))
    return (value[0], low[0], high[0]), (value[1], low[1], high[1])


def _energy(grams: Mapping[str, float]) -> tuple[float, float]:
    return (math.inf, math.inf) if math.inf in grams.values() else eu_energy(grams)


def _eu_notes(dish: Dish, components: Sequence[Component]) -> tuple[str, ...]:
    columns = {component.tagname: place for place, component in enumerate(components)}
    kept = dict.fromkeys(f"“{one.text}”" for one in dish.ingredients if _keeps_protein(one, columns))
    sweet = any(_amount(one, columns, "ALLULOSE") > 0 for one in dish.ingredients)
    notes = [
        CALCULATED,
        "Energy by the factors of Regulation (EU) 1169/2011, Annex XIV; protein is nitrogen x 6.25, salt sodium x 2.5. "
        "Carbohydrate is available carbohydrate as the tables work it out; alcohol and polyols count where the tables "
        "give them.",
    ]
    if kept:
        notes.append(f"For {_some(kept)} protein is the table's own: the nitrogen factor is not known.")
    if sweet:
        notes.append("Allulose is in the carbohydrate and in its energy: the regulation names no factor for it.")
    return tuple(notes)


def _sugar_notes(rows: Sequence[EuRow], counted: Sequence[Ingredient], cells: Array) -> tuple[str, ...]:
    """Why sugars stand above the carbohydrate that they are part of, where they do."""
    named = {row.name: row for row in rows}
    whole, part = named["carbohydrate"], named["sugars"]
    if not (_stands_over(part.per_100g, whole.per_100g) or _stands_over(part.per_portion, whole.per_portion)):
        return ()
    names = [line.name for line in EU_LINES]
    values = cells[:, [names.index("sugars"), names.index("carbohydrate")], 0]
    over = dict.fromkeys(
        f"“{one.text}”" for one, (sugars, carbohydrate) in zip(counted, values, strict=True) if sugars > carbohydrate
    )
    return (
        "Sugars stand above the carbohydrate that they are part of: the tables work the two out apart, and give more "
        f"sugars than carbohydrate for {_some(over)}.",
    )


def _stands_over(part: Declared | None, whole: Declared | None) -> bool:
    if part is None or whole is None or part.value is None or whole.value is None:
        return False
    return whole.state == "known" and part.value > whole.value


def _some(names: Iterable[str]) -> str:
    kept = list(names)
    more = f" and {len(kept) - MOST_NAMED} more" if len(kept) > MOST_NAMED else ""
    return ", ".join(kept[:MOST_NAMED]) + more


def _keeps_protein(one: Ingredient, columns: Mapping[str, int]) -> bool:
    known = one.food is None or one.food.nitrogen_factor or one.basis == "available"
    return not known and _amount(one, columns, "PROCNT") > 0


def _amount(one: Ingredient, columns: Mapping[str, int], tagname: str) -> float:
    place = columns.get(tagname)
    return 0.0 if one.row is None or place is None or math.isnan(one.row[place]) else float(one.row[place])
