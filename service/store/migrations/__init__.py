"""Migrations of the store's schema, run programmatically, so that an installed copy needs no checkout.

A new version is a module in versions/ (next number, `down_revision` the last), and `SCHEMA_VERSION` in engine.py.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection


def upgrade(connection: Connection) -> None:
    """Bring the database of this transaction to the newest version."""
    from alembic import command  # slow to import, and seldom needed
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
