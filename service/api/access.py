"""Who is let in, to which kitchen, and how often: keys, scopes, quotas; and what a page of another site may not do.

A server on a loopback address is open: whoever uses the machine may use it, in the default kitchen. On any other
address each request but those for the page, the documentation and the health of the server must bring a key.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Iterable
from dataclasses import dataclass
from http import HTTPStatus
from urllib.parse import urlsplit

from sqlalchemy import Engine
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.frame import Header
from service.api.keys import KeyRing, TooManyKeys
from service.api.problems import problem
from service.api.quotas import Buckets, Quota, SharedBuckets
from service.core.errors import InputError
from service.settings import Settings
from service.store.keys import StoredKey
from service.store.kitchen import DEFAULT_KITCHEN

# What needs no key: nothing of a kitchen is in it.
_PUBLIC = frozenset({"/", "/worker.js", "/docs", "/docs.js", "/docs.css", "/openapi.json", "/healthz", "/readyz"})
_PUBLIC_FOLDER = "/page/"
# What is sent by POST, but saves nothing.
_READ_BY_POST = frozenset({"/v1/resolutions", "/v1/recipes/preview"})
_MAINTAINED = re.compile(r"/metrics|/v1/datasets/[^/]+/comparisons")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
MOST_HEADER_BYTES = 16 * 1024
# New keys that may be tried from one address: each costs a slow hash.
_TRIALS = Quota(quota=60, burst=20)
_QUOTA = Quota(quota=600, burst=100)
_HOST = re.compile(r"(?:[A-Za-z0-9._-]+|\[[0-9A-Fa-f:.]+\])(?::\d{1,5})?", re.ASCII)
_LOOPBACK_NAMES = frozenset({"localhost", "127.0.0.1", "[::1]"})


@dataclass(frozen=True, slots=True)
class Admitted:
    """Whose request it is: the kitchen, and the id of the key, "" in an open server."""

    kitchen: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class AccessRules:
    """How a server lets in: `ring` None for an open one, which answers only to `hosts` unless that is empty.

    buckets  what is left to each key, where workers share that; None: of this process alone
    """

    ring: KeyRing | None = None
    quota: Quota = _QUOTA
    hosts: frozenset[str] = frozenset()
    origins: tuple[str, ...] = ()
    buckets: SharedBuckets | None = None


def access_rules(settings: Settings, address: str, engine: Engine, buckets: SharedBuckets | None = None) -> AccessRules:
    """The rules of a server that listens on this address; InputError where it needs keys and there are none."""
    quota = Quota(settings.quota, settings.burst)
    beyond = not is_loopback(address)
    if settings.access == "open" or (settings.access == "auto" and not beyond):
        hosts = _LOOPBACK_NAMES | {address} if settings.access == "auto" else frozenset()
        return AccessRules(None, quota, frozenset(hosts), settings.cors_origins)
    ring = KeyRing(engine)
    if not ring:
        where = f"{address} can be reached from other machines" if beyond else "GRAMWRIGHT_ACCESS asks for keys"
        raise InputError(
            f"{where}, and there is no key yet: make one by `gramwright key create NAME`, "
            "or let everybody in by GRAMWRIGHT_ACCESS=open"
        )
    return AccessRules(ring, quota, frozenset(), settings.cors_origins, buckets)


def is_loopback(address: str) -> bool:
    """Whether only this machine can reach an address (an IP address, as a socket tells it)."""
    found = ipaddress.ip_address(address.partition("%")[0])
    mapped = getattr(found, "ipv4_mapped", None)
    return (mapped or found).is_loopback


def scope_needed(method: str, path: str) -> str | None:
    """The scope that a request needs, None where it needs no key; `path` may be that of a route."""
    if path in _PUBLIC or path.startswith(_PUBLIC_FOLDER):
        return None
    if _MAINTAINED.fullmatch(path):
        return "maintain"
    return "read" if method in _SAFE or path in _READ_BY_POST else "write"


class Access:
    """Lets a request in, or answers why not."""

    def __init__(self, app: ASGIApp, rules: AccessRules) -> None:
        self.app, self._rules = app, rules
        self._buckets, self._addresses = rules.buckets or Buckets(), Buckets()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        request = Request(scope)
        refused = _refused_text(request) or self._refused_host(request)
        if refused is None and self._rules.ring is None:
            refused = self._refused_site(request)
        if refused is not None:
            return await refused(scope, receive, send)
        needed = scope_needed(scope["method"], scope["path"])
        if self._rules.ring is None or needed is None:
            scope["state"]["access"] = Admitted(DEFAULT_KITCHEN)
            return await self.app(scope, receive, send)
        await self._with_key(self._rules.ring, needed, request, receive, send)

    # ---- open servers: what a page of another site can make a browser send -----------------------------------

    def _refused_host(self, request: Request) -> Response | None:
        """A name that is none, or that another site gave to this machine (DNS rebinding)."""
        host = request.headers.get("host", "")
        if host and not _HOST.fullmatch(host):
            return problem(request, HTTPStatus.BAD_REQUEST, "the Host header is no name of a host")
        name = host.rpartition(":")[0] if re.search(r":\d+$", host) else host
        if self._rules.hosts and host and name.lower() not in self._rules.hosts:
            detail = f"this server is open to its own machine only, by the names {', '.join(sorted(self._rules.hosts))}"
            return problem(request, HTTPStatus.MISDIRECTED_REQUEST, detail)
        return None

    def _refused_site(self, request: Request) -> Response | None:
        """A change that a browser sends for a page of another site: it says so by Sec-Fetch-Site or Origin."""
        if request.method in _SAFE:
            return None
        origin, site = request.headers.get("origin"), request.headers.get("sec-fetch-site")
        if origin in self._rules.origins or "*" in self._rules.origins or site in ("same-origin", "none"):
            return None
        if site is None and (origin is None or _host_of(origin) == request.headers.get("host", "")):
            return None
        return problem(request, HTTPStatus.FORBIDDEN, "a page of another site may not ask for this")

    # ---- servers with keys -----------------------------------------------------------------------------------

    async def _with_key(self, ring: KeyRing, needed: str, request: Request, receive: Receive, send: Send) -> None:
        found = await self._key_of(ring, request)
        if isinstance(found, Response):
            return await found(request.scope, receive, send)
        quota = Quota(found.quota or self._rules.quota.quota, found.burst or self._rules.quota.burst)
        taken = self._buckets.take(found.id, quota)
        fields = [(b"ratelimit-policy", quota.policy.encode()), (b"ratelimit", taken.field.encode())]
        request.scope["state"]["access"] = Admitted(found.kitchen, found.id)
        if not taken.allowed:
            refused: Response | None = _too_many(request, taken.next_in)
        else:
            refused = None if needed in found.scopes else _lacks(request, needed)
        app = self.app if refused is None else refused
        await app(request.scope, receive, _adding(send, [*fields, (b"vary", b"Authorization")]))

    async def _key_of(self, ring: KeyRing, request: Request) -> StoredKey | Response:
        """The key that a request brings, or what to answer where it brings no good one."""
        said = request.headers.getlist("authorization")
        if len(said) != 1:
            return _unknown(request, "this needs a key, as in: Authorization: Bearer KEY")
        kind, _, key = said[0].strip().partition(" ")
        if kind.lower() != "bearer":
            return _unknown(request, "the Authorization header must be of the form: Bearer KEY")
        if (found := ring.seen(key.strip())) is not None:
            return found
        trial = self._trials_of(request)
        if trial is not None:
            return trial
        try:
            checked = await ring.checked(key.strip())
        except TooManyKeys as error:
            return problem(request, HTTPStatus.SERVICE_UNAVAILABLE, str(error), headers={"Retry-After": "1"})
        return checked or _unknown(request, "the key is not known", error="invalid_token")

    def _trials_of(self, request: Request) -> Response | None:
        """429 where one address tries many keys that were not seen before."""
        address = request.client.host if request.client else ""
        taken = self._addresses.take(address, _TRIALS)
        return None if taken.allowed else _too_many(request, taken.next_in)


def _refused_text(request: Request) -> Response | None:
    """Headers beyond a length, and control characters, which no name has and not every database can be asked for.

    A route would match a path that ends with a new line, which then is not the path whose scope is looked up.
    """
    if sum(len(name) + len(value) for name, value in request.scope["headers"]) > MOST_HEADER_BYTES:
        detail = f"the headers may have {MOST_HEADER_BYTES // 1024} KB"
        return problem(request, HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE, detail)
    if _CONTROL.search(request.scope["path"]):
        return problem(request, HTTPStatus.NOT_FOUND, "nothing has a control character in its path")
    if b"%00" in request.scope["query_string"]:
        return problem(request, HTTPStatus.BAD_REQUEST, "the query has the character NUL")
    return None


def _host_of(origin: str) -> str:
    try:
        return urlsplit(origin).netloc
    except ValueError:
        return ""


def _unknown(request: Request, detail: str, *, error: str | None = None) -> Response:
    more = f', error="{error}"' if error else ""
    headers = {"WWW-Authenticate": f'Bearer realm="gramwright"{more}'}
    return problem(request, HTTPStatus.UNAUTHORIZED, detail, headers=headers)


def _lacks(request: Request, scope: str) -> Response:
    challenge = f'Bearer realm="gramwright", error="insufficient_scope", scope="{scope}"'
    detail = f"the key lacks the scope {scope}"
    return problem(
        request, HTTPStatus.FORBIDDEN, detail, headers={"WWW-Authenticate": challenge}, more={"scope": scope}
    )


def _too_many(request: Request, wait: int) -> Response:
    detail = f"that is more than the quota allows; ask again in {wait} s"
    return problem(request, HTTPStatus.TOO_MANY_REQUESTS, detail, headers={"Retry-After": str(wait)})


def _adding(send: Send, fields: Iterable[Header]) -> Send:
    """Send with header fields more; what one kitchen is answered is for no cache that others share."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = [
                (name, value.replace(b"public", b"private") if name.lower() == b"cache-control" else value)
                for name, value in message.get("headers", ())
            ]
            message = {**message, "headers": [*given, *fields]}
        await send(message)

    return sending
