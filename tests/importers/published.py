"""What the tests of several publishers share: the real files where they are at hand, invented ones written to disk."""

from __future__ import annotations

import csv
import os
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import importers
from importers.release import QUALIFIERS, ReleaseData, ReleaseFood
from service.core.errors import DataError

SAMPLES = Path(os.environ.get("GRAMWRIGHT_SAMPLE_DATA", "../shared/data"))

Read = Callable[..., ReleaseData]


@cache
def published(read: Read, place: str) -> ReleaseData:
    """The publisher's release out of the sample files; the test is skipped where they are not at hand."""
    path = SAMPLES / place
    if not path.exists():
        pytest.skip(f"no sample file {path}: GRAMWRIGHT_SAMPLE_DATA names their folder")
    return read(path)


def food(release: ReleaseData, code: str) -> ReleaseFood:
    """The food with the publisher's code."""
    return next(one for one in release.foods if one.entry.code == code)


def amounts(release: ReleaseData, code: str) -> dict[str, float]:
    """Plain amounts of a food by tagname; what is unknown, below a limit or a trace is not there."""
    row = release.matrix()[[one.entry.code for one in release.foods].index(code)]
    return {c.tagname: float(row[k]) for k, c in enumerate(release.components) if not np.isnan(row[k])}


def qualified(release: ReleaseData, code: str) -> dict[str, tuple[str, float]]:
    """Qualifier and amount of a food's values that are no plain figures, by tagname."""
    values = release.values
    assert values.qualifier is not None
    index = [one.entry.code for one in release.foods].index(code)
    chosen = np.flatnonzero((values.food == index) & (values.qualifier > 0))
    return {release.components[values.component[k]].tagname: (QUALIFIERS[values.qualifier[k]], float(values.amount[k]))
            for k in chosen}


def described(name: str) -> list[dict[str, str]]:
    """The rows of an importer's components.csv, the first of each component."""
    path = Path(importers.__file__).parent / name / "components.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        rows = {row["number"]: row for row in reversed(list(csv.DictReader(stream)))}
    return list(reversed(rows.values()))


def write(folder: Path, texts: Mapping[str, str], encoding: str) -> Path:
    """Files of these texts, with lines ended by CR LF as publishers do."""
    folder.mkdir(exist_ok=True)
    for name, text in texts.items():
        (folder / name).write_bytes(text.replace("\n", "\r\n").encode(encoding))
    return folder


def replaced(texts: Mapping[str, str], file: str, old: str, new: str) -> dict[str, str]:
    """The texts with `old`, which stands once in `file`, replaced."""
    assert texts[file].count(old) == 1, f"{old!r} must stand once in {file}"
    return {**texts, file: texts[file].replace(old, new)}


def faults(read: Read, path: Path) -> list[str]:
    """What is told of the faults of invented files."""
    with pytest.raises(DataError) as caught:
        read(path, verify=False)
    return [str(fault) for fault in caught.value.faults]
