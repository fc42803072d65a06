"""Keys of the API: who is let in, to which kitchen, and what for."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    texts = [sa.Column(name, sa.String(), nullable=False) for name in ("id", "kitchen", "name", "scopes", "hash")]
    limits = [sa.Column(name, sa.Integer(), nullable=True) for name in ("quota", "burst")]
    times = [sa.Column(name, sa.String(), nullable=False) for name in ("created", "revoked")]
    op.create_table(
        "api_key", sa.Column("number", sa.Integer(), primary_key=True, autoincrement=True), *texts, *limits, *times,
        sa.Column("revision", sa.Integer(), nullable=False))
    op.create_index("one_key", "api_key", ["id"], unique=True)
