"""`gramwright serve --workers 2`: one table in memory, releases followed, stopped whole; full disks, two servers."""

from __future__ import annotations

import os
import re
import signal
import subprocess
from contextlib import suppress
from functools import partial
from pathlib import Path

import httpx
import pytest

from service.settings import DATABASE_NAME
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import activate, add_release, roll_back
from tests.faults.conftest import Server, fill, until
from tests.faults.test_killed import assert_whole, under_load
from tests.harbour import HARBOUR, changed, harbour
from tests.processes import one_by_one, within

KINDS = pytest.mark.parametrize("store_url", ["sqlite", "postgresql"], indirect=True)
# Fresh connections, so that each worker gets some.
CONNECTIONS = 24
TEXT = {"Content-Type": "text/plain"}


def post(server: Server, title: str) -> httpx.Response:
    text = f"{title}\n\nServes 2\n150 g kelp\n1 g cod\n10 g butter\n"
    return httpx.post(f"http://127.0.0.1:{server.port}/v1/recipes", content=text, headers=TEXT, timeout=40)


@KINDS
def test_an_activation_is_followed_by_every_worker_within_two_seconds(server: Server, store_url: str) -> None:
    engine = open_engine(store_url)
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    for change, release, fat in ((activate, "2026", 9), (roll_back, "2025", 0.6)):
        change(engine, HARBOUR)
        follows = partial(answered, server, {(release, fat)})
        assert within(2, follows)
        for _ in one_by_one(server.workers_now()):
            assert within(2, follows)
    engine.dispose()


def answered(server: Server, only: set[tuple[str, float]]) -> bool:
    return {figures(server) for _ in range(CONNECTIONS)} == only


def figures(server: Server) -> tuple[str, float]:
    food = httpx.get(f"http://127.0.0.1:{server.port}/v1/foods/harbour:1", timeout=10).json()
    return food["releases"][0]["release"], food["components"]["FAT"]["value"]


@KINDS
def test_what_one_worker_saves_every_worker_knows(server: Server) -> None:
    for turn in range(6):
        saved = post(server, f"Plate {turn}").json()["id"]
        for _ in range(6):
            assert server.get(f"/v1/recipes/{saved}/nutrition") == 200


def memory(process: int, what: str) -> int:
    """Kilobytes of a process, of its share of pages (Pss) or of those it has alone (Private_Dirty)."""
    try:
        found = re.search(rf"^{what}:\s+(\d+) kB", Path(f"/proc/{process}/smaps_rollup").read_text(), re.M)
    except OSError:
        pytest.skip("this system does not tell the memory of a process")
    assert found
    return int(found[1])


@pytest.mark.parametrize("store_url", ["sqlite"], indirect=True)
def test_workers_share_the_tables_in_memory(server: Server) -> None:
    for _ in range(CONNECTIONS):
        assert httpx.post(f"http://127.0.0.1:{server.port}/v1/resolutions", json={"lines": ["150 g kelp"]}).is_success
    for worker in server.workers_now():
        assert memory(worker, "Pss") < 0.8 * memory(worker, "Rss")


def test_stopped_it_finishes_and_leaves_nobody(tmp_path: Path) -> None:
    url = sqlite_url(tmp_path / DATABASE_NAME)
    fill(url)
    server = Server(url, tmp_path)
    server.start()
    workers = server.workers_now()
    assert len(workers) == 2
    server.stop()
    assert server.process
    assert server.process.returncode == 0
    assert not any(Path(f"/proc/{worker}").exists() for worker in workers)


def test_workers_end_with_the_first_process(tmp_path: Path) -> None:
    url = sqlite_url(tmp_path / DATABASE_NAME)
    fill(url)
    server = Server(url, tmp_path)
    server.start()
    workers = server.workers_now()
    assert server.process
    server.process.kill()
    server.process.wait(20)
    until(lambda: not any(lives(worker) for worker in workers), 20)
    server.start()  # the port is free
    server.stop()


def lives(process: int) -> bool:
    with suppress(OSError):
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    return False


def test_two_servers_on_one_file(tmp_path: Path) -> None:
    """Both save; what either acknowledged is there, numbers and revisions without gap or double."""
    url = sqlite_url(tmp_path / DATABASE_NAME)
    fill(url)
    servers = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        servers.append(Server(url, tmp_path / name, workers=1))
        servers[-1].start()
    with under_load(servers[0].port) as first, under_load(servers[1].port) as second:
        until(lambda: min(len(first.acknowledged), len(second.acknowledged)) > 20, 120)
    assert first.statuses | second.statuses <= {200, 201}
    for server in servers:
        server.stop()
    both = {**first.acknowledged, **second.acknowledged}
    assert len(both) == len(first.acknowledged) + len(second.acknowledged), "no number is given twice"
    assert_whole(url, both)


def test_a_disk_that_is_full_refuses_saves_and_loses_nothing(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    try:
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=700k", "tmpfs", str(disk)], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("mounting a disk is not permitted here")
    server = Server(sqlite_url(disk / DATABASE_NAME), tmp_path)
    try:
        fill(server.url)
        server.start()
        acknowledged: dict[tuple[int, int], str] = {}
        for turn in range(2000):
            answer = post(server, f"Plate {turn} " + "crackers " * 20)
            if answer.status_code != 201:
                break
            saved = answer.json()
            acknowledged[int(saved["id"].partition(":")[2]), 1] = f"Plate {turn} " + ("crackers " * 20).strip()
        assert answer.status_code == 503, answer.text
        assert "the disk is full" in answer.json()["detail"]
        assert int(answer.headers["Retry-After"]) > 0
        assert server.get("/v1/recipes/recipe:1/nutrition") == 200
        assert httpx.post(f"http://127.0.0.1:{server.port}/v1/resolutions", json={"lines": ["150 g kelp"]}).is_success
        subprocess.run(["mount", "-o", "remount,size=60m", str(disk)], check=True)
        assert post(server, "There is room again").status_code == 201
        server.stop()
        assert_whole(server.url, acknowledged)
    finally:
        server.stop()
        subprocess.run(["umount", "--lazy", str(disk)], check=True)


def test_a_worker_that_dies_is_replaced(tmp_path: Path) -> None:
    url = sqlite_url(tmp_path / DATABASE_NAME)
    fill(url)
    server = Server(url, tmp_path)
    server.start()
    gone, stays = server.workers_now()
    os.kill(gone, signal.SIGKILL)
    until(lambda: len(server.workers_now()) == 2 and gone not in server.workers_now(), 10)
    assert stays in server.workers_now()
    server.wait()
    assert f"worker {gone} ended (signal 9)" in (tmp_path / "server.log").read_text()
    server.stop()
