"""Who and what the shop knows: customers, bikes, units, every version of a unit's file, the shop's figures.

The figures (torques, oil amounts, pressures, wear limits) are typed in by the shop from the maker's manual;
the program ships none.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from forkwright.shop.columns import Base, Record

UNIT_KINDS = ("fork", "shock")
FIGURE_KINDS = ("torque", "pressure", "oil", "wear", "interval", "other")


def one_of(column: str, choices: tuple[str, ...]) -> CheckConstraint:
    """Return the rule that `column` holds one of `choices`."""
    listed = ", ".join(f"'{choice}'" for choice in choices)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


def points_to(table: str) -> Mapped[str]:
    """Return a column that must name a row of `table`."""
    return mapped_column(String(32), ForeignKey(f"{table}.id"), index=True, nullable=False)


def may_point_to(table: str) -> Mapped[str | None]:
    """Return a column that may name a row of `table`."""
    return mapped_column(String(32), ForeignKey(f"{table}.id"), index=True, nullable=True)


class Customer(Record):
    """A person or club that brings work."""

    __tablename__ = "customer"
    SEARCHED = ("name", "phone", "email", "remark")

    name: Mapped[str]
    phone: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    remark: Mapped[str] = mapped_column(default="")


class Bike(Record):
    """A bike, with its file if the shop has measured it."""

    __tablename__ = "bike"
    SEARCHED = ("name", "remark")

    customer_id: Mapped[str | None] = may_point_to("customer")
    name: Mapped[str]
    file_text: Mapped[str] = mapped_column(default="")
    remark: Mapped[str] = mapped_column(default="")


class Unit(Record):
    """One fork or shock: the thing itself, known by its serial number, through owners and rebuilds."""

    __tablename__ = "unit"
    __table_args__ = (one_of("kind", UNIT_KINDS),)
    SEARCHED = ("name", "serial", "remark")

    customer_id: Mapped[str | None] = may_point_to("customer")
    bike_id: Mapped[str | None] = may_point_to("bike")
    kind: Mapped[str]
    name: Mapped[str]
    serial: Mapped[str] = mapped_column(default="")
    remark: Mapped[str] = mapped_column(default="")


class UnitVersion(Record):
    """The unit's file as it stood at one time; never changed afterwards."""

    __tablename__ = "unit_version"
    __table_args__ = (UniqueConstraint("unit_id", "ordinal"),)

    unit_id: Mapped[str] = points_to("unit")
    ordinal: Mapped[int]
    file_text: Mapped[str]
    digest: Mapped[str] = mapped_column(String(64))  # SHA-256 of the text in UTF-8, hexadecimal
    reason: Mapped[str] = mapped_column(default="")


class Figure(Record):
    """One figure of the shop's own, from the maker's manual: which unit, what, how much, where it stands."""

    __tablename__ = "figure"
    __table_args__ = (one_of("kind", FIGURE_KINDS),)
    SEARCHED = ("unit_name", "item", "value", "source")

    kind: Mapped[str]
    unit_name: Mapped[str] = mapped_column(default="")  # as the unit's file says; empty: any unit
    item: Mapped[str]  # a check-list key for wear, free words otherwise
    value: Mapped[str]  # with its unit, as typed
    source: Mapped[str] = mapped_column(default="")  # manual, edition, page


class Counter(Base):
    """The last number given out, so that two benches never give the same one."""

    __tablename__ = "counter"

    name: Mapped[str] = mapped_column(String(32), primary_key=True)
    value: Mapped[int]
