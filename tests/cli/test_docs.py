"""Every command, example and setting of README.md and DEVELOPERS.md, run or compared."""

from __future__ import annotations

import argparse
import asyncio
import csv
import io
import json
import re
import shlex
from pathlib import Path

import httpx
import pytest
from fastapi import FastAPI

from service.api.app import create_app
from service.cli import Commands, make_parser
from service.settings import SETTINGS
from service.tables.vocabulary import AMOUNT_KINDS, KINDS

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
LUNCH = "200 g smoked salmon\n1 cup chopped kale\n2 tbsp olive oil\nTo serve:\nlemon wedges\n"


def commands(page: str) -> list[str]:
    blocks = re.findall(r"```sh\n(.*?)```", page, re.S)
    return [line for block in blocks for line in block.splitlines() if line.strip()]


def ours(block: str) -> list[str]:
    return [line for line in block.splitlines() if line.startswith("gramwright ") and line != "gramwright serve"]


OURS = [lines for block in re.findall(r"```sh\n(.*?)```", README, re.S) if (lines := ours(block))]
# Files that the page shows, by "... `name`:" and a block.
FILES = dict(re.findall(r"`([\w.]+)`:\n\n```text\n(.*?)```", README, re.S))


@pytest.mark.parametrize("lines", OURS, ids=[lines[0] for lines in OURS])
def test_commands_of_the_readme_run(kitchen_run, tmp_path, monkeypatch, lines):
    """One after the other, as the page gives them, in a kitchen that is empty at first."""
    for name, text in {"lunch.txt": LUNCH, **FILES}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for line in lines:
        before = set(tmp_path.iterdir())
        words = shlex.split(line)
        stdin = b""
        if "<" in words:
            stdin = Path(words[words.index("<") + 1]).read_bytes()
            words = words[: words.index("<")]
        ran = kitchen_run(*words[1:], stdin=stdin)
        assert ran.code == 0, (line, ran.err)
        assert ran.out.strip() or set(tmp_path.iterdir()) > before, line


def test_every_command_is_in_the_readme():
    groups = {line.split()[1] for line in commands(README) if line.startswith("gramwright ")}
    parser = make_parser()
    [commands_of] = [action for action in parser._actions if isinstance(action, Commands)]
    assert groups == set(commands_of.choices)


def test_serve_is_a_command(run):
    assert "gramwright serve" in commands(README)
    assert run("serve", "--help").code == 0


def test_the_first_command_installs_and_resolves(run):
    first = commands(README)[0]
    assert first.startswith("python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/gramwright resolve ")
    ran = run(*shlex.split(first.split("&&")[-1])[1:])
    assert ran.code == 0
    assert ran.out.count("resolved") == 3


def test_ci_runs_the_readmes_test_command():
    assert ".venv/bin/pip install '.[test]' && .venv/bin/pytest" in commands(README)
    assert "grep -m1" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_request_and_answer(catalogue):
    line = next(line for line in commands(README) if line.startswith("curl "))
    words = shlex.split(line)
    url = next(word for word in words if word.startswith("http://"))
    headers = dict(word.split(": ", 1) for word in words if ": " in word and word.split(": ")[0] == "Content-Type")
    body = words[words.index("-d") + 1]

    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app=create_app(catalogue))
        async with httpx.AsyncClient(transport=transport) as client:
            return await client.post(url, headers=headers, content=body)

    answer = asyncio.run(ask())
    shown = re.search(r"```json\n(.*?)```", README, re.S)
    assert shown
    assert answer.json() == json.loads(shown[1])


CURLS = [
    lines
    for block in re.findall(r"```sh\n(.*?)```", README, re.S)
    if (lines := [line for line in block.splitlines() if line.startswith("curl ")])
]


@pytest.mark.usefixtures("kitchen_run")  # the kitchen is empty at first
@pytest.mark.parametrize("lines", CURLS, ids=[lines[0].split()[2] for lines in CURLS])
def test_requests_of_the_readme_are_answered(kitchen_catalogue, lines):
    app = create_app(kitchen_catalogue)
    for line in lines:
        answer = asyncio.run(sent(app, *curl(line)))
        assert answer.status_code in (200, 201), (line, answer.text)
        assert answer.text


def curl(line: str) -> tuple[str, str, dict[str, str], str | None]:
    """Method, address, headers and body of a command; files are those that the page shows."""
    parser = argparse.ArgumentParser(prog="curl")
    for option in ("-X", "-d", "--data-binary"):
        parser.add_argument(option)
    parser.add_argument("-H", action="append", default=[])
    parser.add_argument("-s", action="store_true")
    parser.add_argument("address")
    said = parser.parse_args(shlex.split(line)[1:])
    body = FILES[said.data_binary.removeprefix("@")] if said.data_binary else said.d
    headers = dict(header.split(": ", 1) for header in said.H)
    return said.X or ("POST" if body else "GET"), said.address, headers, body


async def sent(app: FastAPI, method: str, address: str, headers: dict[str, str], body: str | None) -> httpx.Response:
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app)) as client:
        return await client.request(method, address, headers=headers, content=body)


def test_settings_are_those_of_the_code():
    rows = re.findall(r"^\| `(GRAMWRIGHT_\w+)` \| (.*?) \| (.*?) \|$", README, re.M)
    assert rows == [(setting.name, setting.default, setting.meaning) for setting in SETTINGS]


def test_the_row_of_the_developers_page_is_a_row():
    row = re.search(r"```\n(courgette,.*)\n```", DEVELOPERS)
    assert row
    form, kind, when, code, source = next(csv.reader(io.StringIO(row[1])))
    assert kind in KINDS
    assert set(when.split()) <= AMOUNT_KINDS
    assert (form, code, bool(source)) == ("courgette", "11477", True)
    for word in KINDS:
        assert f"`{word}`" in DEVELOPERS


def test_commands_of_the_developers_page_name_what_exists():
    for line in commands(DEVELOPERS):
        words = shlex.split(line)
        if "-m" in words:
            assert (ROOT / Path(*words[words.index("-m") + 1].split("."))).with_suffix(".py").exists()
        for word in words:
            if word.startswith("tests/"):
                assert (ROOT / word).exists()
