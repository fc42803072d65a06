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
Each rule stands in the module of what it weighs by, core/volume_weight to core/piece_weight. Here are their order and
what weighs an amount within an amount: packages of a stated size, the same quantity said twice, sums.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from service.core.amount import Amount, in_two_systems
from service.core.edible_portion import share_of_colour, weighed_prepared
from service.core.food import FoodEntry
from service.core.mass_weight import as_bought, by_mass
from service.core.measure import CUTS
from service.core.package_weight import by_package_default, by_trade, drained_of_millilitres, of_stated_size
from service.core.piece_weight import by_first_default, by_household_piece, by_piece_default, by_yield
from service.core.said_twice import (
    DISAGREEING,
    MASSES_APART,
    apart,
    counted_of,
    measured_across,
    of_two_masses,
    sized_by_length,
)
from service.core.text import with_article
from service.core.vague_weight import by_vague
from service.core.volume_weight import by_volume, heap_of
from service.core.weighed_line import Each, GramWeight, WeighedLine, WeightTables, as_filled, cuts_asked


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
    sisters: tuple[FoodEntry, ...] = (),
    piece: str | None = None,
) -> GramWeight:
    """The gram weight of an amount of a food; the value is None where the line states no amount or no rule answers.

    words         every word of the line's part; tokens: the words of its food phrase, normalised
    preparations  cutting words, which choose a household measure; as_purchased, drained, taken: see Part
    sisters       entries of the same cut that differ in what was analysed of it alone: see core/sisters
    piece         the word of its pieces, where the phrase has one: "walnut halves"
    """
    if part_amount is None:
        return GramWeight(None, None, None, "no weight", "", False, ("the line states no amount",))
    rows = tables.measures.households(food)
    phrase = frozenset(tokens)
    said = words.union(preparations, states, phrase)
    exact = as_filled(frozenset([CUTS[word] for word in said if word in CUTS]), (*tokens, piece), food)
    once = [word.partition(" ")[0] for word in tokens if " " in word and _is_doubled(word)]
    line = WeighedLine(
        food, rows, rows.words.union(phrase, once), said, cuts_asked(exact, phrase, rows.words), exact, phrase,
        tokens[-1] if tokens else "", states, as_purchased, drained, taken, tables, sisters,
    )  # fmt: skip
    return _weigh(part_amount, line)


def _is_doubled(word: str) -> bool:
    """Whether a name says a word twice, which a row of the tables has once: "piri piri"."""
    first, _, second = word.partition(" ")
    return first == second


def _weigh(amount: Amount, line: WeighedLine) -> GramWeight:
    """The weight of an amount with what is said beside it, added to it or taken off it."""
    if amount.high == 0:  # "0 g butter": known, and nothing
        other = amount.also is not None and amount.also.high > 0  # "0 eggs (50 g)"
        found = GramWeight(0.0, 0.0, 0.0, "stated mass", "none of it", not other, (DISAGREEING,) if other else ())
        return found if amount.plus is None else _sum(found, _weigh(amount.plus, line))
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


def _single(amount: Amount, line: WeighedLine) -> GramWeight:
    """The weight of one amount by the first rule that answers."""
    kind = line.tables.measures.kind(amount.measure)
    for rule in _RULES[kind]:
        if each := rule(amount, line):
            return _counted(_of_colour(each, line) if kind in _IN_PIECES else each, amount, line)
    what = with_article(amount.measure or "piece")
    reason = f"no table says what {what} of {line.food.description} weighs"
    return GramWeight(None, None, None, "no weight", "", False, (reason,))


_IN_PIECES = frozenset({"", "piece", "package"})


def _of_colour(each: Each, line: WeighedLine) -> Each:
    """The weight of one with the white or the green of it alone, where a line takes only that."""
    left = share_of_colour(line.food, line.kin, line.tokens, line.head, line.said, line.tables.edible)
    if left is None:
        return each
    return replace(each.times(left.value, left.low, left.high), reasons=(*each.reasons, left.basis))


def _counted(each: Each, amount: Amount, line: WeighedLine) -> GramWeight:
    """The weight of the amount from the weight of one: range, heap and "about" included."""
    low, high = each.low * amount.low, each.high * amount.high
    value = each.value * amount.middle
    reasons = each.reasons
    if amount.heap and (heap := heap_of(amount, line)):
        value, low, high = value * heap.factor, low * heap.low, high * heap.high
        reasons = (*reasons, f"{amount.heap}: counted as {heap.factor:g} times the level measure")
    if amount.approximate:
        low, high = low * 0.9, high * 1.1
    return GramWeight(value, min(low, value), max(high, value), each.rule, each.basis, each.certain, reasons)


def _said_twice(amount: Amount, line: WeighedLine) -> GramWeight:
    """The weight of an amount that is said in two ways, "1 cup (120 g)": both are weighed, then one is counted."""
    assert amount.also is not None
    plain, other = replace(amount, also=None, plus=None), amount.also
    if plain.measure is None and other.measure is None and plain.package is None:
        return _single(replace(plain, size=plain.size or other.size), line)  # "12 shallots (the small ones)"
    line = measured_across(other, line)
    plain = sized_by_length(plain, other, line)
    also_mass = line.tables.measures.kind(other.measure) == "mass"
    if line.tables.measures.kind(plain.measure) == "mass":
        if not also_mass:
            return _single(plain, line)
        first, second = _single(plain, line), _single(replace(other, also=None, plus=None), line)
        # "500 g cherries (400 g pitted weight)", but not "1.5 kg boned veal, in 50 g pieces"
        left = weighed_prepared(line.said)
        if left and not apart(second, first, MASSES_APART):
            return second
        return of_two_masses(first, second, converts=not left and in_two_systems(plain, other))
    own = _single(replace(plain, package=None) if also_mass and line.drained else plain, line)
    second = _weigh(other, as_bought(amount, other, line))
    return counted_of(plain, own, other, second, line)


def _by_package_size(amount: Amount, line: WeighedLine) -> Each | None:
    """A package of a stated size: the size is weighed by the rule of its own measure, less liquid where drained."""
    if amount.package is None:
        return None
    if solids := drained_of_millilitres(amount, amount.package, line):
        return solids
    if spooned := by_trade(amount, line):
        return spooned
    bought = as_bought(amount, amount.package, line)
    bought = replace(bought, said=bought.said | {amount.measure or ""})  # a carton's ounces may be fluid ones
    inner = _single(replace(amount.package, also=None), bought)
    return of_stated_size(inner, amount, line)


def _by_named_package(amount: Amount, line: WeighedLine) -> Each | None:
    """A package whose word belongs to the food's name: "2 pouch tuna"."""
    measures = line.tables.measures
    named = [word for word in line.tokens if measures.kind(word) == "package"] if amount.measure is None else []
    return by_package_default(replace(amount, measure=min(named)), line) if named else None


_Rule = Callable[[Amount, WeighedLine], Each | None]
_COUNTED: tuple[_Rule, ...] = (
    by_yield, _by_package_size, by_first_default, by_household_piece, by_piece_default, _by_named_package
)
# The rules that a kind of measure can have, "" for a plain count.
_RULES: dict[str, tuple[_Rule, ...]] = {
    "mass": (by_mass,),
    "volume": (_by_package_size, by_volume),
    "vague": (_by_package_size, by_package_default, by_household_piece, by_vague),
    "package": (_by_package_size, by_package_default, by_piece_default),
    "piece": _COUNTED,
    "": _COUNTED,
}
