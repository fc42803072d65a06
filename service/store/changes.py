"""The one sequence of changes: saves of kitchens, and switches of the release that answers.

A number stands for what kitchens held and for the releases that answered, so that figures that name it can be worked
out again.
"""

from __future__ import annotations

from sqlalchemy import Connection, Engine, func, insert, select, text

from service.store import schema
from service.store.engine import quick_value, reading

_ANSWERING = schema.table(schema.AnsweringRelease)
_LATEST = """SELECT max(change) FROM (SELECT max(change) AS change FROM kitchen_document
    UNION ALL SELECT max(change) FROM answering_release) AS changes"""


def latest_change(engine: Engine) -> int:
    """The number of the last change, of whatever kitchen, quickly; 0 where there was none."""
    return int(quick_value(engine, _LATEST) or 0)


def next_change(connection: Connection) -> int:
    """The number of the change that this transaction makes: of those that write, there is one at a time."""
    return 1 + int(connection.execute(text(_LATEST)).scalar() or 0)


def last_switch(connection: Connection) -> int:
    """The change by which another release came to answer, the last one; 0 where there was none."""
    return int(connection.execute(select(func.max(_ANSWERING.c.change))).scalar() or 0)


def answer_from(connection: Connection, dataset: str, release: str) -> None:
    """Note that a release answers from now on; the first of its dataset always did, since nothing did without it."""
    known = select(_ANSWERING.c.change).where(_ANSWERING.c.dataset == dataset).limit(1)
    change = 0 if connection.execute(known).first() is None else next_change(connection)
    connection.execute(insert(_ANSWERING).values(dataset=dataset, change=change, release=release))


def releases_at(engine: Engine, at: int) -> dict[str, str]:
    """By dataset, the releases that answered as of a change; some may not be in the store any more."""
    query = select(_ANSWERING.c.dataset, _ANSWERING.c.release).where(_ANSWERING.c.change <= at)
    with reading(engine) as connection:
        return {row.dataset: row.release for row in connection.execute(query.order_by(_ANSWERING.c.change))}


def switched_between(engine: Engine, after: int, before: int) -> bool:
    """Whether another release came to answer between two changes."""
    query = select(_ANSWERING.c.change).where(_ANSWERING.c.change > after, _ANSWERING.c.change < before).limit(1)
    with reading(engine) as connection:
        return connection.execute(query).first() is not None
