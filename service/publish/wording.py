"""Figures as people read them on the card, the strip and in texts: rounded halves up, unknown said, never 0."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from service.core.eaten import said_eaten, says_treatment
from service.core.figures import Ratio, as_sent
from service.core.nutrients import Total
from service.core.panel import NOT_KNOWN, decimal, digits, to_step
from service.publish.markup import one_line
from service.publish.publication import (
    MAIN_FIGURES,
    PLAIN,
    Helping,
    ListLine,
    Origin,
    Publication,
    Units,
    total_of,
)

# Grams of an avoirdupois ounce (NIST Handbook 44, appendix C).
OUNCE = Decimal("28.349523125")
# Share of a figure by which its bounds may lie apart before it is said, as the page does with the weight of a line.
WIDE = 0.12
ROUNDED = "Each figure is rounded on its own."
NOT_FOR_DOSING = "Not for insulin dosing."
# Energy shares are printed in this order; ethanol only where there is some.
SHARES = (("FAT", "fat"), ("PROCNT", "protein"), ("CHOCDF", "carbohydrate"), ("ALC", "alcohol"))


@dataclass(frozen=True, slots=True)
class Said:
    """An amount in words; `bound`: they give a lower bound, or say that it is not known."""

    text: str
    bound: bool


def amount_text(total: Total, unit: str = "") -> str:
    """An amount: "44.6 g", a span where a table value is not known but bounded, "at least 11.0 g", "not known"."""
    unit = unit or total.unit
    step = _step(unit)
    if total.value is not None:
        return _plain(_sent(total.value), step, unit)
    if total.high is not None:
        return _span(_sent(total.low), _sent(total.high), step, unit)
    least = to_step(_sent(max(0.0, total.low)), step, ROUND_FLOOR)
    return f"at least {_number(least, step)} {unit}" if least > 0 else NOT_KNOWN


def served(helping: Helping, plain: Helping, tagname: str, unit: str) -> Said:
    """An amount of one way to serve it, beside the plain one.

    A lower bound by the lightest weights may lie below the plain figure, which is by the middle ones: toppings seem to
    take something off. There it is said what they add at least.
    """
    total, base = (total_of(one.per_serving, tagname) for one in (helping, plain))
    bound = total.value is None and total.high is None and base.value is not None and total.low < base.value
    if not bound or helping.servings != plain.servings:
        return Said(amount_text(total, unit), total.value is None and total.high is None)
    added = Total(tagname, unit, None, 0.0, max(0.0, total.low - base.low), None)
    return Said(f"{helping_name(plain)} + {amount_text(added)}", True)


def _step(unit: str) -> Decimal:
    return Decimal(1) if unit in ("kcal", "kJ", "mg") else Decimal("0.1")


def _sent(number: float) -> Decimal:
    return decimal(as_sent(number))


def _number(number: Decimal, step: Decimal) -> str:
    return f"{number.quantize(step):f}"


def _plain(number: Decimal, step: Decimal, unit: str) -> str:
    if 0 < number < step / 2:
        return f"under {step} {unit}"
    return f"{_number(to_step(number, step), step)} {unit}" if number else f"0 {unit}"


def _span(low: Decimal, high: Decimal, step: Decimal, unit: str) -> str:
    """Rounded outwards, so that what is meant is inside."""
    least, most = to_step(low, step, ROUND_FLOOR), to_step(high, step, ROUND_CEILING)
    return f"{_number(least, step)}–{_number(most, step)} {unit}"


def notes_of(helping: Helping, units: Units | None = None) -> list[str]:
    """What the figures of a helping do not count or know, and how far apart its weights may put them."""
    spans = [text for tagname, name in MAIN_FIGURES if (text := _spread(helping, tagname, name, units or Units()))]
    wide = f"By the bounds of the weights a serving ({helping_name(helping)}) may have {', '.join(spans)}."
    return [*helping.notes, *([wide] if spans else [])]


def all_notes(publication: Publication) -> list[str]:
    """The notes of every helping, each once."""
    every = (note for helping in publication.helpings for note in notes_of(helping, publication.units))
    return list(dict.fromkeys(every))


def _spread(helping: Helping, tagname: str, name: str, units: Units) -> str:
    """A figure between its bounds, where they lie so far apart that one must know of it; else ""."""
    total = total_of(helping.per_serving, units.tagname(tagname))
    if total.value is None or total.high is None or total.high - total.low <= WIDE * total.value:
        return ""
    span = _span(_sent(total.low), _sent(total.high), _step(total.unit), total.unit)
    return f"{name.lower()} {span}"


# ---- how lines were counted ------------------------------------------------------------------------------------


def line_text(line: ListLine, *, optional: bool = False) -> str:
    """A line as it is listed, with what its own words do not say in square brackets, which reads back as such."""
    text = one_line(f"{line.text} (optional)" if optional else line.text)
    said = line_marks(line)
    return f"{text} [{'; '.join(said)}]" if said else text


def line_marks(line: ListLine) -> list[str]:
    """How a line was counted, where its words do not say so: "browned, drained", "10% eaten"."""
    cooked = [line.treatment] if line.treatment and not says_treatment(line.text, line.treatment) else []
    said = said_eaten(line.text)
    share = said.share if said else 1.0  # None: its words leave open how much
    if line.eaten is None or (share is not None and abs(line.eaten - share) < 1e-6):
        return cooked
    return [*cooked, f"{count_text(100 * line.eaten)}% eaten"]


def counted_texts(publication: Publication, helping: Helping) -> list[str]:
    """How what a helping is made of was counted, for outputs that do not list it; nothing where all is as written."""
    lines = (line for section in publication.sections for line in section.lines)
    served = (line for line in lines if helping is publication.everything or not line.optional)
    handled = (line for line in served if line.treatment or line.eaten not in (None, 1) or line_marks(line))
    named = ", ".join(f"“{line_text(line)}”" for line in handled)
    return [*([f"Counted as cooked and eaten: {named}."] if named else []), *weight_texts(publication)]


def weight_texts(publication: Publication) -> list[str]:
    """The weight of the cooked dish, where its writer states it."""
    made, plain = publication.yields, publication.plain.name == PLAIN and publication.everything is None
    of = "" if plain else " of the plain recipe"
    if made.cooked_grams is not None:
        return [f"Cooked weight{of}: {grams_text(made.cooked_grams, publication.units.mass)}, as weighed."]
    return [f"Cooked weight{of}: {100 * made.factor:.3g} % of what goes in, as stated."] if made.factor else []


# ---- ratios, shares, weights -----------------------------------------------------------------------------------


def ratio_text(ratio: Ratio) -> str:
    """A ketogenic ratio: "0.75 : 1", a span, or why there is none."""
    if ratio.value is not None:
        return f"{_hundredths(ratio.value)} : 1"
    if ratio.low is not None and ratio.high is not None:
        return f"{_hundredths(ratio.low, ROUND_FLOOR)}–{_hundredths(ratio.high, ROUND_CEILING)} : 1"
    return ratio.remark if ratio.remark == "no protein or carbohydrate" else NOT_KNOWN


def _hundredths(number: float, rounding: str = ROUND_HALF_UP) -> str:
    return _number(to_step(_sent(number), Decimal("0.01"), rounding), Decimal("0.01"))


def whole_percents(shares: Mapping[str, float]) -> dict[str, int]:
    """Shares of 1 as whole percents that add up to 100: the largest remainders are rounded up."""
    exact = {name: decimal(share) * 100 for name, share in shares.items()}
    down = {name: int(share) for name, share in exact.items()}
    left = 100 - sum(down.values())
    for name in sorted(exact, key=lambda name: down[name] - exact[name])[:left]:
        down[name] += 1
    return down


def shares_text(shares: Mapping[str, float] | None) -> str:
    """Shares of energy: "fat 60, protein 29, carbohydrate 11 %"."""
    if shares is None:
        return NOT_KNOWN
    percents = whole_percents(shares)
    said = [f"{name} {percents[tagname]}" for tagname, name in SHARES if percents.get(tagname) or tagname in _ALWAYS]
    return f"{', '.join(said)} %"


_ALWAYS = frozenset({"FAT", "PROCNT", "CHOCDF"})


def grams_text(grams: float | None, mass: str = "g") -> str:
    """The weight of a line: grams whole from 10 on, to a tenth below; ounces to a tenth; "" where not known."""
    if grams is None:
        return ""
    exact = decimal(grams)
    if mass == "oz":
        return _plain(exact / OUNCE, Decimal("0.1"), "oz")
    step = Decimal(1) if exact >= 10 else Decimal("0.1")
    return f"{digits(to_step(exact, step))} g" if not 0 < exact < Decimal("0.05") else "under 0.1 g"


def count_text(number: float) -> str:
    """A number of servings or pieces."""
    return digits(to_step(decimal(number), Decimal("0.01")))


def serves_text(helping: Helping) -> str:
    """For how many it is and, where the recipe makes pieces, what one of them gets: "12, 1 bar (45 g) each"."""
    size = helping.us.serving_size.replace(f" (weight {NOT_KNOWN})", "")
    return f"{count_text(helping.servings)}{'' if size.startswith('1 serving') else f', {size} each'}"


def source_text(publication: Publication) -> str:
    """What the figures were worked out from."""
    names = [f"{one.name}, release {one.release}" for one in publication.releases]
    tables = "; ".join(names) if names else "food composition tables"
    return f"Calculated from {tables}, not analysed."


def origin_text(origin: Origin) -> str:
    """Recipe, revision, change of the kitchen, version of the hand-kept tables and date, as far as given."""
    revision = "" if origin.revision is None else f"revision {origin.revision}"
    change = "" if origin.change is None else f"change {origin.change}"
    vocabulary = f"tables {origin.vocabulary}" if origin.vocabulary else ""
    return ", ".join(one for one in (origin.recipe, revision, change, vocabulary, origin.date) if one)


def traced_text(publication: Publication) -> str:
    """What the figures were worked out from, and of which revision of which recipe."""
    return " ".join(text for text in (source_text(publication), origin_text(publication.origin)) if text)


def helping_name(helping: Helping) -> str:
    """The name of a helping as a column is headed."""
    return " ".join(helping.name.split())
