"""Standing choices as CSV (RFC 4180): phrase, food, size, grams; one of the last three in each row."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from pydantic import ValidationError

from service.core.errors import InputError
from service.core.kitchen import words_of
from service.core.text import safe_cell, text_of_cell
from service.kitchens.forms import ChoiceForm, fault_text

CSV = "text/csv"
COLUMNS = ("phrase", "food", "size", "grams")
MOST_CHOICES = 10_000
# Lines at fault that are named beside the first.
MOST_NAMED = 10


def choices_csv(choices: Iterable[ChoiceForm]) -> str:
    """The choices as CSV; reading it gives the same choices."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for one in choices:
        grams = "" if one.grams is None else repr(one.grams)
        writer.writerow([safe_cell(one.phrase), one.food or "", one.size or "", grams])
    return text.getvalue()


def read_choices_csv(text: str) -> list[ChoiceForm]:
    """The choices of a CSV text; InputError with the line of the first fault and those of others: none is read then."""
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    found, faults, ruled = list[ChoiceForm](), list[InputError](), dict[tuple[str, ...], int]()
    _check_header(reader)
    try:
        for row in reader:
            given: dict[str | None, object] = {name: value for name, value in row.items() if value}
            given |= {"phrase": text_of_cell(str(row["phrase"]))} if row["phrase"] else {}
            try:
                found.append(_choice(given, reader.line_num))
                _check_once(found[-1].phrase, reader.line_num, ruled)
            except InputError as fault:
                faults.append(fault)
            if len(found) + len(faults) > MOST_CHOICES:
                raise InputError(f"at most {MOST_CHOICES:,} choices are read", line=reader.line_num)
    except csv.Error as error:
        line = reader.reader.line_num  # the reader of rows with names counts only those that it could read
        raise InputError(f"line {line} is no CSV: {error}", line=line) from None
    if faults:
        raise _gathered(faults)
    return found


def _check_header(reader: csv.DictReader[str]) -> None:
    """InputError where the text is another than is written here, JSON for one."""
    try:
        columns = tuple(reader.fieldnames or ())
    except csv.Error:
        columns = ()
    if columns != COLUMNS:
        told = "choices are read as CSV, as they are exported: the first line must be"
        raise InputError(f"{told} {','.join(COLUMNS)}", line=1)


def _check_once(phrase: str, line: int, ruled: dict[tuple[str, ...], int]) -> None:
    """InputError where an earlier line rules the phrase: one of the two would be lost."""
    if (first := ruled.setdefault(words_of(phrase), line)) != line:
        why = f"{phrase!r} stands in line {first} already"
        raise InputError(f"line {line}, phrase: {why}", pointer="/phrase", line=line)


def _gathered(faults: Sequence[InputError]) -> InputError:
    """The first fault, with the lines of the others."""
    first, *others = faults
    lines = ", ".join(str(one.line) for one in others[:MOST_NAMED])
    more = f"; at fault too: line{'s' if len(others) > 1 else ''} {lines}" if others else ""
    rest = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
    return InputError(f"{first}{more}{rest}", pointer=first.pointer, line=first.line)


def _choice(row: dict[str | None, object], line: int) -> ChoiceForm:
    if None in row:
        why = "it has more cells than the first line: a phrase with a comma needs quotation marks"
        raise InputError(f"line {line}: {why}", pointer="", line=line)
    try:
        return ChoiceForm.model_validate(row, strict=False)
    except ValidationError as error:
        fault = error.errors(include_url=False, include_context=False)[0]
        place = "/".join(str(key) for key in fault["loc"]) or "the row"
        raise InputError(f"line {line}, {place}: {fault_text(fault)}", pointer=f"/{place}", line=line) from None
