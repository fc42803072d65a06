"""Releases of datasets: foods, components, values, measures and their texts."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def _text(name: str, *, key: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String(), primary_key=key, nullable=False)


def _real(name: str, *, null: bool = False) -> sa.Column[float]:
    return sa.Column(name, sa.Float(), nullable=null)


def _whole(name: str, *, key: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), primary_key=key, nullable=False, autoincrement=False)


def _of(target: str, *, key: bool = True) -> sa.Column[int]:
    foreign = sa.ForeignKey(f"{target}.id", ondelete="CASCADE")
    return sa.Column(f"{target.removeprefix('dataset_')}_id", sa.Integer(), foreign, primary_key=key, nullable=False)


def upgrade() -> None:
    _releases()
    _foods()
    for name in ("source_text", "derivation_text", "langual_term"):
        op.create_table(name, _of("dataset_release"), _text("code", key=True), _text("text"))


def _releases() -> None:
    op.create_table(
        "dataset_release", _whole("id", key=True), *map(_text, ("dataset", "name", "release", "licence", "citation")),
        *map(_whole, ("foods", "components", "component_values", "measures")), _text("loaded"),
        sa.Column("active", sa.Boolean(), nullable=False))
    op.create_index("one_release", "dataset_release", ["dataset", "release"], unique=True)
    active = sa.text("active")
    op.create_index("one_active", "dataset_release", ["dataset"], unique=True, sqlite_where=active,
                    postgresql_where=active)
    op.create_table("component", _of("dataset_release"), _whole("position", key=True),
                    *map(_text, ("tagname", "number", "name", "unit")), _whole("decimals"))
    op.create_index("one_tagname", "component", ["release_id", "tagname"], unique=True)
    op.create_table("food_group", _of("dataset_release"), _text("code", key=True), _text("name"))


def _foods() -> None:
    texts = ("code", "description", "short_description", "group_code", "common_name", "scientific_name", "manufacturer")
    factors = ("protein_factor", "fat_factor", "carbohydrate_factor", "nitrogen_factor")
    op.create_table("food", _whole("id", key=True), _of("dataset_release", key=False), *map(_text, texts),
                    _real("refuse_percent", null=True), _text("refuse_text"),
                    *(_real(name, null=True) for name in factors),
                    sa.Column("amounts", sa.LargeBinary(), nullable=False))
    op.create_index("one_code", "food", ["release_id", "code"], unique=True)
    op.create_table("household_measure", _of("food"), _whole("sequence", key=True), _real("amount"), _text("text"),
                    _real("grams"))
    op.create_table("component_value", _of("food"), _whole("component", key=True), _real("amount"), _whole("samples"),
                    _real("standard_error", null=True), _text("source"), _text("derivation"),
                    sqlite_with_rowid=False)
    op.create_table("food_langual", _of("food"), _text("code", key=True))
    op.create_table("footnote", _of("food"), _whole("position", key=True),
                    *map(_text, ("number", "kind", "component", "text")))
