"""Wrong use and failures: the right exit code, one clear sentence, never a traceback."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from service import cli
from service.commands import resolve

# (arguments, standard input, words of the message)
WRONG = [
    ((), b"", "COMMAND"),
    (("cook",), b"", "cook"),
    (("resolve",), b"", "give lines"),
    (("resolve", "-"), b"", "no line"),
    (("resolve", "2 eggs", "--file", "x"), b"", "give lines"),
    (("resolve", "2 eggs", "-"), b"", None),
    (("resolve", "--file", "/nowhere/lunch.txt"), b"", "/nowhere/lunch.txt"),
    (("resolve", "--file", "/"), b"", "directory"),
    (("resolve", "--jsonl", "2 eggs"), b"", "before --jsonl"),
    (("resolve", "2 eggs", "--jsonl", "--csv"), b"", "not allowed with"),
    (("resolve", "2 eggs", "--servings", "0"), b"", "above 0"),
    (("resolve", "2 eggs", "--servings", "-2"), b"", "servings"),
    (("resolve", "2 eggs", "--servings", "nan"), b"", "above 0"),
    (("resolve", "2 eggs", "--servings", "inf"), b"", "above 0"),
    (("resolve", "2 eggs", "--servings", "four"), b"", "above 0"),
    (("resolve", "2 eggs", "--components", "SEASPRAY"), b"", "'SEASPRAY'"),
    (("resolve", "--jsonl", "--components", "CHOCDF,fat"), b"", "'fat'"),
    (("resolve", "2 eggs", "--components", ","), b"", "names none"),
    (("resolve", "2 eggs", "--datasets", "harbour"), b"", "'harbour'"),
    (("resolve", "--jsonl"), b"2 eggs\n\xff\n", "line 2: not UTF-8"),
    (("resolve", "-", "--csv"), b"\xc3", "line 1: not UTF-8"),
    (("resolve", "2 eggs\udcff"), b"", "argument 1 is not UTF-8"),
    (("food", "show", "sr28:99999"), b"", "sr28:99999"),
    (("food", "show", "\x1b[2J"), b"", "no food entry"),
    (("food", "search", "?!"), b"", "no words"),
    (("food", "search", "egg", "--datasets", "harbour"), b"", "'harbour'"),
    (("food", "search", "egg", "--datasets", ","), b"", "names none"),
    (("food", "search", "egg", "--limit", "0"), b"", "from 1 to 1000"),
    (("serve", "--port", "70000"), b"", "65535"),
]


@pytest.mark.parametrize(("arguments", "stdin", "words"), WRONG, ids=range(len(WRONG)))
def test_wrong_use(run, arguments, stdin, words):
    ran = run(*arguments, stdin=stdin)
    if words is None:  # a lone dash among lines is a line
        assert ran.code == 0
        return
    assert ran.code == 2
    assert words in ran.err
    assert "Traceback" not in ran.err
    assert "\x1b" not in ran.err


def test_odd_lines_are_answered(run):
    for line in ("", "?!...", "\x00\x01", "سمك", "<script>alert(1)</script>", "'; DROP TABLE food; --", "e" * 100_000):
        ran = run("resolve", "--jsonl", stdin=line.encode() + b"\n")
        assert (ran.code, ran.out.count("\n"), ran.err) == (0, 1, "")
        assert run("resolve", line).code == 0


def test_a_defect_is_one_sentence(run, monkeypatch):
    def broken(*_):
        raise RuntimeError("lost\x1b[2J")

    monkeypatch.setattr(resolve, "write_jsonl", broken)
    ran = run("resolve", "--jsonl", stdin=b"2 eggs")
    assert (ran.code, ran.err) == (1, "gramwright: unexpected RuntimeError: lost\\x1b[2J\n")


def test_a_store_that_is_none_is_a_failure(run_process, tmp_path):
    (tmp_path / "gramwright.sqlite3").write_bytes(b"no database at all" * 1000)
    ran = run_process("resolve", "2 eggs", GRAMWRIGHT_DATA_DIR=str(tmp_path))
    assert ran.returncode == 1
    assert b"no SQLite database" in ran.stderr
    assert b"Traceback" not in ran.stderr


SETTINGS = ["GRAMWRIGHT_PORT=harbour", "GRAMWRIGHT_DATABASE_URL=harbour", "GRAMWRIGHT_DATASETS=,"]


@pytest.mark.parametrize("variable", SETTINGS)
def test_settings_that_are_none(run_process, variable):
    name, _, value = variable.partition("=")
    ran = run_process("resolve", "2 eggs", **{name: value})
    assert ran.returncode in (1, 2)
    assert name.encode() in ran.stderr
    assert b"Traceback" not in ran.stderr


def environment(sr28_store) -> dict[str, str]:
    root = str(Path(cli.__file__).parents[1])
    return {**os.environ, "GRAMWRIGHT_DATA_DIR": str(sr28_store.data_dir), "PYTHONPATH": root}


def process(sr28_store, *arguments: str, **more) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "service", *arguments]
    return subprocess.Popen(command, env=environment(sr28_store), stderr=subprocess.PIPE, **more)


def test_a_reader_that_stops_is_no_failure(sr28_store):
    with process(sr28_store, "resolve", "--jsonl", stdin=subprocess.PIPE, stdout=subprocess.PIPE) as running:
        assert running.stdin
        assert running.stdout
        assert running.stderr
        running.stdout.close()
        running.stdin.write(b"2 eggs\n" * 2000)
        running.stdin.close()
        said = running.stderr.read()
        assert (running.wait(60), said) == (0, b"")


def _interruptible() -> None:
    """Where the tests themselves run behind a shell's `&`, what they start would ignore SIGINT."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_interrupt_is_130(sr28_store):
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "preexec_fn": _interruptible}
    with process(sr28_store, "resolve", "--jsonl", **pipes) as running:
        assert running.stdin
        assert running.stdout
        assert running.stderr
        running.stdin.write(b"2 eggs\n" * 200)
        running.stdin.flush()
        running.stdout.read(1000)  # it is at work
        running.send_signal(signal.SIGINT)
        said = running.stderr.read()
        assert (running.wait(60), said) == (130, b"")


def test_full_output_is_a_failure(sr28_store):
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    with open("/dev/full", "wb") as full, process(sr28_store, "dataset", "list", stdout=full) as running:
        assert running.stderr
        said = running.stderr.read()
        assert (running.wait(60), b"No space left" in said, b"Traceback" in said) == (1, True, False)


def test_a_port_in_use_is_a_failure(run_process):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        ran = run_process("serve", "--port", str(taken.getsockname()[1]))
    assert ran.returncode == 1
    assert b"cannot listen on 127.0.0.1" in ran.stderr
    assert b"Traceback" not in ran.stderr


def test_the_way_to_a_result_brings_no_heavy_library(sr28_store):
    code = (
        "import sys; from service.cli import main; assert main(['resolve', '2 large eggs', '--jsonl']) == 0;"
        "print(sorted({'pandas', 'fastapi', 'pydantic', 'uvicorn', 'sqlmodel', 'alembic', 'httpx'} & set(sys.modules)))"
    )
    ran = subprocess.run([sys.executable, "-c", code], env=environment(sr28_store), capture_output=True, timeout=120)
    assert ran.stdout.splitlines()[-1] == b"[]", ran.stderr
