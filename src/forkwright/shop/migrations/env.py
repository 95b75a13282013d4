"""Alembic's entry: run the wanted steps on the connection that `forkwright.shop.migrate` hands over.

All steps of one upgrade share one transaction, in SQLite too: a power cut half-way leaves the old tables.
"""

from __future__ import annotations

from alembic import context


def run_steps() -> None:
    """Run what Alembic was asked for."""
    context.configure(
        connection=context.config.attributes["connection"],
        transactional_ddl=True,
        transaction_per_migration=False,
    )
    context.run_migrations()


if hasattr(context, "config"):  # only there while Alembic runs this file, not when the package is walked
    run_steps()
