"""Every change of the book beside the jobs: units' files, the shop's own figures, customers."""

from __future__ import annotations

from typing import Any

from forkwright.app.workshop.desk import DeskNow
from forkwright.app.workshop.questions import CustomerChange, NewFigure, NewUnitFile
from forkwright.app.workshop.views import customer_view, unit_view
from forkwright.shop.conflicts import change_record
from forkwright.shop.file_texts import check_unit_text, name_and_kind
from forkwright.shop.records import Customer, Figure, Unit
from forkwright.shop.register import add_figure, add_unit_file, required
from forkwright.shop.store import delete, find
from forkwright.units import InputError


def unit_file(desk: DeskNow, unit_id: str, asked: NewUnitFile) -> dict[str, Any]:
    """Keep a new version of a unit's file."""
    with desk.change("take in") as session:
        unit = find(session, Unit, unit_id)
        _, kind = name_and_kind(asked.toml)
        if kind != unit.kind:
            raise InputError(
                "the file describes another kind of unit", key="kind", value=kind, allowed=unit.kind
            )
        add_unit_file(session, unit, asked.toml, reason=asked.reason, file_check=check_unit_text)
    with desk.look() as session:
        return unit_view(session, unit_id)


def figure(desk: DeskNow, asked: NewFigure) -> dict[str, Any]:
    """Enter one of the shop's own figures."""
    with desk.change("figures") as session:
        added = add_figure(session, **asked.model_dump())
        names = ("id", "kind", "unit_name", "item", "value", "source")
        facts = {name: getattr(added, name) for name in names}
    said = [] if asked.source else ["no source entered: say in which manual and on which page it stands"]
    return {**facts, "warnings": said}


def remove_figure(desk: DeskNow, figure_id: str) -> dict[str, Any]:
    """Mark a figure as deleted."""
    with desk.change("figures") as session:
        delete(session, find(session, Figure, figure_id))
    return {"id": figure_id, "warnings": []}


def customer(desk: DeskNow, customer_id: str, asked: CustomerChange) -> dict[str, Any]:
    """Change a customer."""
    with desk.change("take in") as session:
        found = find(session, Customer, customer_id)
        fields = asked.model_dump(exclude={"read_version"})
        fields["name"] = required(asked.name, "name")
        change_record(session, found, fields, read_version=asked.read_version)
    with desk.look() as session:
        return {**customer_view(find(session, Customer, customer_id)), "warnings": []}
