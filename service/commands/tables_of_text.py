"""Tables and sentences for people: what is printed on a terminal or into a pipe."""

from __future__ import annotations

import io
import sys
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING

from service.core.nutrients import Coverage, Total

if TYPE_CHECKING:
    from rich.table import Table

# A pipe has no width, and a terminal so narrow that figures would be cut wraps the lines of the table instead.
PIPE_WIDTH = 150
LEAST_WIDTH = 112
MOST_SHOWN = 160


def plain(text: str) -> str:
    """Text with control and direction marks written out, so that it can do nothing to a terminal."""
    return "".join(
        char.encode("unicode_escape").decode() if unicodedata.category(char) in ("Cc", "Cf", "Cs", "Zl", "Zp") else char
        for char in text
    )


def short(text: str) -> str:
    """Text for a cell: harmless, and of a length that leaves room for the others."""
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


def text_table(*columns: str, title: str | None = None, right: Sequence[int] = (), wide: Sequence[int] = ()) -> Table:
    """An empty table with these columns; numbers of columns at the right edge, and of those that fold long text."""
    from rich import box
    from rich.table import Table

    table = Table(title=title, title_justify="left", box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0))
    for place, name in enumerate(columns):
        ratio = {"overflow": "fold"} if place in wide else {"no_wrap": True}
        table.add_column(name, justify="right" if place in right else "left", **ratio)
    return table


def add_row(table: Table, *cells: str, bold: bool = False) -> None:
    """Add a row whose cells are text, no markup."""
    from rich.text import Text

    table.add_row(*(Text(cell) for cell in cells), style="bold" if bold else None)


def print_out(*things: object) -> None:
    """Print tables and sentences; what the terminal's encoding lacks is written out."""
    from rich.console import Console

    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    console = Console(markup=False, highlight=False, emoji=False)
    console.width = max(console.width, LEAST_WIDTH) if console.is_terminal else PIPE_WIDTH
    for thing in things:
        console.print(thing, soft_wrap=isinstance(thing, str))


def coverage_sentence(coverage: Coverage) -> str:
    """What totals count of the lines and grams."""
    share = "" if coverage.lines_share is None else f" ({coverage.lines_share:.0%})"
    lines = f"The totals count {coverage.lines_counted} of {coverage.food_lines} lines that name food{share}"
    if coverage.grams_stated is None:
        return f"{lines}, {coverage.grams_counted:.0f} g of a weight that is not known in full."
    return f"{lines}, {coverage.grams_counted:.0f} of {coverage.grams_stated:.0f} g."
