"""The weight of a package: what one of the stated size holds, else what its kind usually holds; drained or not."""

from __future__ import annotations

from dataclasses import replace
from math import log2

from service.core.amount import Amount
from service.core.edible_portion import KindRow
from service.core.volume_weight import by_millilitres
from service.core.weighed_line import SIZE_FACTORS, SMALLER, Each, GramWeight, WeighedLine


def of_stated_size(inner: GramWeight, amount: Amount, line: WeighedLine) -> Each | None:
    """What one package holds, drained where the line says so; `inner` is the weight of the size that it states."""
    if inner.value is None or inner.low is None or inner.high is None:
        return None
    basis = "the package size is stated" + (f"; {inner.basis}" if inner.rule != "stated mass" else "")
    each = Each(inner.value, inner.low, inner.high, "package size", basis, inner.certain, inner.reasons)
    if _states_the_share(amount, each.value, line):
        each = each.times(1 / amount.low, 1 / amount.low, 1 / amount.low)
    return _drained(each, line, amount.measure) if _holds_liquid(amount, line) else each


# Grams per millilitre of solids packed in brine, juice or syrup, by labels that state both.
_PACKED = 1.04


def drained_of_millilitres(amount: Amount, package: Amount, line: WeighedLine) -> Each | None:
    """The solids of a tin whose millilitres are stated: what it holds is solids and liquid together."""
    size = line.tables.measures.get(package.measure)
    if size is None or size.kind != "volume" or amount.measure not in ("can", "jar"):
        return None
    grams = size.value * _PACKED
    middle, low, high = grams * package.middle, grams * package.low, grams * package.high
    full = Each(middle, low, high, "package size", "the package size is stated", False)
    solids = _drained(full, line, amount.measure)
    return solids if solids is not full else None


def _states_the_share(amount: Amount, grams: float, line: WeighedLine) -> bool:
    """Whether a weight beside part of a package is of that part: "half a tin (200 g)" is half of a usual tin."""
    if not 0 < amount.low == amount.high < 1 or amount.measure is None or not grams:
        return False
    usual = by_package_default(replace(amount, package=None), line)
    return usual is not None and abs(log2(grams / amount.low / usual.value)) < abs(log2(grams / usual.value))


def _holds_liquid(amount: Amount, line: WeighedLine) -> bool:
    return amount.measure in ("can", "jar", "carton", "pouch", "bottle", "tub", "container", "package", None)


def _drained(each: Each, line: WeighedLine, measure: str | None) -> Each:
    """The drained solids of a package: where the line drains it, or the food entry is of solids."""
    if not (line.drained or {"drained", "solid"} <= line.rows.words or _is_boiled(measure, line)):
        return each
    row = line.tables.drained.find("", line.kin, any_food=False)
    if row is None:
        return each
    basis = f"{each.basis}; drained solids {row.value:.0%} of the contents ({row.source})"
    return replace(each.times(row.value, row.low, row.high), basis=basis)


def _is_boiled(measure: str | None, line: WeighedLine) -> bool:
    """Whether a tin is of what the table has boiled only, without the liquid of a tin: lentils, mung beans."""
    return measure in ("can", "jar") and {"cooked", "boiled"} <= line.rows.words


def by_package_default(amount: Amount, line: WeighedLine) -> Each | None:
    """A package without a size: what its kind usually holds, else the food's own row of it, else any of its kind.

    A glass of what is sold in glasses is such a package: gherkins, olives, jam.
    """
    kind = line.tables.measures.kind(amount.measure) if amount.measure else ""
    if amount.measure is None or kind not in ("package", "vague"):
        return None
    size = amount.size or ""
    row = line.tables.packages.find(amount.measure, line.kin, said=line.said, size=size, any_food=False)
    if kind == "vague":
        return _held(row, amount.measure, line, size=size) if row else None
    if row is None and (own := next((one for one in line.rows.packages if one.unit == amount.measure), None)):
        reason = "the package size is not stated"
        return Each(own.grams, own.grams * 0.7, own.grams * 1.4, "package default", own.text, False, (reason,))
    row = row or line.tables.packages.find(amount.measure, line.kin, said=line.said, size=size)
    return _held(row, amount.measure, line, size=size) if row else None


# How far the largest package of a kind may exceed the smallest where one size is the standard of the trade.
_STANDARD = 1.26
_SMALL_PACKAGE = 250.0  # grams or millilitres


def _held(row: KindRow, measure: str, line: WeighedLine, *, size: str) -> Each:
    # "a small tin" is not the usual one, unless that is small already
    other = size not in ("", "medium", row.size) and not (size in SMALLER and row.value < _SMALL_PACKAGE)
    rule = "standard package" if row.high <= row.low * _STANDARD and not other else "package default"
    reasons = (f"the size of the {measure} is not stated; {row.value:g} {row.unit} was taken",)
    basis = f"one {measure} holds {row.value:g} {row.unit} ({row.source})"
    share = SIZE_FACTORS.get(size, 1.0) ** 2 if other else 1.0
    low, high = row.low * min(share, 1.0), row.high * max(share, 1.0)
    each = Each(row.value, low, high, rule, basis, False, reasons)
    if row.unit == "ml" and (gram := by_millilitres(1.0, "ml", line)):
        each = each.times(gram.value, gram.value, gram.value)
    return _drained(each, line, measure)
