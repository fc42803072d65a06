"""Every command, example and setting of README.md and DEVELOPERS.md, run or compared."""

from __future__ import annotations

import asyncio
import csv
import io
import json
import re
import shlex
from pathlib import Path

import httpx
import pytest

from service.api.app import create_app
from service.settings import SETTINGS
from service.tables.vocabulary import AMOUNT_KINDS, KINDS

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
LUNCH = "200 g smoked salmon\n1 cup chopped kale\n2 tbsp olive oil\nTo serve:\nlemon wedges\n"


def commands(page: str) -> list[str]:
    blocks = re.findall(r"```sh\n(.*?)```", page, re.S)
    return [line for block in blocks for line in block.splitlines() if line.strip()]


OURS = [line for line in commands(README) if line.startswith("gramwright ") and line != "gramwright serve"]


@pytest.mark.parametrize("line", OURS)
def test_commands_of_the_readme_run(run, tmp_path, monkeypatch, line):
    (tmp_path / "lunch.txt").write_text(LUNCH, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    words = shlex.split(line)
    stdin = b""
    if "<" in words:
        stdin = Path(words[words.index("<") + 1]).read_bytes()
        words = words[: words.index("<")]
    ran = run(*words[1:], stdin=stdin)
    assert ran.code == 0, ran.err
    assert ran.out.strip()


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
