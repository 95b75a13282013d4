"""Taking a unit in at the counter: the unit, its owner and its bike are found again or written down anew."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.conflicts import change_record
from forkwright.shop.file_texts import bike_name, check_bike_text, check_unit_text, name_and_kind
from forkwright.shop.records import Bike, Customer, Unit
from forkwright.shop.register import add_bike, add_customer, add_unit, add_unit_file
from forkwright.shop.store import find


@dataclass(frozen=True)
class Arrival:
    """What is said about a unit that comes in; empty where nothing was said.

    Attributes
    ----------
    unit_id : str
        A unit already in the book.
    unit_text, bike_text : str
        The texts of their files; a bike's file lets the set-up card state the sag to check.
    kind, name, serial : str
        Of the unit; its file, if there is one, goes before kind and name.
    customer, phone, email : str
        The owner: found by name, or new.
    bike : str
        Its name: found among the owner's, or new; its file's own name, if empty.
    """

    unit_id: str = ""
    unit_text: str = ""
    kind: str = ""
    name: str = ""
    serial: str = ""
    customer: str = ""
    phone: str = ""
    email: str = ""
    bike: str = ""
    bike_text: str = ""


def take_in(session: Session, arrival: Arrival) -> Unit:
    """Return the unit that came in; a known one changes hands and bikes with what is said now.

    Raises
    ------
    InputError
        A file is not sound, or the unit has no name or kind.
    """
    unit = _known_unit(session, arrival)
    owner = _owner(session, arrival)
    owner_id = owner.id if owner is not None else None if unit is None else unit.customer_id
    bike = _bike(session, arrival, owner_id)
    if unit is None:
        name, kind = _name_and_kind(arrival)
        unit = add_unit(
            session,
            kind=kind,
            name=name,
            serial=arrival.serial,
            customer_id=owner_id,
            bike_id=None if bike is None else bike.id,
        )
    else:
        now = {"customer_id": owner_id, "bike_id": unit.bike_id if bike is None else bike.id}
        changed = {key: value for key, value in now.items() if getattr(unit, key) != value}
        if changed:
            change_record(session, unit, changed)
    if arrival.unit_text:
        add_unit_file(session, unit, arrival.unit_text, reason="at intake", file_check=check_unit_text)
    return unit


def _known_unit(session: Session, arrival: Arrival) -> Unit | None:
    if arrival.unit_id:
        return find(session, Unit, arrival.unit_id)
    if not arrival.serial:
        return None
    known = select(Unit).where(Unit.name == _name_and_kind(arrival)[0], Unit.serial == arrival.serial)
    return session.scalars(known).first()


def _name_and_kind(arrival: Arrival) -> tuple[str, str]:
    return name_and_kind(arrival.unit_text) if arrival.unit_text else (arrival.name.strip(), arrival.kind)


def _owner(session: Session, arrival: Arrival) -> Customer | None:
    if not arrival.customer:
        return None
    found = session.scalars(select(Customer).where(Customer.name == arrival.customer)).first()
    return found or add_customer(session, name=arrival.customer, phone=arrival.phone, email=arrival.email)


def _bike(session: Session, arrival: Arrival, owner_id: str | None) -> Bike | None:
    name = arrival.bike or (bike_name(arrival.bike_text) if arrival.bike_text else "")
    if not name:
        return None
    found = session.scalars(select(Bike).where(Bike.name == name, Bike.customer_id == owner_id)).first()
    text = arrival.bike_text
    if found is None:
        return add_bike(session, name=name, customer_id=owner_id, file_text=text, file_check=check_bike_text)
    if text and text != found.file_text:
        check_bike_text(text)
        change_record(session, found, {"file_text": text})
    return found
