"""Archives are read in place; one that is damaged, unsafe or a bomb is refused with one clear report."""

from __future__ import annotations

import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from importers import archive
from importers.archive import Files, open_files
from importers.check import Findings
from service.core.errors import DataError


def packed(path: Path, *members: tuple[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in members:
            made.writestr(name, data)
    return path


def test_a_folder_and_a_zip_read_the_same(tmp_path: Path) -> None:
    (tmp_path / "folder" / "inner").mkdir(parents=True)
    (tmp_path / "folder" / "inner" / "a.csv").write_bytes(b"quay")
    path = packed(tmp_path / "a.zip", ("folder/", b""), ("folder/a.csv", b"quay"))
    for place in (tmp_path / "folder", path):
        with open_files(place, Findings("invented")) as files:
            assert dict(files.sizes()) == {"a.csv": 4}
            with files.open("a.csv") as stream:
                assert stream.read() == b"quay"
    assert sorted(file.name for file in tmp_path.iterdir()) == ["a.zip", "folder"]


def test_a_name_that_is_not_there_is_a_key_error(tmp_path: Path) -> None:
    path = packed(tmp_path / "a.zip", ("a.csv", b""))
    with open_files(path, Findings("invented")) as files, pytest.raises(KeyError):
        files.open("b.csv")


UNSAFE = [
    ((("../a.csv", b""),), "a member's name leaves the archive (value '../a.csv')"),
    ((("/a.csv", b""),), "a member's name leaves the archive"),
    ((("x/../../a.csv", b""),), "a member's name leaves the archive"),
    ((("..\\a.csv", b""),), "a member's name leaves the archive"),
    ((("C:/a.csv", b""),), "a member's name leaves the archive"),
    ((("x/a.csv", b""), ("y/a.csv", b"")), "two members bear this name (value 'a.csv')"),
]


@pytest.mark.parametrize(("members", "message"), UNSAFE)
def test_an_unsafe_archive_is_refused(tmp_path: Path, members: tuple[tuple[str, bytes], ...], message: str) -> None:
    with pytest.raises(DataError) as caught, open_files(packed(tmp_path / "a.zip", *members), Findings("invented")):
        pass
    assert str(caught.value.faults[0]).startswith(f"a.zip: {message}")


def test_an_archive_that_expands_past_all_measure_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = packed(tmp_path / "a.zip", ("a.csv", b"0" * 1_000_000))
    with open_files(path, Findings("invented")):
        pass  # a thousand to one, and small
    monkeypatch.setattr(archive, "SMALL", 500_000)
    with pytest.raises(DataError, match="expands to 1,000,000 bytes, more than 200 times its packed size"):
        open_files(path, Findings("invented")).__enter__()
    monkeypatch.setattr(archive, "SMALL", 2_000_000)
    monkeypatch.setattr(archive, "LARGEST", 999_999)
    with pytest.raises(DataError, match="expands to 1,000,000 bytes, more than 999,999"):
        open_files(path, Findings("invented")).__enter__()


def test_a_member_never_gives_more_than_it_states(tmp_path: Path) -> None:
    """A member whose stated size is a lie ends at that size, with a wrong checksum."""
    path = packed(tmp_path / "a.zip", ("a.csv", b"0" * 1_000_000))
    data = path.read_bytes()
    path.write_bytes(data.replace((1_000_000).to_bytes(4, "little"), (1_000).to_bytes(4, "little")))
    with pytest.raises(DataError, match="is damaged or cut short"), open_files(path, Findings("invented")) as files:
        files.open("a.csv").read()


SPOILED: list[tuple[Callable[[bytes], bytes], str]] = [
    (lambda data: data[: len(data) // 2], "is damaged or cut short: File is not a zip file"),
    (lambda data: b"", "is damaged or cut short"),
    (lambda data: b"<html>gone</html>", "is damaged or cut short"),
    (lambda data: data[:60] + b"\xff" * 8 + data[68:], "is damaged or cut short"),
]


@pytest.mark.parametrize(("spoil", "message"), SPOILED, ids=["truncated", "empty", "page", "garbled"])
def test_a_damaged_archive_is_told(tmp_path: Path, spoil: Callable[[bytes], bytes], message: str) -> None:
    path = packed(tmp_path / "a.zip", ("a.csv", bytes(range(256)) * 40))
    path.write_bytes(spoil(path.read_bytes()))
    with pytest.raises(DataError, match=message), open_files(path, Findings("invented")) as files:
        files.open("a.csv").read()


def test_no_archive_at_all_is_told(tmp_path: Path) -> None:
    with pytest.raises(DataError, match=r"a\.zip: cannot be read: No such file"):
        open_files(tmp_path / "a.zip", Findings("invented")).__enter__()


def test_an_encrypted_member_is_refused(tmp_path: Path) -> None:
    path = packed(tmp_path / "a.zip", ("a.csv", b"quay"))
    data = bytearray(path.read_bytes())
    data[data.index(b"PK\x01\x02") + 8] |= 1  # general purpose bit 0 of the central directory
    path.write_bytes(bytes(data))
    with pytest.raises(DataError, match="is encrypted or packed in an uncommon way"):
        open_files(path, Findings("invented")).__enter__()


@pytest.mark.parametrize("look", [lambda files: files.sizes()["b.csv"], lambda files: files.open("b.csv")])
def test_a_folder_is_looked_at_only_where_that_is_asked_for(tmp_path: Path, look: Callable[[Files], object]) -> None:
    """A folder that others write in: what goes meanwhile is nobody's business unless it is read."""
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_bytes(b"quay")
    with open_files(tmp_path, Findings("invented")) as files:
        (tmp_path / "b.csv").unlink()
        assert (set(files.sizes()), files.sizes()["a.csv"]) == ({"a.csv", "b.csv"}, 4)
        with pytest.raises(KeyError):
            files.open("c.csv")
        with pytest.raises(DataError) as caught:
            look(files)
    assert str(caught.value) == "invented: 1 fault\n  b.csv: cannot be read: No such file or directory"


def test_a_pipe_is_no_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.csv")
    with open_files(tmp_path, Findings("invented")) as files, pytest.raises(DataError, match="it is no plain file"):
        files.open("a.csv")
