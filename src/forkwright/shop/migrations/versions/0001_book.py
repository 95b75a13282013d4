"""The shop's book: customers, bikes, units, jobs, the audit trail."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
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
        "counter",
        sa.Column("name", sa.String(length=32), nullable=False),
        sa.Column("value", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_counter")),
    )
    op.create_table(
        "customer",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("email", sa.Text(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
        *record_columns(),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
    )
    op.create_table(
        "figure",
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("unit_name", sa.Text(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        *record_columns(),
        sa.CheckConstraint(
            "kind IN ('torque', 'pressure', 'oil', 'wear', 'interval', 'other')", name=op.f("ck_figure_kind")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_figure")),
    )
    op.create_table(
        "history",
        sa.Column(
            "seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("actor", sa.Text(), nullable=False),
        sa.Column("action", sa.String(length=16), nullable=False),
        sa.Column("table_name", sa.String(length=32), nullable=False),
        sa.Column("record_id", sa.String(length=32), nullable=False),
        sa.Column("record_version", sa.Integer(), nullable=False),
        sa.Column("clock_back", sa.Boolean(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_history")),
    )
    op.create_index(op.f("ix_history_record_id"), "history", ["record_id"], unique=False)
    op.create_table(
        "bike",
        sa.Column("customer_id", sa.String(length=32), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("file_text", sa.Text(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
        *record_columns(),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_bike_customer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bike")),
    )
    op.create_index(op.f("ix_bike_customer_id"), "bike", ["customer_id"], unique=False)
    op.create_table(
        "unit",
        sa.Column("customer_id", sa.String(length=32), nullable=True),
        sa.Column("bike_id", sa.String(length=32), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
        *record_columns(),
        sa.CheckConstraint("kind IN ('fork', 'shock')", name=op.f("ck_unit_kind")),
        sa.ForeignKeyConstraint(["bike_id"], ["bike.id"], name=op.f("fk_unit_bike_id")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_unit_customer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_unit")),
    )
    op.create_index(op.f("ix_unit_bike_id"), "unit", ["bike_id"], unique=False)
    op.create_index(op.f("ix_unit_customer_id"), "unit", ["customer_id"], unique=False)
    op.create_table(
        "job",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("unit_id", sa.String(length=32), nullable=False),
        sa.Column("customer_id", sa.String(length=32), nullable=True),
        sa.Column("bike_id", sa.String(length=32), nullable=True),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("complaint", sa.Text(), nullable=False),
        sa.Column("rider_name", sa.Text(), nullable=False),
        sa.Column("rider_mass", sa.Text(), nullable=False),
        sa.Column("rider_manner", sa.Text(), nullable=False),
        sa.Column("riding_hours", sa.Float(precision=53), nullable=True),
        sa.Column("due_on", sa.String(10), nullable=True),
        sa.Column("work_done", sa.Text(), nullable=False),
        sa.Column("closed_at", sa.String(27), nullable=True),
        sa.Column("next_service_hours", sa.Float(precision=53), nullable=True),
        sa.Column("next_service_on", sa.String(10), nullable=True),
        sa.Column("next_service_reason", sa.Text(), nullable=False),
        *record_columns(),
        sa.CheckConstraint(
            "stage IN ('intake', 'inspection', 'waiting', 'work', 'check', 'ready', 'handed over', "
            "'cancelled')",
            name=op.f("ck_job_stage"),
        ),
        sa.ForeignKeyConstraint(["bike_id"], ["bike.id"], name=op.f("fk_job_bike_id")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_job_customer_id")),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_job_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
        sa.UniqueConstraint("number", name=op.f("uq_job_number")),
    )
    op.create_index(op.f("ix_job_bike_id"), "job", ["bike_id"], unique=False)
    op.create_index(op.f("ix_job_customer_id"), "job", ["customer_id"], unique=False)
    op.create_index(op.f("ix_job_unit_id"), "job", ["unit_id"], unique=False)
    op.create_table(
        "unit_version",
        sa.Column("unit_id", sa.String(length=32), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("file_text", sa.Text(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        *record_columns(),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_unit_version_unit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_unit_version")),
        sa.UniqueConstraint("unit_id", "ordinal", name=op.f("uq_unit_version_unit_id")),
    )
    op.create_index(op.f("ix_unit_version_unit_id"), "unit_version", ["unit_id"], unique=False)
    op.create_table(
        "finding",
        sa.Column("job_id", sa.String(length=32), nullable=False),
        sa.Column("item", sa.String(length=64), nullable=False),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("measured", sa.Text(), nullable=False),
        sa.Column("measured_m", sa.Float(precision=53), nullable=True),
        sa.Column("limit", sa.Text(), nullable=False),
        sa.Column("limit_m", sa.Float(precision=53), nullable=True),
        sa.Column("resolved", sa.Text(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
        *record_columns(),
        sa.CheckConstraint(
            "result IN ('good', 'watch', 'worn', 'stop', 'not checked')", name=op.f("ck_finding_result")
        ),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_finding_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finding")),
        sa.UniqueConstraint("job_id", "item", name=op.f("uq_finding_job_id")),
    )
    op.create_index(op.f("ix_finding_job_id"), "finding", ["job_id"], unique=False)
    op.create_table(
        "leak_down",
        sa.Column("job_id", sa.String(length=32), nullable=False),
        sa.Column("chamber", sa.Text(), nullable=False),
        sa.Column("start_pressure", sa.Text(), nullable=False),
        sa.Column("end_pressure", sa.Text(), nullable=False),
        sa.Column("hours", sa.Float(precision=53), nullable=False),
        sa.Column("start_temperature", sa.Text(), nullable=False),
        sa.Column("end_temperature", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        *record_columns(),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_leak_down_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_leak_down")),
    )
    op.create_index(op.f("ix_leak_down_job_id"), "leak_down", ["job_id"], unique=False)
    op.create_table(
        "material",
        sa.Column("job_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.Column("amount", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
        *record_columns(),
        sa.CheckConstraint("kind IN ('part', 'oil', 'grease', 'other')", name=op.f("ck_material_kind")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_material_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material")),
    )
    op.create_index(op.f("ix_material_job_id"), "material", ["job_id"], unique=False)
    op.create_table(
        "note",
        sa.Column("job_id", sa.String(length=32), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("author", sa.Text(), nullable=False),
        *record_columns(),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_note_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_note")),
    )
    op.create_index(op.f("ix_note_job_id"), "note", ["job_id"], unique=False)
    op.create_table(
        "photo",
        sa.Column("job_id", sa.String(length=32), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("caption", sa.Text(), nullable=False),
        *record_columns(),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_photo_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
    )
    op.create_index(op.f("ix_photo_job_id"), "photo", ["job_id"], unique=False)
    op.create_table(
        "setting_record",
        sa.Column("job_id", sa.String(length=32), nullable=False),
        sa.Column("moment", sa.Text(), nullable=False),
        sa.Column("pressure", sa.Text(), nullable=False),
        sa.Column("negative_pressure", sa.Text(), nullable=False),
        sa.Column("floating", sa.Text(), nullable=False),
        sa.Column("preload", sa.Text(), nullable=False),
        sa.Column("spacers", sa.Integer(), nullable=True),
        sa.Column("low_speed", sa.Integer(), nullable=True),
        sa.Column("high_speed", sa.Integer(), nullable=True),
        sa.Column("rebound", sa.Integer(), nullable=True),
        sa.Column("sag", sa.Text(), nullable=False),
        sa.Column("temperature", sa.Text(), nullable=False),
        sa.Column("altitude", sa.Text(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
        *record_columns(),
        sa.CheckConstraint("moment IN ('before', 'after')", name=op.f("ck_setting_record_moment")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_setting_record_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_setting_record")),
        sa.UniqueConstraint("job_id", "moment", name=op.f("uq_setting_record_job_id")),
    )
    op.create_index(op.f("ix_setting_record_job_id"), "setting_record", ["job_id"], unique=False)
    op.create_table(
        "signature",
        sa.Column("job_id", sa.String(length=32), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("statement", sa.Text(), nullable=False),
        sa.Column("job_digest", sa.String(length=64), nullable=False),
        *record_columns(),
        sa.CheckConstraint("role IN ('technician', 'customer')", name=op.f("ck_signature_role")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_signature_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signature")),
    )
    op.create_index(op.f("ix_signature_job_id"), "signature", ["job_id"], unique=False)
    op.execute("INSERT INTO counter (name, value) VALUES ('job', 0)")
