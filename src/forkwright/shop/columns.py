"""What every record has: a name that never changes, a version to lock by, stamps, and a mark for deleted."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Boolean, Float, Integer, MetaData, String, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column
from sqlalchemy.types import TypeDecorator

Clock = Callable[[], datetime]


def wall_clock() -> datetime:
    """Return the time of day in UTC (aware)."""
    return datetime.now(UTC)


def new_id() -> str:
    """Return a fresh record name: 32 random hexadecimal digits."""
    return uuid.uuid4().hex


class Moment(TypeDecorator[datetime]):
    """A UTC instant kept as text (``2031-04-05T06:07:08.000009Z``).

    Text sorts as time does, means the same in both databases and stands unchanged in every export.
    """

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Any) -> str | None:  # noqa: ARG002 - fixed by the base class
        return None if value is None else moment_text(value)

    def process_result_value(self, value: str | None, dialect: Any) -> datetime | None:  # noqa: ARG002 - fixed by the base class
        return None if value is None else moment_of(value)


class Day(TypeDecorator[date]):
    """A calendar day kept as text (``2031-04-05``), for the same reasons as `Moment`."""

    impl = String(10)
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Any) -> str | None:  # noqa: ARG002 - fixed by the base class
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: Any) -> date | None:  # noqa: ARG002 - fixed by the base class
        return None if value is None else date.fromisoformat(value)


def moment_text(moment: datetime) -> str:
    """Return an aware instant as the store writes it.

    Examples
    --------
    >>> moment_text(datetime(2031, 4, 5, 6, 7, 8, 9, tzinfo=UTC))
    '2031-04-05T06:07:08.000009Z'
    """
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def moment_of(text: str) -> datetime:
    """Return the instant that `moment_text` wrote."""
    return datetime.strptime(text, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)


class Base(DeclarativeBase):
    """All tables of the store."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {  # noqa: RUF012 - SQLAlchemy's own way to declare it
        str: Text(),
        int: Integer(),
        float: Float(53),
        bool: Boolean(),
        datetime: Moment(),
        date: Day(),
    }


class Record(Base):
    """A row that people change: versioned, stamped, audited, deleted only by a mark."""

    __abstract__ = True

    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    version: Mapped[int] = mapped_column(Integer, nullable=False)
    created_at: Mapped[datetime]
    changed_at: Mapped[datetime]
    deleted_at: Mapped[datetime | None] = mapped_column(Moment())
    search_text: Mapped[str] = mapped_column(Text, default="", nullable=False)

    SEARCHED: tuple[str, ...] = ()  # which fields the search looks in

    @declared_attr.directive
    def __mapper_args__(cls) -> dict[str, Any]:  # noqa: N805 - the class is meant
        return {"version_id_col": cls.__table__.c.version}
