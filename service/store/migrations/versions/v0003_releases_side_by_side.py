"""Releases side by side: what a value is when it is no plain figure, bases, order of activation, names and links."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

_SET = sa.text("loaded <> ''")


def _text(table: str, name: str, default: str = "") -> None:
    op.add_column(table, sa.Column(name, sa.String(), nullable=False, server_default=default))


def upgrade() -> None:
    _text("component_value", "qualifier")
    for name, default in (("carbohydrate_basis", "total"), ("energy_basis", ""), ("fibre_method", "")):
        _text("dataset_release", name, default)
    op.add_column("dataset_release", sa.Column("activated", sa.Integer(), nullable=False, server_default="0"))
    op.execute("UPDATE dataset_release SET activated = 1 WHERE active")
    op.drop_index("one_release", "dataset_release")
    op.create_index("one_release", "dataset_release", ["dataset", "release"], unique=True, sqlite_where=_SET,
                    postgresql_where=_SET)
    _text("food", "original_name")
    _text("food", "linked")
