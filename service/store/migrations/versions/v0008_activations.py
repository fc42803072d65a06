"""Every activation of a release, so that the way back is known where one release was active several times."""

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
