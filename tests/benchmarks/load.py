"""The server under load, over real sockets: how it compares with an endpoint that does nothing, and how it holds.

    python -m tests.benchmarks.load [--seconds 60] [--json]

The server is a process of its own, with the app that `gramwright serve` has and one more endpoint, which answers the
same bytes as a recipe of 12 lines does and does nothing. Only ratios mean anything on a shared machine; the client
takes one of its processors.

Two kinds of recipes are asked for, each beside the endpoint that does nothing. *Asked before*: 200 recipes, each of
which was asked for once before the clock starts. That is what other applications send all day, a page that is opened
again, a menu that is shown to each guest, and what the goals are for. *Never seen*: no recipe and no line comes twice,
so that nothing is answered from memory; it says what reading, weighing and adding up themselves cost beside doing
nothing. Overload and idle connections are measured with recipes that were never seen: that is where a server has most
to do, and where the client is quick enough to ask for ten times as much as is answered. How many were offered is said
with the run: where that is less than ten times, the client was the limit.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count, cycle, islice
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
RECIPE = "/v1/recipes/preview?components=ENERC_KCAL,PROCNT,FAT,CHOCDF,FIBTG"
LINES, NOTHING = "/v1/resolutions", "/v1/nothing"
FOODS = (
    "g smoked haddock", "ml double cream", "g leeks", "g butter", "g cheddar", "g celery", "g cauliflower", "g spinach",
    "ml fish stock", "g prawns", "g almonds", "g smoked salmon",
)  # fmt: skip
# What each figure has to be.
GOALS = {
    "lines, asked before: rate": ">= 0.5", "lines, asked before: p99": "<= 4", "recipe, asked before: rate": ">= 0.5",
    "recipe, asked before: p99": "<= 4", "goodput": ">= 0.8", "memory_mb": "< 50", "idle_p99": "<= 2",
}  # fmt: skip
CONNECTIONS, ROUNDS, IDLE, SLOW, BESIDE, OVER = 50, 3, 1000, 20, 10, 10
KNOWN = 200  # recipes that were asked before


# ---- the server ------------------------------------------------------------------------------------------------


def serve() -> None:
    """Listen on a port that is printed, until told to stop."""
    import httpx
    from fastapi import Response

    from service.api.app import create_app
    from service.api.connections import Server, server_config
    from service.commands.serve import _listener
    from service.settings import Settings
    from service.wiring import open_catalogue

    settings = Settings.from_environment()
    app = create_app(open_catalogue(settings))
    same: dict[str, bytes] = {}

    async def nothing(like: str) -> Response:
        return Response(same[like], media_type="application/json", headers={"Cache-Control": "no-store"})

    app.add_api_route(NOTHING, nothing, methods=["POST"], include_in_schema=False)

    async def learn() -> None:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://localhost") as client:
            client.headers["Content-Type"] = "application/json"
            for like, path in (("lines", LINES), ("recipe", RECIPE)):
                answer = await client.post(path, content=next(bodies(like)))
                same[like] = answer.raise_for_status().content

    asyncio.run(learn())
    with _listener("127.0.0.1", 0) as listener:
        print(listener.getsockname()[1], flush=True)
        Server(server_config(app, settings)).run(sockets=[listener])


def bodies(kind: str) -> Iterator[bytes]:
    """Different recipes of 12 lines; of 48,000 no line comes twice."""
    for turn in count():
        lines = [f"{20 + (turn * 7919 + place * 1301) % 48_000 / 100:g} {food}" for place, food in enumerate(FOODS)]
        recipe = {"title": "Harbour chowder", "servings": 4, "sections": [{"lines": [{"text": one} for one in lines]}]}
        yield json.dumps({"lines": lines} if kind == "lines" else recipe).encode()


def request(path: str, body: bytes) -> bytes:
    head = f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: {len(body)}"
    return head.encode() + b"\r\n\r\n" + body


@dataclass
class Target:
    """A running server."""

    port: int
    process: int

    def memory(self) -> float:
        """Resident megabytes."""
        status = Path(f"/proc/{self.process}/status").read_text()
        return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024

    async def connect(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        return await asyncio.open_connection("127.0.0.1", self.port)


@contextmanager
def server() -> Iterator[Target]:
    environment = {**os.environ, "GRAMWRIGHT_LOG": "errors"}
    command = [sys.executable, "-m", "tests.benchmarks.load", "--serve"]
    with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout
        try:
            yield Target(int(process.stdout.readline()), process.pid)
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(60)


# ---- the client ------------------------------------------------------------------------------------------------


@dataclass
class Run:
    """What came back: how often which status, and how long the good ones took."""

    seconds: float = 0.0
    statuses: Counter[int] = field(default_factory=Counter)
    taken: list[float] = field(default_factory=list)

    @property
    def good(self) -> float:
        """Good answers a second."""
        return self.statuses[200] / self.seconds

    def percentile(self, share: float) -> float:
        """Milliseconds within which so many of a hundred were answered."""
        return sorted(self.taken)[min(int(len(self.taken) * share / 100), len(self.taken) - 1)] * 1000

    def brief(self) -> dict[str, Any]:
        p50, p99 = (round(self.percentile(share), 2) for share in (50, 99))
        return {"a_second": round(self.good, 1), "p50": p50, "p99": p99, "statuses": dict(self.statuses)}


async def answered(reader: asyncio.StreamReader) -> int:
    """The status of the next answer, whose body is read."""
    head = await reader.readuntil(b"\r\n\r\n")
    length = head.lower().partition(b"content-length: ")[2].partition(b"\r\n")[0]
    await reader.readexactly(int(length))
    return int(head[9:12])


async def load(
    target: Target, requests: Iterable[bytes], *, connections: int, seconds: float, rate: float | None = None
) -> Run:
    """Ask on so many connections, one request after the other on each, no more than `rate` a second of all.

    Until the time is over, or all that there is to ask was asked.
    """
    run, asked = Run(), iter(requests)
    pause = 0.0 if rate is None else connections / rate
    began = time.perf_counter()
    end = began + seconds

    async def one(number: int) -> None:
        await asyncio.sleep(pause * number / connections)
        reader, writer = await target.connect()
        while (start := time.perf_counter()) < end and (sent := next(asked, None)) is not None:
            writer.write(sent)
            status = await answered(reader)
            now = time.perf_counter()
            run.statuses[status] += 1
            if status == 200:
                run.taken.append(now - start)
            if pause:
                await asyncio.sleep(max(start + pause - now, 0))
        writer.close()

    await asyncio.gather(*map(one, range(connections)))
    run.seconds = time.perf_counter() - began
    return run


@contextmanager
def idle(target: Target, number: int) -> Iterator[None]:
    """Connections that say nothing."""
    opened = [socket.create_connection(("127.0.0.1", target.port)) for _ in range(number)]
    try:
        yield
    finally:
        for one in opened:
            one.close()


async def slow(target: Target, number: int, seconds: float) -> None:
    """Clients that send a byte of their body each second."""

    async def one() -> None:
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            _, writer = await target.connect()
            writer.write(request(LINES, next(bodies("lines")))[:-200])
            try:
                while time.perf_counter() < end:
                    writer.write(b" ")
                    await writer.drain()
                    await asyncio.sleep(1)
            except OSError:  # it was sent away: the next one comes
                continue
            finally:
                writer.close()

    await asyncio.gather(*(one() for _ in range(number)))


# ---- the figures -----------------------------------------------------------------------------------------------


async def measured(target: Target, seconds: float) -> dict[str, Any]:
    """Every figure, and what it was made from."""
    ratios: dict[str, float] = {}
    runs: dict[str, Any] = {}
    never_seen: dict[str, Iterator[bytes]] = {}
    for kind, path in (("lines", LINES), ("recipe", RECIPE)):
        new = bodies(kind)
        pool = list(islice(new, KNOWN))
        never_seen[kind] = (request(path, body) for body in new)
        known = [request(path, body) for body in pool]
        nothing = [request(f"{NOTHING}?like={kind}", body) for body in pool]
        await load(target, islice(never_seen[kind], KNOWN), connections=4, seconds=2)
        await _warmed(target, known)
        for name, requests in (("asked before", cycle(known)), ("never seen", never_seen[kind])):
            await _beside_nothing(target, f"{kind}, {name}", requests, cycle(nothing), seconds, runs, ratios)
    await _overload(target, never_seen["recipe"], seconds, runs, ratios)
    await _beside_idle(target, never_seen["recipe"], seconds, runs, ratios)
    return {"seconds": seconds, "runs": runs, "figures": {name: round(value, 2) for name, value in ratios.items()}}


async def _warmed(target: Target, requests: Iterable[bytes]) -> None:
    """Ask for each once."""
    reader, writer = await target.connect()
    for one in requests:
        writer.write(one)
        assert await answered(reader) == 200
    writer.close()


async def _beside_nothing(
    target: Target, name: str, requests: Iterable[bytes], nothing: Iterable[bytes], seconds: float,
    runs: dict[str, Any], ratios: dict[str, float],
) -> None:  # fmt: skip
    """The same number of connections on both, in turns, so that what else the machine does falls on both."""
    work, plain = Run(), Run()
    for _ in range(ROUNDS):
        for run, asked in ((plain, nothing), (work, requests)):
            found = await load(target, asked, connections=CONNECTIONS, seconds=seconds / ROUNDS)
            run.seconds, run.statuses = run.seconds + found.seconds, run.statuses + found.statuses
            run.taken += found.taken
    runs |= {name: work.brief(), f"{name}: nothing": plain.brief()}
    ratios |= {f"{name}: rate": work.good / plain.good, f"{name}: p99": work.percentile(99) / plain.percentile(99)}


async def _overload(
    target: Target, requests: Iterable[bytes], seconds: float, runs: dict[str, Any], ratios: dict[str, float]
) -> None:
    peak = max(
        [await load(target, requests, connections=number, seconds=max(seconds / 6, 2)) for number in (4, 16, 50)],
        key=lambda run: run.good,
    )
    before = target.memory()
    found = await load(target, requests, connections=OVER * 70, seconds=seconds, rate=OVER * peak.good)
    runs |= {"peak": peak.brief(), "overload": found.brief()}
    runs["overload"]["offered"] = round(found.statuses.total() / found.seconds / peak.good, 1)
    runs["overload"]["other_statuses"] = sorted(found.statuses.keys() - {200, 429, 503})
    ratios |= {"goodput": found.good / peak.good, "memory_mb": target.memory() - before}


async def _beside_idle(
    target: Target, requests: Iterable[bytes], seconds: float, runs: dict[str, Any], ratios: dict[str, float]
) -> None:
    rate = runs["peak"]["a_second"] / 2  # where the server is not busy a wait is somebody's fault
    alone = await load(target, requests, connections=BESIDE, seconds=seconds, rate=rate)
    with idle(target, IDLE):
        slowly = asyncio.create_task(slow(target, SLOW, seconds))
        crowd = await load(target, requests, connections=BESIDE, seconds=seconds, rate=rate)
        await slowly
    runs |= {"alone": alone.brief(), f"beside {IDLE} idle and {SLOW} slow": crowd.brief()}
    ratios["idle_p99"] = crowd.percentile(99) / alone.percentile(99)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=60, help="of each run")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--serve", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.serve:
        return serve()
    with server() as target:
        found = asyncio.run(measured(target, options.seconds))
    if options.json:
        print(json.dumps(found))
        return
    for name, run in found["runs"].items():
        times = f"p50 {run['p50']:8.2f} ms  p99 {run['p99']:8.2f} ms"
        print(f"{name:<30}{run['a_second']:>9.1f}/s  {times}  {run['statuses']}")
    for name, value in found["figures"].items():
        print(f"{name:<30}{value:>9.2f}  {GOALS.get(name, 'no goal')}")


if __name__ == "__main__":
    main()
