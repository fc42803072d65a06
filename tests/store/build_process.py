"""Run as a process of its own by test_build.py: make a store ready, dying or running into a limit on the way.

Arguments: data folder, folder of SR28-like files or "sr28" for the installed ones, then any of
`die-at=WHAT` (killed as by kill -9 when progress first names WHAT), `die-when=before-replace|after-replace`,
`slow=SECONDS` (rests once while reading), `max-file=BYTES`. Prints one JSON object.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import sys
import time
from pathlib import Path

from importers import sr28
from importers.release import Progress, ReleaseData
from service import datasets
from service.core.errors import GramwrightError
from service.settings import Settings
from service.store import build
from service.store.read import load_table


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def watch(options: dict[str, str]) -> Progress:
    def progress(done: int, total: int, what: str) -> None:
        if what == options.get("die-at") and (done or total == 0):
            die()

    return progress


def die_around_replace(when: str) -> None:
    settle = build._settle

    def settle_and_die(building: Path, path: Path) -> None:
        if when == "after-replace":
            settle(building, path)
        die()

    build._settle = settle_and_die


def main(data_dir: str, source: str, *arguments: str) -> dict[str, object]:
    options = dict(argument.split("=", 1) for argument in arguments)
    reads: list[str] = []

    def read(progress: Progress) -> ReleaseData:
        reads.append(source)
        time.sleep(float(options.get("slow", 0)))
        return sr28.read(Path(source), verify=False, progress=progress)

    if source != "sr28":
        datasets.EMBEDDED = {"sr28": read}
    if "die-when" in options:
        die_around_replace(options["die-when"])
    if "max-file" in options:
        limit = int(options["max-file"])
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    settings = Settings.from_environment({"GRAMWRIGHT_DATA_DIR": data_dir})
    started = time.process_time()  # others may be at work on the machine
    try:
        engine = datasets.ensure_ready(settings, progress=watch(options))
    except GramwrightError as error:
        return {"error": type(error).__name__, "message": str(error)}
    table = load_table(engine, ("sr28",))
    return {"foods": len(table.foods), "reads": len(reads), "seconds": time.process_time() - started,
            "megabytes": peak_megabytes()}


def peak_megabytes() -> float:
    """Peak resident memory of this program alone: getrusage would count the parent's before the exec."""
    status = Path("/proc/self/status")
    if not status.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


if __name__ == "__main__":
    print(json.dumps(main(*sys.argv[1:])))
