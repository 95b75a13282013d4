"""What leaves the Fork page as a file: the set-up card, the pressures by temperature, the cut-away."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import DownloadAnswer
from forkwright.app.drafts import Draft
from forkwright.app.question import Day, Text, chosen_units, conditions_of, read_measure
from forkwright.app.state import Drafts
from forkwright.app.wire import SPREADSHEET, Answer, download

if TYPE_CHECKING:
    from forkwright.sheets.card_of_unit import CardDay

router = APIRouter(tags=["fork"])

Words = Annotated[str, Field(max_length=80)]
List = Annotated[str, Field(max_length=200)]


class OneUnit(BaseModel):
    """One unit at the setting of its draft, on its day, in the browser's units."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    day: Day = Day()
    units: Annotated[dict[str, str], Field(max_length=20)] = {}


class PressuresQuestion(OneUnit):
    """Which temperatures and altitudes the tables answer for; empty for the usual ones.

    The workshop is where and how warm the chambers were filled.
    """

    temperatures: List = ""
    altitudes: List = ""


class SetUpCardQuestion(PressuresQuestion):
    """What else a card says; with rider and bike it says which sag to check. A service is "WHAT=WHEN"."""

    rider: Draft | None = None
    bike: Draft | None = None
    paper: Literal["a5", "a4"] = "a5"
    owner: Words = ""
    bike_name: Words = ""
    shop: Words = ""
    date: Words = ""
    job: Words = ""
    services: Annotated[list[Annotated[str, Field(max_length=120)]], Field(max_length=12)] = []


class CutawayQuestion(OneUnit):
    """The travel and the leg to draw."""

    travel: Text = "0 mm"
    leg: Literal["spring", "damper", "both"] = "spring"


@router.post("/api/fork/card", response_model=DownloadAnswer)
@changes_nothing
def card(question: SetUpCardQuestion, drafts: Drafts) -> Answer:
    """Print the set-up card, as `forkwright sheet card` does."""
    from forkwright.sheets.card_day import sag_on_the_day, services
    from forkwright.sheets.card_of_unit import CardWords, setup_card_of
    from forkwright.sheets.setup_card import print_setup_card

    unit, day = drafts.unit(question.fork), _card_day(question)
    sag = None
    if question.rider is not None and question.bike is not None:
        rider, bike = drafts.rider(question.rider), drafts.bike(question.bike)
        sag = sag_on_the_day(unit, unit.setting, rider, bike, day)
    words = CardWords(
        question.owner, question.bike_name, question.shop, question.date, question.job,
        services(question.services, "services"),
    )  # fmt: skip
    filled = setup_card_of(unit, None, sag, day, words, chosen_units(question.units))
    printed = print_setup_card(filled, question.paper)
    warnings = (*filled.warnings, *printed.warnings)
    return _offered("setup-card.pdf", "application/pdf", printed.content, warnings)


@router.post("/api/fork/pressures", response_model=DownloadAnswer)
@changes_nothing
def pressures(question: PressuresQuestion, drafts: Drafts) -> Answer:
    """Write the spreadsheet of what the gauge shows, as `forkwright sheet pressures` does."""
    from forkwright.sheets.card_of_unit import pressure_book_of
    from forkwright.sheets.pressure_book import write_pressure_book

    unit, units = drafts.unit(question.fork), chosen_units(question.units)
    book = pressure_book_of(unit, None, _card_day(question), units)
    return _offered("pressures.xlsx", SPREADSHEET, write_pressure_book(book), book.notes)


@router.post("/api/fork/cutaway", response_model=DownloadAnswer)
@changes_nothing
def cutaway(question: CutawayQuestion, drafts: Drafts) -> Answer:
    """Draw the cut-away as a file of its own, as `forkwright sheet cutaway` does."""
    from forkwright.sheets.cutaway_of_unit import cutaway_of_unit

    unit, day = drafts.unit(question.fork), conditions_of(question.day)
    travel, units = read_measure(question.travel, "length", "travel"), chosen_units(question.units)
    svg, notes = cutaway_of_unit(unit, unit.setting, travel, question.leg, day, units)
    return _offered("cutaway.svg", "image/svg+xml", svg.encode("utf-8"), notes)


def _card_day(question: PressuresQuestion) -> CardDay:
    from forkwright.sheets.card_day import card_day

    day = question.day
    return card_day(
        read_measure(day.fill_temperature, "temperature", "fill_temperature"),
        read_measure(day.fill_altitude, "length", "fill_altitude"),
        question.temperatures.strip() or None,
        question.altitudes.strip() or None,
        ("fill_temperature", "fill_altitude", "temperatures", "altitudes"),
    )


def _offered(name: str, kind: str, content: bytes, warnings: tuple[str, ...]) -> Answer:
    return Answer(download(name, kind, content) | {"warnings": list(dict.fromkeys(warnings))})
