"""Keeps the keys of the API. A row is never deleted, so that a key's id always says whose it was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Engine, Row, insert, select, update

from service.core.errors import NotFoundError
from service.store import schema
from service.store.engine import quick_value, reading, writing

_KEYS = schema.table(schema.ApiKey)
_COLUMNS = tuple(
    _KEYS.c[name] for name in ("id", "kitchen", "name", "scopes", "hash", "quota", "burst", "created", "revoked")
)


@dataclass(frozen=True, slots=True)
class StoredKey:
    """A key as it is kept: `hash` of the secret, `scopes` by name, `quota` and `burst` None for the server's."""

    id: str
    kitchen: str
    name: str
    scopes: frozenset[str]
    hash: str
    quota: int | None = None
    burst: int | None = None
    created: str = ""
    revoked: str = ""


def add(engine: Engine, key: StoredKey, *, instead_of: str | None = None) -> StoredKey:
    """Keep a new key, in one step with revoking another one; NotFoundError where that is not there or revoked."""
    with writing(engine) as connection:
        if instead_of is not None:
            _revoke(connection, instead_of)
        values = {
            "id": key.id, "kitchen": key.kitchen, "name": key.name, "scopes": " ".join(sorted(key.scopes)),
            "hash": key.hash, "quota": key.quota, "burst": key.burst, "created": _now(), "revoked": "", "revision": 1,
        }  # fmt: skip
        connection.execute(insert(_KEYS).values(**values))
        return _key(connection.execute(select(*_COLUMNS).where(_KEYS.c.id == key.id)).one())


def revoke(engine: Engine, key_id: str) -> None:
    """A key lets nobody in from now on; NotFoundError where it is not there or revoked already."""
    with writing(engine) as connection:
        _revoke(connection, key_id)


def _revoke(connection: Connection, key_id: str) -> None:
    good = (_KEYS.c.id == key_id) & (_KEYS.c.revoked == "")
    changed = connection.execute(update(_KEYS).where(good).values(revoked=_now(), revision=_KEYS.c.revision + 1))
    if not changed.rowcount:
        raise NotFoundError(f"no key has the id {key_id!r}, or it is revoked already", pointer="/id")


def find(engine: Engine, key_id: str) -> StoredKey:
    """A good key by its id; NotFoundError where it is not there or revoked."""
    with reading(engine) as connection:
        row = connection.execute(select(*_COLUMNS).where(_KEYS.c.id == key_id, _KEYS.c.revoked == "")).first()
    if row is None:
        raise NotFoundError(f"no key has the id {key_id!r}, or it is revoked already", pointer="/id")
    return _key(row)


def all_keys(engine: Engine) -> list[StoredKey]:
    """Every key, revoked ones too, in the order they were made."""
    with reading(engine) as connection:
        return [_key(row) for row in connection.execute(select(*_COLUMNS).order_by(_KEYS.c.number))]


def state(engine: Engine) -> int:
    """A number that grows whenever a key is made or revoked."""
    return int(quick_value(engine, "SELECT count(*) + coalesce(sum(revision), 0) FROM api_key") or 0)


def _key(row: Row[Any]) -> StoredKey:
    key_id, kitchen, name, scopes, *rest = tuple(row)
    return StoredKey(key_id, kitchen, name, frozenset(scopes.split()), *rest)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds")
