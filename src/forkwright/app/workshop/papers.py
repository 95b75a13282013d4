"""A job's papers as downloads: set-up card, report, pressure spreadsheet."""

from __future__ import annotations

from typing import Literal

from fastapi.responses import Response

from forkwright.app.wire import SPREADSHEET
from forkwright.app.workshop.desk import DeskNow
from forkwright.sheets.job_papers import JobPapers, book_of_job, card_of_job, papers_of
from forkwright.shop.jobs import job_by_number
from forkwright.units import UnitChoice


def card(desk: DeskNow, number: int, paper: Literal["a5", "a4"], units: UnitChoice) -> Response:
    """Return the set-up card as PDF."""
    from forkwright.sheets.setup_card import print_setup_card

    papers = _papers(desk, number)
    printed = print_setup_card(card_of_job(papers, units), paper)
    return _file(printed.content, "application/pdf", f"{papers.name}-card.pdf")


def report(desk: DeskNow, number: int, units: UnitChoice) -> Response:
    """Return the full report as PDF."""
    from forkwright.sheets.job_report import report_of_job
    from forkwright.sheets.pdf_report import print_report

    papers = _papers(desk, number)
    printed = print_report(report_of_job(papers, units))
    return _file(printed.content, "application/pdf", f"{papers.name}-report.pdf")


def pressures(desk: DeskNow, number: int, units: UnitChoice) -> Response:
    """Return the spreadsheet of gauge readings."""
    from forkwright.sheets.pressure_book import write_pressure_book

    papers = _papers(desk, number)
    content = write_pressure_book(book_of_job(papers, units))
    return _file(content, SPREADSHEET, f"{papers.name}-pressures.xlsx")


def _papers(desk: DeskNow, number: int) -> JobPapers:
    with desk.look() as session:
        return papers_of(session, job_by_number(session, number))


def _file(content: bytes, kind: str, name: str) -> Response:
    return Response(
        content, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'}
    )
