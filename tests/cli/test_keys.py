"""gramwright key: made, listed, replaced, ended; the secret is shown once."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from sqlalchemy import delete

from service.api import keys
from service.store import keys as store
from service.store.engine import writing
from service.store.schema import ApiKey, table


@pytest.fixture
def key_run(kitchen_run, kitchen_catalogue) -> Iterator:
    """Commands on a store without keys."""
    with writing(kitchen_catalogue.engine) as connection:
        connection.execute(delete(table(ApiKey)))
    yield kitchen_run
    with writing(kitchen_catalogue.engine) as connection:
        connection.execute(delete(table(ApiKey)))


def made(run, *arguments: str) -> str:
    ran = run("key", "create", *arguments)
    assert ran.code == 0, ran.err
    assert "This is shown once." in ran.err
    return ran.out.removesuffix("\n")


def test_a_key_is_made_listed_replaced_and_ended(key_run, kitchen_catalogue):
    assert key_run("key", "list").out == "No key is made.\n"
    key = made(key_run, "front desk", "--scopes", "read,write", "--kitchen", "harbour", "--quota", "90", "--burst", "9")
    assert re.fullmatch(r"gramwright_[a-z2-7]{8}_[a-z2-7]{32}", key), "alone on standard output"
    _, key_id, secret = key.split("_")
    listed = key_run("key", "list").out
    for word in (key_id, "front desk", "harbour", "read, write", "90", "9"):
        assert word in listed
    assert secret not in listed
    assert "argon2" not in listed
    rotated = key_run("key", "rotate", key_id)
    assert rotated.code == 0
    new_id = rotated.out.split("_")[1]
    assert key_run("key", "rotate", new_id, "--keep-old").err.endswith(f"gramwright key revoke {new_id}\n")
    assert key_run("key", "revoke", new_id).code == 0
    good = [one for one in store.all_keys(kitchen_catalogue.engine) if not one.revoked]
    assert [(one.kitchen, one.scopes, one.quota, one.burst) for one in good] == [("harbour", {"read", "write"}, 90, 9)]


def test_a_key_reads_the_default_kitchen_unless_told_otherwise(key_run, kitchen_catalogue):
    made(key_run, "reader")
    [one] = store.all_keys(kitchen_catalogue.engine)
    assert (one.kitchen, one.scopes, one.quota, one.burst, one.revoked) == ("default", {"read"}, None, None, "")


# (arguments, exit code, words of the complaint)
WRONG = [
    (("create",), 2, ""), (("create", ""), 2, "a key's name"), (("create", "de\u202esk"), 2, "a key's name"),
    (("create", "x" * 101), 2, "a key's name"), (("create", "a", "--kitchen", "../b"), 2, "a kitchen's name"),
    (("create", "a", "--scopes", "all"), 2, "the scopes are read, write, maintain"),
    (("create", "a", "--scopes", ","), 2, "names none"), (("create", "a", "--quota", "0"), 2, "whole number"),
    (("create", "a", "--burst", "many"), 2, "whole number"), (("revoke", "zzzzzzzz"), 2, "no key has the id"),
    (("rotate", "' OR 1=1"), 2, "no key has the id"), (("show", "a"), 2, ""),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "code", "words"), WRONG, ids=range(len(WRONG)))
def test_wrong_use(key_run, kitchen_catalogue, arguments, code, words):
    ran = key_run("key", *arguments)
    assert (ran.code, ran.out) == (code, "")
    assert words in ran.err
    assert store.all_keys(kitchen_catalogue.engine) == []


def test_an_ended_key_is_not_ended_again(key_run):
    key_id = made(key_run, "front desk").split("_")[1]
    assert key_run("key", "revoke", key_id).code == 0
    for command in ("revoke", "rotate"):
        ran = key_run("key", command, key_id)
        assert (ran.code, ran.out) == (2, "")
        assert "revoked already" in ran.err


def test_a_new_key_that_cannot_be_kept_ends_no_other(key_run, kitchen_catalogue, monkeypatch):
    """The old key goes in the same step in which the new one comes."""
    key = made(key_run, "front desk")
    monkeypatch.setattr(keys, "_made", lambda: (key.split("_")[1], key))  # an id that there is already
    assert key_run("key", "rotate", key.split("_")[1]).code == 1
    [one] = store.all_keys(kitchen_catalogue.engine)
    assert one.revoked == ""
