"""The weight of measures without a fixed size: a pinch, a handful, a drizzle, by kind of food."""

from __future__ import annotations

from service.core.amount import Amount
from service.core.edible_portion import KindRow
from service.core.text import with_article
from service.core.volume_weight import by_millilitres
from service.core.weighed_line import SIZE_FACTORS, Each, WeighedLine, of_row


def by_vague(amount: Amount, line: WeighedLine) -> Each | None:
    """A measure without a fixed size, by kind of food; its bounds are those of the word."""
    measure = line.tables.measures.get(amount.measure)
    if measure is None:
        return None
    share = SIZE_FACTORS.get(amount.size or "", 1.0)  # "a small handful", "a large glass"
    if row := line.tables.vague.find(measure.name, line.kin, said=line.said):
        each = of_row(row, "vague measure", with_article(measure.name))
        return each.times(share, min(share, 1.0), max(share, 1.0))
    if measure.unit == "g":
        grams = KindRow("", frozenset(), measure.value, measure.low, measure.high, measure.source)
        return of_row(grams, "vague measure", with_article(measure.name))
    one = by_millilitres(1.0, "ml", line) if measure.value else None
    if one is None:
        return None
    basis = f"{with_article(measure.name)} = {measure.value:g} ml ({measure.source}); {one.basis}"
    reason = f"{with_article(measure.name)} has no fixed size"
    value = one.value * measure.value
    each = Each(value, one.value * measure.low, one.value * measure.high, "vague measure", basis, False, (reason,))
    return each.times(share, min(share, 1.0), max(share, 1.0))
