"""Answers, one JSON object a line, into the output: as they are, or as rows with the JSON kept in a column."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from typing import IO, Any

import orjson

from service.bulk.records import Format, parquet
from service.core.text import safe_cell

_TEXTS = ("kind", "line", "outcome", "food_id", "food")
_NUMBERS = ("grams", "grams_low", "grams_high", "confidence")
COLUMNS = ("number", *_TEXTS, "foods", *_NUMBERS, "answer")
Row = tuple[Any, ...]


def write_output(file: IO[bytes], format: Format, answers: Iterable[bytes]) -> None:
    """Write the answers of all chunks, which are in order."""
    {"jsonl": _write_json, "csv": _write_csv, "parquet": _write_parquet}[format](file, answers)


def _write_json(file: IO[bytes], answers: Iterable[bytes]) -> None:
    for piece in answers:
        file.write(piece)


def _write_csv(file: IO[bytes], answers: Iterable[bytes]) -> None:
    text = io.TextIOWrapper(file, "utf-8", newline="", write_through=True)
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for rows in _rows(answers):
        writer.writerows([safe_cell(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    text.detach()


def _write_parquet(file: IO[bytes], answers: Iterable[bytes]) -> None:
    library = parquet()
    import pyarrow as arrow

    kinds = [arrow.int64(), *(arrow.string() for _ in _TEXTS), arrow.int64()]
    kinds += [*(arrow.float64() for _ in _NUMBERS), arrow.string()]
    schema = arrow.schema(list(zip(COLUMNS, kinds, strict=True)))
    with library.ParquetWriter(file, schema, compression="zstd") as writer:
        for rows in _rows(answers):
            columns = [list(column) for column in zip(*rows, strict=True)]
            writer.write_table(arrow.table(columns, schema=schema))


def _rows(answers: Iterable[bytes]) -> Iterator[list[Row]]:
    """The rows of each chunk."""
    number = 0
    for piece in answers:
        lines = piece.split(b"\n")[:-1]
        yield [row_of(place, line) for place, line in enumerate(lines, number + 1)]
        number += len(lines)


def row_of(number: int, answer: bytes) -> Row:
    """One answer as cells in the order of COLUMNS; food and grams only where the line has one food."""
    found = orjson.loads(answer)
    text = answer.decode()
    if "outcome" not in found:  # what a recipe comes to
        return (number, "recipe", found.get("title"), *(None,) * 3, None, *(None,) * 4, text)
    kind = "error" if found["outcome"] == "error" else "line"
    part = found["parts"][0] if len(found["parts"]) == 1 else {}
    food, grams = part.get("food") or {}, part.get("grams") or {}
    return (
        number, kind, found["line"], found["outcome"], food.get("id"), food.get("description"), len(found["parts"]),
        grams.get("value"), grams.get("low"), grams.get("high"), part.get("confidence"), text,
    )  # fmt: skip
