"""Keys of the API: how they are made, kept as salted hashes, and looked for at every request.

    key    = "gramwright_" id "_" secret
    id     = 8 * base32     no secret: it names the key in lists and logs
    secret = 32 * base32    160 bits from the system's random source, shown once

The slow hash (argon2id) is worked out once for each key in each worker; from then on the key is known by a fast hash
whose own key the worker made up at its start. Unknown, wrong and revoked keys take one slow hash each and
get one answer.
"""

from __future__ import annotations

import asyncio
import hmac
import logging
import re
import unicodedata
from base64 import b32encode
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from hashlib import blake2b
from secrets import token_bytes

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import Engine

from service.core.errors import GramwrightError, InputError
from service.store import keys as store
from service.store.keys import StoredKey
from service.store.kitchen import DEFAULT_KITCHEN
from service.wiring import looking

SCOPES = ("read", "write", "maintain")
# How often a worker looks whether keys were made or revoked.
FOLLOWING_SECONDS = 0.5
# Keys known by their fast hash, and keys that may wait for the slow one.
MOST_SEEN, MOST_WAITING = 10_000, 32
MOST_NAME = 100
LOG = logging.getLogger("gramwright")
_FORM = re.compile(r"gramwright_([a-z2-7]{8})_[a-z2-7]{32}", re.ASCII)
_KITCHEN = re.compile(r"[a-z0-9][a-z0-9-]{0,62}", re.ASCII)
# OWASP Password Storage Cheat Sheet, argon2id: 19 MiB, two rounds, one lane. A secret of 160 bits needs no more.
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)


class TooManyKeys(GramwrightError):
    """More new keys wait to be checked than a worker keeps waiting."""


@dataclass(frozen=True, slots=True)
class NewKey:
    """What a new key is for; InputError where a name or scope cannot be."""

    name: str
    kitchen: str = DEFAULT_KITCHEN
    scopes: frozenset[str] = frozenset({"read"})
    quota: int | None = None
    burst: int | None = None

    def __post_init__(self) -> None:
        if not self.name.strip() or len(self.name) > MOST_NAME or not _harmless(self.name):
            raise InputError(f"a key's name has 1 to {MOST_NAME} characters that can be seen", pointer="/name")
        if not _KITCHEN.fullmatch(self.kitchen):
            raise InputError("a kitchen's name has up to 63 of a-z, 0-9 and -, no - first", pointer="/kitchen")
        if not self.scopes or not self.scopes <= set(SCOPES):
            raise InputError(f"the scopes are {', '.join(SCOPES)}", pointer="/scopes")


def _harmless(name: str) -> bool:
    """No control, format or direction mark, no half of a pair, nothing that looks like another text."""
    hidden = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
    return unicodedata.normalize("NFC", name) == name and all(unicodedata.category(char) not in hidden for char in name)


def create(engine: Engine, new: NewKey) -> tuple[str, StoredKey]:
    """A new key, which nobody can be shown again, and what is kept of it."""
    key_id, key = _made()
    kept = StoredKey(key_id, new.kitchen, new.name, new.scopes, _HASHER.hash(key), new.quota, new.burst)
    return key, store.add(engine, kept)


def rotate(engine: Engine, key_id: str, *, keep_old: bool = False) -> tuple[str, StoredKey]:
    """A new key for what another is for; that one is revoked in the same step unless it is to be kept."""
    old = store.find(engine, key_id)
    new_id, key = _made()
    kept = replace(old, id=new_id, hash=_HASHER.hash(key))
    return key, store.add(engine, kept, instead_of=None if keep_old else key_id)


def _made() -> tuple[str, str]:
    key_id, secret = (b32encode(token_bytes(count)).decode().lower() for count in (5, 20))
    return key_id, f"gramwright_{key_id}_{secret}"


class KeyRing:
    """The good keys of a store as one worker knows them."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._good: dict[str, StoredKey] = {}
        self._state = -1
        self._pepper = token_bytes(32)
        self._seen: dict[bytes, str] = {}
        self._asked: dict[bytes, asyncio.Future[bool]] = {}
        self._decoy = _HASHER.hash(_made()[1])
        self._threads = ThreadPoolExecutor(2, thread_name_prefix="keys")
        self.refresh()

    def __len__(self) -> int:
        return len(self._good)

    def refresh(self) -> None:
        """Know the keys that are good now; StoreError where the store cannot be read, and then those before stay."""
        now = store.state(self._engine)
        if now != self._state:
            self._good = {key.id: key for key in store.all_keys(self._engine) if not key.revoked}
            self._state = now

    @contextmanager
    def following(self, *, seconds: float = FOLLOWING_SECONDS) -> Iterator[None]:
        """Look every so often whether keys were made or revoked, off the path of requests."""
        with looking(self._look, seconds=seconds, name="key-ring"):
            yield

    def _look(self) -> None:
        try:
            self.refresh()
        except GramwrightError as error:
            LOG.error("the keys before stay in force: %s", error)

    def seen(self, key: str) -> StoredKey | None:
        """A good key that was checked before; None for any other, which may still be good."""
        found = self._named(key)
        if found is None or not hmac.compare_digest(self._seen.get(self._digest(key), ""), found.hash):
            return None
        return found

    async def checked(self, key: str) -> StoredKey | None:
        """A good key, by the slow hash; TooManyKeys where too many wait for it already."""
        if not _FORM.fullmatch(key):
            return None
        found, digest = self._named(key), self._digest(key)
        if not await self._verified(digest, found.hash if found else self._decoy, key) or found is None:
            return None
        if len(self._seen) >= MOST_SEEN:
            del self._seen[next(iter(self._seen))]
        self._seen[digest] = found.hash
        return self._good.get(found.id)

    def _named(self, key: str) -> StoredKey | None:
        form = _FORM.fullmatch(key)
        return self._good.get(form[1]) if form else None

    def _digest(self, key: str) -> bytes:
        return blake2b(key.encode(), key=self._pepper, digest_size=32).digest()

    async def _verified(self, digest: bytes, hash: str, key: str) -> bool:
        """Whether the hash is of this key; who asks for the same at the same time waits for the same answer."""
        if digest not in self._asked:
            if len(self._asked) >= MOST_WAITING:
                raise TooManyKeys("many keys are being checked")
            asked = asyncio.get_running_loop().run_in_executor(self._threads, _is_of, hash, key)
            self._asked[digest] = asked
            asked.add_done_callback(lambda _: self._asked.pop(digest, None))
        return await asyncio.shield(self._asked[digest])


def _is_of(hash: str, key: str) -> bool:
    try:
        return _HASHER.verify(hash, key)
    except (VerificationError, InvalidHashError):
        return False
