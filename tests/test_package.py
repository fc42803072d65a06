"""What `pip install .` puts in place: every file that the code reads at run time, not its modules alone."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKED = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["package-data"]
DATA = sorted(
    path.relative_to(ROOT).as_posix()
    for folder in ("service", "importers")
    for path in (ROOT / folder).rglob("*")
    if path.is_file() and path.suffix not in (".py", ".pyc")
)


def packed_files() -> set[str]:
    return {
        path.relative_to(ROOT).as_posix()
        for package, patterns in PACKED.items()
        for pattern in patterns
        for path in (ROOT / package.replace(".", "/")).glob(pattern)
    }


@pytest.mark.parametrize("folder", ["service/tables/", "service/web/", "service/api/", "importers/"])
def test_a_folder_of_data_is_packed_whole(folder: str) -> None:
    files = {path for path in DATA if path.startswith(folder)}
    assert files
    assert not files - packed_files()


def test_no_file_of_data_is_left_out_of_the_package() -> None:
    assert not set(DATA) - packed_files()
