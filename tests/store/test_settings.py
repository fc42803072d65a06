"""Settings come from the environment; where the data folder is."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import platformdirs
import pytest
from sqlalchemy.engine import make_url

from service.core.errors import InputError
from service.settings import SETTINGS, Settings
from service.store.engine import database_file
from service.store.url import sqlite_url

PLAIN = Settings(Path(), "", ("sr28", "pantry"), "127.0.0.1", 8750)


def checkout(folder: Path, pyproject: str) -> Path:
    (folder / "data_cache").mkdir(parents=True)
    (folder / "deep" / "inside").mkdir(parents=True)
    (folder / "pyproject.toml").write_text(pyproject)
    return folder / "deep" / "inside"


@pytest.mark.parametrize(("pyproject", "is_checkout"), [
    ('[project]\nname = "gramwright"\n', True),
    ('[project]\nname = "another"\n', False),
    ("project = 1\n", False),
    ("[tool.x]\n", False),
    ("not toml at all", False),
])
def test_the_data_folder_is_the_checkouts_else_the_users_cache(tmp_path: Path, pyproject: str,
                                                               is_checkout: bool) -> None:
    cwd = checkout(tmp_path, pyproject)
    cache = Path(platformdirs.user_cache_dir("gramwright", appauthor=False))
    settings = Settings.from_environment({}, cwd)
    assert settings.data_dir == (tmp_path / "data_cache" if is_checkout else cache)
    assert settings.database_url == sqlite_url(settings.data_dir / "gramwright.sqlite3")


def test_defaults_are_those_the_table_tells(tmp_path: Path) -> None:
    told = {setting.name: setting.default for setting in SETTINGS}
    settings = Settings.from_environment(dict.fromkeys(told, ""), tmp_path)
    assert ",".join(settings.datasets) == told["GRAMWRIGHT_DATASETS"]
    assert (settings.host, str(settings.port)) == (told["GRAMWRIGHT_HOST"], told["GRAMWRIGHT_PORT"])
    assert settings == dataclasses.replace(PLAIN, data_dir=settings.data_dir, database_url=settings.database_url)
    named = ("access", "quota", "burst", "log", "working", "waiting", "request_seconds", "client_seconds")
    assert [str(getattr(settings, name)) for name in named] == [told[f"GRAMWRIGHT_{name.upper()}"] for name in named]
    assert (settings.cors_origins, told["GRAMWRIGHT_CORS_ORIGINS"]) == ((), "none")


def test_the_environment_rules(tmp_path: Path) -> None:
    settings = Settings.from_environment({
        "GRAMWRIGHT_DATA_DIR": "here", "GRAMWRIGHT_DATABASE_URL": "postgresql://keeper@harbour/foods",
        "GRAMWRIGHT_DATASETS": " sr28, afcd,,sr28 ", "GRAMWRIGHT_HOST": "::1", "GRAMWRIGHT_PORT": "80"}, tmp_path)
    assert dataclasses.astuple(settings)[:5] == (
        tmp_path / "here", "postgresql://keeper@harbour/foods", ("sr28", "afcd"), "::1", 80)


def test_the_environment_rules_who_is_let_in_and_how_much_is_taken_on(tmp_path: Path) -> None:
    said = {"access": "keys", "quota": "30", "burst": "3", "log": "errors", "working": "2", "waiting": "5",
            "request_seconds": "7", "client_seconds": "8",
            "cors_origins": "https://kitchen.example, http://[::1]:3000,,https://kitchen.example"}
    environ = {f"GRAMWRIGHT_{name.upper()}": value for name, value in said.items()}
    settings = Settings.from_environment(environ, tmp_path)
    assert {name: str(getattr(settings, name)) for name in said if name != "cors_origins"} == {
        name: value for name, value in said.items() if name != "cors_origins"}
    assert settings.cors_origins == ("https://kitchen.example", "http://[::1]:3000")


@pytest.mark.parametrize(("name", "value"), [
    ("GRAMWRIGHT_PORT", "eighty"), ("GRAMWRIGHT_PORT", "-1"), ("GRAMWRIGHT_PORT", "65536"),
    ("GRAMWRIGHT_PORT", "8.5"), ("GRAMWRIGHT_PORT", "\u0663"), ("GRAMWRIGHT_DATASETS", " , "),
    ("GRAMWRIGHT_ACCESS", "everybody"), ("GRAMWRIGHT_ACCESS", "Open"), ("GRAMWRIGHT_LOG", "all"),
    ("GRAMWRIGHT_QUOTA", "0"), ("GRAMWRIGHT_BURST", "-1"), ("GRAMWRIGHT_WORKING", "many"),
    ("GRAMWRIGHT_WAITING", "1e3"), ("GRAMWRIGHT_REQUEST_SECONDS", "9999999"), ("GRAMWRIGHT_CLIENT_SECONDS", "\u0663"),
    ("GRAMWRIGHT_CORS_ORIGINS", "kitchen.example"), ("GRAMWRIGHT_CORS_ORIGINS", "https://kitchen.example/"),
    ("GRAMWRIGHT_CORS_ORIGINS", "null"), ("GRAMWRIGHT_CORS_ORIGINS", "https://a.example\r\nX: 1")])
def test_a_bad_value_is_told_by_name(tmp_path: Path, name: str, value: str) -> None:
    with pytest.raises(InputError, match=f"{name} (must|names)"):
        Settings.from_environment({name: value}, tmp_path)


@pytest.mark.parametrize("name", ["plain", "with space", "100 %20", "what?x=1", "a#b", "é ü", "a:b@c", "a+b"])
def test_any_path_makes_a_url_that_leads_back_to_it(tmp_path: Path, name: str) -> None:
    path = tmp_path / name / "gramwright.sqlite3"
    assert database_file(sqlite_url(path)) == path
    assert make_url(sqlite_url(path)).query == {}
