"""`gramwright bulk` as processes that are killed with kill -9, listen on loopback only, and end with their run."""

from __future__ import annotations

import json
import random
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil
import pytest

from tests.bulk.conftest import write_lines

FOODS = ("onions, chopped", "g plain flour", "tbsp olive oil", "cups whole milk", "large eggs", "g smoked haddock")
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks at processes as Linux shows them")


def many(count: int) -> list[str]:
    chance = random.Random(11)
    return [f"{chance.randint(1, 9999)} {chance.choice(FOODS)}" for _ in range(count)]


def wait_for(happened: Callable[[], object], seconds: float = 120) -> None:
    end = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.02)


def parts(folder: Path) -> list[Path]:
    return sorted(folder.glob("out.jsonl.parts/*.part"))


def workers(process: psutil.Process) -> list[psutil.Process]:
    return [child for child in process.children() if any("spawn_main" in word for word in child.cmdline())]


def test_a_killed_worker_and_a_killed_run_lose_nothing_and_repeat_nothing(start, expected, tmp_path):
    lines = many(15_000)
    write_lines(tmp_path / "in.jsonl", lines)
    command = ("bulk", "in.jsonl", "out.jsonl", "--processes", "2", "--json")

    first = start(*command)
    wait_for(lambda: parts(tmp_path) or first.poll() is not None)
    family = psutil.Process(first.pid)
    connections = [one for member in (family, *workers(family)) for one in member.net_connections()]
    listening = [one for one in connections if one.status == "LISTEN"]
    assert listening
    assert {one.laddr.ip for one in listening} == {"127.0.0.1"}
    workers(family)[0].kill()
    before = len(parts(tmp_path))
    wait_for(lambda: len(parts(tmp_path)) > before + 1 or first.poll() is not None)
    children = family.children(recursive=True)
    first.kill()
    first.wait()
    finished = {path: path.stat().st_mtime_ns for path in parts(tmp_path)}
    assert 0 < len(finished) < 15
    assert not (tmp_path / "out.jsonl").exists()
    psutil.wait_procs(children, timeout=30)
    assert not [child for child in children if child.is_running() and child.status() != psutil.STATUS_ZOMBIE]

    second = start(*command)
    wait_for(lambda: len(parts(tmp_path)) > len(finished) or second.poll() is not None)
    assert all(path.stat().st_mtime_ns == changed for path, changed in finished.items())
    workers(psutil.Process(second.pid))[0].kill()
    out, said = second.communicate(timeout=300)
    assert second.returncode == 0, said
    report = json.loads(out)
    assert (report["records"], report["kept"]) == (15_000, 1000 * len(finished))
    assert (tmp_path / "out.jsonl").read_bytes() == expected(lines)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in.jsonl", "out.jsonl"]


def test_a_worker_that_is_killed_while_it_starts_is_replaced(start, expected, tmp_path):
    write_lines(tmp_path / "in.jsonl", many(50))
    run = start("bulk", "in.jsonl", "out.jsonl", "--processes", "2")
    wait_for(lambda: workers(psutil.Process(run.pid)) or run.poll() is not None)
    workers(psutil.Process(run.pid))[0].kill()
    _, said = run.communicate(timeout=300)
    assert run.returncode == 0, said
    assert (tmp_path / "out.jsonl").read_bytes() == expected(many(50))


def test_no_room_for_the_output(start, tmp_path):
    """A limit on the size of files stands for a full disk: parts fit, the whole does not."""
    lines = many(2_000)
    write_lines(tmp_path / "in.jsonl", lines)
    command = ("bulk", "in.jsonl", "out.jsonl", "--processes", "1", "--json")
    most = 1_200_000
    limited = start(*command, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)))
    _, said = limited.communicate(timeout=300)
    assert (limited.returncode, b"what is finished is kept" in said) == (1, True), said
    assert not (tmp_path / "out.jsonl").exists()
    out, said = start(*command).communicate(timeout=300)
    assert json.loads(out)["kept"] == 2_000, said
    assert len((tmp_path / "out.jsonl").read_bytes().splitlines()) == 2_000


def test_a_cluster_elsewhere(start, expected, tmp_path, sr28_store, monkeypatch):
    """`--scheduler` works with the workers of a cluster, each with several threads."""
    import distributed

    monkeypatch.setenv("GRAMWRIGHT_DATABASE_URL", sr28_store.database_url)
    write_lines(tmp_path / "in.jsonl", many(1_500))
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=3, processes=True, host="127.0.0.1", dashboard_address=None,
        local_directory=str(tmp_path / "dask"),
    ) as cluster:  # fmt: skip
        run = start("bulk", "in.jsonl", "out.jsonl", "--scheduler", cluster.scheduler_address)
        _, said = run.communicate(timeout=300)
        assert run.returncode == 0, said
    assert (tmp_path / "out.jsonl").read_bytes() == expected(many(1_500))


def test_no_cluster_is_said(start, tmp_path, monkeypatch):
    write_lines(tmp_path / "in.jsonl", ["2 eggs"])
    run = start("bulk", "in.jsonl", "out.jsonl", "--scheduler", "tcp://127.0.0.1:9")
    _, said = run.communicate(timeout=120)
    assert (run.returncode, b"no Dask worker within" in said) == (1, True), said
