"""The same quantity said twice, "1 cup (120 g)", "3 medium (680 g)", "2 breasts (6 oz each)": which one is counted."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

from service.core.amount import CENTIMETRES, WEIGHABLE, Amount
from service.core.measure import METRIC_VOLUMES
from service.core.piece_size import of_inches
from service.core.weighed_line import GramWeight, WeighedLine

_DISAGREE = 1.4  # a volume and a mass further apart than this cannot both be meant
# How the reason begins where they do.
DISAGREEING = "the volume and the weight disagree"
# How it begins where two volumes, or two masses, are no two ways of saying one amount.
CONTRADICTING = "the line states two amounts that disagree"
# Pints and cups differ from country to country by less than this; glasses and bowls by more; a mass in a bracket
# may be of what is left of the food.
_CUPS_APART, _GLASSES_APART, MASSES_APART = 1.5, 5.0, 2.5
# What a mass is rounded to in units of another system is nearer than this: "500 g (1 lb)", "100 g (4 oz)".
_CONVERTED_APART = 1.4
# A mass below this share of what is counted may be of one piece or of all, and below the second one is of one.
_TOO_LIGHT, _FAR_TOO_LIGHT = 0.45, 0.3
_NEAR_ONE = (0.6, 1.7)  # of what one piece weighs
_LIGHTEST = 0.5  # of the least that pieces weigh, below which nobody has such small ones
OF_PIECE_OR_ALL = "the weight is of each piece or of all of them"
# Counted pieces that would weigh so many times as much as they do: "4 eggs (240 g), yolks only".
_PIECES_TOO_HEAVY = 2.5
# A length of so many times a whole one may be of all that are counted.
_LENGTHS_APART = 2.5
_SPOONS = frozenset({"tsp", "tbsp"})


def measured_across(other: Amount, line: WeighedLine) -> WeighedLine:
    """The line with the inches of a length said: "1 flour tortilla (10-inch)" chooses a household measure by them."""
    if other.measure not in CENTIMETRES:
        return line
    inches = other.middle / (CENTIMETRES["inch"] / CENTIMETRES[other.measure])  # a half inch stays exactly one
    return replace(line, said=line.said | {"inch", f"{inches:.0f}"})


def sized_by_length(plain: Amount, other: Amount, line: WeighedLine) -> Amount:
    """The amount without a size that says less than its length: "4 large flour tortillas (12 inches)"."""
    told = other.measure in CENTIMETRES and of_inches(line.rows.pieces, line) is not None
    return replace(plain, size=None) if told else plain


def counted_of(plain: Amount, own: GramWeight, other: Amount, second: GramWeight, line: WeighedLine) -> GramWeight:
    """Which is counted of `plain`, which weighs `own`, and of `other`, said beside it, which weighs `second`.

    A mass beats a count. A household volume stands where the bracket repeats it in ounces; a volume that disagrees
    with the mass stands too.
    """
    if second.value is None or own.value is None:
        return own if second.value is None else second
    kind, also_kind = line.tables.measures.kind(plain.measure), line.tables.measures.kind(other.measure)
    if kind == "package" and also_kind in WEIGHABLE and plain.package is None:
        return _held_by(plain, own, second, line)
    if also_kind == "mass":
        return _mass_said_too(plain, own, other, second, kind, line)
    if other.measure in CENTIMETRES:
        # "2 daikon (10 cm)" are each that much of it; "1 stalk of celery (8 inches)" says how long a stalk is
        if own.certain and plain.measure is not None:
            return own
        return second if plain.middle <= 1 else unless_apart(_times(plain, second), own, _LENGTHS_APART)
    if kind in ("volume", "vague") and other.measure in METRIC_VOLUMES:
        # "1 pint (570 ml)" tells whose pint, "2 cups (250 ml each)" too
        found = _of_each_or_all(plain, own, second)
        if plain.measure in _SPOONS and not apart(found, own, _CUPS_APART):
            found = own  # "1/2 tsp (2 mL)": the millilitres are rounded
        told = unless_apart(found, own, _CUPS_APART if kind == "volume" else _GLASSES_APART)
        return told if apart(found, own, _CUPS_APART) else _spanning(told, own if found is second else second)
    if kind == also_kind == "volume" and "divided" not in line.said:
        return unless_apart(own, second, _CUPS_APART)  # "1 cup sugar (the recipe calls for 2 cups)"
    certain = own.certain and not _is_measured(second, own, kind, also_kind)
    if kind == "volume" or plain.package is not None or certain:
        return own
    return unless_apart(second, own, _GLASSES_APART) if kind == "vague" and also_kind == "volume" else second


# A cup of pieces that weighs so many times as much as they do tells how large they are: "3 bananas (1 cup mashed)".
_PIECES_APART = 1.25


def _is_measured(second: GramWeight, own: GramWeight, kind: str, also_kind: str) -> bool:
    """Whether what is said beside a count is counted in its place: any package, a volume that is far from it."""
    if kind == "package" or also_kind != "volume" or not second.value or not own.value:
        return kind == "package"
    return not 1 / _PIECES_APART <= second.value / own.value <= _PIECES_APART


def of_two_masses(plain: GramWeight, other: GramWeight, *, converts: bool) -> GramWeight:
    """The first of two masses, "2 lb (900 g)", with a reason where they are no two ways of saying one amount.

    `converts`: they are in pounds and in kilograms, and neither is said to be of what is left of the food.
    """
    return unless_apart(plain, other, _CONVERTED_APART if converts else MASSES_APART)


def apart(one: GramWeight, other: GramWeight, times: float) -> bool:
    """Whether one of two known weights is more than so many times the other."""
    if not one.value or not other.value:
        return False
    return not 1 / times <= one.value / other.value <= times


def unless_apart(counted: GramWeight, other: GramWeight, times: float) -> GramWeight:
    """The weight that is counted, with a reason where the other is more than so many times as much or as little."""
    if not apart(counted, other, times):
        return counted
    return _contradicting(counted, other, counted=counted, which="first")


def _contradicting(first: GramWeight, second: GramWeight, *, counted: GramWeight, which: str) -> GramWeight:
    reason = f"{CONTRADICTING} ({first.value:.0f} g, {second.value:.0f} g); the {which} is counted"
    return replace(counted, reasons=(*counted.reasons, reason))


def _mass_said_too(
    plain: Amount, own: GramWeight, other: Amount, second: GramWeight, kind: str, line: WeighedLine
) -> GramWeight:
    assert own.value is not None
    assert second.value is not None
    if kind != "volume":
        return _each_or_all(plain, own, second, line)
    ratio = own.value / second.value if second.value else _DISAGREE * 2
    if not 1 / _DISAGREE <= ratio <= _DISAGREE:
        reason = f"{DISAGREEING} ({own.value:.0f} g, {second.value:.0f} g); the first is counted"
        return replace(own, reasons=(*own.reasons, reason))
    in_grams = other.also is not None and line.tables.measures.kind(other.also.measure) == "mass"
    if own.certain and other.measure in ("oz", "lb") and not in_grams:  # "(6 oz / 170 g)" are no fluid ounces
        return _spanning(own, second)
    return second


def _spanning(own: GramWeight, second: GramWeight) -> GramWeight:
    lows, highs = (own.low, second.low), (own.high, second.high)
    return replace(own, low=min(x for x in lows if x is not None), high=max(x for x in highs if x is not None))


def _each_or_all(plain: Amount, own: GramWeight, second: GramWeight, line: WeighedLine) -> GramWeight:
    """A weight after a count is of all of them, unless the line says "each" or all of them would be far too light."""
    assert own.value is not None
    if second.value is None or second.low is None or second.high is None:
        return own
    count = plain.middle
    if count <= 1:  # "half an avocado (150 g each)"
        return _times(plain, second) if count < 1 and "each" in line.said else second
    if "each" in line.said and plain.package is None:  # beside a size it is of all: "(400 g each, 240 g drained)"
        return _times(plain, second)
    if second.value < _TOO_LIGHT * own.value and _NEAR_ONE[0] <= second.value * count / own.value <= _NEAR_ONE[1]:
        found = _times(plain, second)
        # "2 mangoes, stoned (400 g)"; "6 slices pork belly (120 g)" may be thin ones
        thin = plain.measure == "slice" and not own.certain
        light = thin or second.value >= _LIGHTEST * (own.low or 0.0)
        unsure = second.value > _FAR_TOO_LIGHT * own.value or light
        return replace(found, reasons=(*found.reasons, OF_PIECE_OR_ALL)) if unsure else found
    if own.certain and second.value > _PIECES_TOO_HEAVY * own.value:
        return _contradicting(own, second, counted=second, which="second")
    return second


def _held_by(plain: Amount, own: GramWeight, second: GramWeight, line: WeighedLine) -> GramWeight:
    """What counted packages hold: "3 cartons milk, 500 ml each"; of all or of each, if the line does not say it."""
    if plain.middle <= 1:
        return second
    if "each" in line.said:
        return _times(plain, second)
    if not _IN_ALL.isdisjoint(line.said):
        return second
    assert own.value is not None
    found = _of_each_or_all(plain, own, second)
    other = second if found is not second else _times(plain, second)
    sure = not apart(own, found, _USUAL_SIZE) and apart(own, other, _UNUSUAL_SIZE)
    return found if sure else replace(found, reasons=(*found.reasons, OF_PIECE_OR_ALL))


_IN_ALL = frozenset({"total", "altogether", "together"})
# "2 tins beans, 400 g" needs no question, for each holds about so much and half of it would be an odd tin.
_USUAL_SIZE, _UNUSUAL_SIZE = 1.35, 1.9


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
