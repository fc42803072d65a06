"""Folders of SR28-like files with invented foods, whole or with faults put in."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

Alter = Callable[..., Path]


@pytest.fixture
def altered(invented_files: Path, tmp_path: Path) -> Alter:
    """`altered((file, old, new), ...)` is a copy of the invented files in which `old` is `new`, once each."""

    def make(*changes: tuple[str, str, str]) -> Path:
        folder = tmp_path / "altered"
        shutil.copytree(invented_files, folder)
        for file, old, new in changes:
            text = (folder / file).read_bytes().decode("latin-1")
            assert text.count(old) == 1, f"{old!r} must stand once in {file}"
            (folder / file).write_bytes(text.replace(old, new).encode("latin-1"))
        return folder

    return make
