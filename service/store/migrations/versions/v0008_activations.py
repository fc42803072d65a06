"""Every activation of a release, so that the way back is known where one release was active several times; and from
which change on each release answered."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    op.create_table(
        "release_activation",
        sa.Column("release_id", sa.Integer(), sa.ForeignKey("dataset_release.id", ondelete="CASCADE"),
                  primary_key=True),
        sa.Column("number", sa.Integer(), primary_key=True, autoincrement=False))
    op.execute("INSERT INTO release_activation SELECT id, activated FROM dataset_release WHERE activated > 0")
    answering = op.create_table(
        "answering_release",
        sa.Column("dataset", sa.String(), primary_key=True),
        sa.Column("change", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("release", sa.String(), nullable=False))
    if rows := _answered(op.get_bind()):
        op.bulk_insert(answering, rows)


def _answered(connection: sa.Connection) -> list[dict[str, object]]:
    """What answered as far as is known: at each save what a recipe was worked out by, and then what answers now."""
    noted = connection.execute(sa.text("SELECT dataset, change, release FROM kitchen_release ORDER BY change")).all()
    last = int(connection.execute(sa.text("SELECT max(change) FROM kitchen_document")).scalar() or 0)
    now = connection.execute(sa.text("SELECT dataset, release FROM dataset_release WHERE active ORDER BY id")).all()
    answered: dict[str, str] = {}
    rows: list[dict[str, object]] = []
    for dataset, change, release in [*noted, *((dataset, last + 1, release) for dataset, release in now)]:
        if answered.get(dataset) != release:
            first = dataset not in answered
            rows.append({"dataset": dataset, "change": 0 if first else change, "release": release})
            answered[dataset] = release
    return rows
