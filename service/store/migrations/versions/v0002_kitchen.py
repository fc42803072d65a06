"""What kitchens save: recipes, own foods and standing choices, every revision of them."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    texts = [sa.Column(name, sa.String(), nullable=False) for name in ("kitchen", "kind")]
    wholes = [sa.Column(name, sa.Integer(), nullable=False) for name in ("number", "revision")]
    flags: list[sa.Column[bool]] = [sa.Column(name, sa.Boolean(), nullable=False) for name in ("latest", "deleted")]
    op.create_table(
        "kitchen_document", sa.Column("change", sa.Integer(), primary_key=True, autoincrement=True), *texts, *wholes,
        sa.Column("saved", sa.String(), nullable=False), *flags, sa.Column("title", sa.String(), nullable=False),
        sa.Column("folded", sa.String(), nullable=False), sa.Column("body", sa.Text(), nullable=False))
    op.create_index("one_revision", "kitchen_document", ["kitchen", "kind", "number", "revision"], unique=True)
    op.create_index("latest_documents", "kitchen_document", ["kitchen", "kind", "latest", "folded"])
    op.create_table(
        "kitchen_use", sa.Column("change", sa.Integer(), sa.ForeignKey("kitchen_document.change", ondelete="CASCADE"),
                                 primary_key=True, nullable=False),
        sa.Column("food_id", sa.String(), primary_key=True, nullable=False))
    op.create_index("uses_of_food", "kitchen_use", ["food_id"])
