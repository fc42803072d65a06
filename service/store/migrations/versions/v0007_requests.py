"""The names that clients gave to requests by which something was first saved: a request sent twice is one."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    texts = [sa.Column(name, sa.String(), nullable=False) for name in ("kitchen", "kind", "request")]
    op.create_table(
        "kitchen_request",
        sa.Column("change", sa.Integer(), sa.ForeignKey("kitchen_document.change", ondelete="CASCADE"),
                  primary_key=True),
        *texts)
    op.create_index("one_request", "kitchen_request", ["kitchen", "kind", "request"], unique=True)
