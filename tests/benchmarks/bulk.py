"""How much faster `gramwright bulk` is with two processes than with one, on lines that are all different.

    python -m tests.benchmarks.bulk [--lines 150000] [--processes 1 2] [--seed 7] [--json]

The lines are those of `lines/public_domain_recipes.jsonl` in GRAMWRIGHT_SAMPLE_DATA with other amounts before them.
Prints seconds and lines a second of each run, their ratio, and whether the outputs are equal. Seconds are those of the
work; start and end, which do not grow with the input, are counted in `whole`.
"""

from __future__ import annotations

import argparse
import filecmp
import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

SAMPLES = Path(os.environ.get("GRAMWRIGHT_SAMPLE_DATA", "../shared/data"))
_FIGURES = "0123456789/.,-~½¼¾⅓⅔ "


def distinct_lines(count: int, seed: int, written: list[str]) -> Iterator[str]:
    """So many different lines: what follows the amount of a written line, after an amount of its own."""
    chance = random.Random(seed)
    rests = sorted({rest for line in written if (rest := line.lstrip(_FIGURES))})
    seen: set[str] = set()
    while len(seen) < count:
        amount = chance.choice((f"{chance.randint(1, 999)}", f"{chance.randint(1, 99)}.{chance.randint(1, 99)}"))
        line = f"{amount} {chance.choice(rests)}"
        if line not in seen:
            seen.add(line)
            yield line


def written_lines() -> list[str]:
    """The lines of the public-domain recipes."""
    text = (SAMPLES / "lines" / "public_domain_recipes.jsonl").read_text(encoding="utf-8")
    return [line for recipe in text.splitlines() for line in json.loads(recipe)["ingredients"]]


def run(source: Path, out: Path, processes: int) -> dict[str, float]:
    """One run of the command as a user starts it."""
    command = [sys.executable, "-m", "service", "bulk", str(source), str(out), "--json", "--processes", str(processes)]
    began = time.perf_counter()
    ran = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, check=True)
    whole = time.perf_counter() - began
    report = json.loads(ran.stdout)
    return {
        "processes": processes, "records": report["records"], "seconds": report["seconds"],
        "lines_per_second": report["records_per_second"], "whole": round(whole, 1),
    }  # fmt: skip


def compare(count: int, seed: int, processes: list[int]) -> dict[str, object]:
    """A run for each number of processes on the same lines; the ratio is that of the last to the first."""
    with TemporaryDirectory() as folder:
        source = Path(folder) / "lines.jsonl"
        with source.open("w", encoding="utf-8") as file:
            file.writelines(
                json.dumps({"line": line}) + "\n" for line in distinct_lines(count, seed, written_lines())
            )
        outs = [Path(folder) / f"out{number}.jsonl" for number in processes]
        runs = [run(source, out, number) for out, number in zip(outs, processes, strict=True)]
        equal = all(filecmp.cmp(outs[0], out, shallow=False) for out in outs)
    return {
        "lines": count, "seed": seed, "runs": runs, "equal": equal,
        "ratio": round(runs[0]["seconds"] / runs[-1]["seconds"], 3),
        "whole_ratio": round(runs[0]["whole"] / runs[-1]["whole"], 3),
    }  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--lines", type=int, default=150_000)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--processes", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    report = compare(options.lines, options.seed, options.processes)
    if options.json:
        print(json.dumps(report))
        return
    print(f"{options.lines:,} different lines, seed {options.seed}")
    print(f"{'processes':>9} {'seconds':>9} {'lines/s':>9} {'whole':>9}")
    for one in report["runs"]:
        print(f"{one['processes']:>9} {one['seconds']:>9} {one['lines_per_second']:>9} {one['whole']:>9}")
    print(f"ratio {report['ratio']} (whole run {report['whole_ratio']}); outputs equal: {report['equal']}")


if __name__ == "__main__":
    main()
