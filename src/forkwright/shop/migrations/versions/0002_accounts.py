"""Accounts for sharing the workbench on the shop's network."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def record_columns() -> list[sa.Column[Any]]:
    """Return the columns that every record has, as they stood in this version."""
    return [
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.String(27), nullable=False),
        sa.Column("changed_at", sa.String(27), nullable=False),
        sa.Column("deleted_at", sa.String(27), nullable=True),
        sa.Column("search_text", sa.Text(), nullable=False),
    ]


def upgrade() -> None:
    op.create_table(
        "account",
        sa.Column("name", sa.String(length=64), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        *record_columns(),
        sa.CheckConstraint("role IN ('technician', 'front desk', 'read-only')", name=op.f("ck_account_role")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account")),
        sa.UniqueConstraint("name", name=op.f("uq_account_name")),
    )
    op.create_table(
        "sign_in_attempt",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("name", sa.String(length=64), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_attempt")),
    )
    op.create_index(op.f("ix_sign_in_attempt_address"), "sign_in_attempt", ["address"], unique=False)
    op.create_index(op.f("ix_sign_in_attempt_at"), "sign_in_attempt", ["at"], unique=False)
    op.create_index(op.f("ix_sign_in_attempt_name"), "sign_in_attempt", ["name"], unique=False)
    op.create_table(
        "signed_in",
        sa.Column("token_digest", sa.String(length=64), nullable=False),
        sa.Column("account_id", sa.String(length=32), nullable=False),
        sa.Column("started_at", sa.String(27), nullable=False),
        sa.Column("seen_at", sa.String(27), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_signed_in_account_id")),
        sa.PrimaryKeyConstraint("token_digest", name=op.f("pk_signed_in")),
    )
    op.create_index(op.f("ix_signed_in_account_id"), "signed_in", ["account_id"], unique=False)
