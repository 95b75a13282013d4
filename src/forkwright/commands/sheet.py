"""`forkwright sheet …`: what leaves the building as a file: card, report, drawing, spreadsheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.compare import comparison_of, draws_options, wheel_sags
from forkwright.commands.options import (
    click_options,
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    setting_from,
    spring_setting_options,
)
from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.people_options import bike_from, bike_option, rider_from, rider_option, rider_words
from forkwright.commands.sheet_options import (
    day_from,
    day_options,
    ending_of,
    out_option,
    units_from,
    units_options,
)
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.bench.sag import Sag
    from forkwright.hardware import Setting, Unit
    from forkwright.sheets.card_of_unit import CardDay


@click.group("sheet")
def command() -> None:
    """Write a set-up card, a report, a drawing or a spreadsheet as a file."""


@command.command("card")
@click.argument("file", type=click.Path())
@out_option(".pdf")
@click.option("--paper", type=click.Choice(["a5", "a4"]), default="a5", show_default=True)
@click.option("--rider", metavar="FILE|Q", help="Rider file or mass; then the card says which sag to check.")
@click.option("--bike", "bike_file", metavar="FILE", help="Bike file, for the sag.")
@click.option("--owner", default="", help="Whose it is.")
@click.option("--bike-name", default="", help="The bike, in words.")
@click.option("--shop", default="", help="Who set it.")
@click.option("--date", default="", help="When it was set, as it shall be printed.")
@click.option("--job", "reference", default="", help="The job's number.")
@click.option("--service", multiple=True, metavar="WHAT=WHEN", help='Such as "Lower legs=50 h"; repeatable.')
@day_options
@units_options
@spring_setting_options
@click_options
@json_option
def card(
    file: str, out: str, paper: str, rider: str | None, bike_file: str | None, as_json: bool, **given: Any
) -> None:
    """One-page set-up card of the unit in FILE, with a QR code of the settings as plain text."""
    from forkwright.hardware import load_unit
    from forkwright.sheets.card_day import services
    from forkwright.sheets.card_of_unit import CardWords, setup_card_of
    from forkwright.sheets.setup_card import print_setup_card

    units, day = units_from(given), day_from(given)
    words = CardWords(
        owner=given.pop("owner"), bike=given.pop("bike_name"), shop=given.pop("shop"), date=given.pop("date"),
        reference=given.pop("reference"), service=services(given.pop("service"), "--service"),
    )  # fmt: skip
    unit = load_unit(file)
    setting = setting_from(unit, **given)
    sag, notes = _sag(unit, setting, rider, bike_file, day)
    filled = setup_card_of(unit, setting, sag, day, words, units)
    printed = print_setup_card(filled, "a4" if paper == "a4" else "a5")
    _finish(out, ".pdf", printed.content, (*notes, *filled.warnings, *printed.warnings), as_json)


@command.command("pressures")
@click.argument("file", type=click.Path())
@out_option(".xlsx")
@day_options
@units_options
@spring_setting_options
@json_option
def pressures(file: str, out: str, as_json: bool, **given: Any) -> None:
    """Spreadsheet with live formulas: what the gauge of the unit in FILE shows against temperature."""
    from forkwright.hardware import load_unit
    from forkwright.sheets.card_of_unit import pressure_book_of
    from forkwright.sheets.pressure_book import write_pressure_book

    units, day = units_from(given), day_from(given)
    unit = load_unit(file)
    setting = setting_from(unit, **given)
    book = pressure_book_of(unit, setting, day, units)
    _finish(out, ".xlsx", write_pressure_book(book, file), book.notes, as_json)


@command.command("report")
@click.argument("a", type=click.Path())
@click.argument("b", type=click.Path())
@rider_option
@bike_option
@out_option(".pdf or .html")
@draws_options
@units_options
@condition_options
@json_option
def report(
    a: str, b: str, rider: str, bike: str | None, out: str, draws: int, seed: int, as_json: bool, **given: Any
) -> None:
    """Report of A and B compared: a print (.pdf), or a page that moves and needs no network (.html)."""
    from forkwright.sheets.compare_report import ReportWishes, compare_report
    from forkwright.sheets.html_report import write_html
    from forkwright.sheets.pdf_report import print_report
    from forkwright.sheets.typst_print import Printed

    ending = ending_of(out, (".pdf", ".html"))
    units, conditions = units_from(given), conditions_from(given)
    found, notes = comparison_of(a, b, rider, bike, conditions, draws=draws, seed=seed)
    wheel = wheel_sags(found, rider, bike, conditions)
    wishes = ReportWishes(rider_words(rider), conditions, units, wheel)
    laid_out = compare_report(found, wishes)
    page = ending == ".html"
    printed = Printed(write_html(laid_out).encode("utf-8")) if page else print_report(laid_out)
    _finish(out, ending, printed.content, (*notes, *found.warnings, *printed.warnings), as_json)


@command.command("cutaway")
@click.argument("file", type=click.Path())
@out_option(".svg")
@quantity_option("--travel", "length", "Compression to draw.", default="0 mm")
@click.option("--leg", type=click.Choice(["spring", "damper", "both"]), default="spring", show_default=True)
@units_options
@spring_setting_options
@condition_options
@json_option
def cutaway(file: str, out: str, travel: Measure, leg: str, as_json: bool, **given: Any) -> None:
    """To-scale cut-away drawing of the unit in FILE at one travel, chambers tinted by pressure."""
    from forkwright.hardware import load_unit
    from forkwright.sheets.cutaway_of_unit import LEGS, cutaway_of_unit

    units = units_from(given)
    conditions = conditions_from(given)
    unit = load_unit(file)
    setting = setting_from(unit, **given)
    wanted = next(each for each in LEGS if each == leg)
    svg, notes = cutaway_of_unit(unit, setting, travel, wanted, conditions, units, ("--travel", "--leg"))
    _finish(out, ".svg", svg.encode("utf-8"), notes, as_json)


@command.command("stack")
@click.argument("stack", type=click.Path())
@out_option(".svg")
@quantity_option(
    "--pressure", "pressure", "Pressure difference across the stack.", default="10 bar", show_default=True
)
@units_options
@json_option
def stack(stack: str, out: str, pressure: Measure, as_json: bool, **given: Any) -> None:
    """Drawing of the shim stack in the file STACK, at rest and under a pressure."""
    from forkwright.hardware.stack import load_stack
    from forkwright.sheets.shim_drawing import drawing_of_stack

    svg = drawing_of_stack(load_stack(stack), pressure.si, units_from(given))
    _finish(out, ".svg", svg.encode("utf-8"), (), as_json)


def _finish(out: str, ending: str, content: bytes, warnings: tuple[str, ...], as_json: bool) -> None:
    """Write the file whole, then say where it is and what to know about it."""
    from forkwright.hardware.files import write_whole

    ending_of(out, (ending,))
    write_whole(Path(out), content)
    unique = tuple(dict.fromkeys(warnings))
    if as_json:
        print_json({"file": str(Path(out).resolve()), "bytes": len(content), "warnings": list(unique)})
        return
    print_warnings(unique)
    click.echo(f"Written: {out}")


def _sag(
    unit: Unit, setting: Setting, rider: str | None, bike_file: str | None, day: CardDay
) -> tuple[Sag | None, list[str]]:
    from forkwright.sheets.card_day import sag_on_the_day

    if rider is None:
        return None, []
    bike, notes = bike_from(bike_file)
    return sag_on_the_day(unit, setting, rider_from(rider), bike, day), notes
