"""GTINs of packaged foods, and the releases that each saved revision was worked out with."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

_HAS_GTIN = sa.text("gtin <> ''")


def upgrade() -> None:
    op.add_column("food", sa.Column("gtin", sa.String(), nullable=False, server_default=""))
    op.create_index("foods_by_gtin", "food", ["gtin"], sqlite_where=_HAS_GTIN, postgresql_where=_HAS_GTIN)
    op.create_table(
        "kitchen_release",
        sa.Column("change", sa.Integer(), sa.ForeignKey("kitchen_document.change", ondelete="CASCADE"),
                  primary_key=True),
        sa.Column("dataset", sa.String(), primary_key=True),
        sa.Column("release", sa.String(), nullable=False))
    op.create_index("revisions_of_release", "kitchen_release", ["dataset", "release"])
