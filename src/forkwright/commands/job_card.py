"""`forkwright job card`: the step cards of the work, on the screen and as a PDF for the bench."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from forkwright.commands.job_papers import pdf_option
from forkwright.commands.job_told import print_table
from forkwright.commands.output import print_json
from forkwright.commands.sheet_options import ending_of
from forkwright.commands.shop_store import Desk, as_json, opened

if TYPE_CHECKING:
    from forkwright.sheets.document import Block
    from forkwright.shop.cards import Card

NOT_ENTERED = "not entered: look it up in the manual"


@click.command("card")
@click.argument("key", required=False)
@click.option("--unit", "unit_name", default="", help="Show the shop's figures for units of this name.")
@pdf_option("The step card, to lie on the bench.")
@as_json
@click.pass_obj
def card(desk: Desk, /, key: str | None, unit_name: str, *, json_wanted: bool, pdf: Path | None) -> None:
    """Show a step card with its cautions; without KEY, list the cards."""
    from forkwright.shop.cards import MANUAL_FIRST, all_cards
    from forkwright.shop.cards import card as card_of

    if key is None:
        lines = [{"key": each.key, "title": each.title, "for": ", ".join(each.kinds)} for each in all_cards()]
        if json_wanted:
            print_json({"cards": lines, "warnings": []})
        else:
            print_table(lines, ("key", "title", "for"))
        return
    found = card_of(key)
    wanted = _shop_figures(desk, found, unit_name)
    if pdf is not None:
        write_step_card(found, wanted, pdf)
    if json_wanted:
        print_json({**asdict(found), "figures": wanted, "manual": MANUAL_FIRST, "warnings": []})
        return
    _print_card(found, wanted)


def _shop_figures(desk: Desk, found: Card, unit_name: str) -> dict[str, str]:
    """Return the figures a card asks for, as the shop entered them; empty where it did not."""
    from forkwright.shop.register import figures_for

    with opened(desk.store) as store, store.look() as session:
        entered = {
            f"{figure.kind}: {figure.item}": f"{figure.value} ({figure.source or 'no source entered'})"
            for figure in figures_for(session, unit_name)
        }
    return {name: entered.get(name, "") for name in found.figures}


def _print_card(found: Card, figures: Mapping[str, str]) -> None:
    from forkwright.shop.cards import MANUAL_FIRST

    click.echo(f"{found.title}\n{MANUAL_FIRST}\n")
    for name, value in figures.items():
        click.echo(f"  {name}: {value or NOT_ENTERED}")
    for place, step in enumerate(found.steps, start=1):
        for caution in step.cautions:
            click.echo(f"\n  ! {caution}")
        click.echo(f"{place}. {step.do}")


def write_step_card(card: Card, figures: Mapping[str, str], path: Path) -> None:
    """Write a step card as PDF, each caution before its step."""
    from forkwright.hardware.files import write_whole
    from forkwright.sheets.document import Heading, Report, Sentences, Table, Warnings
    from forkwright.sheets.pdf_report import print_report
    from forkwright.shop.cards import MANUAL_FIRST

    ending_of(str(path), (".pdf",))
    looked_up = tuple((name.replace("_", " "), value or NOT_ENTERED) for name, value in figures.items())
    blocks: list[Block] = [Sentences((MANUAL_FIRST,))]
    if looked_up:
        blocks.append(Table("", ("Figure", "The shop's entry"), looked_up))
    for place, step in enumerate(card.steps, start=1):
        blocks.append(Heading(f"Step {place}"))
        if step.cautions:
            blocks.append(Warnings(step.cautions))
        blocks.append(Sentences((step.do,)))
    write_whole(path, print_report(Report(card.title, "Step card", tuple(blocks))).content)
