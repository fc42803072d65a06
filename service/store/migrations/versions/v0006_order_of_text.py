"""Text of a PostgreSQL store in order of its characters' numbers, as SQLite has it, whatever the server's language."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    connection = op.get_bind()
    if connection.dialect.name != "postgresql":
        return
    found = sa.inspect(connection)
    for table in sorted(set(found.get_table_names()) - {"alembic_version"}):
        for column in found.get_columns(table):
            if isinstance(column["type"], sa.String):
                kind = "text" if isinstance(column["type"], sa.Text) else "varchar"
                op.execute(f'ALTER TABLE {table} ALTER COLUMN {column["name"]} TYPE {kind} COLLATE "C"')
