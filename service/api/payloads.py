"""Values into plain dicts, as the API and `--jsonl` send them; the one home of display rounding.

Light to import: the command line uses it too. Numbers are sent with six significant digits, which drops the noise of
binary fractions and nothing that a table states; unknown is null.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import orjson

from service.core.amount import Amount
from service.core.analyse import LineResult, PartResult
from service.core.figures import as_sent
from service.core.food import CarbohydrateBasis, Component, ComponentValue, FoodDetails, FoodEntry, Release
from service.core.health import of_food
from service.core.measure import OUNCE
from service.core.nutrients import (
    Analysis,
    Coverage,
    Total,
    Totals,
    net_formula,
    net_of_food,
    plain_amounts,
)
from service.core.weighed_line import GramWeight
from service.tables.vocabulary import load_tables

Payload = dict[str, Any]
NO_VALUE = "the publisher gives no value"


def encode(payload: object) -> bytes:
    """JSON in UTF-8; the same payload gives the same bytes."""
    return orjson.dumps(payload)


def shown(number: float | None) -> float | None:
    """A number as it is sent, None where unknown."""
    return None if number is None else as_sent(number)


# ---- lines -----------------------------------------------------------------------------------------------------


def shown_ounces(grams: float) -> str:
    """Ounces as cooks print them beside grams: one decimal, halves up, no trailing .0 (common practice, no source)."""
    tenths = (Decimal(repr(grams)) / Decimal(repr(OUNCE))).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{tenths.normalize():f}"


def line_payload(result: LineResult) -> Payload:
    """The result of a line, as DESIGN.md fixes it."""
    return {
        "line": result.line,
        "outcome": result.outcome,
        "parts": [part_payload(part) for part in result.parts],
        "reasons": result.reasons,
    }


def error_payload(number: int, why: str) -> Payload:
    """What stands in the place of the result of a record that cannot be read."""
    return {"line": None, "outcome": "error", "number": number, "parts": [], "reasons": [why]}


def part_payload(part: PartResult) -> Payload:
    """One food of a line."""
    return {
        "text": part.text,
        "outcome": part.outcome,
        "confidence": part.confidence,
        "food": food_name(part.food) if part.food else None,
        "candidates": [
            {**food_name(candidate.food), "confidence": candidate.confidence} for candidate in part.candidates
        ],
        "amount": amount_payload(part.amount) if part.amount else None,
        "grams": grams_payload(part.grams) if part.grams else None,
        "components": {tagname: shown(amount) for tagname, amount in part.components.items()},
        **({"borrowed": part.borrowed} if part.borrowed else {}),
        **({"derived": part.derived} if part.derived else {}),
        "optional": part.optional,
        "by": part.by,
        "reasons": part.reasons,
    }


def food_name(food: FoodEntry) -> Payload:
    """A food by id and description."""
    return {"id": food.id, "description": food.description}


def amount_payload(amount: Amount) -> Payload:
    """An amount; what a plain amount has not is left out."""
    more = {
        "heap": amount.heap,
        "approximate": amount.approximate,
        "package": amount.package and amount_payload(amount.package),
        "plus": amount.plus and amount_payload(amount.plus),
        "less": amount.less and amount_payload(amount.less),
        "also": amount.also and amount_payload(amount.also),
    }
    return {
        "low": shown(amount.low),
        "high": shown(amount.high),
        "measure": amount.measure,
        "size": amount.size,
        **{name: value for name, value in more.items() if value},
    }


def grams_payload(weight: GramWeight) -> Payload:
    """A gram weight with its bounds and what it rests on."""
    return {
        "value": shown(weight.value),
        "low": shown(weight.low),
        "high": shown(weight.high),
        "rule": weight.rule,
        "basis": weight.basis,
    }


# ---- an ingredient list ----------------------------------------------------------------------------------------


def analysis_payload(analysis: Analysis[LineResult]) -> Payload:
    """An ingredient list with totals and coverage."""
    return {
        "servings": analysis.servings,
        "whole": totals_payload(analysis.whole),
        "per_serving": totals_payload(analysis.per_serving) if analysis.per_serving else None,
        "coverage": coverage_payload(analysis.coverage, analysis.whole, analysis.lines),
        "lines": [line_payload(line) for line in analysis.lines],
        "releases": [release_name(release) for release in analysis.releases],
    }


def totals_payload(totals: Totals) -> Payload:
    """Totals by tagname, and net carbohydrate with its formula."""
    net = {"formula": net_formula(), "clamped_in": totals.clamped_in}
    return {
        "components": {total.tagname: total_payload(total) for total in totals.components},
        "net_carbohydrate": {**total_payload(totals.net_carbohydrate), **net},
    }


def total_payload(total: Total) -> Payload:
    """One total; `value` is null and `low` a lower bound where a line lacks it."""
    return {
        "value": shown(total.value),
        "low": shown(total.low),
        "high": shown(total.high),
        "unit": total.unit,
        "known": shown(total.known),
        "unknown_in": total.unknown_in,
    }


def coverage_payload(coverage: Coverage, totals: Totals, lines: Sequence[LineResult]) -> Payload:
    """Shares of lines and grams that the totals count, with notes in words."""
    return {
        "lines": {
            "given": coverage.lines,
            "food": coverage.food_lines,
            "counted": coverage.lines_counted,
            "share": shown(coverage.lines_share),
        },
        "grams": {
            "stated": shown(coverage.grams_stated),
            "counted": shown(coverage.grams_counted),
            "share": shown(coverage.grams_share),
        },
        "no_match": coverage.no_match,
        "no_weight": coverage.no_weight,
        "to_check": coverage.to_check,
        "optional": coverage.optional,
        "notes": coverage_notes(coverage, totals, lines),
    }


def coverage_notes(coverage: Coverage, totals: Totals, lines: Sequence[LineResult]) -> list[str]:
    """What a reader of the totals has to know, one sentence each."""
    notes = []
    if coverage.no_match:
        notes.append(f"No fair entry for {_lines(coverage.no_match)}: every total is a lower bound.")
    if coverage.no_weight:
        notes.append(f"No weight for {_lines(coverage.no_weight)}: what it gives is not counted.")
    notes += _unknown_notes(coverage, totals)
    if totals.clamped_in:
        notes.append(f"More is taken off than there is of carbohydrate in {_lines(totals.clamped_in)}: net is 0 there.")
    if coverage.to_check:
        notes.append(f"Please check {_lines(coverage.to_check)}.")
    if coverage.optional:
        notes.append(f"Optional, and counted: {_lines(coverage.optional)}.")
    if coverage.unread:
        notes.append(f"Taken for a title or a note, and not counted: {_lines(coverage.unread)}.")
    return [*notes, *_borrowed_notes(lines), *_derived_notes(lines)]


def _borrowed_notes(lines: Sequence[LineResult]) -> list[str]:
    """Which components a food has from the same food in another table, one sentence a food and lender."""
    lent: dict[tuple[str, str], tuple[list[str], list[int]]] = {}
    for number, line in enumerate(lines, 1):
        for part in line.parts:
            for tagname, lender in part.borrowed.items():
                tagnames, numbers = lent.setdefault((part.food.id if part.food else "", lender), ([], []))
                tagnames += [tagname] if tagname not in tagnames else []
                numbers += [number] if number not in numbers else []
    return [
        f"{_lines(numbers).capitalize()}: {', '.join(tagnames)} of {food} borrowed from {lender}, the same food."
        for (food, lender), (tagnames, numbers) in lent.items()
    ]


def _derived_notes(lines: Sequence[LineResult]) -> list[str]:
    """Which components of a food no publisher gives, with the formula, one sentence a food and component."""
    found: dict[tuple[str, str, str], list[int]] = {}
    for number, line in enumerate(lines, 1):
        for part in line.parts:
            for tagname, formula in part.derived.items():
                if not part.components.get(tagname):
                    continue
                numbers = found.setdefault((part.food.id if part.food else "", tagname, formula), [])
                numbers += [number] if number not in numbers else []
    return [
        f"{_lines(numbers).capitalize()}: {tagname} of {food} is not published; {formula} (in 100 g)."
        for (food, tagname, formula), numbers in found.items()
    ]


def _unknown_notes(coverage: Coverage, totals: Totals) -> list[str]:
    """Which totals lack a published value, those with the same lines in one sentence."""
    said: dict[tuple[int, ...], list[str]] = {}
    left_out = {*coverage.no_match, *coverage.no_weight}
    for total in (*totals.components, totals.net_carbohydrate):
        lines = tuple(line for line in total.unknown_in if line not in left_out)
        if lines:
            said.setdefault(lines, []).append(total.tagname.replace("_carbohydrate", " carbohydrate"))
    return [f"Not known for {_lines(lines)}: {', '.join(names)}; lower bounds." for lines, names in said.items()]


def _lines(numbers: Sequence[int]) -> str:
    shown_numbers = [str(number) for number in numbers[:20]]
    more = f" and {len(numbers) - 20} more" if len(numbers) > 20 else ""
    noun = "line" if len(numbers) == 1 else "lines"
    return f"{noun} {', '.join(shown_numbers)}{more}"


# ---- the tables ------------------------------------------------------------------------------------------------


def release_name(release: Release) -> Payload:
    """A release as every answer names it."""
    return {
        "dataset": release.dataset,
        "name": release.name,
        "release": release.release,
        "licence": release.licence,
        "citation": release.citation,
    }


def release_payload(release: Release) -> Payload:
    """A release with its counts, its bases and when it was loaded."""
    counts = {"foods": release.foods, "components": release.components, "values": release.values}
    bases = {
        "carbohydrate_basis": release.carbohydrate_basis,
        "energy_basis": release.energy_basis,
        "fibre_method": release.fibre_method,
    }
    return {**release_name(release), **counts, "measures": release.measures, "loaded": release.loaded, **bases}


def component_payload(component: Component) -> Payload:
    """A component of the tables."""
    return {
        "tagname": component.tagname,
        "number": component.number,
        "name": component.name,
        "unit": component.unit,
        "decimals": component.decimals,
    }


def found_food(food: FoodEntry) -> Payload:
    """A food as a search lists it."""
    names = {"common_name": food.common_name, "scientific_name": food.scientific_name}
    return {**food_name(food), "group": food.group_name, **names}


def food_payload(details: FoodDetails, components: Iterable[Component], releases: Sequence[Release]) -> Payload:
    """A food with its composition per 100 g of edible portion; a component without a value is null with a reason."""
    food = details.food
    values = {value.tagname: value for value in details.values}
    mine = [release for release in releases if release.dataset == food.dataset]
    names = {"original_name": details.original_name, "linked": details.linked, "gtin": details.gtin}
    return {
        **described_food(food),
        **{name: said for name, said in names.items() if said},
        **_doubts(details, mine[0].carbohydrate_basis if mine else "total"),
        "components": {
            component.tagname: value_payload(
                component, values.get(component.tagname), unknown=details.reasons.get(component.tagname, NO_VALUE)
            )
            for component in components
        },
        "net_carbohydrate": net_payload(details.values, mine[0].carbohydrate_basis if mine else "total"),
        "langual": [{"code": code, "text": text} for code, text in details.langual],
        "footnotes": details.footnotes,
        "releases": [release_name(release) for release in mine],
    }


def _doubts(details: FoodDetails, basis: CarbohydrateBasis) -> Payload:
    """What does not add up in the publisher's figures, where anything does not."""
    measures = load_tables().weights.measures
    found = of_food(details.food, plain_amounts(details.values), total=basis == "total", measures=measures)
    return {"doubts": [{"kind": kind, "text": text} for kind, text in found]} if found else {}


def described_food(food: FoodEntry) -> Payload:
    """What is said of a food before its composition."""
    return {
        **found_food(food),
        "basis": "100 g of edible portion",
        "refuse": {"percent": food.refuse_percent, "text": food.refuse_text},
        "energy_factors": {
            "protein": food.protein_factor,
            "fat": food.fat_factor,
            "carbohydrate": food.carbohydrate_factor,
        },
        "nitrogen_factor": food.nitrogen_factor,
        "measures": [
            {"amount": shown(measure.amount), "measure": measure.text, "grams": shown(measure.grams)}
            for measure in food.measures
        ],
    }


def value_payload(component: Component, value: ComponentValue | None, *, unknown: str = NO_VALUE) -> Payload:
    """One component of a food with the origin of its value; `unknown` says why there is none."""
    named = {"name": component.name, "unit": component.unit}
    if value is None:
        return {"value": None, **named, "reason": unknown}
    if value.qualifier:
        named["reason"] = "a trace" if value.qualifier == "trace" else f"below {value.amount:g} {component.unit}"
    return {
        "value": value.known,
        **named,
        "samples": value.samples,
        "standard_error": value.standard_error,
        "source": {"code": value.source, "text": value.source_text},
        "derivation": {"code": value.derivation, "text": value.derivation_text},
    }


def net_payload(values: Iterable[ComponentValue], basis: CarbohydrateBasis) -> Payload:
    """Net carbohydrate of 100 g of a food."""
    net = net_of_food(plain_amounts(values), basis)
    value = None if net.value is None else float(net.value)
    return {"value": value, "unit": "g", "formula": net_formula(), "reason": net.flag or None}
