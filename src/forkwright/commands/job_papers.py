"""Writing a job's papers as files: set-up card, report, pressure spreadsheet, step card."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from forkwright.commands.options import Command
from forkwright.commands.sheet_options import ending_of

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from forkwright.sheets.document import Block
    from forkwright.shop.cards import Card
    from forkwright.shop.records_job import Job
    from forkwright.units import UnitChoice

PAPER = click.Path(dir_okay=False, path_type=Path)
_ENDINGS = {"card": ".pdf", "report": ".pdf", "pressures": ".xlsx"}


def pdf_option(what: str) -> Callable[[Command], Command]:
    """Return the option that writes a PDF beside what is shown."""
    return click.option("--pdf", type=PAPER, metavar="FILE", help=f"{what} Ends in .pdf.")


def write_papers(
    session: Session,
    job: Job,
    wanted: Mapping[str, Path],
    paper: Literal["a5", "a4"] = "a5",
    units: UnitChoice | None = None,
) -> tuple[str, ...]:
    """Write the wanted papers ("card", "report", "pressures") and return their warnings.

    Raises
    ------
    InputError
        The setting it leaves with is not written down, or the file's ending is another.
    """
    from forkwright.hardware.files import write_whole
    from forkwright.sheets.job_papers import book_of_job, card_of_job, papers_of
    from forkwright.sheets.job_report import report_of_job
    from forkwright.sheets.pdf_report import print_report
    from forkwright.sheets.pressure_book import write_pressure_book
    from forkwright.sheets.setup_card import print_setup_card

    papers = papers_of(session, job)
    warnings: list[str] = []
    for name, path in wanted.items():
        ending_of(str(path), (_ENDINGS[name],))
        if name == "pressures":
            book = book_of_job(papers, units)
            warnings += book.notes
            write_whole(path, write_pressure_book(book))
            continue
        if name == "card":
            card = card_of_job(papers, units)
            warnings += card.warnings
            printed = print_setup_card(card, paper)
        else:
            printed = print_report(report_of_job(papers, units))
        warnings += printed.warnings
        write_whole(path, printed.content)
    return tuple(dict.fromkeys(warnings))


def write_step_card(card: Card, figures: Mapping[str, str], path: Path) -> None:
    """Write a step card as PDF, each caution before its step."""
    from forkwright.hardware.files import write_whole
    from forkwright.sheets.document import Heading, Report, Sentences, Table, Warnings
    from forkwright.sheets.pdf_report import print_report
    from forkwright.shop.cards import MANUAL_FIRST

    ending_of(str(path), (".pdf",))
    looked_up = tuple(
        (name.replace("_", " "), value or "not entered: look it up in the manual")
        for name, value in figures.items()
    )
    blocks: list[Block] = [Sentences((MANUAL_FIRST,))]
    if looked_up:
        blocks.append(Table("", ("Figure", "The shop's entry"), looked_up))
    for place, step in enumerate(card.steps, start=1):
        blocks.append(Heading(f"Step {place}"))
        if step.cautions:
            blocks.append(Warnings(step.cautions))
        blocks.append(Sentences((step.do,)))
    write_whole(path, print_report(Report(card.title, "Step card", tuple(blocks))).content)
