"""A publication as plain text for a description box and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from service.core.cautions import LAXATIVE
from service.core.figures import Figures
from service.core.nutrients import Total
from service.core.text import safe_cell
from service.publish.markup import one_line
from service.publish.publication import MAIN_FIGURES, Helping, Publication
from service.publish.wording import (
    NOT_FOR_DOSING,
    all_notes,
    counted_texts,
    helping_name,
    line_marks,
    origin_text,
    ratio_text,
    served,
    serves_text,
    source_text,
    traced_text,
)

# ---- the description box ---------------------------------------------------------------------------------------


def description_text(publication: Publication) -> str:
    """A few lines: a serving plain and with everything, what is not counted, how it was worked out."""
    title = one_line(publication.title)
    lines = [f"{title}, serves {serves_text(publication.plain)}"]
    lines += [_figures_line(helping, publication) for helping in publication.helpings]
    lines += [one_line(note) for note in all_notes(publication)]
    lines += [one_line(text) for text in counted_texts(publication, publication.helpings[-1])]
    lines += [one_line(one.text) for one in publication.cautions if one.kind == LAXATIVE]
    lines.append(f"Net carbohydrate: {publication.net_formula}.")
    lines.append(f"{one_line(source_text(publication))} {NOT_FOR_DOSING}")
    lines.append(one_line(origin_text(publication.origin)))
    return "\n".join(line for line in lines if line) + "\n"


def _figures_line(helping: Helping, publication: Publication) -> str:
    found, units = helping.per_serving, publication.units
    amounts = [
        f"{name.lower()} {served(helping, publication.plain, units.tagname(tagname), units.of(tagname)).text}"
        for tagname, name in MAIN_FIGURES
    ]
    ratios = f"ketogenic ratio {ratio_text(found.ratio_on_total)} on total, {ratio_text(found.ratio_on_net)} on net"
    which = f" ({helping_name(helping)})" if len(publication.helpings) > 1 else ""
    return f"A serving{which}: {', '.join([*amounts, ratios])}."


# ---- CSV -------------------------------------------------------------------------------------------------------

CSV_COLUMNS = (
    "recipe", "revision", "served", "share", "component", "unit", "value", "known", "low", "high", "unknown_in",
    "unconfirmed_in", "origin", "counted_as",
)  # fmt: skip
LINE_COLUMNS = ("section", "optional", "line", "grams", "counted", "counted_as")


def csv_text(publication: Publication) -> str:
    """One row a figure, per serving and per 100 g, plain and with everything (RFC 4180); unknown is empty.

    `known` is the sum of what is known; `unknown_in` are the numbers of the lines at fault, `unconfirmed_in` those of
    lines that count by a likely reading which nobody has confirmed; `counted_as` says how lines were counted that are
    not simply the whole of them as written.
    """
    return _written(CSV_COLUMNS, _figure_rows(publication))


def lines_csv_text(publication: Publication) -> str:
    """One row a line of the list with its grams (RFC 4180); unknown is empty."""
    rows = (
        [section.name, _yes(line.optional), line.text, line.grams, _yes(line.counted), "; ".join(line_marks(line))]
        for section in publication.sections
        for line in section.lines
    )
    return _written(LINE_COLUMNS, rows)


def _yes(said: bool) -> str:
    return "yes" if said else "no"


def _figure_rows(publication: Publication) -> Iterable[list[object]]:
    traced = traced_text(publication)
    for helping in publication.helpings:
        counted = " ".join(counted_texts(publication, helping))
        for share, found in (("serving", helping.per_serving), ("100 g", helping.per_100g)):
            if found is not None:
                start = [publication.title, publication.origin.revision, helping.name, share]
                end = [_numbers(helping.unconfirmed), traced, counted]
                yield from ([*start, *_total_cells(total), *end] for total in _totals(found))
                yield from ([*start, *row, *end] for row in _ratio_rows(found))


def _totals(found: Figures) -> tuple[Total, ...]:
    return (found.grams, *found.components, found.net_carbohydrate)


def _total_cells(total: Total) -> list[object]:
    lines = _numbers(total.unknown_in)
    return [total.tagname, total.unit, total.value, total.known, total.low, total.high, lines]


def _numbers(lines: Iterable[int]) -> str:
    return " ".join(str(line) for line in lines)


def _ratio_rows(found: Figures) -> Iterable[list[object]]:
    for name, ratio in (
        ("ketogenic_ratio_on_total", found.ratio_on_total),
        ("ketogenic_ratio_on_net", found.ratio_on_net),
    ):
        yield [name, "", ratio.value, None, ratio.low, ratio.high, ""]


def _written(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(head)
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return text.getvalue()


def _cell(cell: object) -> object:
    if isinstance(cell, float):
        return f"{cell:.6g}"
    # A lone surrogate cannot be written in UTF-8.
    return safe_cell(cell.encode(errors="replace").decode()) if isinstance(cell, str) else cell
