"""gramwright recipe nutrition: what a recipe comes to, saved or in a file, as tables, JSON or CSV."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from service.commands import stores
from service.commands.inputs import write_text
from service.commands.publishing import publication_of
from service.commands.recipe_inputs import Asked, work_asked
from service.commands.resolve import grams_cell
from service.commands.tables_of_text import add_row, coverage_sentence, plain, print_out, short, text_table
from service.core.analyse import PartResult
from service.core.composition import dish
from service.core.errors import NotFoundError
from service.core.figures import RATIO_FORMULA, Difference, as_sent, figures
from service.core.nutrients import Total, net_formula
from service.core.panel import decimal, to_step
from service.core.recipe import RecipeYield
from service.core.uncertainty import Uncertainty
from service.kitchens.book import Serving, Worked, serving_differences
from service.kitchens.evidence import Evidence, evidence, uncertainties
from service.kitchens.shelf import Shelf
from service.publish import csv_text
from service.publish.publication import MAIN_FIGURES, NET, total_of
from service.publish.wording import amount_text, count_text, notes_of, ratio_text, shares_text

if TYPE_CHECKING:
    from rich.table import Table

# The amounts of each line, total before net.
_OF_LINES = (("CHOCDF", "carbohydrate"), (NET, "net\ncarbohydrate"))
# Ways to serve that stand beside the plain one without cutting a figure.
WAYS_BESIDE = 4
# A contributor to the variance that would be shown as 0 % is not.
LEAST_SHARE = 0.005


def show_nutrition(asked: argparse.Namespace) -> None:
    """gramwright recipe nutrition"""
    shelf = stores.open_shelf()
    found = work_asked(shelf, asked.recipe, asked.variant)
    _check_traced(found, asked.trace)
    if asked.csv:
        write_text(csv_text(publication_of(shelf, found)))
    elif asked.json:
        _write_json(shelf, found, asked.trace)
    else:
        _print_tables(shelf, found, asked.trace)


def _check_traced(asked: Asked, trace: Sequence[str]) -> None:
    for tagname in trace:
        if tagname != NET and tagname not in asked.book.columns:
            raise NotFoundError(f"no component has the tagname {tagname!r}", pointer="/trace")


def _write_json(shelf: Shelf, asked: Asked, trace: Sequence[str]) -> None:
    import orjson

    from service.api.recipe_answers import worked_answer

    payload = worked_answer(
        shelf, asked.book, asked.served, recipe=asked.id or None, trace=trace, notes=asked.notes
    )  # fmt: skip
    write_text(orjson.dumps(payload, option=orjson.OPT_INDENT_2).decode() + "\n")


def _print_tables(shelf: Shelf, asked: Asked, trace: Sequence[str]) -> None:
    worked = asked.served
    print_out(_head(asked, worked), _lines(asked, worked), _figures(asked, worked))
    if worked.variants:
        print_out(*_ways(worked))
    for tagname in trace:
        print_out(_trace(asked, worked, tagname))
    print_out(*_foot(shelf, asked, worked))


def _head(asked: Asked, worked: Worked) -> str:
    where = f"{asked.id}, revision {asked.revision}" if asked.id else "not saved"
    way = f", {short(worked.base.name)}" if asked.variant else ""
    servings = worked.base.portions.servings
    noun = "serving" if servings == 1 else "servings"
    return f"{short(worked.recipe.title)}{way}: {count_text(servings)} {noun} ({where})"


# ---- lines -----------------------------------------------------------------------------------------------------


def _lines(asked: Asked, worked: Worked) -> Table:
    """Every line with its food, its grams as stated, what it brings to the dish and whether it is counted."""
    table = text_table(
        "#", "line", "food entry", "grams", *(name for _, name in _OF_LINES), "counted", "outcome",
        right=(0, 3, 4, 5), wide=(1, 2),
    )  # fmt: skip
    for number, result in enumerate(worked.lines, 1):
        parts = [part for part in result.parts if part.food is not None or part.by]
        foods = "\n".join(map(_food_cell, parts))
        amounts = ["" if result.outcome == "not_food" else one for one in _amounts(asked, worked, number)]
        add_row(
            table, str(number), short(result.line), foods, "\n".join(grams_cell(part) for part in parts), *amounts,
            _counted(worked, number), result.outcome,
        )  # fmt: skip
    return table


def _food_cell(part: PartResult) -> str:
    """The food of a part, or why there is none where one was chosen."""
    food = part.food
    return short("; ".join(part.reasons)) if food is None else f"{short(food.description)} [{food.id}]"


def _amounts(asked: Asked, worked: Worked, number: int) -> Iterator[str]:
    recipe = replace(worked.recipe, yields=RecipeYield())  # what the line brings, whatever the dish then weighs
    alone = dish(recipe, [one for one in worked.ingredients if one.line == number], frozenset({number}))
    found = figures(alone, asked.book.components, recipe.net)
    yield from (amount_text(total_of(found, tagname), "g") for tagname, _ in _OF_LINES)


def _counted(worked: Worked, number: int) -> str:
    if worked.lines[number - 1].outcome == "not_food":
        return ""
    if number in worked.base.lines:
        return "yes"
    return "optional" if number in worked.optional else "in a variant"


# ---- figures ---------------------------------------------------------------------------------------------------


def _figures(asked: Asked, worked: Worked) -> Table:
    """The main figures whole and shared out, with the range of a serving."""
    base = worked.base.portions
    shares = [("whole", base.whole), ("per serving", base.per_serving), ("per piece", base.per_piece),
              ("per 100 g", base.per_100g)]  # fmt: skip
    known = [(name, found) for name, found in shares if found is not None]
    ranges = uncertainties(asked.book, base.dish, worked.recipe.net)
    heads = (*(name for name, _ in known), "95 % range of a serving")
    table = text_table("figure", *heads, right=range(1, 2 + len(known)))
    add_row(table, "Weight", *(amount_text(found.grams, "g") for _, found in known), "")
    for tagname, name in MAIN_FIGURES:
        cells = [amount_text(total_of(found, tagname), _unit(tagname)) for _, found in known]
        add_row(
            table,
            name,
            *cells,
            _range(ranges.get(tagname), total_of(base.per_serving, tagname), base.servings),
            bold=tagname == "CHOCDF",
        )
    whole = base.whole
    add_row(table, "Ketogenic ratio on total", ratio_text(whole.ratio_on_total), *[""] * len(known))
    add_row(table, "Ketogenic ratio on net", ratio_text(whole.ratio_on_net), *[""] * len(known))
    return table


def _unit(tagname: str) -> str:
    return "kcal" if tagname == "ENERC_KCAL" else "g"


def _range(found: Uncertainty | None, total: Total, servings: float) -> str:
    """The range of a figure of one serving; where it is a lower bound, of what is known of it, if anything is."""
    if found is None or (total.value is None and not total.known):
        return ""
    unit = _unit(total.tagname)
    decimals = 0 if unit == "kcal" else 1
    low, high = max(0.0, found.low) / servings, found.high / servings
    known = "of what is known, " if total.value is None else ""
    return f"{known}{low:.{decimals}f}–{high:.{decimals}f} {unit}"


def _ways(worked: Worked) -> Iterator[Table]:
    """Every way to serve it, a serving each, a few a table; below a figure how it differs from the plain recipe."""
    for start in range(0, len(worked.variants), WAYS_BESIDE):
        yield _ways_beside(worked, worked.variants[start : start + WAYS_BESIDE])


def _ways_beside(worked: Worked, variants: Sequence[Serving]) -> Table:
    ways = (worked.base, *variants)
    found = [one.portions.per_serving for one in ways]
    changes = [{}, *(serving_differences(worked, one) for one in variants)]
    places = range(1, 1 + len(ways))
    table = text_table(
        "a serving", *(short(one.name) for one in ways), right=places, wide=places,
        title="Each way to serve it; below a figure: the difference from plain, and its bounds",
    )  # fmt: skip
    add_row(table, "Servings", *(count_text(one.portions.servings) for one in ways))
    for tagname, name in MAIN_FIGURES:
        pairs = zip(found, changes, strict=True)
        cells = [_compared(total_of(one, tagname), change.get(tagname)) for one, change in pairs]
        add_row(table, name, *cells, bold=tagname == "CHOCDF")
    add_row(table, "Ketogenic ratio on total", *(ratio_text(one.ratio_on_total) for one in found))
    add_row(table, "Ketogenic ratio on net", *(ratio_text(one.ratio_on_net) for one in found))
    return table


def _compared(total: Total, change: Difference | None) -> str:
    text = amount_text(total, _unit(total.tagname))
    if change is None:
        return text
    step = Decimal(1) if total.tagname == "ENERC_KCAL" else Decimal("0.1")
    if change.value is not None:
        value, low, high = (_signed(one, step) for one in (change.value, change.low, change.high))
        return f"{text}\n{value}" if low == high else f"{text}\n{value}\n{low} to {high}"
    if change.low is None and change.high is None:
        return f"{text}\nnot known"
    ends = (("at least", change.low, ROUND_FLOOR), ("at most", change.high, ROUND_CEILING))
    told = [f"{word} {_signed(end, step, rounding)}" for word, end, rounding in ends if end is not None]
    return f"{text}\n{', '.join(told)}"


def _signed(change: float | None, step: Decimal, rounding: str = ROUND_HALF_UP) -> str:
    if change is None:
        return ""
    rounded = to_step(decimal(as_sent(change)), step, rounding)
    return f"{rounded:+f}" if rounded else "±0"


# ---- how a figure came about -----------------------------------------------------------------------------------


def _trace(asked: Asked, worked: Worked, tagname: str) -> Table:
    unit = next((one.unit for one in asked.book.components if one.tagname == tagname), "g")
    table = text_table(
        "#", "line", "food entry", "grams", f"{unit}\nin 100 g", f"{unit} in\nthe dish", "source", "derivation",
        title=f"How {tagname} of the whole dish came about", right=(0, 3, 4, 5), wide=(1, 2, 6, 7),
    )  # fmt: skip
    for one in evidence(asked.book, worked.base.portions.dish, tagname, worked.recipe.net):
        add_row(table, *_evidence_cells(one))
    return table


def _evidence_cells(one: Evidence) -> Iterator[str]:
    part = one.ingredient
    yield str(part.line)
    yield short(" > ".join((*part.within, part.text)))
    yield "no fair entry" if part.food is None else f"{short(part.food.description)} [{part.food.id}]"
    yield "not known" if part.grams is None else f"{part.grams.value:.1f}"
    yield "not known" if one.per_100g is None else f"{one.per_100g:.4g}"
    yield "not known" if one.amount is None else f"{one.amount:.2f}"
    yield "" if one.value is None else plain(one.value.source_text or one.value.source)
    yield "" if one.value is None else plain(one.value.derivation_text or one.value.derivation)


# ---- what the figures say and do not say -----------------------------------------------------------------------


def _foot(shelf: Shelf, asked: Asked, worked: Worked) -> Iterator[str]:
    from service.api.recipe_payloads import coverage_of

    base = worked.base.portions
    yield f"Energy from: {shares_text(base.whole.energy_shares)}."
    yield f"Net carbohydrate: {net_formula(worked.recipe.net)}. Ketogenic ratio: {RATIO_FORMULA}."
    yield f"Weight: {base.dish.weight_basis}{_said(base.dish.notes)}."
    yield coverage_sentence(coverage_of(worked))
    yield from _largest(asked, worked)
    yield from (f"Note: {plain(note)}" for note in _notes(asked, worked))
    published = publication_of(shelf, asked)
    yield from (plain(note) for note in notes_of(published.plain))
    yield from (f"Caution: {plain(one.text)} ({plain(one.source)})" for one in published.cautions)
    yield from (f"Data: {one.name}, release {one.release}. {one.licence}." for one in published.releases)


def _said(notes: Iterable[str]) -> str:
    return "".join(f"; {plain(note)}" for note in notes)


def _largest(asked: Asked, worked: Worked) -> Iterator[str]:
    """What makes total and net carbohydrate uncertain."""
    found = uncertainties(asked.book, worked.base.portions.dish, worked.recipe.net)
    for tagname, name in _OF_LINES:
        parts = [
            f"{short(one.text)}, {one.cause}, {one.share:.0%}"
            for one in found[tagname].contributors
            if one.share >= LEAST_SHARE
        ]
        if parts:
            yield f"What makes {name.replace(chr(10), ' ')} uncertain, by share of the variance: {'; '.join(parts)}."


def _notes(asked: Asked, worked: Worked) -> Iterator[str]:
    """What was assumed while the text was read, and what cooking did to each line."""
    yield from asked.notes
    for number, result in enumerate(worked.lines, 1):
        if asked.id and result.outcome != "not_food":
            yield from (f"line {number}: {reason}" for reason in result.reasons)
    for one in worked.base.portions.dish.ingredients:
        if one.notes and not one.within:
            yield f"line {one.line}, {one.text}: {'; '.join(one.notes)}"
