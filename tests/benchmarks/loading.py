"""How long the text files of SR28 take to become a store, beside the sqlite3 shell's `.import` of them in one run.

    python -m tests.benchmarks.loading [--times 3] [--foundation ZIP] [--json]

By turns, each in a process of its own: SR28 read, checked and stored as on first use, and the same files put by the
shell into plain tables of text without a key. What to look at: `ratio` (of the best times) is to stay below 4,
`seconds` below 12 and `peak_mb` below 400; with the published file of Foundation Foods, its seconds below 6. Where
there is no `sqlite3`, Python's csv and sqlite3 take its place, and `by` says so.
"""

from __future__ import annotations

import argparse
import csv
import json
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from importers import sr28
from service import datasets
from service.settings import Settings
from tests.store.build_process import peak_megabytes


def load_once(folder: Path, foundation: Path | None) -> dict[str, float]:
    """Seconds to build a store of SR28 in a folder, then to load Foundation Foods; this process's peak of memory."""
    settings = Settings.from_environment({"GRAMWRIGHT_DATA_DIR": str(folder)})
    start = time.perf_counter()
    engine = datasets.ensure_ready(settings)
    found = {"seconds": time.perf_counter() - start, "peak_mb": peak_megabytes()}
    if foundation is not None:
        start = time.perf_counter()
        datasets.load(engine, "fdc-foundation", foundation)
        found["foundation_seconds"] = time.perf_counter() - start
    engine.dispose()
    return found


def import_plainly(folder: Path) -> float:
    """Seconds of the shell for the same files."""
    files = sorted(path for path in sr28.locate().iterdir() if path.suffix.lower() == ".txt")
    store = folder / "plain.sqlite3"
    start = time.perf_counter()
    if shell := shutil.which("sqlite3"):
        commands = "".join(f'.import "{path}" {path.stem.lower()}\n' for path in files)
        subprocess.run([shell, str(store)], input=f".mode csv\n.separator ^\n{commands}", text=True, check=True,
                       capture_output=True)  # fmt: skip
    else:
        _import_by_python(store, files)
    return time.perf_counter() - start


def _import_by_python(store: Path, files: list[Path]) -> None:
    with sqlite3.connect(store) as plain:
        for path in files:
            with path.open(encoding="latin-1", newline="") as stream:
                rows = list(csv.reader(stream, delimiter="^", quotechar="~"))
            columns = ", ".join(f"c{place}" for place in range(len(rows[0])))
            plain.execute(f"CREATE TABLE {path.stem.lower()} ({columns})")
            marks = ", ".join("?" * len(rows[0]))
            plain.executemany(f"INSERT INTO {path.stem.lower()} VALUES ({marks})", rows)


def measured(times: int, foundation: Path | None) -> dict[str, Any]:
    """The best of so many runs of each, by turns."""
    ours, plain = [], []
    for _ in range(times):
        with tempfile.TemporaryDirectory() as folder:
            command = [sys.executable, "-m", "tests.benchmarks.loading", "--load", folder]
            command += ["--foundation", str(foundation)] if foundation else []
            done = subprocess.run(command, check=True, capture_output=True, text=True)
            ours.append(json.loads(done.stdout))
        with tempfile.TemporaryDirectory() as folder:
            plain.append(import_plainly(Path(folder)))
    best = {name: round(min(one[name] for one in ours), 2) for name in ours[0]}
    best["peak_mb"] = round(max(one["peak_mb"] for one in ours), 1)
    by = "sqlite3 .import" if shutil.which("sqlite3") else "Python's csv and sqlite3"
    return {**best, "by": by, "plain_seconds": round(min(plain), 2), "ratio": round(best["seconds"] / min(plain), 2)}


def main(arguments: list[str] | None = None) -> None:
    """Measure and print, see the module's text."""
    parser = argparse.ArgumentParser(description="Time of loading SR28 beside the sqlite3 shell.")
    parser.add_argument("--times", type=int, default=3)
    parser.add_argument("--foundation", type=Path, help="the published zip of Foundation Foods")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--load", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args(arguments)
    if options.load:
        print(json.dumps(load_once(options.load, options.foundation)))
        return
    found = measured(options.times, options.foundation)
    print(json.dumps(found) if options.json else "  ".join(f"{name} {value}" for name, value in found.items()))


if __name__ == "__main__":
    main()
