"""gramwright resolve: ingredient lines as a table, JSON Lines or CSV."""

from __future__ import annotations

import argparse
import csv
import io
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from service.api.payloads import coverage_notes, encode, line_payload, shown
from service.bulk import analyse_results
from service.commands import stores
from service.commands.inputs import lines_asked
from service.commands.tables_of_text import (
    add_row,
    coverage_sentence,
    figure,
    print_out,
    short,
    text_table,
    total_figure,
)
from service.core.analyse import LineResult, PartResult, Resolver
from service.core.errors import InputError
from service.core.kitchen import Kitchen
from service.core.line_list import with_headings
from service.core.nutrients import (
    DEFAULT_COMPONENTS,
    Analysis,
    Totals,
    chosen_components,
    net_formula,
    net_of_food,
    net_terms,
)
from service.core.text import safe_cell as safe_text

if TYPE_CHECKING:
    from rich.table import Table

# Columns of the table beside the line and its food: tagname, heading, decimals.
COLUMNS = (("ENERC_KCAL", "kcal", 0), ("CHOCDF", "carbohydrate\ng", 1), ("FIBTG", "fibre\ng", 1))



def resolve(asked: argparse.Namespace) -> None:
    """gramwright resolve"""
    with lines_asked(asked) as lines:
        catalogue = stores.open_store(stores.settings_asked(asked.datasets))
        resolver, kitchen = catalogue.resolver(), stores.kitchen_of(catalogue) if asked.kitchen else None
        if asked.components:
            chosen_components(resolver.table, asked.components)
        if asked.jsonl is not None:
            write_jsonl(resolver, lines, asked.components or (), kitchen)
        elif asked.csv:
            write_csv(resolver, lines, asked.components or DEFAULT_COMPONENTS, kitchen)
        else:
            print_table(resolver, list(lines), asked.components, asked.servings, kitchen)


def write_jsonl(
    resolver: Resolver, lines: Iterable[str], components: Sequence[str], kitchen: Kitchen | None = None
) -> None:
    """One JSON object a line, in order, one for every input line; the lines are one list."""
    out = sys.stdout.buffer
    for result in with_headings(resolver.resolve(line, components=components, kitchen=kitchen) for line in lines):
        out.write(encode(line_payload(result)) + b"\n")
    out.flush()


CSV_COLUMNS = (
    "number", "line", "part", "outcome", "confidence", "food_id", "food",
    "grams", "grams_low", "grams_high", "rule", "basis",
)  # fmt: skip


def write_csv(
    resolver: Resolver, lines: Iterable[str], components: Sequence[str], kitchen: Kitchen | None = None
) -> None:
    """One row a food of a line, unknown left empty; a line without a food has one row too (RFC 4180)."""
    tagnames = [component.tagname for component in chosen_components(resolver.table, components)]
    _write_row([*CSV_COLUMNS, *tagnames, "net_carbohydrate", "reasons"])
    net = _net_of_parts(resolver, kitchen)
    results = with_headings(resolver.resolve(line, components=tagnames, kitchen=kitchen) for line in lines)
    for number, result in enumerate(results, 1):
        for row in _csv_rows(result, tagnames, net):
            _write_row([number, *(safe_cell(cell) for cell in row)])
    sys.stdout.buffer.flush()


def _write_row(cells: Sequence[object]) -> None:
    text = io.StringIO(newline="")
    csv.writer(text).writerow(cells)
    sys.stdout.buffer.write(text.getvalue().encode())


def _csv_rows(
    result: LineResult, tagnames: Sequence[str], net: Callable[[PartResult], float | None]
) -> Iterator[list[object]]:
    if not result.parts:
        blank = [None] * (len(CSV_COLUMNS) - 4 + len(tagnames) + 1)
        yield [result.line, None, result.outcome, *blank, "; ".join(result.reasons)]
    for part in result.parts:
        food = (part.food.id, part.food.description) if part.food else (None, None)
        weight = part.grams
        grams = (weight.value, weight.low, weight.high, weight.rule, weight.basis) if weight else (None,) * 5
        amounts = [*(part.components.get(tagname) for tagname in tagnames), net(part)]
        yield [
            result.line, part.text, part.outcome, part.confidence, *food, *grams, *amounts, "; ".join(part.reasons)
        ]  # fmt: skip


def safe_cell(cell: object) -> object:
    """A cell that no spreadsheet takes for a formula; numbers as they are sent elsewhere, unknown empty."""
    if isinstance(cell, float):
        return shown(cell)
    return safe_text(cell) if isinstance(cell, str) else cell


def _net_of_parts(resolver: Resolver, kitchen: Kitchen | None) -> Callable[[PartResult], float | None]:
    """What tells the net carbohydrate of a part as the totals count it; None where it is unknown."""
    table, columns = resolver.table, {one.tagname: place for place, one in enumerate(resolver.table.components)}

    def net(part: PartResult) -> float | None:
        if part.food is None:
            return None
        content, weight = resolver.known(part.food.id, kitchen).content(), part.grams
        basis = table.bases.get(part.food.dataset, "total")
        found = content.net or net_of_food(net_terms(content.row[None, :], columns)[0], basis)
        if found.value is None or (found.value and (weight is None or weight.value is None)):
            return None
        return float(found.value) * (weight.value or 0.0) / 100 if weight else 0.0

    return net


# ---- tables for people -----------------------------------------------------------------------------------------


def print_table(
    resolver: Resolver, lines: Sequence[str], components: Sequence[str] | None, servings: float | None,
    kitchen: Kitchen | None = None,
) -> None:  # fmt: skip
    """The lines with their foods, weights and figures, the totals, and what they count."""
    if not lines:
        raise InputError("there is no line in the input")
    wanted = DEFAULT_COMPONENTS if components is None else (*DEFAULT_COMPONENTS, *components)
    chosen = ("all",) if components == ("all",) else tuple(dict.fromkeys(wanted))
    results = [resolver.resolve(line, components=chosen, kitchen=kitchen) for line in lines]
    analysis = analyse_results(resolver, results, components=chosen, servings=servings, kitchen=kitchen)
    net = _net_of_parts(resolver, kitchen)
    table = text_table(
        "#", "line", "food entry", "grams", *(heading for _, heading, _ in COLUMNS), "net\ncarbohydrate g",
        "confidence", "outcome", right=(0, 3, 4, 5, 6, 7, 8), wide=(1, 2),
    )  # fmt: skip
    for number, result in enumerate(analysis.lines, 1):
        for row in _line_rows(number, result, net):
            add_row(table, *row)
    for name, totals in _named_totals(analysis):
        add_row(table, "", name, "", "", *_total_cells(totals), "", "", bold=True)
    print_out(table, *([_all_totals(analysis)] if components else []), "\n".join(_footer(analysis)))


def _line_rows(
    number: int, result: LineResult, net: Callable[[PartResult], float | None]
) -> Iterator[tuple[str, ...]]:
    nothing = ("",) * (len(COLUMNS) + 3)
    if not result.parts:
        yield str(number), short(result.line), short("; ".join(result.reasons)), *nothing, result.outcome
    for place, part in enumerate(result.parts):
        line = short(result.line) if place == 0 else f"  {short(part.text)}"
        if part.food is None:
            why = "; ".join(part.reasons)
            yield str(number), line, short(f"no fair entry: {why}" if why else "no fair entry"), *nothing, part.outcome
            continue
        figures = [figure(part.components.get(tagname), decimals) for tagname, _, decimals in COLUMNS]
        yield (
            str(number), line, f"{short(part.food.description)}\n[{part.food.id}]", grams_cell(part), *figures,
            figure(net(part), 1), f"{part.confidence:.2f}", part.outcome,
        )  # fmt: skip


def grams_cell(part: PartResult) -> str:
    """The edible grams of a food with their bounds below."""
    weight = part.grams
    if weight is None or weight.value is None:
        return "unknown"
    value, low, high = (_tenths(grams) for grams in (weight.value, weight.low, weight.high))
    return value if low == high else f"{value}\n{low}–{high}"


def _tenths(grams: float | None) -> str:
    return "?" if grams is None else f"{grams:.1f}".removesuffix(".0")


def _named_totals(analysis: Analysis[LineResult]) -> Iterator[tuple[str, Totals]]:
    yield "total", analysis.whole
    if analysis.per_serving:
        yield f"per serving, of {analysis.servings:g}", analysis.per_serving


def _total_cells(totals: Totals) -> list[str]:
    named = {total.tagname: total for total in totals.components}
    return [
        *(total_figure(named[tagname], decimals) for tagname, _, decimals in COLUMNS if tagname in named),
        total_figure(totals.net_carbohydrate, 1),
    ]


def _all_totals(analysis: Analysis[LineResult]) -> Table:
    """Every component asked for, with its bounds."""
    heads = [name for name, _ in _named_totals(analysis)]
    table = text_table("component", "unit", *heads, "low", "high", title="Totals", right=range(2, 4 + len(heads)))
    served = analysis.per_serving.components if analysis.per_serving else (None,) * len(analysis.whole.components)
    for total, serving in zip(analysis.whole.components, served, strict=True):
        figures = [total_figure(one, 2) for one in (total, serving) if one]
        high = "open" if total.high is None else figure(total.high, 2)
        add_row(table, total.tagname, total.unit, *figures, figure(total.low, 2), high)
    return table


def _footer(analysis: Analysis[LineResult]) -> Iterator[str]:
    yield _bounds(analysis.whole)
    yield f"Net carbohydrate: {net_formula()}."
    yield coverage_sentence(analysis.coverage)
    yield from coverage_notes(analysis.coverage, analysis.whole, analysis.lines)
    for release in analysis.releases:
        yield f"Data: {release.name}, release {release.release}. {release.licence}."


def _bounds(totals: Totals) -> str:
    named = {total.tagname: total for total in (*totals.components, totals.net_carbohydrate)}
    shown_as = (("ENERC_KCAL", "energy", 0), ("CHOCDF", "carbohydrate", 1), ("net_carbohydrate", "net carbohydrate", 1))
    said = []
    for tagname, name, decimals in shown_as:
        total = named[tagname]
        low = f"{total.low:.{decimals}f}"
        ends = f"at least {low}" if total.high is None else f"{low} to {total.high:.{decimals}f}"
        said.append(f"{name} {ends} {total.unit}")
    return f"By the bounds of the weights: {', '.join(said)}."
