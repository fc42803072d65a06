"""Saves and reads what kitchens keep: recipes, own foods, standing choices. Every save keeps the earlier revision.

All of a save happens in one transaction; a process that dies in the middle leaves the store as it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from operator import itemgetter
from types import MappingProxyType
from typing import Any, Literal

from sqlalchemy import ColumnElement, Connection, Engine, Select, and_, bindparam, func, insert, select, update
from sqlalchemy import delete as delete_rows

from service.core.errors import CircleError, ConflictError, InputError, InUseError, NotFoundError, OvertakenError
from service.core.text import fold
from service.store import schema
from service.store.changes import last_switch, next_change
from service.store.engine import reading, writing

Kind = Literal["recipe", "own", "choice"]
# The kitchen where none is named.
DEFAULT_KITCHEN = "default"
# What a document of each kind is called in messages.
CALLED: dict[str, str] = {"recipe": "recipe", "own": "own food", "choice": "standing choice"}
# Recipes that are named where something cannot be deleted since they use it.
MOST_USERS = 100
# Foods that one query asks for: a database takes only so many at once.
MOST_ASKED = 1_000
_DOCUMENTS = schema.table(schema.KitchenDocument)
_USES = schema.table(schema.KitchenUse)
_USED_RELEASES = schema.table(schema.KitchenRelease)
_REQUESTS = schema.table(schema.KitchenRequest)
_NO_RELEASES: Mapping[str, str] = MappingProxyType({})
_COLUMNS = tuple(
    _DOCUMENTS.c[name] for name in ("change", "kind", "number", "revision", "saved", "deleted", "title", "body")
)
# Of one number, the latest. So written, SQLite looks the number up; by "= true" it would go through all that is latest.
_IS_LATEST = _DOCUMENTS.c.latest.is_not(False)
# One document: written once, since writing a query takes longer than asking it.
_ONE = select(*_COLUMNS).where(
    *(_DOCUMENTS.c[name] == bindparam(f"of_{name}") for name in ("kitchen", "kind", "number"))
)
_LATEST_ONE = _ONE.where(_IS_LATEST)
_REVISION_ONE = _ONE.where(_DOCUMENTS.c.revision == bindparam("wanted"))
_STANDING_ONE = _ONE.where(_DOCUMENTS.c.change <= bindparam("wanted")).order_by(_DOCUMENTS.c.revision.desc()).limit(1)


@dataclass(frozen=True, slots=True)
class Document:
    """One revision; `body` is JSON, `saved` an RFC 3339 time in UTC."""

    change: int
    kind: str
    number: int
    revision: int
    saved: str
    deleted: bool
    title: str
    body: str

    @property
    def food_id(self) -> str:
        """The id by which a line may name it."""
        return f"{self.kind}:{self.number}"


@dataclass(frozen=True, slots=True)
class Listed:
    """A document as a list shows it."""

    number: int
    revision: int
    saved: str
    title: str


@dataclass(frozen=True, slots=True)
class Reach:
    """What a save changes elsewhere, as it was prepared.

    seen  the kitchen's last change when it was prepared: OvertakenError where it is another by now. None: not looked at
    uses  by the numbers of other recipes, what they use once this is saved, since names and choices decide that
    """

    seen: int | None = None
    uses: Mapping[int, Iterable[str]] = field(default_factory=dict)


_NO_REACH = Reach()


def save(
    engine: Engine,
    kitchen: str,
    kind: Kind,
    *,
    title: str,
    body: str,
    uses: Iterable[str] = (),
    releases: Mapping[str, str] = _NO_RELEASES,
    number: int | None = None,
    expected: int | None = None,
    request: str = "",
    reach: Reach = _NO_REACH,
) -> Document:
    """Save a new document, or a new revision of document `number`.

    `request` is the client's name for the saving of a new one: under the same name it is saved once, and what was
    saved is the answer again; InputError where that is not the same. So is a revision that already stands as it is
    wanted, saved after the one that the caller has seen (RFC 9110, 13.1.1).

    `reach` is what the save was prepared to change elsewhere: other recipes may use other foods once it stands.

    `releases` are those by which it was worked out, by dataset: they stay in the store as long as the revision.

    `expected` is the revision that the caller has seen: ConflictError where another is the latest. NotFoundError
    where document `number`, or an own food or recipe among `uses`, does not exist or is deleted; InputError where it
    would use itself. All of it is looked at within the transaction, so that no other save comes in between.
    """
    with writing(engine) as connection:
        if (saved := _saved_before(connection, kitchen, kind, number, expected, request, title, body)) is not None:
            return saved
        _follow(connection, kitchen, reach)
        document = _saved(connection, kitchen, kind, number, expected, title, body, uses)
        rows = [{"change": document.change, "dataset": one, "release": name} for one, name in releases.items()]
        if rows:
            connection.execute(insert(_USED_RELEASES), rows)
        if request and document.revision == 1:
            named = {"change": document.change, "kitchen": kitchen, "kind": kind, "request": request}
            connection.execute(insert(_REQUESTS).values(**named))
        return document


def save_choices(
    engine: Engine, kitchen: str, choices: Sequence[tuple[int, str, str, Sequence[str]]], reach: Reach
) -> tuple[Document, ...]:
    """Save (number, phrase, body, uses) of many standing choices, all of them or none."""
    with writing(engine) as connection:
        _follow(connection, kitchen, reach)
        there = set(connection.execute(select(_DOCUMENTS.c.number).where(_of(kitchen, "choice"))).scalars())
        saved = []
        for number, phrase, body, uses in choices:
            old = number if number in there else None
            there.add(number)
            saved.append(_saved(connection, kitchen, "choice", old, None, phrase, body, uses))
        return tuple(saved)


def _saved(
    connection: Connection, kitchen: str, kind: Kind, number: int | None, expected: int | None, title: str, body: str,
    uses: Iterable[str],
) -> Document:  # fmt: skip
    if number is None:
        number, revision = _next_number(connection, kitchen, kind), 1
    else:
        revision = _superseded(connection, kitchen, kind, number, expected)
    uses = sorted(set(uses))
    _check_uses(connection, kitchen, f"{kind}:{number}", uses)
    return _insert(connection, kitchen, kind, number, revision, title, body, uses)


def _follow(connection: Connection, kitchen: str, reach: Reach) -> None:
    """What the recipes that a save reaches use from now on; OvertakenError where it was prepared for another state."""
    if reach.seen is None:
        return
    if _last_change(connection, kitchen) != reach.seen:
        raise OvertakenError(f"the kitchen is no longer as of change {reach.seen}")
    for number, uses in reach.uses.items():
        change = _latest(connection, kitchen, "recipe", number).change
        connection.execute(delete_rows(_USES).where(_USES.c.change == change))
        if uses:
            connection.execute(insert(_USES), [{"change": change, "food_id": one} for one in sorted(uses)])


def _saved_before(
    connection: Connection, kitchen: str, kind: Kind, number: int | None, expected: int | None, request: str,
    title: str, body: str,
) -> Document | None:  # fmt: skip
    """What an earlier, equal request saved, of which the caller has not heard; else None."""
    if number is not None:
        latest = _latest(connection, kitchen, kind, number)
        same = expected == latest.revision - 1 and (latest.title, latest.body) == (title, body)
        return latest if same else None
    if not request:
        return None
    named = (_REQUESTS.c.kitchen == kitchen, _REQUESTS.c.kind == kind, _REQUESTS.c.request == request)
    change = select(_REQUESTS.c.change).where(*named).scalar_subquery()
    row = connection.execute(select(*_COLUMNS).where(_DOCUMENTS.c.change == change)).first()
    if row is None:
        return None
    if (row.title, row.body) != (title, body):
        raise InputError(f"another {CALLED[kind]} was saved by a request of this name: {kind}:{row.number}", pointer="")
    return Document(*row)


def delete(
    engine: Engine, kitchen: str, kind: Kind, number: int, *, expected: int | None = None, reach: Reach = _NO_REACH
) -> Document:
    """Mark a document as deleted; its revisions stay. InUseError names the recipes that use it, else as of `save`."""
    with writing(engine) as connection:
        _follow(connection, kitchen, reach)
        old = _latest(connection, kitchen, kind, number)
        revision = _superseded(connection, kitchen, kind, number, expected)
        _check_unused(connection, kitchen, f"{kind}:{number}")
        return _insert(connection, kitchen, kind, number, revision, old.title, old.body, (), deleted=True)


def _superseded(connection: Connection, kitchen: str, kind: Kind, number: int, expected: int | None) -> int:
    """The number of the next revision; the latest one no longer is."""
    latest = _latest(connection, kitchen, kind, number)
    if expected is not None and expected != latest.revision:
        message = f"revision {expected} was seen, but revision {latest.revision} is the latest"
        raise ConflictError(message, current=latest.revision)
    connection.execute(update(_DOCUMENTS).where(_DOCUMENTS.c.change == latest.change).values(latest=False))
    return latest.revision + 1


def _check_unused(connection: Connection, kitchen: str, food_id: str) -> None:
    rows = connection.execute(_listed(kitchen, "recipe", using=food_id).limit(MOST_USERS)).all()
    if users := tuple((f"recipe:{row.number}", row.title) for row in rows):
        names = ", ".join(repr(title) for _, title in users[:5])
        raise InUseError(f"it is used by {names}", users=users)


def _check_uses(connection: Connection, kitchen: str, food_id: str, uses: Sequence[str]) -> None:
    """What a document uses is there, and does not use it in turn."""
    seen, waiting = set[str](), [one for one in uses if _number_of(one) is not None]
    while waiting:
        used = waiting.pop()
        if used == food_id:
            raise CircleError("a circle of sub-recipes: one that it uses was saved to use it", pointer="/sections")
        if used in seen:
            continue
        seen.add(used)
        kind, number = _number_of(used) or ("recipe", 0)
        try:
            change = _latest(connection, kitchen, kind, number).change
        except NotFoundError as error:
            raise NotFoundError(str(error), pointer="/sections") from None
        inner = connection.execute(select(_USES.c.food_id).where(_USES.c.change == change)).scalars()
        waiting += [one for one in inner if one.startswith("recipe:")]


def number_in(text: str) -> int | None:
    """The number of a kitchen's document, None where the text is none that a kitchen gives."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def _number_of(food_id: str) -> tuple[Kind, int] | None:
    """The kind and number of what a kitchen holds, None for a food of the tables."""
    kind, _, text = food_id.partition(":")
    number = number_in(text)
    return (kind, number) if kind in ("own", "recipe") and number is not None else None  # type: ignore[return-value]


def _latest(connection: Connection, kitchen: str, kind: Kind, number: int) -> Document:
    one = and_(_of(kitchen, kind), _DOCUMENTS.c.number == number, _IS_LATEST)
    row = connection.execute(select(*_COLUMNS).where(one).with_for_update()).first()
    if row is None or row.deleted:
        raise NotFoundError(f"there is no {CALLED[kind]} {number}", pointer="/id")
    return Document(*row)


def _next_number(connection: Connection, kitchen: str, kind: Kind) -> int:
    highest = connection.execute(select(func.max(_DOCUMENTS.c.number)).where(_of(kitchen, kind))).scalar()
    return int(highest or 0) + 1


def _insert(
    connection: Connection, kitchen: str, kind: Kind, number: int, revision: int, title: str, body: str,
    uses: Iterable[str], *, deleted: bool = False,
) -> Document:  # fmt: skip
    saved = datetime.now(UTC).isoformat(timespec="milliseconds")
    values = {
        "change": (change := next_change(connection)), "kitchen": kitchen, "kind": kind, "number": number,
        "revision": revision, "saved": saved, "latest": True, "deleted": deleted, "title": title,
        "folded": fold(title), "body": body,
    }  # fmt: skip
    connection.execute(insert(_DOCUMENTS).values(**values))
    rows = [{"change": change, "food_id": food_id} for food_id in uses]
    if rows:
        connection.execute(insert(_USES), rows)
    return Document(change, kind, number, revision, saved, deleted, title, body)


# ---- reading ---------------------------------------------------------------------------------------------------


def get(
    engine: Engine, kitchen: str, kind: Kind, number: int, *, revision: int | None = None, at: int | None = None
) -> Document:
    """A document: its latest revision, that of a number, or the one that stood at a change of the kitchen.

    NotFoundError where there is none; a deleted one can be read by its revision only.
    """
    query = _LATEST_ONE if at is None else _STANDING_ONE
    wanted = at if revision is None else revision
    asked = {"of_kitchen": kitchen, "of_kind": kind, "of_number": number, "wanted": wanted}
    with reading(engine) as connection:
        row = connection.execute(query if revision is None else _REVISION_ONE, asked).first()
    if row is None or (row.deleted and revision is None):
        which = f"{CALLED[kind]} {number}" + (f" of revision {revision}" if revision is not None else "")
        raise NotFoundError(f"there is no {which}", pointer="/id")
    return Document(*row)





def all_of(engine: Engine, kitchen: str, kind: Kind, *, at: int | None = None) -> list[Document]:
    """Every document of a kind that stands now, or stood at a change, in order of number."""
    with reading(engine) as connection:
        if at is None:
            query = select(*_COLUMNS).where(_of(kitchen, kind), _DOCUMENTS.c.latest)
        else:
            newest = (
                select(func.max(_DOCUMENTS.c.change))
                .where(_of(kitchen, kind), _DOCUMENTS.c.change <= at)
                .group_by(_DOCUMENTS.c.number)
            )
            query = select(*_COLUMNS).where(_DOCUMENTS.c.change.in_(newest))
        rows = connection.execute(query.order_by(_DOCUMENTS.c.number)).all()
    return [Document(*row) for row in rows if not row.deleted]


def listing(
    engine: Engine, kitchen: str, kind: Kind, *, search: str = "", using: str = "", limit: int = 20, offset: int = 0
) -> list[Listed]:
    """Documents by title; `search` words must all occur in the title, `using` is a food id that it names."""
    query = _listed(kitchen, kind, search=search, using=using)
    with reading(engine) as connection:
        rows = connection.execute(query.limit(limit).offset(offset)).all()
    return [Listed(*row) for row in rows]


def _listed(kitchen: str, kind: Kind, *, search: str = "", using: str = "") -> Select[Any]:
    table = _DOCUMENTS.c
    query = select(table.number, table.revision, table.saved, table.title).where(
        _of(kitchen, kind), table.latest, table.deleted.is_(False)
    )
    for word in fold(search).split():
        query = query.where(table.folded.contains(word, autoescape=True))
    if using:
        query = query.where(table.change.in_(select(_USES.c.change).where(_USES.c.food_id == using)))
    return query.order_by(table.folded, table.number)


def users(engine: Engine, kitchen: str, food_ids: Sequence[str]) -> list[int]:
    """Numbers of the recipes that use one of these foods themselves, by title."""
    found: dict[int, str] = {}
    with reading(engine) as connection:
        for start in range(0, len(food_ids), MOST_ASKED):
            using = select(_USES.c.change).where(_USES.c.food_id.in_(food_ids[start : start + MOST_ASKED]))
            rows = connection.execute(_listed(kitchen, "recipe").where(_DOCUMENTS.c.change.in_(using))).all()
            found |= {int(row.number): row.title for row in rows}
    return sorted(found, key=lambda number: (fold(found[number]), number))


def naming(engine: Engine, kitchen: str, words: Sequence[str]) -> list[tuple[int, str]]:
    """(number, body) of the recipes in whose text all these words occur, as they stand or as parts of words."""
    table = _DOCUMENTS.c
    query = select(table.number, table.body).where(_of(kitchen, "recipe"), table.latest, table.deleted.is_(False))
    for word in words:
        query = query.where(func.lower(table.body).contains(word, autoescape=True))
    with reading(engine) as connection:
        return [(int(number), body) for number, body in connection.execute(query.order_by(table.number)).all()]


def revisions(engine: Engine, kitchen: str, kind: Kind, number: int) -> list[Document]:
    """Every revision of a document, the first one first; NotFoundError where there never was one."""
    query = select(*_COLUMNS).where(_of(kitchen, kind), _DOCUMENTS.c.number == number)
    with reading(engine) as connection:
        rows = connection.execute(query.order_by(_DOCUMENTS.c.revision)).all()
    if not rows:
        raise NotFoundError(f"there is no {CALLED[kind]} {number}", pointer="/id")
    return [Document(*row) for row in rows]


def titles(engine: Engine, kitchen: str, kind: Kind, *, at: int | None = None) -> Sequence[tuple[str, str]]:
    """(title, food id) of every document of a kind, in order of number: of two that share a name the first is meant."""
    if at is not None:
        return [(one.title, one.food_id) for one in all_of(engine, kitchen, kind, at=at)]
    query = select(_DOCUMENTS.c.title, _DOCUMENTS.c.number).where(
        _of(kitchen, kind), _DOCUMENTS.c.latest, _DOCUMENTS.c.deleted.is_(False)
    )
    with reading(engine) as connection:
        found = sorted(connection.execute(query).all(), key=itemgetter(1))  # quicker than in SQL
        return [(title, f"{kind}:{number}") for title, number in found]


def kitchens(engine: Engine) -> list[str]:
    """Every kitchen in which something was saved."""
    with reading(engine) as connection:
        query = select(_DOCUMENTS.c.kitchen).distinct().order_by(_DOCUMENTS.c.kitchen)
        return list(connection.execute(query).scalars())


def last_change(engine: Engine, kitchen: str) -> int:
    """The last change of what a kitchen comes to: its last save, or that another release answers since; or 0."""
    with reading(engine) as connection:
        return _last_change(connection, kitchen)


def _last_change(connection: Connection, kitchen: str) -> int:
    return max(_last_save(connection, kitchen), last_switch(connection))


def last_save(engine: Engine, kitchen: str) -> int:
    """The change of a kitchen's last save, 0 where nothing was ever saved."""
    with reading(engine) as connection:
        return _last_save(connection, kitchen)


def _last_save(connection: Connection, kitchen: str) -> int:
    query = select(func.max(_DOCUMENTS.c.change)).where(_DOCUMENTS.c.kitchen == kitchen)
    return int(connection.execute(query).scalar() or 0)


def next_number(engine: Engine, kitchen: str, kind: Kind) -> int:
    """The number that the next new document of a kind is given."""
    with reading(engine) as connection:
        return _next_number(connection, kitchen, kind)


def _of(kitchen: str, kind: str) -> ColumnElement[bool]:
    return and_(_DOCUMENTS.c.kitchen == kitchen, _DOCUMENTS.c.kind == kind)
