"""The clients of README.md against a running server, and what it says of operating one."""

from __future__ import annotations

import configparser
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families

from service.api.connections import server_config
from service.cli import make_parser
from service.settings import SETTINGS, Settings

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
OPERATION = README.partition("## In operation\n")[2].partition("\n## ")[0]


def block(kind: str) -> str:
    [found] = re.findall(rf"^```{kind}\n(.*?)^```", README, re.S | re.M)
    return found


@pytest.fixture(scope="module")
def address(sr28_store: Settings) -> Iterator[str]:
    """Where a server listens."""
    environment = {**os.environ, "GRAMWRIGHT_DATA_DIR": str(sr28_store.data_dir), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "service", "serve", "--port", "0"]
    with subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr
        found = re.search(r"http://127\.0\.0\.1:\d+", process.stderr.readline())
        assert found
        yield found.group()
        process.send_signal(signal.SIGTERM)
        process.wait(40)


def lines_of_code(text: str) -> int:
    return sum(1 for line in text.splitlines() if line.strip())


def ran(command: list[str], address: str) -> str:
    environment = {**os.environ, "GRAMWRIGHT": address}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_the_client_in_python(address: str, tmp_path: Path) -> None:
    program = tmp_path / "client.py"
    program.write_text(block("python"), encoding="utf-8")
    assert lines_of_code(block("python")) <= 30
    out = ran([sys.executable, str(program)], address).splitlines()
    assert out[:2] == ["resolved 150 g smoked haddock [150.0] g", "resolved half a small avocado [68.0] g"]
    assert re.fullmatch(r"net carbohydrate per serving: [\d.]+ g", out[2])


def test_the_client_in_javascript(address: str, tmp_path: Path) -> None:
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed")
    program = tmp_path / "client.mjs"
    program.write_text(block("js"), encoding="utf-8")
    assert lines_of_code(block("js")) <= 30
    out = ran([node, str(program)], address).splitlines()
    assert out[0] == "resolved 150 g smoked haddock Fish, haddock, smoked"
    assert out[2] == "no_match a knob of harbour mud no fair entry"
    assert re.fullmatch(r"carbohydrate per serving: at least [\d.]+ g", out[3])


def test_the_client_says_what_is_wrong(address: str, tmp_path: Path) -> None:
    program = tmp_path / "client.py"
    program.write_text(block("python").replace("PROCNT", "HADDOCK"), encoding="utf-8")
    done = subprocess.run([sys.executable, str(program)], env={**os.environ, "GRAMWRIGHT": address},
                          capture_output=True, text=True, timeout=60, check=False)  # fmt: skip
    assert (done.returncode, done.stdout) == (1, "")
    assert re.match(r"422: .*'HADDOCK'", done.stderr)


def test_the_unit_names_the_command_and_settings_that_there_are() -> None:
    unit = configparser.ConfigParser(strict=False, interpolation=None)
    unit.optionxform = str  # type: ignore[assignment,method-assign]
    unit.read_string(block("ini"))
    assert unit.sections() == ["Unit", "Service", "Install"]
    command, *arguments = shlex.split(unit["Service"]["ExecStart"])
    assert Path(command).name == "gramwright"
    asked = make_parser().parse_args(arguments)
    assert (asked.host, asked.port, asked.workers) == ("127.0.0.1", 8750, 2)
    said = dict(re.findall(r"^Environment=(\w+)=(.*)$", block("ini"), re.M))
    assert set(said) <= {setting.name for setting in SETTINGS}
    settings = Settings.from_environment(said)
    assert settings.access == "keys"
    graceful = server_config(lambda *_: None, settings).timeout_graceful_shutdown  # type: ignore[arg-type]
    assert graceful is not None
    assert int(unit["Service"]["TimeoutStopSec"]) > graceful
    assert said["GRAMWRIGHT_DATA_DIR"] == f"/var/lib/{unit['Service']['StateDirectory']}"


def test_the_proxies_pass_requests_to_the_address_of_the_unit() -> None:
    assert "proxy_pass http://127.0.0.1:8750;" in block("nginx")
    assert OPERATION.count("127.0.0.1:8750") == 2
    for text in (block("nginx"), re.findall(r"```text\n(.*?)```", OPERATION, re.S)[0]):
        assert text.count("{") == text.count("}")


def test_every_figure_of_a_scrape_is_explained(address: str) -> None:
    httpx.post(f"{address}/v1/resolutions", json={"lines": ["1 oz almonds"]}, timeout=20)
    families = text_string_to_metric_families(httpx.get(f"{address}/metrics").text)
    names = {f"{one.name}_total" if one.type == "counter" else one.name for one in families}
    assert set(re.findall(r"`(gramwright_\w+)`", OPERATION)) == {name for name in names if name.startswith("gramw")}
