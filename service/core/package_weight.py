"""The weight of a package: what one of the stated size holds, else what its kind usually holds; drained or not."""

from __future__ import annotations

from dataclasses import replace
from math import log2

from service.core.amount import Amount
from service.core.edible_portion import KindRow
from service.core.volume_weight import by_millilitres, by_volume
from service.core.weighed_line import SIZE_FACTORS, SMALLER, Each, GramWeight, WeighedLine


def of_stated_size(inner: GramWeight, amount: Amount, line: WeighedLine) -> Each | None:
    """What one package holds, drained where the line says so; `inner` is the weight of the size that it states."""
    if inner.value is None or inner.low is None or inner.high is None:
        return None
    basis = "the package size is stated" + (f"; {inner.basis}" if inner.rule != "stated mass" else "")
    each = Each(inner.value, inner.low, inner.high, "package size", basis, inner.certain, inner.reasons)
    each = _of_each_or_all(each, amount, line)
    if _states_the_share(amount, each.value, line):
        each = each.times(1 / amount.low, 1 / amount.low, 1 / amount.low)
    ounces = amount.package is not None and amount.package.measure == "oz"
    return _drained(each, line, amount.measure, ounces=ounces) if _holds_liquid(amount, line) else each


# So far a package of the trade and the spoons that are said to fill it may be apart and mean the same.
_SPOONED_APART = 1.5
# Packages of powder, in grams, that are counted: tins are sold in twice the size too.
_SACHET = 50.0


def by_trade(amount: Amount, line: WeighedLine) -> Each | None:
    """What one sachet holds that the line states in spoons, or beside a count of several as what all of them hold.

    "1 packet (2 1/4 tsp) yeast" is what the trade sells; "2 packets vanilla sugar (16 g)" are 8 g each.
    """
    size = amount.package
    usual = by_package_default(replace(amount, package=None), line) if size is not None else None
    if size is None or usual is None or usual.value > _SACHET:
        return None
    spooned = size.measure in ("tsp", "tbsp")
    one = by_volume(size, line) if spooned else line.tables.measures.get(size.measure)
    if one is None or (not spooned and line.tables.measures.kind(size.measure) != "mass"):
        return None
    stated = one.value * size.middle
    share = stated / amount.middle
    spread = _SPOONED_APART if spooned else 1.0
    of_all = amount.middle > 1 and stated > usual.high * spread and usual.low <= share <= usual.high * spread
    if spooned and usual.rule == "standard package":
        one_of = share if of_all else stated
        return usual if 1 / _SPOONED_APART <= usual.value / one_of <= _SPOONED_APART else None
    if not of_all or spooned:
        return None
    return Each(share, share, share, "package size", "the size of all packages is stated", certain=False)


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
    if amount.package is not None and not amount.package.behind:
        return False  # "half a 70 g bag rocket"
    usual = by_package_default(replace(amount, package=None), line)
    return usual is not None and abs(log2(grams / amount.low / usual.value)) < abs(log2(grams / usual.value))


# The reason where nobody can say which.
OF_EACH_OR_ALL = "the weight is of each package or of all of them"
_NEARLY = 1.1  # how far beyond what is sold a stated size may be and still be one


def _of_each_or_all(each: Each, amount: Amount, line: WeighedLine) -> Each:
    """What one of several packages holds where a bracket behind them says a weight, of each or of all.

    "2 bundles soba (200 g)" are two of 100 g, as they are sold; where both would be sold, nobody can say.
    """
    count, measure = amount.middle, amount.measure or ""
    if amount.package is None or not amount.package.behind or count <= 1 or "each" in line.said:
        return each
    row = line.tables.packages.find(measure, line.kin, said=line.said, any_food=False)
    if row is None or not _is_sold(each.value / count, row):
        return each
    large = line.tables.packages.find(measure, line.kin, said=line.said, size="large", any_food=False)
    sold = _is_sold(each.value, row)
    larger = large is not None and large.size == "large" and _is_sold(each.value, large)
    if (sold or larger) and amount.package.measure == "oz":
        return each  # American packages are called by their ounces: "2 cans crushed tomatoes (28 oz)"
    if larger or (sold and abs(log2(each.value / count / row.value)) < abs(log2(each.value / row.value))):
        reasons = (*each.reasons, OF_EACH_OR_ALL)
        return replace(each, low=each.low / count, certain=False, reasons=reasons)
    if sold:
        return each
    one = each.times(1 / count, 1 / count, 1 / count)
    return replace(one, reasons=(*each.reasons, "the weight is of all packages"))


def _is_sold(grams: float, row: KindRow) -> bool:
    """Whether packages are sold of a weight, or of one near it, as a row of the table of packages has it."""
    return row.low / _NEARLY <= grams <= row.high * _NEARLY


def _holds_liquid(amount: Amount, line: WeighedLine) -> bool:
    return amount.measure in ("can", "jar", "carton", "pouch", "bottle", "tub", "container", "package", None)


# The reason where the liquid is eaten too, of which the tables have nothing.
UNDRAINED = "it is not drained; the figures are of the solids"
# How it begins where a size may be of the contents or of the solids.
OF_WHICH = "the weight is of the contents or of the solids alone"


def _drained(each: Each, line: WeighedLine, measure: str | None, *, ounces: bool = False) -> Each:
    """The drained solids of a package: where the line drains it, or the food entry is of solids.

    A size in `ounces` is of the solids already where the trade of the US states it so; of some foods its tins hold
    more brine than others.
    """
    if not (line.drained or {"drained", "solid"} <= line.rows.words or _is_boiled(measure, line)):
        return each
    row = line.tables.drained.find("", line.kin, any_food=False)
    if row is None:
        return each
    undrained = "undrained" in line.said
    if ounces and row.use == "solids" and not undrained:
        return replace(each, low=each.low * row.low)  # of the contents where the same ounces are sold elsewhere
    share = row.low if ounces and row.use == "least" else row.value
    basis = f"{each.basis}; drained solids {share:.0%} of the contents ({row.source})"
    solids = replace(each.times(share, row.low, row.high), basis=basis)
    doubt = UNDRAINED if undrained else OF_WHICH if ounces and row.use == "either" else ""
    return replace(solids, high=each.high, reasons=(*solids.reasons, doubt)) if doubt else solids


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
