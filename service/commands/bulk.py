"""gramwright bulk: files of many lines or recipes, worked off by several processes or a cluster."""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from service.api.payloads import encode
from service.bulk.cluster import work_off, workers
from service.bulk.outputs import write_output
from service.bulk.parts import Done, Parts, parts_of, whole_file
from service.bulk.records import CHUNK_BYTES, CHUNK_RECORDS, Chunk, Source, chunks, format_of, look_at, same_file
from service.commands import stores
from service.commands.bulk_work import ERROR, RECIPE, Job, origin_of
from service.commands.inputs import write_text
from service.core.errors import InputError
from service.core.nutrients import chosen_components
from service.datasets import terminal_progress
from service.kitchens.shelf import stored_in

OUTCOMES = ("resolved", "check", "no_match", "not_food", RECIPE, ERROR)


@dataclass(frozen=True, slots=True)
class Report:
    """How the work went; `kept` records were finished by earlier runs."""

    out: str
    outcomes: Mapping[str, int]
    kept: int
    seconds: float

    @property
    def records(self) -> int:
        return sum(self.outcomes.values())

    def payload(self) -> dict[str, object]:
        """As --json prints it."""
        return {
            "out": self.out, "records": self.records, "outcomes": self.outcomes, "kept": self.kept,
            "seconds": round(self.seconds, 3), "records_per_second": round(self._rate, 1),
        }  # fmt: skip

    @property
    def _rate(self) -> float:
        return (self.records - self.kept) / self.seconds if self.seconds else 0.0

    def text(self) -> str:
        """As people read it."""
        counts = ", ".join(f"{count:,} {name}" for name, count in self.outcomes.items() if count) or "none"
        kept = f", {self.kept:,} of them finished before" if self.kept else ""
        rate = f"{self.seconds:.1f} s, {self._rate:,.0f} a second"
        return f"{self.out}: {self.records:,} records ({counts}){kept}; {rate}\n"


def bulk(asked: argparse.Namespace) -> None:
    """gramwright bulk"""
    path, out = Path(asked.input), Path(asked.output)
    source_format, out_format = format_of(path, asked.format), format_of(out, asked.format)
    _check_output(path, out, overwrite=asked.overwrite)
    source = look_at(path, source_format)
    with parts_of(out) as parts:
        report = _work(asked, source, out, parts)
        if source.records and report.outcomes[ERROR] == source.records:
            parts.remove()
            raise InputError(f"each of the {source.records:,} records of {path} is bad; nothing was written")
        with whole_file(out, beside=parts.folder) as file:
            write_output(file, out_format, parts.answers())
        parts.remove()
    write_text((encode(report.payload()) + b"\n").decode() if asked.json else report.text())


def _check_output(path: Path, out: Path, *, overwrite: bool) -> None:
    if same_file(path, out):
        raise InputError(f"{out} is the input itself")
    if out.is_dir():
        raise InputError(f"{out} is a folder")
    if out.exists() and not overwrite:
        raise InputError(f"{out} is there already; --overwrite puts another in its place")


def _work(asked: argparse.Namespace, source: Source, out: Path, parts: Parts) -> Report:
    job = _job(asked, parts.manifest())
    parts.take_up(_manifest(source, job))
    kept = sum(parts.outcomes.values())
    began = time.monotonic()
    if kept < source.records:
        _work_off(asked, source, job, parts)
    seconds = time.monotonic() - began
    return Report(str(out), {name: parts.outcomes[name] for name in OUTCOMES}, kept, seconds)


def _job(asked: argparse.Namespace, before: Mapping[str, Any]) -> Job:
    """What is asked for; a run that is taken up again reads the kitchen and the releases as of when it began."""
    settings = stores.settings_asked(asked.datasets)
    catalogue = stores.open_store(settings)
    change = before.get("change")
    book = stores.shelf_of(catalogue).book(at=change if isinstance(change, int) else None)
    if asked.components:
        chosen_components(book.resolver.table, asked.components)
    place = catalogue.engine.url.render_as_string(hide_password=False)
    return Job(
        settings=None if asked.scheduler else replace(settings, database_url=place),
        datasets=settings.datasets, components=asked.components, kitchen=asked.kitchen,
        change=book.change, releases=tuple(stored_in(book.resolver).items()), origin=origin_of(book.resolver),
    )  # fmt: skip


def _manifest(source: Source, job: Job) -> dict[str, Any]:
    """What a run must have in common with the one that it takes up."""
    tables, *releases = job.origin
    return {
        "input": {
            "bytes": source.size, "digest": source.digest, "format": source.format, "records": source.records,
        },
        "chunk": {"records": CHUNK_RECORDS, "bytes": CHUNK_BYTES},
        "vocabulary": tables, "releases": releases, "change": job.change, "components": list(job.components),
        "kitchen": job.kitchen,
    }  # fmt: skip


def _work_off(asked: argparse.Namespace, source: Source, job: Job, parts: Parts) -> None:
    """Work on what is not finished yet."""
    with (
        terminal_progress() as progress,
        workers(processes=asked.processes or os.cpu_count() or 1, scheduler=asked.scheduler) as client,
    ):

        def done(chunk: Chunk, found: Done) -> None:
            parts.add(chunk.number, found)
            progress(sum(parts.outcomes.values()), source.records, "Resolving")

        progress(sum(parts.outcomes.values()), source.records, "Resolving")
        work_off(client, job, _unfinished(source, parts), done=done)


def _unfinished(source: Source, parts: Parts) -> Iterable[Chunk]:
    return (chunk for chunk in chunks(source) if chunk.number not in parts.finished)
