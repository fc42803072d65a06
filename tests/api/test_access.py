"""Who is let in: keys and scopes, kitchens apart from each other, quotas, pages of other sites."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import httpx
import pytest
from sqlalchemy import delete

from service.api import access, keys
from service.api.access import AccessRules, access_rules, is_loopback, scope_needed
from service.api.app import create_app
from service.api.keys import KeyRing, NewKey
from service.api.quotas import Buckets, Quota, SharedBuckets
from service.core.errors import InputError, NotFoundError, StoreError
from service.settings import Settings
from service.store import keys as store
from service.store.engine import writing
from service.store.schema import ApiKey, table
from service.wiring import Catalogue
from tests.api.conftest import AppClient, KitchenClient, empty_kitchens
from tests.api.test_bad_requests import assert_problem
from tests.processes import within

PLENTY = Quota(quota=1_000_000, burst=1_000_000)
PLATE = {"title": "Smoked fish plate", "servings": 2, "sections": [{"lines": [{"text": "150 g smoked haddock"}]}]}


class KeyClient(KitchenClient):
    """A client that brings a key."""

    def __init__(self, app: Any, key: str) -> None:
        super().__init__(app)
        self.key = key

    def request(self, method: str, path: str, **more: Any) -> httpx.Response:
        headers = {"Authorization": f"Bearer {self.key}", **(more.pop("headers", None) or {})}
        return super().request(method, path, headers=headers, **more)


class Door:
    """A server with keys, and what is done at it."""

    def __init__(self, catalogue: Catalogue, quota: Quota = PLENTY) -> None:
        self.engine = catalogue.engine
        self.ring = KeyRing(self.engine)
        self.app = create_app(catalogue, AccessRules(self.ring, quota))

    def key(self, *scopes: str, kitchen: str = "default", **more: Any) -> str:
        key, _ = keys.create(self.engine, NewKey("front desk", kitchen, frozenset(scopes or ("read",)), **more))
        self.ring.refresh()
        return key

    def client(self, *scopes: str, kitchen: str = "default", **more: Any) -> KeyClient:
        return KeyClient(self.app, self.key(*scopes, kitchen=kitchen, **more))

    def without_key(self) -> AppClient:
        return AppClient(self.app)


def no_keys(catalogue: Catalogue) -> None:
    with writing(catalogue.engine) as connection:
        connection.execute(delete(table(ApiKey)))


@pytest.fixture
def door(catalogue: Catalogue) -> Iterator[Door]:
    no_keys(catalogue)
    empty_kitchens(catalogue)
    yield Door(catalogue)
    no_keys(catalogue)
    empty_kitchens(catalogue)


# ---- where keys are needed -----------------------------------------------------------------------------------------

SETTINGS = Settings.from_environment({})


@pytest.mark.parametrize(("address", "loopback"), [
    ("127.0.0.1", True), ("127.8.9.1", True), ("::1", True), ("::ffff:127.0.0.1", True), ("0.0.0.0", False),
    ("::", False), ("192.0.2.7", False), ("fe80::1%eth0", False), ("::ffff:192.0.2.7", False),
])  # fmt: skip
def test_loopback_addresses(address: str, loopback: bool) -> None:
    assert is_loopback(address) == loopback


@pytest.mark.parametrize(("address", "said", "is_open"), [
    ("127.0.0.1", "auto", True), ("::1", "auto", True), ("0.0.0.0", "auto", False), ("127.0.0.1", "keys", False),
    ("0.0.0.0", "open", True), ("127.0.0.1", "open", True),
])  # fmt: skip
def test_a_server_is_open_on_loopback_or_where_it_is_told(door: Door, address: str, said: str, is_open: bool) -> None:
    settings = replace(SETTINGS, access=said)
    if not is_open:
        with pytest.raises(InputError, match="there is no key yet: make one by `gramwright key create NAME`"):
            access_rules(settings, address, door.engine)
        door.key()
    assert (access_rules(settings, address, door.engine).ring is None) == is_open


def test_a_server_whose_keys_are_all_revoked_does_not_start(door: Door) -> None:
    key = door.key()
    store.revoke(door.engine, key.split("_")[1])
    with pytest.raises(InputError, match="no key yet"):
        access_rules(SETTINGS, "192.0.2.7", door.engine)


# (method, path, scope): what saves nothing is "read"
NEEDED = [
    ("GET", "/v1/recipes", "read"), ("HEAD", "/v1/foods/{id}", "read"), ("POST", "/v1/resolutions", "read"),
    ("POST", "/v1/recipes/preview", "read"), ("POST", "/v1/recipes", "write"), ("PUT", "/v1/foods/{id}", "write"),
    ("DELETE", "/v1/choices/{id}", "write"), ("PATCH", "/v1/recipes", "write"), ("GET", "/metrics", "maintain"),
    ("GET", "/v1/datasets/sr28/comparisons", "maintain"), ("GET", "/v1/datasets/sr28/releases", "read"),
    ("GET", "/nowhere", "read"), ("GET", "/page", "read"), ("GET", "/v1/page/", "read"), ("GET", "//", "read"),
    ("GET", "/healthz", None), ("GET", "/readyz", None), ("GET", "/openapi.json", None), ("GET", "/", None),
    ("GET", "/page/js/main.js", None), ("GET", "/docs", None), ("GET", "/Healthz", "read"),
    ("GET", "/healthz/", "read"),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path", "scope"), NEEDED)
def test_the_scope_that_a_request_needs(method: str, path: str, scope: str | None) -> None:
    assert scope_needed(method, path) == scope


def test_no_operation_but_health_is_open(door: Door) -> None:
    document = door.without_key().get("/openapi.json").json()
    assert document["components"]["securitySchemes"]["key"]["scheme"] == "bearer"
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            answer = door.without_key().request(method.upper(), path.replace("{id}", "1").replace("{dataset}", "sr28"))
            if operation["security"] == []:
                assert path in ("/healthz", "/readyz")
                assert answer.status_code == 200
            else:
                assert_problem(answer, 401)
                assert {"401", "403", "429", "503"} <= set(operation["responses"])
                [good] = [one for status, one in operation["responses"].items() if status.startswith("2")]
                assert {"RateLimit", "RateLimit-Policy", "X-Request-Id"} <= set(good["headers"])


def test_the_documents_and_a_word_on_health_need_no_key(door: Door) -> None:
    for path in ("/docs", "/openapi.json", "/healthz", "/readyz"):
        assert door.without_key().get(path).status_code == 200


SCOPES = [
    ("GET", "/v1/recipes", {"read"}, 200), ("GET", "/v1/recipes", {"write"}, 403),
    ("GET", "/v1/recipes", {"maintain"}, 403), ("POST", "/v1/choices", {"read"}, 403),
    ("POST", "/v1/choices", {"write"}, 415), ("POST", "/v1/resolutions", {"read"}, 415),
    ("GET", "/v1/datasets/sr28/comparisons", {"read", "write"}, 403),
    ("GET", "/v1/datasets/sr28/comparisons", {"maintain"}, 200), ("GET", "/v1/nothing", {"read"}, 404),
    # A new line at the end: a path that routes take for another one than its scope is looked up of.
    ("GET", "/metrics%0A", {"read"}, 404), ("GET", "/v1/datasets/sr28/comparisons%0A", {"read"}, 404),
    ("GET", "/v1/recipes%0D", {"read"}, 404), ("GET", "/v1/recipes%C2%85", {"read"}, 404),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path", "scopes", "status"), SCOPES)
def test_scopes(door: Door, method: str, path: str, scopes: set[str], status: int) -> None:
    answer = door.client(*scopes).request(method, path)
    assert answer.status_code == status
    if status == 403:
        needed = scope_needed(method, path)
        assert assert_problem(answer, 403)["scope"] == needed
        assert answer.headers["www-authenticate"].endswith(f'error="insufficient_scope", scope="{needed}"')


# ---- keys ----------------------------------------------------------------------------------------------------------


def test_a_key_is_kept_as_a_salted_hash_only(door: Door) -> None:
    one, other = door.key(), door.key()
    kept = store.all_keys(door.engine)
    assert len({key.hash for key in kept}) == 2
    for key, row in zip((one, other), kept, strict=True):
        assert row.hash.startswith("$argon2id$")
        assert key.split("_")[2] not in repr(row)
        assert re.fullmatch(r"gramwright_[a-z2-7]{8}_[a-z2-7]{32}", key)


def test_a_revoked_key_is_out_and_a_rotated_one_is_replaced(door: Door) -> None:
    client = door.client("read", "write", kitchen="harbour", quota=7)
    assert client.get("/v1/recipes").status_code == 200
    new, kept = keys.rotate(door.engine, client.key.split("_")[1])
    door.ring.refresh()
    assert client.get("/v1/recipes").status_code == 401
    assert KeyClient(door.app, new).get("/v1/recipes").status_code == 200
    assert (kept.kitchen, kept.scopes, kept.quota) == ("harbour", {"read", "write"}, 7)
    second, _ = keys.rotate(door.engine, kept.id, keep_old=True)
    door.ring.refresh()
    assert [KeyClient(door.app, key).get("/v1/recipes").status_code for key in (new, second)] == [200, 200]
    for change in (keys.rotate, store.revoke):
        with pytest.raises(NotFoundError, match="revoked already"):
            change(door.engine, client.key.split("_")[1])


def test_running_workers_notice_within_2_s(door: Door) -> None:
    with door.ring.following():
        key, kept = keys.create(door.engine, NewKey("late"))
        client = KeyClient(door.app, key)
        assert within(2, lambda: client.get("/v1/treatments").status_code == 200)
        store.revoke(door.engine, kept.id)
        assert within(2, lambda: client.get("/v1/treatments").status_code == 401)


def test_keys_go_on_while_the_database_is_away(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    client = door.client()

    def away(_engine: object) -> int:
        raise StoreError("the store is away")

    monkeypatch.setattr(store, "state", away)
    with door.ring.following(seconds=0.01):
        time.sleep(0.05)
        assert client.get("/v1/treatments").status_code == 200


def test_the_slow_hash_is_worked_out_once(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    worked: list[str] = []
    real = keys._is_of
    monkeypatch.setattr(keys, "_is_of", lambda hash, key: worked.append(hash) or real(hash, key))
    client = door.client()

    async def at_once() -> list[int]:
        async with httpx.AsyncClient(transport=client.transport, base_url="http://gramwright") as caller:
            headers = {"Authorization": f"Bearer {client.key}"}
            answers = await asyncio.gather(*(caller.get("/v1/treatments", headers=headers) for _ in range(10)))
        return [answer.status_code for answer in answers]

    assert asyncio.run(at_once()) == [200] * 10
    assert client.get("/v1/treatments").status_code == 200
    assert len(worked) == 1


BAD_NAMES = ["", "  ", "x" * 101, "desk\n", "desk\x00", "de\u202esk", "de\u200bsk", "\ud800", "cafe\u0301", "a\u2028b"]


@pytest.mark.parametrize("name", BAD_NAMES, ids=ascii)
def test_names_that_hide_something_are_refused(name: str) -> None:
    with pytest.raises(InputError, match="a key's name"):
        NewKey(name)


@pytest.mark.parametrize("kitchen", ["", "Harbour", "a b", "../x", "café", "ｈarbour", "-x", "x" * 64, "a\n", "а"])
def test_kitchens_have_plain_names(kitchen: str) -> None:
    with pytest.raises(InputError, match="a kitchen's name"):
        NewKey("desk", kitchen)


def test_scopes_that_there_are_not_are_refused() -> None:
    for scopes in (frozenset(), frozenset({"read", "all"})):
        with pytest.raises(InputError, match="the scopes are read, write, maintain"):
            NewKey("desk", scopes=scopes)


# ---- guessing ------------------------------------------------------------------------------------------------------

ASKED = "/v1/treatments"
OTHER = "a" * 32


def bad_keys(key: str) -> dict[str, str]:
    """Headers that bring no good key, from a good one."""
    prefix, key_id, secret = key.split("_")
    return {
        "wrong secret": f"Bearer {prefix}_{key_id}_{OTHER}",
        "unknown id": f"Bearer {prefix}_{'b' * 8}_{secret}",
        "one letter off": f"Bearer {key[:-1]}{'a' if key[-1] != 'a' else 'b'}",
        "capitals": f"Bearer {key.upper()}",
        "cut off": f"Bearer {key[:-1]}",
        "more": f"Bearer {key}a",
        "two": f"Bearer {key} {key}",
        "with a line": f"Bearer {key}\tx",
        "no secret": f"Bearer {prefix}_{key_id}_",
        "the id": f"Bearer {key_id}",
        "another kind": f"Basic {key}",
        "no kind": key,
        "nothing": "",
        "blank": "Bearer ",
        "injected": "Bearer ' OR 1=1 --",
        "long": "Bearer " + "a" * 10_000,
    }


@pytest.mark.parametrize("kind", bad_keys("a_b_c"))
def test_bad_keys_are_refused_by_one_answer(door: Door, kind: str) -> None:
    said = bad_keys(door.key())[kind]
    answer = door.without_key().get(ASKED, headers={"Authorization": said})
    problem = assert_problem(answer, 401)
    assert answer.headers["www-authenticate"].startswith('Bearer realm="gramwright"')
    if said.startswith("Bearer"):
        assert problem["detail"] == "the key is not known"


# Fullwidth letters, a combining mark, a letter of another script, bidi marks, NUL: none is folded into a key.
TRICKS = [
    lambda key: key.replace("gramwright", "ｇramwright"), lambda key: key.replace("a", "а"), lambda key: key + "\u0301",
    lambda key: "\u202e" + key, lambda key: key + "\u200b", lambda key: key + "\x00",
]  # fmt: skip


@pytest.mark.parametrize("trick", TRICKS, ids=range(len(TRICKS)))
def test_keys_are_compared_as_bytes(door: Door, trick: Callable[[str], str]) -> None:
    key = door.key()
    if trick(key) == key:
        pytest.skip("this key has no such letter")
    raw = f"Bearer {trick(key)}".encode()
    answer = door.without_key().get(ASKED, headers=[(b"Authorization", raw)])
    assert_problem(answer, 401)


def test_two_keys_are_none(door: Door) -> None:
    key = f"Bearer {door.key()}"
    assert_problem(door.without_key().get(ASKED, headers=[("Authorization", key), ("Authorization", key)]), 401)


def test_wrong_unknown_and_revoked_keys_take_the_same_time(door: Door) -> None:
    """Each takes one slow hash. The best of a few, held apart by a factor that no look-up alone would keep to."""
    good, revoked = door.key(), door.key()
    store.revoke(door.engine, revoked.split("_")[1])
    door.ring.refresh()
    guesses = {
        "wrong": lambda: good[:-32] + keys._made()[1][-32:],
        "unknown": lambda: keys._made()[1],
        "revoked": lambda: revoked,
    }

    def took(key: str) -> float:
        started = time.process_time()  # others may be at work on the machine
        assert asyncio.run(door.ring.checked(key)) is None
        return time.process_time() - started

    rounds = [{kind: took(guess()) for kind, guess in guesses.items()} for _ in range(7)]
    times = {kind: min(one[kind] for one in rounds) for kind in guesses}
    assert max(times.values()) < 2.5 * min(times.values()), times


def test_guessing_is_slowed_down_but_known_keys_go_on(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "_TRIALS", Quota(quota=1, burst=4))
    client = door.client()
    assert client.get(ASKED).status_code == 200
    statuses = [KeyClient(door.app, keys._made()[1]).get(ASKED).status_code for _ in range(5)]
    assert statuses[0] == 401
    assert statuses[-1] == 429
    assert client.get(ASKED).status_code == 200


def test_many_new_keys_at_once_are_told_to_wait(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keys, "MOST_WAITING", 0)
    answer = door.client().get(ASKED)
    assert_problem(answer, 503)
    assert answer.headers["retry-after"] == "1"


# ---- quotas --------------------------------------------------------------------------------------------------------


def test_a_key_beyond_its_quota_waits(door: Door) -> None:
    client = door.client(quota=1, burst=3)
    answers = [client.get(ASKED) for _ in range(5)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 429, 429]
    assert {answer.headers["ratelimit-policy"] for answer in answers} == {'"requests";q=3;w=180'}
    left = [re.fullmatch(r'"requests";r=(\d);t=(\d+)', answer.headers["ratelimit"]) for answer in answers]
    assert [int(one[1]) for one in left if one] == [2, 1, 0, 0, 0]
    assert [round(int(one[2]) / 60) for one in left if one] == [1, 2, 3, 3, 3]
    assert_problem(answers[-1], 429)
    assert 30 < int(answers[-1].headers["retry-after"]) <= 60
    assert door.client().get(ASKED).status_code == 200, "another key has a quota of its own"


def test_an_open_server_counts_nothing(client: AppClient) -> None:
    assert "ratelimit" not in client.get(ASKED).headers


@pytest.mark.parametrize("kind", [Buckets, SharedBuckets])
def test_tokens_come_back(kind: type[Buckets | SharedBuckets]) -> None:
    now = [0.0]
    buckets, quota = kind(clock=lambda: now[0]), Quota(quota=30, burst=2)
    assert [buckets.take("a", quota).allowed for _ in range(3)] == [True, True, False]
    assert buckets.take("a", quota).next_in == 2
    now[0] = 1.9
    assert not buckets.take("a", quota).allowed
    now[0] = 2.1
    assert buckets.take("a", quota).allowed
    now[0] = 1000.0
    taken = buckets.take("a", quota)
    assert (taken.allowed, taken.left, taken.whole_in) == (True, 1, 2)
    now[0] = 500.0  # a clock that goes back gives nothing
    assert [buckets.take("a", quota).allowed for _ in range(2)] == [True, False]


def test_buckets_are_bounded() -> None:
    buckets = Buckets(most=3)
    for name in range(1000):
        buckets.take(str(name), PLENTY)
    assert len(buckets._buckets) == 3


@pytest.mark.parametrize("kind", [Buckets, SharedBuckets])
def test_each_name_has_a_bucket_of_its_own(kind: type[Buckets | SharedBuckets]) -> None:
    buckets, quota = kind(), Quota(quota=1, burst=2)
    for _ in range(2):
        assert all(buckets.take(f"key {number}", quota).allowed for number in range(500))
    assert not any(buckets.take(f"key {number}", quota).allowed for number in range(500))


def test_of_many_names_those_asked_least_lately_are_forgotten() -> None:
    now = [0.0]
    buckets, quota = SharedBuckets(most=64, clock=lambda: now[0]), Quota(quota=1, burst=1)
    for name in range(1000):
        now[0] += 1e-3
        assert buckets.take(str(name), quota).allowed
    assert not buckets.take("999", quota).allowed


def forked(work: Callable[[], int]) -> tuple[int, int]:
    """Start work in another process, whose exit code is what it gives: its id, and the end of a pipe to wait at."""
    end, begun = os.pipe()
    process = os.fork()
    if not process:
        code = 255
        try:
            os.write(begun, b"!")
            code = work()
        finally:
            os._exit(code)
    os.close(begun)
    return process, end


def test_processes_take_from_one_bucket() -> None:
    buckets, quota = SharedBuckets(), Quota(quota=1, burst=100)
    workers = [forked(lambda: sum(buckets.take("desk", quota).allowed for _ in range(60))) for _ in range(4)]
    assert sum(os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) for process, _ in workers) == 100
    assert not buckets.take("desk", quota).allowed
    for _, end in workers:
        os.close(end)


def test_a_process_that_dies_while_it_takes_holds_up_nobody() -> None:
    buckets, quota = SharedBuckets(), Quota(quota=1, burst=1)

    def hold() -> int:
        with buckets._locked():
            time.sleep(60)
        return 0

    process, end = forked(hold)
    os.read(end, 1)
    time.sleep(0.2)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    os.close(end)
    assert buckets.take("desk", quota).allowed


# ---- kitchens ------------------------------------------------------------------------------------------------------


@pytest.fixture
def two(door: Door) -> tuple[KeyClient, KeyClient]:
    """Two kitchens, the first of which has a recipe, an own food and a standing choice."""
    one, other = (door.client("read", "write", "maintain", kitchen=name) for name in ("harbour", "hill"))
    bar = {"description": "Harbour cod bar", "basis": "100 g", "components": {"FAT": 28, "PROCNT": 12, "CHOCDF": 20}}
    one.save("/v1/foods", bar)
    one.save("/v1/recipes", PLATE)
    one.save(
        "/v1/recipes",
        {"title": "Harbour tea", "servings": 1, "sections": [{"lines": [{"text": "10 g harbour cod bar"}]}]},
    )
    one.save("/v1/choices", {"phrase": "mayo", "food": "own:1"})
    return one, other


# What each kitchen finds under the same address; {} stands for a path of a recipe.
OF_A_RECIPE = [
    "",
    "/revisions",
    "/users",
    "/nutrition",
    "/panel",
    "/card",
    "/strip",
    "/schema-org",
    "/csv",
    "/description",
]
OTHERS = [
    *(f"/v1/recipes/recipe:1{path}" for path in OF_A_RECIPE), "/v1/recipes/1?revision=1", "/v1/foods/own:1",
    "/v1/foods/recipe:1", "/v1/choices/choice:1", "/v1/choices/1",
]  # fmt: skip


def test_ids_of_another_kitchen_are_not_found(two: tuple[KeyClient, KeyClient]) -> None:
    one, other = two
    for path in OTHERS:
        assert one.get(path).status_code == 200, path
        problem = assert_problem(other.get(path), 404)
        nothing = other.get(re.sub(r"(:|/)1\b", r"\g<1>999", path)).json()
        assert re.sub(r"\d+", "", problem["detail"]) == re.sub(r"\d+", "", nothing["detail"]), path


LISTS = [
    ("/v1/recipes", "recipes"), ("/v1/recipes?search=harbour", "recipes"), ("/v1/recipes?using=own:1", "recipes"),
    ("/v1/own-foods", "own_foods"), ("/v1/own-foods?search=bar", "own_foods"), ("/v1/choices", "choices"),
]  # fmt: skip


def test_lists_and_searches_hold_what_is_the_kitchens(two: tuple[KeyClient, KeyClient]) -> None:
    one, other = two
    for path, name in LISTS:
        assert one.get(path).json()[name], path
        assert other.get(path).json()[name] == [], path


def test_choices_as_csv_are_the_kitchens(two: tuple[KeyClient, KeyClient]) -> None:
    one, other = (client.get("/v1/choices", headers={"Accept": "text/csv"}).text for client in two)
    assert "mayo" in one
    assert "mayo" not in other


def test_lines_and_searches_of_foods_know_the_own_kitchen_only(two: tuple[KeyClient, KeyClient]) -> None:
    for client, found in zip(two, (True, False), strict=True):
        foods = client.get("/v1/foods?search=harbour cod").json()["foods"]
        assert any(food["id"] == "own:1" for food in foods) == found
        lines = client.post("/v1/resolutions", json={"lines": ["50 g harbour cod bar", "1 tbsp mayo"]}).json()["lines"]
        used = [part["food"] and part["food"]["id"] for line in lines for part in line["parts"]]
        assert ("own:1" in used) == found


WRITES = [
    ("PUT", "/v1/recipes/recipe:1", PLATE), ("DELETE", "/v1/recipes/recipe:2", None),
    ("PUT", "/v1/foods/own:1", {"description": "x", "basis": "100 g", "components": {"FAT": 1}}),
    ("DELETE", "/v1/foods/own:1", None), ("PUT", "/v1/choices/1", {"phrase": "mayo", "grams": 3}),
    ("DELETE", "/v1/choices/1", None),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path", "body"), WRITES, ids=[f"{method} {path}" for method, path, _ in WRITES])
def test_nothing_of_another_kitchen_is_changed(
    two: tuple[KeyClient, KeyClient], method: str, path: str, body: object
) -> None:
    one, other = two
    before = [one.get(path).text for path in OTHERS]
    assert_problem(other.request(method, path, json=body, headers={"If-Match": "*"}), 404)
    assert [one.get(path).text for path in OTHERS] == before


def test_a_recipe_cannot_name_what_another_kitchen_has(two: tuple[KeyClient, KeyClient]) -> None:
    _, other = two
    for food in ("own:1", "recipe:1"):
        recipe = {"title": "Taken", "servings": 1, "sections": [{"lines": [{"text": "x", "food": food, "grams": 10}]}]}
        for path in ("/v1/recipes", "/v1/recipes/preview"):
            assert_problem(other.post(path, json=recipe), 422)
        assert_problem(other.post("/v1/choices", json={"phrase": "x", "food": food}), 422)


def test_each_kitchen_counts_its_own_recipes(two: tuple[KeyClient, KeyClient]) -> None:
    one, other = two
    assert other.save("/v1/recipes", {**PLATE, "title": "Of the hill"})["id"] == "recipe:1"
    assert one.get("/v1/recipes/1").json()["title"] == PLATE["title"]
    assert other.get("/v1/recipes/1").json()["title"] == "Of the hill"
    assert other.get("/v1/recipes/1/csv").text != one.get("/v1/recipes/1/csv").text


def test_a_release_is_compared_for_the_kitchen_of_the_key(
    two: tuple[KeyClient, KeyClient], monkeypatch: pytest.MonkeyPatch
) -> None:
    from service.api import release_answers
    from service.kitchens.impact import Impact

    asked: list[object] = []
    monkeypatch.setattr(
        release_answers, "impact", lambda shelf, *_, kitchens: asked.append((shelf.kitchen, *kitchens)) or Impact()
    )
    for client in two:
        assert client.get("/v1/datasets/sr28/comparisons?limit=0").status_code == 200
    assert asked == [("harbour", "harbour"), ("hill", "hill")]


def test_a_save_elsewhere_does_not_open_a_kitchens_book_anew(two: tuple[KeyClient, KeyClient], door: Door) -> None:
    one, other = two
    shelf = door.app.state.shelf.of("harbour")
    one.get("/v1/recipes/1/nutrition")
    book = shelf.book()
    other.save("/v1/recipes", PLATE)
    assert shelf.book() is book
    one.save("/v1/recipes", {**PLATE, "title": "Another"})
    assert shelf.book() is not book


def test_what_a_kitchen_reads_is_for_no_shared_cache(two: tuple[KeyClient, KeyClient]) -> None:
    for path in ("/v1/foods?search=cod", "/v1/recipes", "/v1/components", "/v1/recipes/1", "/v1/foods/own:1"):
        answer = two[0].get(path)
        assert "public" not in answer.headers["cache-control"]
        assert "Authorization" in answer.headers.get_list("vary")


# ---- pages of other sites ------------------------------------------------------------------------------------------

CROSS = [
    ({"Origin": "https://elsewhere.example"}, 403), ({"Origin": "null"}, 403), ({"Sec-Fetch-Site": "cross-site"}, 403),
    ({"Sec-Fetch-Site": "same-site", "Origin": "http://other.gramwright"}, 403),
    ({"Origin": "http://gramwright.elsewhere.example"}, 403), ({"Origin": "http://[::1"}, 403),
    ({"Origin": "http://gramwright"}, 201), ({"Sec-Fetch-Site": "same-origin", "Origin": "http://gramwright"}, 201),
    ({"Sec-Fetch-Site": "none"}, 201), ({}, 201),
]  # fmt: skip


@pytest.mark.parametrize(("headers", "status"), CROSS, ids=range(len(CROSS)))
def test_a_page_of_another_site_changes_nothing(kitchen: KitchenClient, headers: dict[str, str], status: int) -> None:
    """A form of any site can post plain text to a machine of its reader without asking first."""
    answer = kitchen.post("/v1/recipes", content="Plate\n\n1 egg\n", headers={"Content-Type": "text/plain", **headers})
    assert answer.status_code == status
    assert len(kitchen.get("/v1/recipes").json()["recipes"]) == (status == 201)


HOSTS = [
    ("localhost:8750", 200), ("127.0.0.1:8750", 200), ("[::1]:8750", 200), ("LOCALHOST", 200),
    ("elsewhere.example", 421), ("localhost.elsewhere.example:8750", 421), ("127.0.0.1.elsewhere.example", 421),
    ("[::1", 400), ("a b", 400), ("a/b", 400), ("a@b", 400), ("localhost:99999999", 400),
]  # fmt: skip


@pytest.mark.parametrize(("host", "status"), HOSTS)
def test_an_open_server_answers_to_its_own_machine(catalogue: Catalogue, host: str, status: int) -> None:
    rules = access_rules(SETTINGS, "127.0.0.1", catalogue.engine)
    answer = AppClient(create_app(catalogue, rules)).get("/v1/treatments", headers={"Host": host})
    assert answer.status_code == status


def test_cors_is_off_by_default_and_names_origins_where_it_is_on(catalogue: Catalogue, client: AppClient) -> None:
    origin = "https://kitchen.example"
    asks = {"Origin": origin, "Access-Control-Request-Method": "PUT",
            "Access-Control-Request-Headers": "authorization,if-match"}  # fmt: skip
    answer = client.request("OPTIONS", "/v1/recipes/1", headers=asks)
    assert answer.status_code == 405
    assert not [name for name in answer.headers if name.startswith("access-control")]
    named = AppClient(create_app(catalogue, AccessRules(KeyRing(catalogue.engine), origins=(origin,))))
    answer = named.request("OPTIONS", "/v1/recipes/1", headers=asks)
    assert (answer.status_code, answer.headers["access-control-allow-origin"]) == (200, origin)
    refused = named.get("/v1/recipes", headers={"Origin": origin})
    assert (refused.status_code, refused.headers["access-control-allow-origin"]) == (401, origin)
    assert "RateLimit" in refused.headers["access-control-expose-headers"]
    assert "access-control-allow-credentials" not in refused.headers
    foreign = named.request("OPTIONS", "/v1/recipes/1", headers={**asks, "Origin": "https://elsewhere.example"})
    assert "access-control-allow-origin" not in foreign.headers
