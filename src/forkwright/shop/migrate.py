"""Bringing a store's tables up to the version this program works with."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine

from forkwright.shop.migrations import NEWEST

if TYPE_CHECKING:
    from alembic.config import Config

FOLDER = Path(__file__).parent / "migrations"


def upgrade(engine: Engine, to: str = NEWEST) -> None:
    """Bring the tables up to version `to` in one transaction; harmless when they are there already."""
    with engine.begin() as connection:
        upgrade_on(connection, to)


def upgrade_on(connection: Connection, to: str = NEWEST) -> None:
    """Bring the tables up on a connection whose transaction the caller holds."""
    from alembic import command

    command.upgrade(_config(connection), to)


def versions() -> list[str]:
    """Return every version of the tables, oldest first."""
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory(str(FOLDER))
    return [script.revision for script in scripts.walk_revisions()][::-1]


def _config(connection: Connection) -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
