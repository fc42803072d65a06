"""Alembic's environment: runs the versions inside the transaction that `upgrade` was given."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=False)
context.run_migrations()
