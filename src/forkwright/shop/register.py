"""Taking people and things into the shop's book: customers, bikes, units and their files, figures."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Callable

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from forkwright.shop.records import FIGURE_KINDS, UNIT_KINDS, Bike, Customer, Figure, Unit, UnitVersion
from forkwright.shop.store import add
from forkwright.units import InputError

FileCheck = Callable[[str], object]
"""Reads a unit's or bike's TOML text and raises `InputError` when it is not sound."""


def add_customer(
    session: Session, *, name: str, phone: str = "", email: str = "", remark: str = ""
) -> Customer:
    """Take in a customer."""
    return add(
        session, Customer(name=required(name, "customer name"), phone=phone, email=email, remark=remark)
    )


def add_bike(
    session: Session,
    *,
    name: str,
    customer_id: str | None = None,
    file_text: str = "",
    remark: str = "",
    file_check: FileCheck | None = None,
) -> Bike:
    """Take in a bike, with its file's text if there is one."""
    if file_text and file_check is not None:
        file_check(file_text)
    bike = Bike(name=required(name, "bike name"), customer_id=customer_id, file_text=file_text, remark=remark)
    return add(session, bike)


def add_unit(
    session: Session,
    *,
    kind: str,
    name: str,
    serial: str = "",
    customer_id: str | None = None,
    bike_id: str | None = None,
    remark: str = "",
) -> Unit:
    """Take in a fork or shock.

    Raises
    ------
    InputError
        The kind is neither, the name is empty, or a unit with this name and serial number is already known.
    """
    if kind not in UNIT_KINDS:
        raise InputError("unknown kind of unit", key="kind", value=kind, allowed=" or ".join(UNIT_KINDS))
    name = required(name, "unit name")
    if serial:
        known = session.scalars(select(Unit).where(Unit.name == name, Unit.serial == serial)).first()
        if known is not None:
            raise InputError("this unit is already in the book", key="serial", value=serial)
    unit = Unit(kind=kind, name=name, serial=serial, customer_id=customer_id, bike_id=bike_id, remark=remark)
    return add(session, unit)


def add_unit_file(
    session: Session, unit: Unit, file_text: str, *, reason: str = "", file_check: FileCheck | None = None
) -> UnitVersion:
    """Keep the unit's file as it stands now. The same text as the newest version makes no new one.

    Parameters
    ----------
    file_check : callable, optional
        Refuses text that is not a sound unit file.
    """
    if file_check is not None:
        file_check(file_text)
    newest = newest_file(session, unit.id)
    digest = text_digest(file_text)
    if newest is not None and newest.digest == digest:
        return newest
    version = UnitVersion(
        unit_id=unit.id,
        ordinal=1 + (newest.ordinal if newest is not None else 0),
        file_text=plain_line_ends(file_text),
        digest=digest,
        reason=reason,
    )
    return add(session, version)


def unit_files(session: Session, unit_id: str) -> list[UnitVersion]:
    """Return every version of the unit's file, oldest first."""
    query = select(UnitVersion).where(UnitVersion.unit_id == unit_id).order_by(UnitVersion.ordinal)
    return list(session.scalars(query))


def newest_file(session: Session, unit_id: str) -> UnitVersion | None:
    """Return the newest version of the unit's file, None when the shop has none."""
    versions = unit_files(session, unit_id)
    return versions[-1] if versions else None


def add_figure(
    session: Session, *, kind: str, item: str, value: str, unit_name: str = "", source: str = ""
) -> Figure:
    """Enter one of the shop's own figures from the maker's manual.

    Raises
    ------
    InputError
        Unknown kind, or an empty item or value.
    """
    if kind not in FIGURE_KINDS:
        raise InputError("unknown kind of figure", key="kind", value=kind, allowed=", ".join(FIGURE_KINDS))
    figure = Figure(
        kind=kind,
        item=required(item, "item"),
        value=required(value, "value"),
        unit_name=unit_name,
        source=source,
    )
    return add(session, figure)


def figures_for(session: Session, unit_name: str, kind: str | None = None) -> list[Figure]:
    """Return the shop's figures for units of this name, the particular before the general."""
    query = select(Figure).where(Figure.unit_name.in_((unit_name, "")))
    if kind is not None:
        query = query.where(Figure.kind == kind)
    ordered = query.order_by(func.length(Figure.unit_name).desc(), Figure.item, Figure.id)
    return list(session.scalars(ordered))


def text_digest(file_text: str) -> str:
    """Return the SHA-256 (hexadecimal) of a file's text in UTF-8 with plain line ends."""
    return hashlib.sha256(plain_line_ends(file_text).encode()).hexdigest()


def plain_line_ends(file_text: str) -> str:
    """Return the text with plain line feeds and composed letters, as the store keeps it."""
    return unicodedata.normalize("NFC", file_text.replace("\r\n", "\n").replace("\r", "\n"))


def required(text: str, what: str) -> str:
    """Return `text` without outer blanks, or say that it must not be empty."""
    stripped = text.strip()
    if not stripped:
        raise InputError("must not be empty", key=what, value=text)
    return stripped
