"""The book beside the jobs as JSON: units and their files, search, the shop's own figures, customers."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Response

from forkwright.app.acts import asks_itself
from forkwright.app.wire import Answer
from forkwright.app.workshop import questions as ask
from forkwright.app.workshop.book_shapes import (
    CustomerAnswer,
    FigureAnswer,
    FigureGone,
    SearchAnswer,
    UnitAnswer,
)
from forkwright.app.workshop.desk import Desk
from forkwright.app.workshop.routes import Number, RecordId, StoreRoute

router = APIRouter(route_class=StoreRoute)


@router.get("/units/{unit_id}", response_model=UnitAnswer)
def unit(unit_id: RecordId, desk: Desk) -> Answer:
    """Tell everything about a unit: versions of its file, jobs, all that ever happened to it."""
    from forkwright.app.workshop.views import unit_view

    with desk.look() as session:
        return Answer(unit_view(session, unit_id))


@router.post("/units/{unit_id}/files", response_model=UnitAnswer)
@asks_itself
def unit_file(unit_id: RecordId, asked: ask.NewUnitFile, desk: Desk) -> Answer:
    """Keep a new version of a unit's file."""
    from forkwright.app.workshop import book_writing

    return Answer(book_writing.unit_file(desk, unit_id, asked))


@router.get("/units/{unit_id}/files/{ordinal}", response_class=Response)
def kept_file(unit_id: RecordId, ordinal: Number, desk: Desk) -> Response:
    """Return one version of a unit's file as it was kept."""
    from forkwright.app.workshop.views import unit_file_text

    with desk.look() as session:
        text = unit_file_text(session, unit_id, ordinal)
    name = f'attachment; filename="unit-version-{ordinal}.toml"'
    return Response(text, media_type="application/toml", headers={"content-disposition": name})


@router.get("/search", response_model=SearchAnswer)
def search(desk: Desk, words: Annotated[str, Query(max_length=300)]) -> Answer:
    """Find customers, units, jobs, notes, parts and figures in which every word occurs."""
    from forkwright.app.workshop.views import found

    with desk.look() as session:
        return Answer({"hits": found(session, words), "warnings": []})


@router.post("/figures", response_model=FigureAnswer)
@asks_itself
def figure(asked: ask.NewFigure, desk: Desk) -> Answer:
    """Enter one of the shop's own figures from the maker's manual."""
    from forkwright.app.workshop import book_writing

    return Answer(book_writing.figure(desk, asked))


@router.delete("/figures/{figure_id}", response_model=FigureGone)
@asks_itself
def remove_figure(figure_id: RecordId, desk: Desk) -> Answer:
    """Mark a figure as deleted."""
    from forkwright.app.workshop import book_writing

    return Answer(book_writing.remove_figure(desk, figure_id))


@router.put("/customers/{customer_id}", response_model=CustomerAnswer)
@asks_itself
def customer(customer_id: RecordId, asked: ask.CustomerChange, desk: Desk) -> Answer:
    """Change a customer."""
    from forkwright.app.workshop import book_writing

    return Answer(book_writing.customer(desk, customer_id, asked))
