"""`forkwright job papers`: set-up card, report and pressure spreadsheet of a job, written as files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from forkwright.commands.job_session import looked_at
from forkwright.commands.options import Command
from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.sheet_options import ending_of, units_from, units_options
from forkwright.commands.shop_store import Desk, as_json

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from forkwright.shop.records_job import Job
    from forkwright.units import UnitChoice

PAPER = click.Path(dir_okay=False, path_type=Path)
_ENDINGS = {"card": ".pdf", "report": ".pdf", "pressures": ".xlsx"}


@click.command("papers")
@click.argument("number", type=int)
@click.option("--card", type=PAPER, help="Set-up card, a .pdf with a QR code of the settings.")
@click.option("--report", type=PAPER, help="Full report with curves, a .pdf.")
@click.option("--pressures", type=PAPER, help="Spreadsheet of pressure against temperature, an .xlsx.")
@click.option("--paper", type=click.Choice(["a5", "a4"]), default="a5", show_default=True)
@units_options
@as_json
@click.pass_obj
def papers(
    desk: Desk, /, number: int, paper: Literal["a5", "a4"], *, json_wanted: bool, **given: Any
) -> None:
    """Write what goes home with the unit; a job not signed for gets drafts that say so."""
    units = units_from(given)
    wanted = {name: path for name, path in given.items() if path is not None}
    if not wanted:
        raise click.UsageError("give at least one of --card, --report and --pressures")
    with looked_at(desk, number) as (session, job):
        warnings = write_papers(session, job, wanted, paper, units)
    if json_wanted:
        files = {name: str(path.resolve()) for name, path in wanted.items()}
        print_json({"files": files, "warnings": list(warnings)})
        return
    print_warnings(warnings)
    click.echo("Written: " + ", ".join(str(path) for path in wanted.values()))


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
