"""What a dish comes to: totals with bounds, net carbohydrate, ketogenic ratio, energy shares.

Unknown is a bound or unknown, never zero: an unknown component that is part of a known one (soluble fibre of fibre,
fibre of total carbohydrate) lies between 0 and that; any other has no upper bound. Sums are exactly rounded
(`math.fsum`), so that they do not depend on the order of lines.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from service.core.composition import BY_FACTOR, EXACT, MOST_GAIN, Dish, Ingredient
from service.core.errors import InputError
from service.core.food import CarbohydrateBasis, Component
from service.core.nutrients import (
    ALLULOSE,
    AVAILABLE,
    AVAILABLE_SUM,
    ERYTHRITOL,
    POLYOLS,
    Array,
    NetConvention,
    Total,
    carbohydrate_of,
    energy_shares,
    net_of_food,
    net_terms,
    polyols_left,
    taken_off,
)

# What is part of what, so that an unknown part is bounded (definitions of the INFOODS tagnames).
PART_OF = {
    "FIBTG": "CHOCDF", "FIBSOL": "FIBTG", "FIBINS": "FIBTG", "SUGAR": "CHOCDF", "SUGAD": "SUGAR",
    "STARCH": "CHOCDF", "POLYL": "CHOCDF", "FASAT": "FAT", "FAMS": "FAT", "FAPU": "FAT", "FATRN": "FAT",
}  # fmt: skip
NET = "net_carbohydrate"
RATIO_FORMULA = "g fat : (g protein + g carbohydrate)"
# A cook's scale and spoons may be off by so much of the raw weight before a stated yield is refused.
MOST_MISWEIGHED = 0.1
# Share of its ingredients' dry matter by which a dish may be lighter than that: foods of one kind differ (no source).
MOST_DRIER = 0.25
_PROXIMATES = ("PROCNT", "FAT", "CHOCDF", "ASH", "ALC")
# What of a food takes up no water that no line names.
_DRY = ("FAT", "SUGAR", POLYOLS, ALLULOSE)
# Decimals to which FNDDS 2019-2020 keeps what recipes come to; it does not say so, but by it 28,123 of the 28,128
# figures come out as printed, to the digit, and no more than 27,612 by none or by another number of decimals.
SURVEY_DECIMALS = 3
# Share of a sum that seasonings left to taste may add without making the sum itself unknown: a figure's rounding.
SLIGHT = 0.05


@dataclass(frozen=True, slots=True)
class Ratio:
    """A ketogenic ratio; `value` is None where unknown or undefined, which `remark` says."""

    value: float | None
    low: float | None
    high: float | None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures of a dish or of a share of it. Ratios and energy shares hold for every share alike.

    grams   of the cooked dish: (value, low, high); value None where some line has no weight
    """

    components: tuple[Total, ...]
    net_carbohydrate: Total
    ratio_on_total: Ratio
    ratio_on_net: Ratio
    energy_shares: Mapping[str, float] | None
    grams: Total

    def total(self, tagname: str) -> Total:
        """The total of one component; KeyError where the dish has no such column."""
        return next((one for one in self.components if one.tagname == tagname), None) or _missing(tagname)

    def value(self, tagname: str) -> float | None:
        """The value of one component or of net carbohydrate, None where it is not known."""
        return self.net_carbohydrate.value if tagname == NET else self.total(tagname).value

    def divided(self, by: float, *, taken: float = 1.0) -> Figures:
        """The figures of one of `by` equal shares, or of so many `taken` of them."""
        return Figures(
            tuple(one.divided(by, taken=taken) for one in self.components),
            self.net_carbohydrate.divided(by, taken=taken), self.ratio_on_total, self.ratio_on_net, self.energy_shares,
            self.grams.divided(by, taken=taken),
        )  # fmt: skip


def _missing(tagname: str) -> Total:
    raise KeyError(tagname)


def figures(dish: Dish, components: Sequence[Component], convention: NetConvention) -> Figures:
    """Totals of a dish over these columns."""
    counted, values, lows, highs = _amounts(dish.ingredients, components, convention)
    names = [*((one.tagname, one.unit) for one in components), (NET, "g")]
    totals = summed(counted, values, lows, highs, names, dish.unmatched)
    totals = [_checked_water(total, dish) if total.tagname == "WATER" else total for total in totals]
    sums = {total.tagname: total for total in totals}
    return Figures(
        tuple(totals[:-1]), totals[-1], _ratio(sums, "CHOCDF"), _ratio(sums, "net_carbohydrate"), _shares(sums),
        _grams(dish),
    )  # fmt: skip


def bounds_of(counted: Sequence[Ingredient], columns: Mapping[str, int]) -> tuple[Array, Array]:
    """The least and the most that 100 g raw of each ingredient may hold, by its table and by its cooking."""
    rows = _rows(counted, len(columns))
    lows, highs = lower_bounds(rows, columns), upper_bounds(rows, columns, [one.limits for one in counted])
    for place, one in enumerate(counted):
        if one.least is not None and one.fullest is not None:
            lows[place] = lower_bounds(one.least[None, :], columns)[0]
            highs[place] = upper_bounds(one.fullest[None, :], columns)[0]
    return lows, highs


def _amounts(
    ingredients: Sequence[Ingredient], components: Sequence[Component], convention: NetConvention
) -> tuple[list[Ingredient], Array, Array, Array]:
    """The ingredients that count, with what 100 g raw of each hold: value (NaN where unknown), least, most.

    The last column is net carbohydrate.
    """
    columns = {component.tagname: place for place, component in enumerate(components)}
    counted = [one for one in ingredients if one.row is not None]
    rows = _rows(counted, len(components))
    least, most = bounds_of(counted, columns)
    nets = _nets(counted, rows, upper_bounds(rows, columns, [one.limits for one in counted]), columns, convention)
    values = np.column_stack([rows, nets[0]])
    lows, highs = np.column_stack([least, nets[1]]), np.column_stack([most, nets[2]])
    if (water := columns.get("WATER")) is not None:
        extra = np.array([one.water * 100 for one in counted])
        spans = np.array([one.span for one in counted]).reshape(-1, 2) - 1.0
        moved = spans * np.array([[one.factor * 100] for one in counted]).reshape(-1, 1)
        for matrix, more in ((values, extra), (lows, extra + moved[:, 0]), (highs, extra + moved[:, 1])):
            matrix[:, water] += more
    return counted, values, lows, highs


@dataclass(frozen=True, slots=True)
class Difference:
    """How a figure of one way to serve differs from that of another; None where it is unknown or unbounded."""

    tagname: str
    value: float | None
    low: float | None
    high: float | None


def differences(
    ingredients: Sequence[Ingredient], shares: Mapping[int, float], components: Sequence[Component],
    convention: NetConvention,
) -> tuple[Difference, ...]:  # fmt: skip
    """What changes between two ways to serve a recipe, net carbohydrate last.

    `shares` are, by line, the share of the line that one serving has more (or less) of. What both have alike is the
    same food in both and cancels, its bounds and what is unknown of it too.
    """
    changed = [one for one in ingredients if shares.get(one.line)]
    names = [*(component.tagname for component in components), NET]
    unmatched = [shares[one.line] for one in changed if one.unmatched]
    counted, values, lows, highs = _amounts(changed, components, convention)
    by = np.array([[shares[one.line]] for one in counted]).reshape(-1, 1)
    weights = np.array([_weights(one) for one in counted]).reshape(-1, 3) / 100
    values, lows, highs = _of_eaten(weights, values, lows, highs)
    with np.errstate(invalid="ignore"):
        tops = np.where(highs == 0, 0.0, highs * weights[:, 2:])
        ends = lows * weights[:, 1:2] * by, tops * by
        middle = np.where(highs == 0, 0.0, values) * weights[:, :1] * by
    middle[np.array([one.grams is None for one in counted], dtype=bool)[:, None] & (highs != 0)] = math.nan
    nothing: list[float | None] = [None] * len(names)
    known, low, high = (_column_sums(one) for one in (middle, np.minimum(*ends), np.maximum(*ends)))
    # What no table has may add anything, and take off anything where it is left out.
    known = nothing if unmatched else known
    low = nothing if any(share < 0 for share in unmatched) else low
    high = nothing if any(share > 0 for share in unmatched) else high
    return tuple(Difference(*one) for one in zip(names, known, low, high, strict=True))


def _column_sums(matrix: Array) -> list[float | None]:
    """Exactly rounded; None where a term is unknown or unbounded."""
    return [math.fsum(column) if all(map(math.isfinite, column)) else None for column in matrix.T.tolist()]


def per_100_grams(
    whole: Figures, dish: Dish, components: Sequence[Component], convention: NetConvention
) -> Figures | None:
    """The figures of 100 g of a dish, None where it has no known weight.

    A weight that is off is off in the amount and in the weight of the dish alike, so that the bounds are those of
    the quotient: sum of m a over sum of m f, each m between its bounds.
    """
    if not whole.grams.value:
        return None
    plain = whole.divided(whole.grams.value, taken=100.0)
    totals: tuple[Total, ...] = (*plain.components, plain.net_carbohydrate)
    if varies(dish):
        counted, _, lows, highs = _amounts(dish.ingredients, components, convention)
        totals = bounded_per_100(totals, counted, lows, highs)
    grams = replace(plain.grams, value=100.0, known=100.0, low=100.0, high=100.0)
    return replace(plain, components=totals[:-1], net_carbohydrate=totals[-1], grams=grams)


def varies(dish: Dish) -> bool:
    """Whether the weight of a dish is known between bounds only, so that those of 100 g are not those of the whole."""
    weight = dish.whole_weight
    return weight is not None and weight.low < weight.high


def bounded_per_100(
    totals: tuple[Total, ...], counted: Sequence[Ingredient], lows: Array, highs: Array
) -> tuple[Total, ...]:
    """Totals of 100 g with the bounds of the quotient; `lows` and `highs` are of 100 g raw of what is counted."""
    least, most = _concentrations(counted, lows), -_concentrations(counted, -highs)
    return tuple(
        replace(
            one, low=min(max(0.0, low), one.known),
            high=None if one.high is None or not math.isfinite(high) else max(one.known, high),
        )
        for one, low, high in zip(totals, least.tolist(), most.tolist(), strict=True)
    )  # fmt: skip


def as_sent(number: float) -> float:
    """A figure with six significant digits, as every interface gives it.

    What is printed is rounded from this, so that it is what a reader of the interface comes to: 1008.4998 kcal is sent
    as 1008.5 and is 1009 kcal everywhere.
    """
    return float(f"{number:.6g}")


def row_of(found: Figures, *, decimals: int | None = None) -> Array:
    """The totals as a row of amounts, NaN where unknown: a dish as a food of others, from its figures per 100 g.

    With `decimals` as a publisher keeps them who works out recipes from recipes; see `kept`.
    """
    row = np.array([np.nan if total.value is None else total.value for total in found.components])
    return row if decimals is None else kept(row, decimals)


def kept(amounts: Array, decimals: int) -> Array:
    """Amounts rounded to so many decimals, halves to the even digit.

    USDA's survey database keeps three (SURVEY_DECIMALS), uses what it keeps in further recipes, and rounds that once
    more to the decimals that it prints: 85.6853 is kept as 85.685 and printed as 85.68.
    """
    return np.round(amounts, decimals)


def _concentrations(counted: Sequence[Ingredient], amounts: Array) -> Array:
    """The least amount in 100 g of the dish by column, over all weights within their bounds (Dinkelbach's method)."""
    weights, factors, spans, amounts = _with_portions(counted, amounts)
    low, high = weights[:, 1:2], weights[:, 2:]
    lightest, heaviest = factors * spans[:, :1], factors * spans[:, 1:]
    finite = np.where(np.isinf(amounts), 0.0, amounts)
    least: Array = weights[:, 0] @ finite / (weights[:, 0] @ factors)
    for _ in counted:
        factor = np.where(least > 0, heaviest, lightest)
        chosen = np.where(finite < least * factor, high, low)
        cooked = (np.where(factor == 0, 0.0, chosen) * factor).sum(axis=0)
        found = np.divide((chosen * finite).sum(axis=0), cooked, out=least.copy(), where=cooked > 0)
        if (found >= least).all():
            break
        least = np.minimum(found, least)
    least[np.isinf(amounts).any(axis=0)] = -math.inf
    return least


def _with_portions(counted: Sequence[Ingredient], amounts: Array) -> tuple[Array, Array, Array, Array]:
    """Weights, yield factors with their spans, and amounts of what weighs in a dish.

    A sub-recipe that was weighed when cooked is one more row that holds nothing, in place of what each of its
    ingredients weighs.
    """
    weights = np.array([_weights(one) for one in counted]).reshape(-1, 3)
    (amounts,) = _of_eaten(weights, amounts)
    balanced = {one.portion: one.portion.grams for one in counted if one.portion and one.portion.balanced}
    together = np.array([(one.value, one.low, one.high) for one in balanced.values()]).reshape(-1, 3)
    factors = [[0.0 if one.portion in balanced else one.factor] for one in counted] + [[1.0]] * len(balanced)
    spans = [one.span for one in counted] + [EXACT] * len(balanced)
    held = np.vstack([amounts, np.zeros((len(balanced), amounts.shape[1]))])
    return np.vstack([weights, together]), np.array(factors), np.array(spans), held


def weight_fault(dish: Dish, components: Sequence[Component]) -> InputError | None:
    """Why a dish cannot weigh what its yield says: less than its ingredients without their water, or more than they
    and what they can take up. None where it can, and where it is for a sub-recipe to be mended.
    """
    if dish.faulty:
        return None
    return _gained_too_much(dish, components) or _lost_too_much(dish, components)


def _lost_too_much(dish: Dish, components: Sequence[Component]) -> InputError | None:
    """Where a dish lost more than the water of its ingredients, or is a good part lighter than they are when dry.

    What no table has may be water, and so may be what a table does not tell of a food.
    """
    weighed = [(one, one.grams) for one in dish.ingredients if one.grams is not None]
    if all(one.water >= 0 for one, _ in weighed):
        return None
    places = [place for place, component in enumerate(components) if component.tagname in _PROXIMATES]
    water = next((place for place, component in enumerate(components) if component.tagname == "WATER"), None)
    left = [_water_of(one, water, places) / 100 + one.water for one, _ in weighed]
    kept = math.fsum(grams.value * share for (_, grams), share in zip(weighed, left, strict=True))
    dry = math.fsum(grams.low * max(0.0, one.factor - share) for (one, grams), share in zip(weighed, left, strict=True))
    if kept >= -MOST_MISWEIGHED * dish.raw.value and dish.cooked.value >= (1 - MOST_DRIER) * dry:
        return None
    message = f"a dish of {dish.cooked.value:.3g} g would have lost more water than its ingredients hold"
    poured = "fat or juices that were poured off are said at their line, by its treatment or the share eaten"
    return InputError(f"{message}: {poured}", pointer=_stated_by(dish))


def _water_of(one: Ingredient, water: int | None, proximates: Sequence[int]) -> float:
    """Grams of water in what is left of 100 g of an ingredient; where nobody knows, as many as there may be."""
    if one.row is None:
        return 100.0
    known = math.nan if water is None else float(one.row[water])
    return max(0.0, 100 - float(np.nansum(one.row[proximates]))) if math.isnan(known) else known


def _gained_too_much(dish: Dish, components: Sequence[Component]) -> InputError | None:
    """Where a dish gained more than its ingredients take up: water that they hold or bind, none by fat and sugars.

    What no table has may take up water; what has no weight may be it.
    """
    weighed = [(one, one.grams.value) for one in dish.ingredients if one.grams is not None]
    gained = math.fsum(one.water * grams for one, grams in weighed)
    if gained <= 0 or any(one.grams is None and one.most is None for one in dish.ingredients):
        return None
    dry = [place for place, component in enumerate(components) if component.tagname in _DRY]
    taking = math.fsum(
        grams if one.row is None else grams * max(0.0, 1 - float(np.nansum(one.row[dry])) / 100)
        for one, grams in weighed
    )
    if gained <= MOST_MISWEIGHED * dish.raw.value + (MOST_GAIN - 1) * taking:
        return None
    message = f"{dish.cooked.value:g} g cooked cannot come from {dish.cooked.value - gained:.0f} g of ingredients"
    return InputError(f"{message}: water that was added is a line of its own", pointer=_stated_by(dish))


def _stated_by(dish: Dish) -> str:
    """Where the yield stands by which a dish weighs what it does."""
    return "/yield/factor" if dish.weight_basis.startswith(BY_FACTOR) else "/yield/cooked_grams"


def _checked_water(water: Total, dish: Dish) -> Total:
    """The water of a dish, which cannot lose more than its ingredients hold.

    Where weights leave less than none it is unknown. It is unknown too where the gain or loss rests on a weight of
    which a part has none, or may be frying fat.
    """
    unsure = any(one.absorbs or (one.grams is None and one.most is None) for one in dish.ingredients)
    if water.known >= 0 and not (unsure and any(one.water for one in dish.ingredients)):
        return replace(water, low=max(0.0, water.low))
    lines = tuple(sorted({one.line for one in dish.ingredients}))
    return Total(water.tagname, water.unit, None, 0.0, 0.0, None, lines)


def _rows(counted: Sequence[Ingredient], width: int) -> Array:
    rows = [one.row for one in counted if one.row is not None]
    return np.array(rows, dtype=float).reshape(-1, width)


def _known(amounts: Array) -> Array:
    """The amounts with nothing for what is unknown, for sums of what is known."""
    return np.where(np.isnan(amounts), 0.0, amounts)


def lower_bounds(rows: Array, columns: Mapping[str, int]) -> Array:
    """The rows with every unknown at its lower bound: 0, or as much as the largest of its parts that is known."""
    lower = _known(rows)
    available = [(one, "CHOCDF") for one in (AVAILABLE, AVAILABLE_SUM)]
    for part, whole in reversed([*available, *PART_OF.items()]):  # parts of parts before what they are part of
        if part in columns and whole in columns:
            of_part, of_whole = lower[:, columns[part]], lower[:, columns[whole]]
            unknown = np.isnan(rows[:, columns[whole]])
            lower[:, columns[whole]] = np.where(unknown, np.maximum(of_part, of_whole), of_whole)
    return lower


def upper_bounds(rows: Array, columns: Mapping[str, int], limits: Sequence[Mapping[str, float]] = ()) -> Array:
    """The rows with every unknown at its upper bound, infinite where it has none; `limits` are bounds row by row."""
    upper = np.where(np.isnan(rows), np.inf, rows)
    for row, bounds in enumerate(limits):
        for tagname in bounds.keys() & columns.keys():
            upper[row, columns[tagname]] = min(upper[row, columns[tagname]], bounds[tagname])
    for part, whole in PART_OF.items():
        if part in columns and whole in columns:
            upper[:, columns[part]] = np.minimum(upper[:, columns[part]], upper[:, columns[whole]])
    return upper


def _nets(
    counted: Sequence[Ingredient], rows: Array, upper: Array, columns: Mapping[str, int], convention: NetConvention
) -> tuple[list[float], list[float], list[float]]:
    """Net carbohydrate per 100 g of each ingredient: value (NaN where unknown), least, most."""
    known = net_terms(rows, columns)
    cells = [
        _net_cell(amounts, most, one.basis, columns, convention)
        for one, amounts, most in zip(counted, known, upper, strict=True)
    ]
    return [value for value, _, _ in cells], [low for _, low, _ in cells], [high for _, _, high in cells]


def net_of(
    row: Array, upper: Array, basis: CarbohydrateBasis, columns: Mapping[str, int], convention: NetConvention
) -> tuple[float, float, float]:
    """Net carbohydrate per 100 g of one food: (value or NaN, least, most)."""
    return _net_cell(net_terms(row[None, :], columns)[0], upper, basis, columns, convention)


def _net_cell(
    amounts: Mapping[str, float], upper: Array, basis: CarbohydrateBasis, columns: Mapping[str, int],
    convention: NetConvention,
) -> tuple[float, float, float]:  # fmt: skip
    net = net_of_food(amounts, basis, convention)
    tagname = carbohydrate_of(basis, amounts)
    summed_up = tagname == AVAILABLE_SUM and tagname in amounts
    least, most = polyols_left(amounts, convention) if summed_up else (0.0, 0.0)
    if net.value is not None:
        value = float(net.value)
        return value, value, value + most - least
    if summed_up:
        return math.nan, amounts[tagname] + least, amounts[tagname] + most
    most = float(upper[columns[tagname]]) if tagname in columns else math.inf
    return math.nan, 0.0, max(0.0, most - taken_off(amounts, convention))


def summed(
    counted: Sequence[Ingredient], values: Array, lows: Array, highs: Array, names: Sequence[tuple[str, str]],
    unmatched: Sequence[int],
) -> list[Total]:  # fmt: skip
    """Sums of each column over what is counted; an ingredient without a weight may weigh anything.

    Of a value that is not known its lower bound is known: so much of the column is `known`.

    What is left to taste weighs nothing to `most`: where all of it may add but SLIGHT, the sum keeps its value.
    """
    weights = np.array([_weights(one) for one in counted]).reshape(-1, 3)
    values, lows, highs = _of_eaten(weights, values, lows, highs)
    unweighed = np.array([one.grams is None for one in counted], dtype=bool)
    at_least = np.where(np.isnan(values), lows, values)
    amounts = at_least / 100 * weights[:, :1]  # amounts of a gram, as the survey database has them too
    known = [math.fsum(column) for column in amounts.T.tolist()]
    low = (weights[:, 1] @ lows / 100).tolist()
    with np.errstate(invalid="ignore"):
        tops = np.where(highs == 0, 0.0, highs * weights[:, 2:] / 100)
    high = tops.sum(axis=0).tolist()
    lacking = np.isnan(values) | (unweighed[:, None] & (highs != 0))
    to_taste = np.array([one.grams is None and one.most is not None for one in counted], dtype=bool)
    lacking[np.ix_(to_taste, tops[to_taste].sum(axis=0) <= SLIGHT * np.abs(known))] = False
    faults = _faults(lacking, [one.line for one in counted], unmatched)
    return [
        Total(
            tagname, unit, None if missing else middle, middle, min(least, middle),
            None if unmatched or math.isinf(most) else max(most, middle), missing,
        )
        for (tagname, unit), middle, least, most, missing in zip(names, known, low, high, faults, strict=True)
    ]  # fmt: skip


def _of_eaten(weights: Array, *amounts: Array) -> list[Array]:
    """Amounts with exactly 0 of a food of which nothing is eaten, though the tables may not say what it holds."""
    return [np.where(weights[:, 2:] == 0, 0.0, one) for one in amounts]


def _faults(lacking: NDArray[np.bool_], lines: Sequence[int], unmatched: Sequence[int]) -> list[tuple[int, ...]]:
    """The lines that each column lacks, by the rows that lack it; many columns lack the same ones."""
    found: dict[bytes, tuple[int, ...]] = {}
    columns = np.ascontiguousarray(lacking.T)
    keys = [column.tobytes() for column in columns]
    for key in set(keys):
        found[key] = tuple(sorted({*compress(lines, key), *unmatched}))
    return [found[key] for key in keys]


def _weights(one: Ingredient) -> tuple[float, float, float]:
    if one.grams is None:
        return 0.0, 0.0, math.inf if one.most is None else one.most
    return one.grams.value, one.grams.low, one.grams.high


def _grams(dish: Dish) -> Total:
    whole = dish.whole_weight
    lacking = set() if dish.weighed else {one.line for one in dish.ingredients if one.lacks_weight and one.most is None}
    if whole is not None and whole.high - dish.cooked.high > SLIGHT * dish.cooked.value:
        lacking |= set(dish.to_taste)
    value = None if lacking else dish.cooked.value
    high = None if value is None or whole is None else whole.high
    return Total("grams", "g", value, dish.cooked.value, dish.cooked.low, high, tuple(sorted(lacking)))


def _ratio(sums: Mapping[str, Total], carbohydrate: str) -> Ratio:
    """Fat over protein and carbohydrate; undefined without any of those."""
    fat, protein, other = sums.get("FAT"), sums.get("PROCNT"), sums.get(carbohydrate)
    if fat is None or protein is None or other is None:
        return Ratio(None, None, None, "the tables in use lack a component")
    low = None if protein.high is None or other.high is None else _quotient(fat.low, protein.high + other.high)
    high = None if fat.high is None else _quotient(fat.high, protein.low + other.low)
    if fat.value is None or protein.value is None or other.value is None:
        return Ratio(None, low, high, "a component is not known in full")
    value = _quotient(fat.value, protein.value + other.value)
    return Ratio(value, low, high, "" if value is not None else "no protein or carbohydrate")


def _quotient(above: float, below: float) -> float | None:
    return above / below if below > 0 else None


def _shares(sums: Mapping[str, Total]) -> Mapping[str, float] | None:
    wanted = [tagname for tagname in ("PROCNT", "FAT", "CHOCDF", "ALC") if tagname in sums]
    grams = {tagname: sums[tagname].value for tagname in wanted}
    if grams.get("ALC") is None:
        grams.pop("ALC", None)
    if grams.get("CHOCDF") is not None:
        grams["CHOCDF"] = max(0.0, (grams["CHOCDF"] or 0.0) - _without_energy(sums))
    return energy_shares(grams)


def _without_energy(sums: Mapping[str, Total]) -> float:
    """Grams of carbohydrate whose energy is missing from 4 kcal a gram, as far as sweeteners are known.

    Polyols have 2.4 kcal, erythritol none (Regulation (EU) 1169/2011 Annex XIV), allulose 0.4 (85 FR 66217).
    """
    polyols, erythritol, allulose = (
        sums[tagname].known if tagname in sums else 0.0 for tagname in (POLYOLS, ERYTHRITOL, ALLULOSE)
    )
    missing = {"polyols": (polyols - erythritol) * (4 - 2.4), "erythritol": erythritol * 4, "allulose": allulose * 3.6}
    return math.fsum(missing.values()) / 4
