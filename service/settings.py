"""Settings, read from the environment once at the start and passed on as a frozen value."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from service.core.errors import InputError
from service.store.url import sqlite_url

DATABASE_NAME = "gramwright.sqlite3"


@dataclass(frozen=True, slots=True)
class Setting:
    """One environment variable, as the docs list it."""

    name: str
    default: str
    meaning: str


SETTINGS = (
    Setting("GRAMWRIGHT_DATA_DIR", "data_cache/ of the checkout one stands in, else the user's cache folder",
            "Folder of the store and of downloaded files"),
    Setting("GRAMWRIGHT_DATABASE_URL", f"SQLite file {DATABASE_NAME} in the data folder",
            "The store as an SQLAlchemy database URL"),
    Setting("GRAMWRIGHT_DATASETS", "sr28,pantry",
            "Datasets in use, separated by commas, the preferred one first; pantry are substances that SR28 lacks"),
    Setting("GRAMWRIGHT_SOURCES", "none",
            "CSV of where `dataset fetch` finds publications, in place of the rows of importers/sources.csv"),
    Setting("GRAMWRIGHT_HOST", "127.0.0.1", "Address on which the server listens"),
    Setting("GRAMWRIGHT_PORT", "8750", "Port on which the server listens"),
    Setting("GRAMWRIGHT_ACCESS", "auto",
            "Who is let in: auto (on a loopback address everybody, else who has a key), keys, or open"),
    Setting("GRAMWRIGHT_QUOTA", "600", "Requests a minute that a key may make in the long run"),
    Setting("GRAMWRIGHT_BURST", "100", "Requests that a key may make at once"),
    Setting("GRAMWRIGHT_CORS_ORIGINS", "none", "Origins whose pages may call the API, separated by commas, or *"),
    Setting("GRAMWRIGHT_LOG", "requests", "What the server logs: requests, or errors only"),
    Setting("GRAMWRIGHT_WORKING", "4", "Requests that a worker works on at once"),
    Setting("GRAMWRIGHT_WAITING", "64", "Requests that may wait in a worker; who comes after is answered 503 at once"),
    Setting("GRAMWRIGHT_REQUEST_SECONDS", "30", "How long a worker may work before it answers"),
    Setting("GRAMWRIGHT_CLIENT_SECONDS", "20", "How long a client may take to send headers or a body, or to read"),
)
_DEFAULTS = {setting.name: setting.default for setting in SETTINGS}
_ORIGIN = re.compile(r"https?://(?:[a-z0-9.-]+|\[[0-9a-f:]+\])(?::\d{1,5})?", re.ASCII)
_COUNTS = ("quota", "burst", "working", "waiting", "request_seconds", "client_seconds")


@dataclass(frozen=True, slots=True)
class Settings:
    """Where the data is, which datasets are used, where the server listens, whom it lets in, what it takes on."""

    data_dir: Path
    database_url: str
    datasets: tuple[str, ...]
    host: str
    port: int
    access: str = "auto"
    quota: int = 600
    burst: int = 100
    cors_origins: tuple[str, ...] = ()
    log: str = "requests"
    working: int = 4
    waiting: int = 64
    request_seconds: int = 30
    client_seconds: int = 20
    sources: Path | None = None

    @classmethod
    def from_environment(cls, environ: Mapping[str, str] = os.environ, cwd: Path | None = None) -> Settings:
        """Settings of these environment variables (an empty one counts as unset); InputError names a bad one."""
        said = {name: value.strip() for name, value in environ.items() if value.strip()}
        cwd = cwd or Path.cwd()
        folder = cwd / Path(said["GRAMWRIGHT_DATA_DIR"]).expanduser() if "GRAMWRIGHT_DATA_DIR" in said else None
        data_dir = folder or _checkout_folder(cwd) or _cache_folder()
        datasets = said.get("GRAMWRIGHT_DATASETS", _DEFAULTS["GRAMWRIGHT_DATASETS"])
        return cls(
            data_dir=data_dir,
            database_url=said.get("GRAMWRIGHT_DATABASE_URL") or sqlite_url(data_dir / DATABASE_NAME),
            datasets=_datasets(datasets),
            host=said.get("GRAMWRIGHT_HOST", _DEFAULTS["GRAMWRIGHT_HOST"]),
            port=_port(said.get("GRAMWRIGHT_PORT", _DEFAULTS["GRAMWRIGHT_PORT"])),
            access=_one_of(said, "GRAMWRIGHT_ACCESS", "auto", "keys", "open"),
            cors_origins=_origins(said.get("GRAMWRIGHT_CORS_ORIGINS", "")),
            log=_one_of(said, "GRAMWRIGHT_LOG", "requests", "errors"),
            sources=cwd / Path(said["GRAMWRIGHT_SOURCES"]).expanduser() if "GRAMWRIGHT_SOURCES" in said else None,
            **{name: _above_zero(said, f"GRAMWRIGHT_{name.upper()}") for name in _COUNTS},
        )


def _checkout_folder(cwd: Path) -> Path | None:
    """`data_cache/` of the Gramwright checkout that `cwd` is in."""
    for folder in (cwd, *cwd.parents):
        if (folder / "data_cache").is_dir() and _is_gramwright(folder / "pyproject.toml"):
            return folder / "data_cache"
    return None


def _is_gramwright(pyproject: Path) -> bool:
    try:
        project = tomllib.loads(pyproject.read_text(encoding="utf-8")).get("project", {})
    except (OSError, ValueError):  # none there, or somebody else's broken one
        return False
    return isinstance(project, dict) and project.get("name") == "gramwright"


def _cache_folder() -> Path:
    from platformdirs import user_cache_dir

    return Path(user_cache_dir("gramwright", appauthor=False))


def _datasets(text: str) -> tuple[str, ...]:
    names = tuple(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))
    if not names:
        raise InputError(f"GRAMWRIGHT_DATASETS must name at least one dataset, not {text!r}")
    return names


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text) <= 65535):
        raise InputError(f"GRAMWRIGHT_PORT must be a whole number from 0 to 65535, not {text!r}")
    return int(text)


def _one_of(said: Mapping[str, str], name: str, *words: str) -> str:
    word = said.get(name, _DEFAULTS[name])
    if word not in words:
        raise InputError(f"{name} must be {', '.join(words[:-1])} or {words[-1]}, not {word!r}")
    return word


def _above_zero(said: Mapping[str, str], name: str) -> int:
    text = said.get(name, _DEFAULTS[name])
    if not (text.isascii() and text.isdigit() and 0 < int(text) <= 1_000_000):
        raise InputError(f"{name} must be a whole number from 1 to 1000000, not {text!r}")
    return int(text)


def _origins(text: str) -> tuple[str, ...]:
    """Origins as browsers send them: scheme, host and port, nothing behind."""
    origins = tuple(dict.fromkeys(origin.strip() for origin in text.split(",") if origin.strip()))
    for origin in origins:
        if origin != "*" and not _ORIGIN.fullmatch(origin):
            raise InputError(f"GRAMWRIGHT_CORS_ORIGINS names origins such as https://example.org, not {origin!r}")
    return origins
