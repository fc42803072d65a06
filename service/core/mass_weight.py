"""The weight of a mass that the line states: less refuse or paring where it says so; ounces of drinks are fluid."""

from __future__ import annotations

from dataclasses import replace

from service.core.amount import Amount
from service.core.edible_portion import AS_COUNTED, edible_share, least_share, share_if_counted, share_if_whole
from service.core.measure import OUNCE
from service.core.volume_weight import by_millilitres
from service.core.weighed_line import Each, WeighedLine


def by_mass(amount: Amount, line: WeighedLine) -> Each | None:
    """One gram, ounce, pound: its edible share, where the line says that more than that was weighed."""
    measure = line.tables.measures.get(amount.measure)
    if measure is None:
        return None
    if measure.name == "oz" and (fluid := _fluid_ounce(line)):
        return fluid
    each = Each(measure.value, measure.low, measure.high, "stated mass", "the weight is stated", True)
    return _edible(each, line)


def _fluid_ounce(line: WeighedLine) -> Each | None:
    """An ounce of a drink is a fluid ounce; the avoirdupois reading stays inside the bounds."""
    if not line.tables.fluid.find("", line.kin, said=line.said, any_food=False):
        return None
    ounce = line.tables.measures.get("fl oz")
    found = by_millilitres(ounce.value, "fl oz", line) if ounce else None
    if found is None:
        return None
    reason = "an ounce of a drink is read as a fluid ounce"
    return replace(found, low=min(found.low, OUNCE), high=max(found.high, OUNCE), reasons=(*found.reasons, reason))


# The reason where nobody can say whether something was weighed in its shell, which weighs more than what it holds.
SHELLED_WHEN = "the weight may be with the shells or without"
# The reason where nobody can say whether a fruit was weighed whole, "500 g watermelon".
IN_RIND_WHEN = "the weight may be of the whole fruit or of its flesh"
_SHELLED = frozenset({"shelled", "shucked"})
_SOLD_AS_MEAT = frozenset({"lobster", "crab"})
_MOSTLY_SHELL = 0.5  # as an edible share


def _edible(each: Each, line: WeighedLine) -> Each:
    edible = line.tables.edible
    bought = line.as_purchased
    share = edible_share(line.food, line.kin, said=line.said, states=line.states, as_purchased=bought, tables=edible)
    if share is None:
        whole = share_if_whole(line.food, said=line.said, states=line.states)
        if whole is None:
            return _left_open(each, line)
        cut = each.times(whole.value, whole.low, 1.0)
        return replace(cut, basis=f"{each.basis}; {whole.basis}", reasons=(*each.reasons, IN_RIND_WHEN))
    cut = each.times(share.value, share.low, share.high)
    reasons = (*each.reasons, share.basis)
    of_meat = share.high >= 1 and not line.said.isdisjoint(_SOLD_AS_MEAT)
    if share.value < _MOSTLY_SHELL and (of_meat or not line.said.isdisjoint(_SHELLED)):
        reasons = (*reasons, SHELLED_WHEN)  # "250 g cockles, shelled"
    return replace(cut, basis=f"{each.basis}; {share.basis}", reasons=reasons)


def _left_open(each: Each, line: WeighedLine) -> Each:
    """A weight of which the line does not say whether it is as bought: the bounds hold what is left without refuse."""
    counted = share_if_counted(line.food, line.kin, said=line.said, states=line.states, tables=line.tables.edible)
    if counted is not None:
        cut = each.times(counted.value, counted.low, counted.high)
        return cut if counted.value == 1 else replace(cut, basis=f"{each.basis}; {counted.basis}")
    return each.times(1, least_share(line.food, line.kin, said=line.said, states=line.states), 1)


# From this weight in grams on meat or fish that is counted and weighed at once is a whole animal; portions are lighter.
_WHOLE = 250.0


_WHOLE_PIECES = frozenset({"ear", "cob", "head", "bulb"})


def as_bought(count: Amount, mass: Amount, line: WeighedLine) -> WeighedLine:
    """The line with "whole" said where the weight is of whole animals or fruits, as bought: "1 chicken (3 lb)".

    A piece that is weighed says what it is, with its bones: "1 rack of lamb (600 g)".
    `mass` is the weight said beside `count`: of one, or of all where it is what the count says also.
    """
    measure = line.tables.measures.get(mass.measure)
    if measure is None or measure.kind != "mass":
        return line
    if count.measure is not None:
        piece = line.tables.measures.kind(count.measure) == "piece"
        whole_one = {AS_COUNTED} if count.measure in _WHOLE_PIECES else set()
        return replace(line, said=line.said | {count.measure} | whole_one) if piece else line
    of_all = mass is count.also and "each" not in line.said
    each = measure.value * mass.middle / (max(count.middle, 1.0) if of_all else 1.0)
    whole = each >= _WHOLE or "fruit" in line.food.group_name.lower()
    return replace(line, said=line.said | {AS_COUNTED} | ({"whole"} if whole else set()))
