"""A job's papers as downloads: set-up card, report, pressure spreadsheet, in the units asked for."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Query, Response

from forkwright.app.question import chosen_units
from forkwright.app.workshop.desk import Desk
from forkwright.app.workshop.routes import Number, StoreRoute
from forkwright.units import UnitChoice

router = APIRouter(prefix="/jobs/{number}", route_class=StoreRoute, default_response_class=Response)


async def _units(
    pressure: Annotated[Literal["psi", "bar", "kPa"], Query()] = "psi",
    length: Annotated[Literal["mm", "in"], Query()] = "mm",
    temperature: Annotated[Literal["°C", "°F"], Query()] = "°C",
) -> UnitChoice:
    return chosen_units({"pressure": pressure, "length": length, "temperature": temperature})


Units = Annotated[UnitChoice, Depends(_units)]


@router.get("/card.pdf")
def card(
    number: Number, desk: Desk, units: Units, paper: Annotated[Literal["a5", "a4"], Query()] = "a5"
) -> Response:
    """Return the one-page set-up card with a QR code of the settings."""
    from forkwright.app.workshop import papers

    return papers.card(desk, number, paper, units)


@router.get("/report.pdf")
def report(number: Number, desk: Desk, units: Units) -> Response:
    """Return the full report with curves before and after."""
    from forkwright.app.workshop import papers

    return papers.report(desk, number, units)


@router.get("/pressures.xlsx")
def pressures(number: Number, desk: Desk, units: Units) -> Response:
    """Return the spreadsheet of gauge pressure against temperature, with live formulas."""
    from forkwright.app.workshop import papers

    return papers.pressures(desk, number, units)
