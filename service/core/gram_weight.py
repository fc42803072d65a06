"""From an amount and a food entry to a gram weight with bounds and its basis.

The rules, tried in this order; the first that answers wins:

    yield of fruits      "juice of 1 lemon", "zest of 2 limes"
    stated mass          "400 g", "1 lb 4 oz"; less refuse or paring where the line says so
    package size         "2 x 400 g tins", "1 (14 oz) can"
    household measure    a row of this food's own household measures, by unit, cut and size
    scaled volume        another volume measure of this food, in proportion; the density of a cut or form that it lacks
    density              grams per millilitre of its kind of food (tables/densities.csv)
    package default      what a package of its kind usually holds (tables/packages.csv); "standard package" where
                         the trade knows one size
    piece default        what a piece of its kind usually weighs (tables/piece_weights.csv)
    vague measure        a pinch, a handful, by kind of food (tables/vague_amounts.csv)
    no weight            the line states no amount, or nothing above applies: unknown, never zero

Bounds span what the words allow: both ends of a range, sizes that were not said, cuts that were not said.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from math import log2, sqrt

from service.core.amount import Amount
from service.core.edible_portion import EdibleTables, KindRow, KindTable, edible_share, weighed_prepared
from service.core.food import FoodEntry
from service.core.measure import CUTS, Household, Households, Measures, is_beyond, measure_kind, size_gap

__all__ = ["GramWeight", "Heap", "WeightTables", "measure_kind", "weigh"]


@dataclass(frozen=True, slots=True)
class GramWeight:
    """A gram weight; `value` is None where it is unknown.

    rule     the rule that answered; basis: the figure it rests on, in words
    certain  the weight is stated, or rests on this food's own household measures
    """

    value: float | None
    low: float | None
    high: float | None
    rule: str
    basis: str
    certain: bool
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Heap:
    """How far a word such as "heaped" moves a spoon ("spoon"), a cup ("cup") or anything else ("other")."""

    factor: float
    low: float
    high: float

    def over(self, other: Heap) -> Heap:
        """How far a measure heaped in this way is from one heaped in another; the bounds of both widen it."""
        return Heap(self.factor / other.factor, self.low / other.high, self.high / other.low)


@dataclass(frozen=True, slots=True)
class WeightTables:
    """The hand-kept tables of weighing, as service/tables/weights.py loads them."""

    measures: Measures
    edible: EdibleTables
    densities: KindTable
    pieces: KindTable
    packages: KindTable
    vague: KindTable
    drained: KindTable
    yields: KindTable
    fluid: KindTable
    heaps: Mapping[tuple[str, str], Heap] = field(default_factory=dict)
    systems: KindTable = field(default_factory=KindTable)


@dataclass(frozen=True, slots=True)
class _Each:
    """The weight of one of the amount's measure."""

    value: float
    low: float
    high: float
    rule: str
    basis: str
    certain: bool
    reasons: tuple[str, ...] = ()

    def times(self, factor: float, low: float, high: float) -> _Each:
        return replace(self, value=self.value * factor, low=self.low * low, high=self.high * high)


@dataclass(frozen=True, slots=True)
class _Line:
    """What a line says beside its amount, with the food it was matched to.

    kin   words that name the food: of its description and of the line's phrase
    said  every word of the part; cuts: its cutting words by the stems of CUTS,
          coarser ones that meet them included; exact: without those; head: the last word of its phrase
    """

    food: FoodEntry
    rows: Households
    kin: frozenset[str]
    said: frozenset[str]
    cuts: frozenset[str]
    exact: frozenset[str]
    tokens: frozenset[str]
    head: str
    states: frozenset[str]
    as_purchased: bool
    drained: bool
    taken: str | None
    tables: WeightTables


# A finer cut is met by the row of a coarser one where the publisher has no row of its own.
_COARSER = {"mince": ("chop",), "strip": ("slice",), "sliver": ("slice",), "flake": ("chop", "slice")}
# What a food is worked into that is none of these by itself: flour of almonds is ground, paste of ginger mashed.
_WORKED = {"flour": "grind", "meal": "grind", "paste": "mash"}


def _worked(phrase: frozenset[str], described: frozenset[str]) -> frozenset[str]:
    """The words of a phrase that say what its food was worked into, where the entry is not of that already."""
    return phrase & _WORKED.keys() if described.isdisjoint(_WORKED) else frozenset()


def _cuts(exact: frozenset[str], phrase: frozenset[str], described: frozenset[str]) -> frozenset[str]:
    """The cuts that a line asks for; the flour of a food that is none ("almond flour", of almonds) is ground."""
    cuts = exact.union([_WORKED[word] for word in _worked(phrase, described)])
    return cuts.union(*(_COARSER.get(cut, ()) for cut in cuts)) if cuts else cuts


def weigh(
    part_amount: Amount | None,
    food: FoodEntry,
    *,
    words: frozenset[str],
    states: frozenset[str],
    tokens: tuple[str, ...],
    preparations: frozenset[str],
    as_purchased: bool,
    drained: bool,
    taken: str | None,
    tables: WeightTables,
) -> GramWeight:
    """The gram weight of an amount of a food; the value is None where the line states no amount or no rule answers.

    words         every word of the line's part; tokens: the words of its food phrase, normalised
    preparations  cutting words, which choose a household measure; as_purchased, drained, taken: see Part
    """
    if part_amount is None:
        return GramWeight(None, None, None, "no weight", "", False, ("the line states no amount",))
    rows = tables.measures.households(food)
    phrase = frozenset(tokens)
    said = words.union(preparations, states, phrase)
    exact = frozenset([CUTS[word] for word in said if word in CUTS])
    line = _Line(
        food,
        rows,
        rows.words | phrase,
        said,
        _cuts(exact, phrase, rows.words),
        exact,
        phrase,
        tokens[-1] if tokens else "",
        states,
        as_purchased,
        drained,
        taken,
        tables,
    )
    return _weigh(part_amount, line)


def _weigh(amount: Amount, line: _Line) -> GramWeight:
    if amount.package is not None and line.tables.measures.kind(amount.measure) in ("mass", "volume"):
        amount = replace(amount, package=None, also=amount.also or amount.package)  # "4 (500 g) cups" holds no package
    found = _said_twice(amount, line) if amount.also is not None else _single(amount, line)
    if amount.less is not None:
        found = _difference(found, _weigh(amount.less, line))
    return found if amount.plus is None else _sum(found, _weigh(amount.plus, line))


def _difference(whole: GramWeight, less: GramWeight) -> GramWeight:
    """What is left of a weight, unknown where that may be nothing."""
    if whole.value is None or whole.low is None or whole.high is None:
        return whole
    if less.value is None or less.low is None or less.high is None or less.high >= whole.low:
        return GramWeight(None, None, None, "no weight", "", False, ("it is not known what is left",))
    return replace(
        whole, value=whole.value - less.value, low=whole.low - less.high, high=whole.high - less.low,
        certain=whole.certain and less.certain, reasons=tuple(dict.fromkeys((*whole.reasons, *less.reasons))),
    )  # fmt: skip


def _sum(first: GramWeight, second: GramWeight) -> GramWeight:
    if first.value is None or second.value is None or first.low is None or second.low is None:
        return first if first.value is None else second
    assert first.high is not None
    assert second.high is not None
    rule = first.rule if first.rule == second.rule else f"{first.rule}, {second.rule}"
    basis = first.basis if first.basis == second.basis else f"{first.basis}; {second.basis}"
    return GramWeight(
        first.value + second.value, first.low + second.low, first.high + second.high, rule, basis,
        first.certain and second.certain, tuple(dict.fromkeys((*first.reasons, *second.reasons))),
    )


def _single(amount: Amount, line: _Line) -> GramWeight:
    """The weight of one amount by the first rule that answers."""
    for rule in _RULES[line.tables.measures.kind(amount.measure)]:
        if each := rule(amount, line):
            return _counted(each, amount, line)
    what = f"a {amount.measure}" if amount.measure else "a piece"
    reason = f"no table says what {what} of {line.food.description} weighs"
    return GramWeight(None, None, None, "no weight", "", False, (reason,))


def _counted(each: _Each, amount: Amount, line: _Line) -> GramWeight:
    """The weight of the amount from the weight of one: range, heap and "about" included."""
    low, high = each.low * amount.low, each.high * amount.high
    value = each.value * amount.middle
    reasons = each.reasons
    if amount.heap and (heap := _heap(amount, line)):
        value, low, high = value * heap.factor, low * heap.low, high * heap.high
        reasons = (*reasons, f"{amount.heap}: counted as {heap.factor:g} times the level measure")
    if amount.approximate:
        low, high = low * 0.9, high * 1.1
    return GramWeight(value, min(low, value), max(high, value), each.rule, each.basis, each.certain, reasons)


def _heap(amount: Amount, line: _Line) -> Heap | None:
    kind = measure_kind(amount)
    rows = _packed_rows(line)
    if kind in ("weight", "none") or (amount.heap in ("packed", "loose") and "pack" in rows):
        return None
    used = kind if kind in ("spoon", "cup") else "other"
    heap = line.tables.heaps.get((amount.heap or "", used))
    loose = line.tables.heaps.get(("loose", used))
    if amount.heap == "packed" and heap and loose and all("loose" in row.cuts for row in line.rows.volumes):
        return heap.over(loose)  # the table's cup is a loose one
    return heap


def _packed_rows(line: _Line) -> frozenset[str]:
    """The packings that the food has household measures for; these answer "packed" themselves."""
    return frozenset(cut for row in line.rows.volumes for cut in row.cuts)


# ---- the same quantity said twice ----------------------------------------------------------------------------------

# How many of each make an inch (NIST Handbook 44 Appendix C).
_LENGTHS = {"cm": 2.54, "inch": 1.0}
DISAGREE = 1.4  # a volume and a mass further apart than this cannot both be meant


def _said_twice(amount: Amount, line: _Line) -> GramWeight:
    """The weight of "1 cup (120 g)", "3 medium (680 g)", "2 breasts (6 oz each)": a mass beats a count.

    A household volume stands where the bracket repeats it in ounces; a volume that disagrees with the mass stands too.
    """
    assert amount.also is not None
    plain, other = replace(amount, also=None, plus=None), amount.also
    if plain.measure is None and other.measure is None and plain.package is None:
        return _single(replace(plain, size=plain.size or other.size), line)  # "12 shallots (the small ones)"
    if other.measure in _LENGTHS:  # "1 flour tortilla (10-inch)" chooses a household measure by its dimensions
        line = replace(line, said=line.said | {"inch", f"{other.middle / _LENGTHS[other.measure]:.0f}"})
    kind, also_kind = line.tables.measures.kind(amount.measure), line.tables.measures.kind(other.measure)
    if kind == "mass":
        counts = also_kind == "mass" and weighed_prepared(line.said)  # "500 g cherries (400 g pitted weight)"
        return _single(other if counts else plain, line)
    own = _single(replace(plain, package=None) if also_kind == "mass" and line.drained else plain, line)
    second = _weigh(other, _as_bought(amount, other, line))
    if second.value is None or own.value is None:
        return own if second.value is None else second
    if also_kind == "mass":
        return _mass_said_too(plain, own, other, second, kind, line)
    if other.measure in _LENGTHS:
        # "1 daikon (10 cm)" is that much of it; "1 stalk of celery (8 inches)" says how long a stalk is
        return own if own.certain and plain.measure is not None else second
    if kind in ("volume", "vague") and other.measure in _METRIC:
        return _of_each_or_all(plain, own, second)  # "1 pint (570 ml)" tells whose pint, "2 cups (250 ml each)" too
    if kind == "volume" or plain.package is not None or (own.certain and kind != "package"):
        return own
    return second


DISAGREEING = "the volume and the weight disagree"
# The rule of a piece that the tables weigh for no food of its own.
ANY_FOOD = "piece default of any food"
_METRIC = frozenset({"ml", "cl", "dl", "l"})
# From this weight in grams on meat or fish that is counted and weighed at once is a whole animal; portions are lighter.
_WHOLE = 250.0


def _as_bought(count: Amount, mass: Amount, line: _Line) -> _Line:
    """The line with "whole" said where the weight is of whole animals or fruits, as bought: "1 chicken (3 lb)"."""
    measure = line.tables.measures.get(mass.measure)
    if count.measure is not None or measure is None or measure.kind != "mass":
        return line
    of_all = mass is count.also and "each" not in line.said
    each = measure.value * mass.middle / (max(count.middle, 1.0) if of_all else 1.0)
    whole = each >= _WHOLE or "fruit" in line.food.group_name.lower()
    return replace(line, said=line.said | {"whole"}) if whole else line


def _mass_said_too(
    plain: Amount, own: GramWeight, other: Amount, second: GramWeight, kind: str, line: _Line
) -> GramWeight:
    assert own.value is not None
    assert second.value is not None
    if kind != "volume":
        return _each_or_all(plain, own, second, line)
    ratio = own.value / second.value if second.value else DISAGREE * 2
    if not 1 / DISAGREE <= ratio <= DISAGREE:
        reason = f"{DISAGREEING} ({own.value:.0f} g, {second.value:.0f} g); the first is counted"
        return replace(own, reasons=(*own.reasons, reason))
    if own.certain and other.measure in ("oz", "lb"):
        return _spanning(own, second)
    return second


def _spanning(own: GramWeight, second: GramWeight) -> GramWeight:
    lows, highs = (own.low, second.low), (own.high, second.high)
    return replace(own, low=min(x for x in lows if x is not None), high=max(x for x in highs if x is not None))


def _each_or_all(plain: Amount, own: GramWeight, second: GramWeight, line: _Line) -> GramWeight:
    """A weight after a count is of all of them, unless the line says "each" or all of them would be far too light."""
    assert own.value is not None
    if second.value is None or second.low is None or second.high is None:
        return own
    count = plain.middle
    if count <= 1:
        return second
    too_light = second.value < 0.45 * own.value and 0.6 <= second.value * count / own.value <= 1.7
    return _times(plain, second) if "each" in line.said or too_light else second


def _of_each_or_all(plain: Amount, own: GramWeight, second: GramWeight) -> GramWeight:
    """A volume after counted vessels is of each of them or of all, whichever is nearer to what the vessels hold."""
    assert own.value is not None
    assert second.value is not None
    ratio = own.value / second.value if second.value else 1.0
    return _times(plain, second) if plain.middle > 1 and ratio > sqrt(plain.middle) else second


def _times(plain: Amount, each: GramWeight) -> GramWeight:
    assert each.value is not None
    assert each.low is not None
    assert each.high is not None
    return replace(
        each, value=each.value * plain.middle, low=each.low * plain.low, high=each.high * plain.high,
        reasons=(*each.reasons, "the weight is of each piece"),
    )  # fmt: skip


# ---- rules ---------------------------------------------------------------------------------------------------------


# What tells fruits of one name apart by their size: "juice of 6 key limes".
_KINDS = frozenset({"key"})


def _by_yield(amount: Amount, line: _Line) -> _Each | None:
    """Juice or zest of whole fruits: the publisher's "1 lemon yields", else tables/yields.csv."""
    if not line.taken:
        return None
    found = line.tables.yields.find(line.taken, line.kin | (line.said & _KINDS), any_food=False)
    other = found is not None and not found.words <= line.rows.words  # "6 key limes", by the entry of limes
    if line.taken == "juice" and amount.measure in (None, "piece") and not other:
        for row in line.rows.pieces:
            if row.whole and "yields" in row.text:
                return _Each(row.grams, row.grams * 0.6, row.grams * 1.4, "household measure", row.text, True)
    return _from_row(found, "yield of fruits", f"{line.taken} of one") if found else None


def _from_row(row: KindRow, rule: str, what: str) -> _Each:
    basis = f"{what}: {row.value:g} g ({row.source})"
    reason = f"{what} of this food was taken as {row.value:g} g"
    return _Each(row.value, row.low, row.high, rule, basis, False, (reason,))


def _by_mass(amount: Amount, line: _Line) -> _Each | None:
    measure = line.tables.measures.get(amount.measure)
    if measure is None:
        return None
    if measure.name == "oz" and (fluid := _fluid_ounce(line)):
        return fluid
    each = _Each(measure.value, measure.low, measure.high, "stated mass", "the weight is stated", True)
    return _edible(each, line)


def _fluid_ounce(line: _Line) -> _Each | None:
    """An ounce of a drink is a fluid ounce; the avoirdupois reading stays inside the bounds."""
    if not line.tables.fluid.find("", line.kin, any_food=False):
        return None
    ounce = line.tables.measures.get("fl oz")
    found = _by_millilitres(ounce.value, "fl oz", line) if ounce else None
    if found is None:
        return None
    grams = 28.349523125
    reason = "an ounce of a drink is read as a fluid ounce"
    return replace(found, low=min(found.low, grams), high=max(found.high, grams), reasons=(*found.reasons, reason))


def _edible(each: _Each, line: _Line) -> _Each:
    edible = line.tables.edible
    bought = line.as_purchased
    share = edible_share(line.food, line.kin, said=line.said, states=line.states, as_purchased=bought, tables=edible)
    if share is None:
        return each
    cut = each.times(share.value, share.low, share.high)
    return replace(cut, basis=f"{each.basis}; {share.basis}", reasons=(*each.reasons, share.basis))


def _by_package_size(amount: Amount, line: _Line) -> _Each | None:
    """What one package of the stated size holds, drained where the line says so."""
    if amount.package is None:
        return None
    if solids := _drained_millilitres(amount, amount.package, line):
        return solids
    inner = _single(replace(amount.package, also=None), _as_bought(amount, amount.package, line))
    if inner.value is None or inner.low is None or inner.high is None:
        return None
    basis = "the package size is stated" + (f"; {inner.basis}" if inner.rule != "stated mass" else "")
    each = _Each(inner.value, inner.low, inner.high, "package size", basis, inner.certain, inner.reasons)
    if _states_the_share(amount, each.value, line):
        each = each.times(1 / amount.low, 1 / amount.low, 1 / amount.low)
    return _drained(each, line) if _holds_liquid(amount, line) else each


# Grams per millilitre of solids packed in brine, juice or syrup, by labels that state both.
_PACKED = 1.04


def _drained_millilitres(amount: Amount, package: Amount, line: _Line) -> _Each | None:
    """The solids of a tin whose millilitres are stated: what it holds is solids and liquid together."""
    size = line.tables.measures.get(package.measure)
    if size is None or size.kind != "volume" or amount.measure not in ("can", "jar"):
        return None
    grams = size.value * _PACKED
    middle, low, high = grams * package.middle, grams * package.low, grams * package.high
    full = _Each(middle, low, high, "package size", "the package size is stated", False)
    solids = _drained(full, line)
    return solids if solids is not full else None


def _states_the_share(amount: Amount, grams: float, line: _Line) -> bool:
    """Whether a weight beside part of a package is of that part: "half a tin (200 g)" is half of a usual tin."""
    if not 0 < amount.low == amount.high < 1 or amount.measure is None or not grams:
        return False
    usual = _by_package_default(replace(amount, package=None), line)
    return usual is not None and abs(log2(grams / amount.low / usual.value)) < abs(log2(grams / usual.value))


def _holds_liquid(amount: Amount, line: _Line) -> bool:
    return amount.measure in ("can", "jar", "carton", "pouch", "bottle", "tub", "container", "package", None)


def _drained(each: _Each, line: _Line) -> _Each:
    """The drained solids of a package: where the line drains it, or the food entry is of drained solids."""
    if not line.drained and not {"drained", "solid"} <= line.rows.words:
        return each
    row = line.tables.drained.find("", line.kin, any_food=False)
    if row is None:
        return each
    basis = f"{each.basis}; drained solids {row.value:.0%} of the contents ({row.source})"
    return replace(each.times(row.value, row.low, row.high), basis=basis)


def _by_first_default(amount: Amount, line: _Line) -> _Each | None:
    """Pieces whose household measure is not what a cook counts: a salmon fillet is no side of salmon."""
    if amount.measure is not None and line.tables.measures.kind(amount.measure) != "piece":
        return None
    return _piece_row(amount, line, use="first")


# Heads of foods that nobody counts by the piece; a number before them is of packages or cups that the line leaves out.
_POURED = frozenset("""
    jam jelly jello gelatin preserve marmalade pudding custard sauce soup stew powder flour meal crumb juice drink
    beverage soda lemonade frosting icing stock broth syrup oil spread paste puree mix seasoning extract filling topping
    dressing dip hummus mince granule fluff concentrate salsa gravy marinade vinegar wine tea coffee cereal granola dal
    daal rice salt sugar honey glaze blend brittle brandy liqueur o
""".split())


def _piece_row(amount: Amount, line: _Line, *, use: str = "") -> _Each | None:
    measure = "" if amount.measure in (None, "piece") else amount.measure
    any_food = bool(measure) and not use
    size = amount.size or ""
    find = line.tables.pieces.find
    own = find(f"{use}:piece", line.kin, said=line.said, any_food=False) if amount.measure == "piece" else None
    row = own or find(f"{use}:{measure}", line.kin, said=line.said, size=size, any_food=any_food)
    poured = line.head in _POURED or line.food.group_name == "Beverages"
    if row is not None and not measure and poured and line.head not in row.words:
        return None  # "2 lemon jellies" are no lemons
    if row is None or (use == "first" and row.size not in ("", size) and not is_beyond(size, row.size)):
        return None
    each = _from_row(row, "piece default" if row.words else ANY_FOOD, f"one {measure or 'piece'}")
    return each if row.size == (amount.size or "") else _resized(each, amount.size, row.size)


# Size: (share of medium; lowest and highest share of a row without a size). Over the foods of SR28 that list several
# sizes the median of small to medium is 0.73 (103 foods), of large to medium 1.36 (112), of extra large 1.49 (11); the
# others are from memory.
_SIZE_SHARES = {
    "extra small": (0.6, 0.5, 1.0),
    "small": (0.73, 0.75, 1.0),
    "medium": (1.0, 0.85, 1.15),
    "large": (1.36, 1.0, 1.35),
    "extra large": (1.49, 1.0, 1.6),
    "jumbo": (1.8, 1.0, 1.8),
}


def _resized(each: _Each, size: str | None, listed: str) -> _Each:
    """A piece of a size that no row has, by the row of another; a row without a size only gets wider bounds."""
    if not size or size not in _SIZE_SHARES:
        return each
    share, lowest, highest = _SIZE_SHARES[size]
    low, high = min(each.low, each.value * lowest), max(each.value, min(each.high * 1.2, each.value * highest))
    if not listed:
        return replace(each, low=low, high=high)
    share /= _SIZE_SHARES[listed][0]
    low, high = min(low, each.low * share), max(high, each.high * share)
    return replace(each, value=each.value * share, low=low, high=high, basis=f"{each.basis}; {size}: {share:.2g} of it")


def _by_household_piece(amount: Amount, line: _Line) -> _Each | None:
    """One piece by the food's own measures: the unit said, else the whole piece."""
    if amount.measure is not None:
        rows = _of_unit(amount.measure, line)
        if rows:
            return _of_size(rows, amount, line, certain=True)
        if amount.measure not in ("piece", "half", "quarter"):
            return None
    return _whole_piece(amount, line)


# Names of the same piece: a rib of celery is a stalk, a rasher of bacon a slice.
_SAME_UNIT = {
    "rib": ("stalk",),
    "stem": ("stalk",),
    "stalk": ("spear", "stem"),
    "spear": ("stalk",),
    "rasher": ("slice", "strip"),
    "strip": ("slice",),
    "cob": ("ear",),
    "bulb": ("head",),
    "cap": ("mushroom",),
    "link": ("sausage",),
    "patty": ("burger",),
    "round": ("slice",),
    "wedge": ("slice",),
    "ring": ("slice",),
}


def _of_unit(unit: str, line: _Line) -> tuple[Household, ...]:
    served = ("piece",) if unit == "slice" and line.food.group_name in _SERVED_IN_PIECES else ()
    for name in (unit, *_SAME_UNIT.get(unit, ()), *served):
        if rows := tuple(row for row in line.rows.pieces if row.unit == name and not row.apart):
            return rows
    return ()


# Groups whose slices are the publisher's pieces: "1 piece (1/8 of 9" dia)" of a pie.
_SERVED_IN_PIECES = frozenset({"Baked Products", "Fast Foods", "Restaurant Foods"})
_SHARES = {"half": 0.5, "quarter": 0.25}
_WHOLES = frozenset({"bulb", "head"})


def _whole_piece(amount: Amount, line: _Line) -> _Each | None:
    rows = _whole_rows(line)
    certain = bool(rows)
    if not rows and (rows := line.rows.counted()):
        certain = len({row.unit for row in line.rows.pieces}) == 1
        if whole := _whole_before_slicing(rows[0], amount, line):
            return whole
        if _leaves_out_its_measure(rows[0], line):
            return None
    rows = rows or (line.rows.bars() if amount.measure is None else ())
    if not rows:
        return None
    each = _of_size(rows, amount, line, certain=certain)
    if rows[0].unit == "fillet" and amount.measure is None:
        each = replace(each, high=each.high * _WHOLE_FISH)
    share = _SHARES.get(amount.measure or "", 1.0)
    return each.times(share, share, share) if share != 1 else each


# A fish that is only counted may be a whole one, of two fillets or of larger ones than the publisher's.
_WHOLE_FISH = 4.0
# Frying takes off up to a third of the weight (SR28 09446, 11359: water of fried and of raw).
_FRIED = 0.65


def _whole_before_slicing(row: Household, amount: Amount, line: _Line) -> _Each | None:
    """A counted fruit or vegetable is a whole one, though its cooked entry is measured in slices; tofu is a block."""
    group = line.food.group_name.lower()
    cut = row.unit == "slice" and ("fruit" in group or "vegetable" in group)
    block = row.unit in ("slice", "piece") and amount.measure is None and "tofu" in line.rows.words
    if "slice" in line.said or not (cut or block):
        return None
    whole = _piece_row(replace(amount, measure=None), line)
    return whole.times(1, _FRIED, 1) if whole and "fried" in line.rows.words else whole


_FATS = frozenset({"butter", "margarine", "shortening", "spread"})
_FORMED = frozenset({"patty", "patties", "burger", "burgers"})


def _leaves_out_its_measure(row: Household, line: _Line) -> bool:
    """Whether a number counts what has no piece of its own: "1 butter" may be a packet, "2 ground turkey" pounds."""
    if row.unit == "stick":
        return not line.rows.words.isdisjoint(_FATS)
    return row.unit == "patty" and "ground" in line.rows.words and line.said.isdisjoint(_FORMED)


def _whole_rows(line: _Line) -> tuple[Household, ...]:
    """The rows of one whole piece that the line's words fit best: those that name it, then those that give sizes."""
    ranked: list[tuple[float, Household]] = []
    for row in line.rows.pieces:
        named = row.unit in line.tokens
        if row.apart or row.unit == "drink" or not (row.whole or named):
            continue  # "1 drink, medium (22 fl oz)" is no can
        hits = len(row.marks & line.said)
        rank = 3.0 if named else 2.0 if row.unit else 2.5
        ranked.append((rank + (0.5 if row.size else 0.0) + 2 * hits - (len(row.marks) - hits), row))
    if not ranked:
        return ()
    best = max(rank for rank, _ in ranked)
    unit = next(row.unit for rank, row in ranked if rank == best)
    chosen = tuple(row for rank, row in ranked if row.unit == unit and rank >= best - 0.5)
    if any(row.size in ("", "medium") for row in chosen):
        return chosen
    # only small and large ones: the row that gives no size is the ordinary piece
    return (*chosen, *(row for _, row in ranked if row.whole and not row.size))


def _of_size(rows: tuple[Household, ...], amount: Amount, line: _Line, *, certain: bool) -> _Each:
    """The row of the size said; none said: the usual size, medium, the row without a size, or the publisher's first."""
    best = [row for row in rows if row.cuts & line.cuts or row.marks & line.said]
    best = best or [row for row in rows if not row.marks] or list(rows)  # "1 slice", not "1 slice, thin"
    row = _of_inches(best, line) or _pick_size(best, amount.size or _usual_size(best, line))
    low, high = _piece_bounds(row, rows, amount.size)
    each = _Each(row.grams, low, high, "household measure", row.text, certain)
    if amount.size and row.size != amount.size:
        each = replace(each, reasons=(f"the tables have no {amount.size} piece of this food",))
        each = _resized(replace(each, low=row.grams, high=row.grams * 1.5), amount.size, row.size)
    whole = row.whole or amount.measure is None
    bounds = line.tables.pieces.find("bounds:", line.kin, size=row.size, any_food=False) if whole else None
    if bounds is None or bounds.size not in ("", row.size) or (row.size and amount.size == row.size != bounds.size):
        return each
    # bounds of no size hold both the small and the large: a size that is said widens to its own side
    low = each.low if amount.size in _LARGER and not bounds.size else min(each.low, bounds.low)
    high = each.high if amount.size in _SMALLER and not bounds.size else max(each.high, bounds.high)
    return replace(each, low=low, high=high)


def _usual_size(rows: list[Household], line: _Line) -> str | None:
    """The size that a recipe means without saying it, where that is not medium: eggs are large."""
    if len(rows) < 2:
        return None
    usual = line.tables.pieces.find("usual:", line.kin, any_food=False)
    return usual.size if usual else None


_CUT_TO_SIZE = frozenset({"cut", "piece", "pieces", "chunk", "chunks", "strip", "strips", "slice", "slices", "dice"})


def _of_inches(rows: list[Household], line: _Line) -> Household | None:
    """The row whose dimensions the line states: "two 10-inch tortillas"."""
    if len(rows) < 2 or "inch" not in line.said or line.said & _CUT_TO_SIZE:  # "cut into 2-inch pieces"
        return None
    sizes = [f'{word}"' for word in line.said if word.isdigit()]
    wanted = [before + size for size in sizes for before in " ("]
    return next((row for row in rows if any(size in row.text for size in wanted)), None)


def _pick_size(rows: list[Household], size: str | None) -> Household:
    if size is None:
        for wanted in ("medium", "", "large"):
            if found := next((row for row in rows if row.size == wanted), None):
                return found
        return rows[0]
    if not size:
        return next((row for row in rows if not row.size), rows[0])
    return min(rows, key=lambda row: size_gap(row.size, size))


_MADE_TO_SIZE = frozenset({"stick", "pat", "envelope", "tablet", "dash", "spray"})


def _piece_bounds(row: Household, rows: tuple[Household, ...], size: str | None) -> tuple[float, float]:
    """Pieces of one size vary by about a tenth; where no size is said, from the small to the large row."""
    if size is not None and row.size:
        return row.grams * 0.9, row.grams * 1.1
    if row.unit in _MADE_TO_SIZE:
        return row.grams * 0.97, row.grams * 1.03
    near = [other.grams for other in rows if other.size in ("small", "medium", "large", "")]
    if len(near) > 1:
        return min(row.grams, *near), max(row.grams, *near)
    return row.grams * 0.8, row.grams * 1.2


def _by_volume(amount: Amount, line: _Line) -> _Each | None:
    measures = line.tables.measures
    measure = measures.get(amount.measure)
    if measure is None:
        return None
    reasons: tuple[str, ...] = ()
    system = line.tables.systems.find(measure.name, line.said, any_food=False)
    if system is not None:
        measure = measures.get(amount.measure, system=system.use) or measure
        reasons = (f"read as the {system.use.upper()} {measure.name} of {measure.value:.0f} ml",)
    total = measure.value * amount.middle
    each = _by_millilitres(measure.value, measure.name, line, heap=amount.heap, total=total)
    if each is None:
        return None
    each = each.times(1, measure.low / measure.value, measure.high / measure.value)  # "a teacup" holds 120 to 200 ml
    return replace(each, reasons=(*each.reasons, *reasons))


def _by_millilitres(
    ml: float, unit: str, line: _Line, *, heap: str | None = None, total: float | None = None
) -> _Each | None:
    """The weight of a volume: by the best of the food's own volume measures, else by the density of its kind."""
    if line.rows.volumes:
        cuts = line.cuts | {"pack"} if heap == "packed" else line.cuts | {"loose"} if heap == "loose" else line.cuts
        return _by_own_volume(ml, unit, line, cuts, total or ml)
    return _by_density(ml, unit, line)


# Which row a volume means where the line says no cut; a row without a cut comes before all of them.
_UNSAID = {"whole": 0.9, "chop": 0.8, "section": 0.8, "slice": 0.7, "half": 0.6, "shred": 0.5, "crumble": 0.5}
# Cheese is measured shredded and brown sugar packed unless the recipe says otherwise.
_BY_CUSTOM = (("cheese", "shred"), ("cheese", "crumble"), ("sugar", "pack"))


def _fit(row: Household, ml: float, unit: str, line: _Line, cuts: frozenset[str]) -> float:
    fit = 0.8 if row.unit == unit else 0.3 - 0.05 * abs(log2(row.ml / ml))
    if row.cuts:
        if row.cuts & cuts:
            fit += 3.3 if row.cuts & line.exact else 3  # "slivered" before "sliced", which meets it too
        else:
            custom = any(word in line.kin and cut in row.cuts for word, cut in _BY_CUSTOM)
            fit += 0.1 if custom else max(_UNSAID.get(cut, 0.0) for cut in row.cuts) - (3 if cuts else 1)
    if row.marks:
        hits = len(row.marks & line.said)
        fit += 2 * hits - 1.5 * (len(row.marks) - hits)
    return fit - 10 if row.apart else fit


def _likely(row: Household, cuts: frozenset[str]) -> bool:
    """Whether a volume could mean this row: nobody measures strawberries pureed without saying so."""
    return not row.apart and (not row.cuts or bool(row.cuts & (cuts or _UNSAID.keys())))


def _drained_of_liquid(line: _Line) -> bool:
    """Whether the line drains a tin whose entry counts solids and liquid."""
    return line.drained and "canned" in line.rows.words and not line.rows.words & {"drained", "solid"}


# Cuts that make much more of a food go into a cup, and by how much (SR28 09316: pureed 232 g, whole 144 g).
_CHANGED = frozenset({"mash", "melt", "grind", "crumb", "crush"})
_PUREED = 1.6


def _by_own_volume(ml: float, unit: str, line: _Line, cuts: frozenset[str], total: float) -> _Each | None:
    if _drained_of_liquid(line) and (solids := _by_density(ml, unit, line)):
        return solids  # the publisher's cup holds the liquid too
    ranked = [(_fit(row, total, unit, line, cuts), -place, row) for place, row in enumerate(line.rows.volumes)]
    fit, _, row = max(ranked, key=lambda item: item[:2])
    if row.apart:
        return _by_density(ml, unit, line)
    value = row.grams * ml / row.ml
    same = row.unit == unit and abs(ml / row.ml - 1) < 0.06
    if same:
        value = row.grams
    near = [other.grams * ml / other.ml for rank, _, other in ranked if rank >= fit - 1 and _likely(other, cuts)]
    met = bool(row.cuts & cuts)
    known = met or not row.cuts or not cuts
    changed = not row.cuts.isdisjoint(_CHANGED) and not met  # "1 cup avocado", by a cup of it pureed
    misfit = _PUREED if changed else 1.0 if known else 1.2
    low, high = min(value, *near, value / misfit), max(value, *near, value * misfit)
    if not same:
        low, high = min(low, value * 0.95), max(high, value * 1.05)
    form = line.tokens - line.rows.words
    form = form - _WORKED.keys() if met else form | cuts - {CUTS.get(word, "") for word in line.rows.words}
    if of_form := _by_density(ml, unit, line, form=form):
        return of_form  # the publisher's cup is of another cut or grain: "kosher salt", "panko", "slivered almonds"
    certain = known and not changed and row.marks <= line.said
    reasons = () if known else ("the tables measure this food cut another way",)
    rule = "household measure" if same else "scaled volume"
    return _Each(value, low, high, rule, row.text, certain, reasons)


def _by_density(ml: float, unit: str, line: _Line, *, form: frozenset[str] | None = None) -> _Each | None:
    """The weight by the density of its kind; with `form` only where a row is of one of these words or cuts."""
    row = line.tables.densities.find("", line.kin, said=line.cuts | line.states | line.tokens)
    if row is None:
        return None
    if form is not None and not (row.said & form or row.words & form & _WORKED.keys()):
        return None
    basis = f"1 ml = {row.value:g} g, {row.use} ({row.source})"
    missing = "this food" if form is None else "this form of the food"
    reason = f"the tables have no volume of {missing}; weighed as {row.use}"
    return _Each(ml * row.value, ml * row.low, ml * row.high, "density", basis, False, (reason,))


def _by_package_default(amount: Amount, line: _Line) -> _Each | None:
    """A package without a size: what its kind usually holds, else the food's own row of it, else any of its kind."""
    if amount.measure is None or line.tables.measures.kind(amount.measure) != "package":
        return None
    size = amount.size or ""
    row = line.tables.packages.find(amount.measure, line.kin, said=line.said, size=size, any_food=False)
    if row is None and (own := next((one for one in line.rows.packages if one.unit == amount.measure), None)):
        reason = "the package size is not stated"
        return _Each(own.grams, own.grams * 0.7, own.grams * 1.4, "package default", own.text, False, (reason,))
    row = row or line.tables.packages.find(amount.measure, line.kin, said=line.said, size=size)
    return _held(row, amount.measure, line, size=size) if row else None


# How far the largest package of a kind may exceed the smallest where one size is the standard of the trade.
_STANDARD = 1.26


_SMALLER = frozenset({"small", "extra small"})
_LARGER = frozenset({"large", "extra large", "jumbo"})
_SMALL_PACKAGE = 250.0  # grams or millilitres


def _held(row: KindRow, measure: str, line: _Line, *, size: str) -> _Each:
    # "a small tin" is not the usual one, unless that is small already
    other = size not in ("", "medium", row.size) and not (size in _SMALLER and row.value < _SMALL_PACKAGE)
    rule = "standard package" if row.high <= row.low * _STANDARD and not other else "package default"
    reasons = (f"the size of the {measure} is not stated; {row.value:g} {row.unit} was taken",)
    basis = f"one {measure} holds {row.value:g} {row.unit} ({row.source})"
    share = _HANDFULS.get(size, 1.0) ** 2 if other else 1.0
    low, high = row.low * min(share, 1.0), row.high * max(share, 1.0)
    each = _Each(row.value, low, high, rule, basis, False, reasons)
    if row.unit == "ml" and (gram := _by_millilitres(1.0, "ml", line)):
        each = each.times(gram.value, gram.value, gram.value)
    return _drained(each, line)


def _by_piece_default(amount: Amount, line: _Line) -> _Each | None:
    return _piece_row(amount, line) or _named_piece(amount, line)


def _named_piece(amount: Amount, line: _Line) -> _Each | None:
    """A half or quarter of a default piece; a bulb or head of what has no row of its own is the whole piece."""
    one = replace(amount, measure=None)
    if amount.measure in _WHOLES:
        return _by_first_default(one, line) or (_whole_piece(one, line) if _whole_rows(line) else None)
    share = _SHARES.get(amount.measure or "")
    if share is None:
        return None
    whole = _piece_row(one, line)
    return whole.times(share, share, share) if whole else None


# How far a size moves a measure that has none; common kitchen practice.
_HANDFULS = {"extra small": 0.5, "small": 0.7, "large": 1.4, "extra large": 1.7, "jumbo": 2.0}


def _by_vague(amount: Amount, line: _Line) -> _Each | None:
    """A measure without a fixed size, by kind of food; its bounds are those of the word."""
    measure = line.tables.measures.get(amount.measure)
    if measure is None:
        return None
    if row := line.tables.vague.find(measure.name, line.kin, said=line.said):
        each = _from_row(row, "vague measure", f"a {measure.name}")
        share = _HANDFULS.get(amount.size or "", 1.0)  # "a small handful", "a large pinch"
        return each.times(share, min(share, 1.0), max(share, 1.0))
    if measure.unit == "g":
        grams = KindRow("", frozenset(), measure.value, measure.low, measure.high, measure.source)
        return _from_row(grams, "vague measure", f"a {measure.name}")
    one = _by_millilitres(1.0, "ml", line) if measure.value else None
    if one is None:
        return None
    basis = f"a {measure.name} = {measure.value:g} ml ({measure.source}); {one.basis}"
    reason = f"a {measure.name} has no fixed size"
    value = one.value * measure.value
    return _Each(value, one.value * measure.low, one.value * measure.high, "vague measure", basis, False, (reason,))


_Rule = Callable[[Amount, _Line], _Each | None]
_COUNTED: tuple[_Rule, ...] = (
    _by_yield, _by_package_size, _by_first_default, _by_household_piece, _by_piece_default
)
# The rules that a kind of measure can have, "" for a plain count.
_RULES: dict[str, tuple[_Rule, ...]] = {
    "mass": (_by_mass,),
    "volume": (_by_package_size, _by_volume),
    "vague": (_by_package_size, _by_household_piece, _by_vague),
    "package": (_by_package_size, _by_package_default, _by_piece_default),
    "piece": _COUNTED,
    "": _COUNTED,
}


