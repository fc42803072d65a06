"""The benchmarks still run: what is measured now and then breaks unseen otherwise."""

from __future__ import annotations

import importlib
import json
from pathlib import Path

import pytest

from tests.benchmarks import growth

MODULES = sorted(path.stem for path in Path(growth.__file__).parent.glob("*.py") if path.stem != "__init__")


@pytest.mark.parametrize("module", MODULES)
def test_every_benchmark_can_be_imported(module: str) -> None:
    assert importlib.import_module(f"tests.benchmarks.{module}").__doc__


def test_growth_is_measured(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("sys.argv", ["growth", "--times", "2", "--json"])
    growth.main()
    report = json.loads(capsys.readouterr().out)
    assert report["many"]["entries"] == 2 * report["one"]["entries"]
    assert report["slower"]["times"] > 0
