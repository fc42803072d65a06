"""Runs a target under atheris, in a process of its own, and reports every different failure, not only the first.

    python -m tests.fuzz.lines [--seconds 600] [--corpus FOLDER] [--finds FOLDER]

`--corpus` keeps what the fuzzer learns for the next run; `--finds` is where inputs that fail are kept, each with its
traceback. The process ends with 1 if there are any.
"""

from __future__ import annotations

import argparse
import importlib
import importlib.util
import os
import re
import resource
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

SECONDS = 20
# Seconds that one input may take, and memory in MB, before the fuzzer gives it up as a find.
SLOWEST, LARGEST = 20, 3000
MOST_FINDS = 40
ROOT = Path(__file__).parents[2]
_COVERED = re.compile(r"cov: (\d+) ft: (\d+) corp: (\d+)")
_RUNS = re.compile(r"Done (\d+) runs? in (\d+) second")


@dataclass(frozen=True, slots=True)
class Report:
    """What came of a run: how many inputs were tried, branches covered, and what failed, by traceback."""

    runs: int
    branches: int
    kept: int
    finds: tuple[str, ...]
    log: str

    def __str__(self) -> str:
        told = f"{self.runs:,} inputs, {self.branches:,} branches, {self.kept:,} inputs worth keeping"
        return "\n\n".join([f"{told}, {len(self.finds)} different failures", *self.finds])


def installed() -> bool:
    """Whether atheris is at hand: it has wheels for Linux and for macOS only."""
    return importlib.util.find_spec("atheris") is not None


def seeds_of(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if path.is_file())


def fuzz(name: str, *, seconds: int, corpus: Path | None = None, finds: Path | None = None) -> Report:
    """Fuzz the target `name` ("lines") for so long; a run that ends before its time is a failure too."""
    with tempfile.TemporaryDirectory() as scratch:
        learnt, kept = corpus or Path(scratch) / "corpus", finds or Path(scratch) / "finds"
        for folder in (learnt, kept):
            folder.mkdir(parents=True, exist_ok=True)
        command = [sys.executable, "-m", "tests.fuzz.fuzzing", name, str(seconds), str(learnt), str(kept)]
        told = subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, errors="replace", check=False,
            env={**os.environ, "TMPDIR": scratch},  # the fuzzer ends without tidying up
        )  # fmt: skip
        return _report(told, kept)


def _report(told: subprocess.CompletedProcess[str], kept: Path) -> Report:
    covered, ran = _COVERED.findall(told.stderr), _RUNS.findall(told.stderr)
    failures = [path.read_text("utf-8") for path in sorted(kept.glob("*.txt"))]
    if told.returncode or not ran:
        failures.append(f"the run ended with {told.returncode}:\n{told.stderr[-3000:]}")
    branches, _, inputs = covered[-1] if covered else (0, 0, 0)
    return Report(int(ran[-1][0]) if ran else 0, int(branches), int(inputs), tuple(failures), told.stderr)


def main(name: str, argv: Sequence[str] | None = None) -> None:
    """The command of one target."""
    parser = argparse.ArgumentParser(prog=f"python -m tests.fuzz.{name}", description=f"Fuzz {name}.")
    parser.add_argument("--seconds", type=int, default=SECONDS)
    parser.add_argument("--corpus", type=Path, help="keep what the fuzzer learns here, and begin with it")
    parser.add_argument("--finds", type=Path, help="keep inputs that fail, and their tracebacks, here")
    asked = parser.parse_args(argv)
    if not installed():
        sys.exit("atheris is not installed: pip install '.[fuzz]'")
    report = fuzz(name, seconds=asked.seconds, corpus=asked.corpus, finds=asked.finds)
    print(f"{name}: {report}")
    sys.exit(1 if report.finds else 0)


# ---- in the process that fuzzes ------------------------------------------------------------------------------------


class Gatherer:
    """Calls a check and keeps each different failure once, by its kind and the place it came from."""

    def __init__(self, check: Callable[[bytes], None], folder: Path) -> None:
        self._check, self._folder = check, folder
        self._seen: set[str] = set()

    def __call__(self, data: bytes) -> None:
        try:
            self._check(data)
        except Exception as error:
            self._keep(data, error)

    def _keep(self, data: bytes, error: Exception) -> None:
        frames = traceback.extract_tb(error.__traceback__)
        kind = f"{type(error).__name__} {frames[-1].filename}:{frames[-1].lineno}"
        if kind in self._seen or len(self._seen) >= MOST_FINDS:
            return
        self._seen.add(kind)
        place = self._folder / f"{len(self._seen):02}"
        place.with_suffix(".input").write_bytes(data)
        text = "".join(traceback.format_exception(error)[-12:])
        place.with_suffix(".txt").write_text(f"{data[:400]!r}\n{text}", "utf-8", errors="replace")


def _target(name: str) -> ModuleType:
    """The target's module, whose packages are followed branch by branch."""
    import atheris

    packages: Iterable[str] = PACKAGES[name]
    with atheris.instrument_imports(include=list(packages)):
        return importlib.import_module(f"tests.fuzz.{name}")


# What a line goes through; the index of foods is built once, and slowly if it is followed.
_READING = """amount clause coordination edible_portion food_choice food_match gram_weight heading ingredient_line
    left_open line_doubts line_items line_text mass_weight measure noun_phrase package_weight part piece_size
    piece_weight said_twice text title vague_weight volume_weight weighed_line""".split()
_KITCHEN = "kitchen label recipe recipe_text".split()
PACKAGES = {
    "lines": tuple(f"service.core.{name}" for name in _READING),
    "importers": ("importers",),
    "inputs": (*(f"service.core.{name}" for name in _KITCHEN), "service.api", "service.kitchens"),
}


def _run(name: str, seconds: int, corpus: str, finds: str) -> None:
    import atheris

    module = _target(name)
    # The peak that the engine looks at holds what the program that started this one had before it: beyond that it is.
    largest = LARGEST + resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    words = Path(__file__).with_name(f"{name}.dict")
    arguments = [
        f"-max_total_time={seconds}", f"-timeout={SLOWEST}", f"-rss_limit_mb={largest}", f"-dict={words}",
        f"-artifact_prefix={finds}/", f"-max_len={module.LONGEST}", "-print_final_stats=1", "-reload=0",
        corpus, str(module.SEEDS),
    ]  # fmt: skip
    module.ready()
    atheris.Setup([sys.argv[0], *arguments], Gatherer(module.check, Path(finds)), enable_python_coverage=True)
    atheris.Fuzz()


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _run(sys.argv[1], int(sys.argv[2]), sys.argv[3], sys.argv[4])
