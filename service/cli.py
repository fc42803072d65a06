"""The command `gramwright`. Exit codes: 0 done, 2 wrong use or bad input, 1 a failure; each with one sentence.

What only one command needs (the server, table drawing) is imported where it is used: start-up is counted.
"""

from __future__ import annotations

import argparse
import csv
import io
import math
import os
import socket
import sys
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, BinaryIO

from service.api.payloads import coverage_notes, encode, line_payload, shown, shown_ounces
from service.bulk import analyse_lines
from service.core.analyse import LineResult, PartResult, Resolver
from service.core.errors import GramwrightError, InputError
from service.core.food import FoodDetails
from service.core.nutrients import (
    DEFAULT_COMPONENTS,
    Analysis,
    Coverage,
    Total,
    Totals,
    chosen_components,
    net_carbohydrate,
)
from service.datasets import terminal_progress
from service.settings import Settings
from service.wiring import Catalogue, open_catalogue

if TYPE_CHECKING:
    from rich.table import Table

STDIN = "-"
# Columns of the table beside the line and its food: tagname, heading, decimals.
COLUMNS = (("ENERC_KCAL", "kcal", 0), ("CHOCDF", "carbohydrate\ng", 1), ("FIBTG", "fibre\ng", 1))
NET = ("CHOCDF", "FIBTG")
# A pipe has no width, and a terminal so narrow that figures would be cut wraps the lines of the table instead.
PIPE_WIDTH = 150
LEAST_WIDTH = 112
MOST_SHOWN = 160


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command and give its exit code."""
    asked = make_parser().parse_args(argv)
    try:
        asked.run(asked)
        sys.stdout.flush()
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # the reader wants no more, as in "... | head"
        _drop_output()
    except InputError as error:
        return _complain(error, 2)
    except (GramwrightError, OSError) as error:
        return _complain(error, 1)
    except Exception as error:  # a defect: said as such, in one sentence
        return _complain(f"unexpected {type(error).__name__}: {error}", 1)
    return 0


def _complain(error: object, code: int) -> int:
    said = "\n".join(plain(line) for line in str(error).splitlines())
    print(f"gramwright: {said}", file=sys.stderr)
    return code


def _drop_output() -> None:
    """Let the interpreter flush what is left to nowhere."""
    with open(os.devnull, "wb") as nowhere, _quiet():
        os.dup2(nowhere.fileno(), sys.stdout.fileno())


@contextmanager
def _quiet() -> Iterator[None]:
    try:
        yield
    except (OSError, ValueError):  # standard output is no file of the system
        return


# ---- what can be asked -----------------------------------------------------------------------------------------


def make_parser() -> argparse.ArgumentParser:
    """The arguments of every command."""
    parser = argparse.ArgumentParser(
        prog="gramwright", description="Ingredient lines into food entries, gram weights and nutrient totals."
    )
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_resolve(commands.add_parser("resolve", help="resolve ingredient lines", description=_RESOLVE))
    food = _group(commands.add_parser("food", help="search and show food entries"))
    _add_search(food.add_parser("search", help="food entries for words, the likeliest first"))
    _add_show(food.add_parser("show", help="composition with its origin, and household measures"))
    dataset = _group(commands.add_parser("dataset", help="datasets in the store"))
    dataset.add_parser("list", help="datasets with their releases").set_defaults(run=list_datasets)
    _add_serve(commands.add_parser("serve", help="serve the REST API"))
    return parser


Commands = argparse._SubParsersAction


def _group(parser: argparse.ArgumentParser) -> Commands[argparse.ArgumentParser]:
    return parser.add_subparsers(title="commands", required=True, metavar="COMMAND")


_RESOLVE = "Resolve ingredient lines: arguments, a file, or - for standard input (UTF-8, lines end at LF)."


def _add_resolve(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("lines", nargs="*", metavar="LINE", help="an ingredient line, or - for standard input")
    add("--file", metavar="FILE", help="read the lines from a file")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--jsonl", nargs="?", const="", metavar="FILE|-", help="one JSON object a line")
    form.add_argument("--csv", action="store_true", help="one row a food, as CSV")
    add("--components", type=_names, metavar="all|LIST", help="tagnames separated by commas, or all")
    add("--datasets", type=_names, metavar="LIST", help="datasets separated by commas, the preferred one first")
    add("--servings", type=_servings, metavar="N", help="divides the totals; above 0")
    parser.set_defaults(run=resolve)


def _add_search(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="+", metavar="WORD")
    parser.add_argument("--limit", type=_count, default=20, metavar="N", help="entries to show (default 20)")
    parser.set_defaults(run=search_foods)


def _add_show(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("id", metavar="ID", help="such as sr28:09038")
    parser.set_defaults(run=show_food)


def _add_serve(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", help="address to listen on (default: GRAMWRIGHT_HOST)")
    parser.add_argument("--port", type=_port, help="port to listen on (default: GRAMWRIGHT_PORT)")
    parser.set_defaults(run=serve)


def _names(text: str) -> tuple[str, ...]:
    names = tuple(name.strip() for name in text.split(",") if name.strip())
    if not names:
        raise argparse.ArgumentTypeError("names none")
    return names


def _servings(text: str) -> float:
    number = _number(text)
    if not (math.isfinite(number) and number > 0):
        raise argparse.ArgumentTypeError(f"must be a finite number above 0, not {plain(text)}")
    return number


def _count(text: str) -> int:
    number = _number(text)
    if not (number.is_integer() and 1 <= number <= 1000):
        raise argparse.ArgumentTypeError(f"must be a whole number from 1 to 1000, not {plain(text)}")
    return int(number)


def _port(text: str) -> int:
    number = _number(text)
    if not (number.is_integer() and 0 <= number <= 65535):
        raise argparse.ArgumentTypeError(f"must be a whole number from 0 to 65535, not {plain(text)}")
    return int(number)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def _open(settings: Settings) -> Catalogue:
    with terminal_progress() as progress:
        return open_catalogue(settings, progress=progress)


# ---- resolve ---------------------------------------------------------------------------------------------------


def resolve(asked: argparse.Namespace) -> None:
    """gramwright resolve"""
    settings = Settings.from_environment()
    if asked.datasets:
        settings = replace(settings, datasets=asked.datasets)
    with _source(asked) as lines:
        resolver = _open(settings).resolver()
        if asked.components:
            chosen_components(resolver.table, asked.components)
        if asked.jsonl is not None:
            write_jsonl(resolver, lines, asked.components or ())
        elif asked.csv:
            write_csv(resolver, lines, asked.components or DEFAULT_COMPONENTS)
        else:
            print_table(resolver, list(lines), asked.components, asked.servings)


@contextmanager
def _source(asked: argparse.Namespace) -> Iterator[Iterable[str]]:
    """The lines, from the one place that is named; a file stays open as long as they are read."""
    named = [name for name in (asked.file, asked.jsonl) if name]
    if bool(asked.lines) + len(named) > 1:
        raise InputError("give lines as arguments, or one file, or - for standard input")
    if not named and not asked.lines and asked.jsonl is None:
        raise InputError("give lines as arguments, or --file FILE, or - for standard input")
    if asked.lines and asked.lines != [STDIN]:
        yield [_argument(number, line) for number, line in enumerate(asked.lines, 1)]
    elif not named or named == [STDIN]:
        yield read_lines(sys.stdin.buffer, "standard input")
    else:
        try:
            file = open(named[0], "rb")  # noqa: SIM115 - closed below, while errors of reading are others
        except OSError as error:
            hint = "; lines given as arguments go before --jsonl" if asked.jsonl else ""
            raise InputError(f"cannot read {named[0]}: {error.strerror}{hint}") from error
        with file:
            yield read_lines(file, named[0])


def _argument(number: int, line: str) -> str:
    try:
        line.encode("utf-8")
    except UnicodeEncodeError:
        raise InputError(f"argument {number} is not UTF-8", line=number) from None
    return line


def read_lines(stream: BinaryIO, name: str) -> Iterator[str]:
    """Lines in UTF-8 that end at LF only, so every other mark stays in its line; the last one needs no end."""
    for number, raw in enumerate(stream, 1):
        try:
            yield raw.removesuffix(b"\n").decode("utf-8")
        except UnicodeDecodeError as error:
            raise InputError(f"{name}, line {number}: not UTF-8 at byte {error.start + 1}", line=number) from None


def write_jsonl(resolver: Resolver, lines: Iterable[str], components: Sequence[str]) -> None:
    """One JSON object a line, in order, one for every input line."""
    out = sys.stdout.buffer
    for line in lines:
        out.write(encode(line_payload(resolver.resolve(line, components=components))) + b"\n")
    out.flush()


CSV_COLUMNS = (
    "number", "line", "part", "outcome", "confidence", "food_id", "food",
    "grams", "grams_low", "grams_high", "rule", "basis",
)  # fmt: skip


def write_csv(resolver: Resolver, lines: Iterable[str], components: Sequence[str]) -> None:
    """One row a food of a line, unknown left empty; a line without a food has one row too (RFC 4180)."""
    tagnames = [component.tagname for component in chosen_components(resolver.table, components)]
    asked = tuple(dict.fromkeys((*tagnames, *NET)))
    _write_row([*CSV_COLUMNS, *tagnames, "net_carbohydrate", "reasons"])
    for number, line in enumerate(lines, 1):
        for row in _csv_rows(resolver.resolve(line, components=asked), tagnames):
            _write_row([number, *(safe_cell(cell) for cell in row)])
    sys.stdout.buffer.flush()


def _write_row(cells: Sequence[object]) -> None:
    text = io.StringIO(newline="")
    csv.writer(text).writerow(cells)
    sys.stdout.buffer.write(text.getvalue().encode())


def _csv_rows(result: LineResult, tagnames: Sequence[str]) -> Iterator[list[object]]:
    if not result.parts:
        blank = [None] * (len(CSV_COLUMNS) - 4 + len(tagnames) + 1)
        yield [result.line, None, result.outcome, *blank, "; ".join(result.reasons)]
    for part in result.parts:
        food = (part.food.id, part.food.description) if part.food else (None, None)
        weight = part.grams
        grams = (weight.value, weight.low, weight.high, weight.rule, weight.basis) if weight else (None,) * 5
        amounts = [*(part.components.get(tagname) for tagname in tagnames), _net(part)]
        yield [
            result.line, part.text, part.outcome, part.confidence, *food, *grams, *amounts, "; ".join(part.reasons)
        ]  # fmt: skip


FORMULA_MARKS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def safe_cell(cell: object) -> object:
    """A cell that no spreadsheet takes for a formula; numbers as they are sent elsewhere, unknown empty."""
    if isinstance(cell, float):
        return shown(cell)
    if not isinstance(cell, str):
        return cell
    risky = cell.lstrip().startswith(FORMULA_MARKS) or cell.startswith(("\t", "\r", "\n"))
    return f"'{cell}" if risky else cell


def _net(part: PartResult) -> float | None:
    net = net_carbohydrate(*(part.components.get(tagname) for tagname in NET)).value
    return None if net is None else float(net)


# ---- tables for people -----------------------------------------------------------------------------------------


def plain(text: str) -> str:
    """Text with control and direction marks written out, so that it can do nothing to a terminal."""
    return "".join(
        char.encode("unicode_escape").decode() if unicodedata.category(char) in ("Cc", "Cf", "Cs", "Zl", "Zp") else char
        for char in text
    )


def _short(text: str) -> str:
    text = plain(text.strip())
    return text if len(text) <= MOST_SHOWN else f"{text[:MOST_SHOWN]}…"


def figure(amount: float | None, decimals: int) -> str:
    """An amount as a table shows it; a trace is no zero, and unknown is said."""
    if amount is None:
        return "unknown"
    least: float = 10.0**-decimals
    return f"<{least:g}" if 0 < amount < least / 2 else f"{amount:.{decimals}f}"


def total_figure(total: Total, decimals: int) -> str:
    """A total as a table shows it: what is known, and that there is more."""
    return f"{figure(total.known, decimals)}{'' if total.value is not None else ' + ?'}"


def _table(*columns: str, title: str | None = None, right: Sequence[int] = (), wide: Sequence[int] = ()) -> Table:
    from rich import box
    from rich.table import Table

    table = Table(title=title, title_justify="left", box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0))
    for place, name in enumerate(columns):
        ratio = {"overflow": "fold"} if place in wide else {"no_wrap": True}
        table.add_column(name, justify="right" if place in right else "left", **ratio)
    return table


def _add_row(table: Table, *cells: str, bold: bool = False) -> None:
    from rich.text import Text

    table.add_row(*(Text(cell) for cell in cells), style="bold" if bold else None)


def _print(*things: object) -> None:
    from rich.console import Console

    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    console = Console(markup=False, highlight=False, emoji=False)
    console.width = max(console.width, LEAST_WIDTH) if console.is_terminal else PIPE_WIDTH
    for thing in things:
        console.print(thing, soft_wrap=isinstance(thing, str))


def print_table(
    resolver: Resolver, lines: Sequence[str], components: Sequence[str] | None, servings: float | None
) -> None:
    """The lines with their foods, weights and figures, the totals, and what they count."""
    if not lines:
        raise InputError("there is no line in the input")
    wanted = DEFAULT_COMPONENTS if components is None else (*DEFAULT_COMPONENTS, *components)
    chosen = ("all",) if components == ("all",) else tuple(dict.fromkeys(wanted))
    analysis = analyse_lines(resolver, lines, components=chosen, servings=servings)
    table = _table(
        "#", "line", "food entry", "grams", *(heading for _, heading, _ in COLUMNS), "net\ncarbohydrate g",
        "confidence", "outcome", right=(0, 3, 4, 5, 6, 7, 8), wide=(1, 2),
    )  # fmt: skip
    for number, result in enumerate(analysis.lines, 1):
        for row in _line_rows(number, result):
            _add_row(table, *row)
    for name, totals in _named_totals(analysis):
        _add_row(table, "", name, "", "", *_total_cells(totals), "", "", bold=True)
    _print(table, *([_all_totals(analysis)] if components else []), "\n".join(_footer(analysis)))


def _line_rows(number: int, result: LineResult) -> Iterator[tuple[str, ...]]:
    nothing = ("",) * (len(COLUMNS) + 3)
    if not result.parts:
        yield str(number), _short(result.line), _short("; ".join(result.reasons)), *nothing, result.outcome
    for place, part in enumerate(result.parts):
        line = _short(result.line) if place == 0 else f"  {_short(part.text)}"
        if part.food is None:
            why = "; ".join(part.reasons)
            yield str(number), line, _short(f"no fair entry: {why}" if why else "no fair entry"), *nothing, part.outcome
            continue
        figures = [figure(part.components.get(tagname), decimals) for tagname, _, decimals in COLUMNS]
        yield (
            str(number), line, f"{_short(part.food.description)}\n[{part.food.id}]", _grams(part), *figures,
            figure(_net(part), 1), f"{part.confidence:.2f}", part.outcome,
        )  # fmt: skip


def _grams(part: PartResult) -> str:
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
    table = _table("component", "unit", *heads, "low", "high", title="Totals", right=range(2, 4 + len(heads)))
    served = analysis.per_serving.components if analysis.per_serving else (None,) * len(analysis.whole.components)
    for total, serving in zip(analysis.whole.components, served, strict=True):
        figures = [total_figure(one, 2) for one in (total, serving) if one]
        high = "open" if total.high is None else figure(total.high, 2)
        _add_row(table, total.tagname, total.unit, *figures, figure(total.low, 2), high)
    return table


def _footer(analysis: Analysis[LineResult]) -> Iterator[str]:
    yield _bounds(analysis.whole)
    yield _coverage(analysis.coverage)
    yield from coverage_notes(analysis.coverage, analysis.whole)
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


def _coverage(coverage: Coverage) -> str:
    share = "" if coverage.lines_share is None else f" ({coverage.lines_share:.0%})"
    lines = f"The totals count {coverage.lines_counted} of {coverage.food_lines} lines that name food{share}"
    if coverage.grams_stated is None:
        return f"{lines}, {coverage.grams_counted:.0f} g of a weight that is not known in full."
    return f"{lines}, {coverage.grams_counted:.0f} of {coverage.grams_stated:.0f} g."


# ---- foods, datasets, server -----------------------------------------------------------------------------------


def search_foods(asked: argparse.Namespace) -> None:
    """gramwright food search"""
    words = " ".join(asked.words)
    found = _open(Settings.from_environment()).resolver().search(words, limit=asked.limit)
    if not found:
        raise GramwrightError(f"no food entry was found for {words!r}")
    table = _table("id", "food entry", "group", wide=(1,))
    for candidate in found:
        _add_row(table, candidate.food.id, plain(candidate.food.description), plain(candidate.food.group_name))
    _print(table)


def show_food(asked: argparse.Namespace) -> None:
    """gramwright food show"""
    catalogue = _open(Settings.from_environment())
    details = catalogue.details(asked.id)
    table = catalogue.resolver().table
    units = {component.tagname: (component.name, component.unit) for component in table.components}
    names = [f"{release.name}, release {release.release}" for release in catalogue.releases()
             if release.dataset == details.food.dataset]  # fmt: skip
    _print(*_food_head(details, names), _measures(details), _composition(details, units))


def _food_head(details: FoodDetails, releases: Sequence[str]) -> Iterator[str]:
    food = details.food
    yield f"{food.id}  {plain(food.description)}"
    yield f"{plain(food.group_name)}. {'; '.join(releases)}."
    said = (("Common name", food.common_name), ("Scientific name", food.scientific_name), ("Refuse", food.refuse_text))
    for name, text in said:
        if text:
            refuse = f" ({food.refuse_percent:g} % of the as-purchased weight)" if name == "Refuse" else ""
            yield f"{name}: {plain(text)}{refuse}"
    yield from (f"Note: {plain(note)}" for note in details.footnotes)
    amounts = {value.tagname: value.amount for value in details.values}
    net = net_carbohydrate(*(amounts.get(tagname) for tagname in NET))
    value = figure(None if net.value is None else float(net.value), 2)
    unit, flag = "" if net.value is None else " g", f" ({net.flag})" if net.flag else ""
    yield f"Net carbohydrate: {value}{unit} per 100 g{flag}"


def _measures(details: FoodDetails) -> Table:
    columns = ("amount", "household measure", "grams", "ounces")
    table = _table(*columns, title="Household measures, edible portion", right=(0, 2, 3))
    for measure in details.food.measures:
        ounces = shown_ounces(measure.grams)
        _add_row(table, f"{measure.amount:g}", plain(measure.text), f"{measure.grams:g}", ounces)
    return table


def _composition(details: FoodDetails, units: dict[str, tuple[str, str]]) -> Table:
    table = _table(
        "component", "name", "per 100 g", "unit", "samples", "standard error", "source", "derivation",
        title="Composition of 100 g of edible portion; samples 0: calculated or imputed",
        right=(2, 4, 5), wide=(1, 6, 7),
    )  # fmt: skip
    for value in details.values:
        name, unit = units.get(value.tagname, ("", ""))
        error = "" if value.standard_error is None else f"{value.standard_error:g}"
        _add_row(
            table, value.tagname, plain(name), f"{value.amount:g}", unit, str(value.samples), error,
            plain(value.source_text or value.source), plain(value.derivation_text or value.derivation),
        )  # fmt: skip
    return table


def list_datasets(_asked: argparse.Namespace) -> None:
    """gramwright dataset list"""
    table = _table(
        "dataset", "name", "release", "foods", "components", "values", "measures", "licence", "loaded",
        right=(3, 4, 5, 6), wide=(1, 7),
    )  # fmt: skip
    for release in _open(Settings.from_environment()).releases():
        counts = (release.foods, release.components, release.values, release.measures)
        _add_row(
            table, release.dataset, plain(release.name), plain(release.release), *(f"{count:,}" for count in counts),
            plain(release.licence), release.loaded,
        )  # fmt: skip
    _print(table)


def serve(asked: argparse.Namespace) -> None:
    """gramwright serve"""
    import uvicorn

    from service.api.app import create_app

    settings = Settings.from_environment()
    with _listener(asked.host or settings.host, settings.port if asked.port is None else asked.port) as listener:
        app = create_app(_open(settings))
        host, port = listener.getsockname()[:2]
        name = f"[{host}]" if ":" in host else host
        print(f"Gramwright listens on http://{name}:{port}; its documentation is at /docs", file=sys.stderr, flush=True)
        uvicorn.Server(uvicorn.Config(app, log_level="warning")).run(sockets=[listener])


def _listener(host: str, port: int) -> socket.socket:
    """A listening socket. The protocol has to be named: asyncio sends small answers at once (TCP_NODELAY) only on
    sockets that say they are TCP, and an answer takes 40 ms more without."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, proto=socket.IPPROTO_TCP
        )[0]
        listener = socket.socket(family, kind, protocol)
        if os.name == "posix":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(1024)
    except OSError as error:
        raise GramwrightError(f"cannot listen on {host} port {port}: {error.strerror}") from error
    return listener


if __name__ == "__main__":
    sys.exit(main())
