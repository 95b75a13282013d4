"""The papers of one job: set-up card and gauge-pressure book, from what the shop wrote down.

The unit's file gives the tables and enforces its limits; a unit the shop has no file of gets a card that
states what was written down and computes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from forkwright.sheets.card_of_unit import (
    CLICKS,
    MAIN,
    NEGATIVE,
    SECONDARY,
    CardDay,
    CardWords,
    pressure_book_of,
    setup_card_of,
)
from forkwright.sheets.setup_card import Entry, SetupCard
from forkwright.units import InputError, UnitChoice

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from forkwright.bench.sag import Sag
    from forkwright.hardware import Setting, Unit
    from forkwright.sheets.pressure_book import PressureBook
    from forkwright.shop.records_job import Job

MOMENTS = (("before", "As it came in"), ("after", "As it leaves"))
NOT_SIGNED = "Not signed for as it stands now: a draft, not to be handed over."
PRESSURES = (
    ("floating", SECONDARY),
    ("pressure", MAIN),
    ("negative_pressure", NEGATIVE),
)
SETTING_FIELDS = (
    "pressure", "negative_pressure", "floating", "preload", "spacers", "low_speed", "high_speed", "rebound",
)  # fmt: skip


@dataclass(frozen=True)
class JobPapers:
    """What the papers are made from: the job as `job_view` tells it, and the files of its unit and bike."""

    view: Mapping[str, Any]
    unit_text: str = ""
    bike_text: str = ""

    @property
    def name(self) -> str:
        """The job in two words, for file names."""
        return f"job-{self.view['number']}"

    @property
    def signed(self) -> bool:
        """Whether a technician signed for the job as it stands now."""
        return any(
            signature["role"] == "technician" and signature["still_holds"]
            for signature in self.view["signatures"]
        )


def papers_of(session: Session, job: Job) -> JobPapers:
    """Read from the store all that the papers of a job need."""
    from forkwright.shop.records import Bike
    from forkwright.shop.register import newest_file
    from forkwright.shop.store import find
    from forkwright.shop.views import job_view

    file = newest_file(session, job.unit_id)
    bike = find(session, Bike, job.bike_id, deleted_too=True) if job.bike_id else None
    return JobPapers(
        view=job_view(session, job),
        unit_text="" if file is None else file.file_text,
        bike_text="" if bike is None else bike.file_text,
    )


def card_of_job(papers: JobPapers, units: UnitChoice | None = None) -> SetupCard:
    """Fill the set-up card of the setting the unit leaves with.

    Raises
    ------
    InputError
        That setting is not written down yet, or it is over a limit in the unit's file.
    """
    after = recorded(papers, "after")
    words = card_words(papers)
    unit = unit_of(papers)
    if unit is None:
        return _written_card(papers, words, after)
    day = day_of(after)
    setting = setting_of(unit, after)
    card = setup_card_of(unit, setting, sag_of(papers, unit, setting, day), day, words, units)
    measured = (Entry("Sag measured", after["sag"]),) if after["sag"] else ()
    warnings = (*card.warnings, *from_the_file(unit, after))
    return replace(card, checks=(*measured, *card.checks), warnings=warnings)


def book_of_job(papers: JobPapers, units: UnitChoice | None = None) -> PressureBook:
    """Fill the spreadsheet of gauge readings for the setting the unit leaves with.

    Raises
    ------
    InputError
        No setting, or no file of the unit.
    """
    after = recorded(papers, "after")
    unit = unit_of(papers)
    if unit is None:
        raise InputError("the shop has no file of this unit to compute from", key="unit")
    return pressure_book_of(unit, setting_of(unit, after), day_of(after), units)


def card_words(papers: JobPapers) -> CardWords:
    """Return what only the shop knows: whose it is, who set it and when, when to come back."""
    view = papers.view
    technicians = [each["name"] for each in view["signatures"] if each["role"] == "technician"]
    return CardWords(
        owner=_name(view["customer"]) or view["rider"]["name"],
        bike=_name(view["bike"]),
        shop=technicians[-1] if technicians else "",
        date=(view["closed_at"] or _last_signed(view))[:10],
        reference=str(view["number"]),
        service=service_lines(view["next_service"]),
        warnings=() if papers.signed else (NOT_SIGNED,),
    )


def service_lines(service: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return when to come back as (what, when): by riding, by date, whichever comes first.

    Examples
    --------
    >>> service_lines({"hours_h": 50.0, "on": "2031-05-10", "reason": "before the season begins"})
    (('After riding', '50 h'), ('Or before the season begins, on', '2031-05-10'))
    """
    lines = []
    if service["hours_h"] is not None:
        lines.append(("After riding", f"{service['hours_h']:g} h"))
    if service["on"] is not None:
        why = service["reason"] if service["reason"].startswith("before") else "at the latest"
        lines.append((f"Or {why}, on" if lines else f"{why.capitalize()}, on", service["on"]))
    return tuple(lines)


def recorded(papers: JobPapers, moment: str) -> dict[str, Any]:
    """Return the setting written down "before" or "after"; InputError when there is none."""
    found = papers.view["settings"].get(moment)
    if found is None:
        raise InputError("the setting it leaves with is not written down", key=f"setting {moment}")
    return dict(found)


def unit_of(papers: JobPapers) -> Unit | None:
    """Return the unit of the newest file, None when the shop has none."""
    from forkwright.hardware import Unit, read_text

    found = read_text(papers.unit_text, "unit file") if papers.unit_text else None
    return found if isinstance(found, Unit) else None


def setting_of(unit: Unit, fields: Mapping[str, Any]) -> Setting:
    """Return the unit's setting with what was written down; InputError when it cannot be read."""
    given = {name: fields[name] for name in SETTING_FIELDS if fields[name] not in (None, "")}
    return unit.setting.changed(**given)


def from_the_file(unit: Unit, fields: Mapping[str, Any]) -> tuple[str, ...]:
    """Say which entries of a setting were not written down, so that the unit's file stands in for them."""
    names = dict((*PRESSURES, *CLICKS, ("preload", "Spring preload")))
    left = [
        words
        for name, words in names.items()
        if fields[name] in (None, "") and getattr(unit.setting, name) is not None
    ]
    if fields["spacers"] is None and unit.air_spring is not None and unit.air_spring.spacers is not None:
        left.append("Volume spacers")
    return (f"Not written down, taken from the unit's file: {', '.join(left).lower()}.",) if left else ()


def day_of(fields: Mapping[str, Any]) -> CardDay:
    """Return the day the setting was made; 20 °C at sea level where nothing was written down."""
    usual = CardDay()
    return CardDay(
        temperature=usual.temperature if fields["temperature_K"] is None else fields["temperature_K"],
        altitude=usual.altitude if fields["altitude_m"] is None else fields["altitude_m"],
    )


def sag_of(papers: JobPapers, unit: Unit, setting: Setting, day: CardDay) -> Sag | None:
    """Return the computed sag of a fork, None where the rider's mass or the bike's file is missing."""
    from forkwright.hardware import Bike, Rider, read_text
    from forkwright.sheets.card_day import sag_on_the_day
    from forkwright.units import parse

    rider = papers.view["rider"]
    if unit.kind != "fork" or not rider["mass"] or not papers.bike_text:
        return None
    bike = read_text(papers.bike_text, "bike file")
    assert isinstance(bike, Bike)
    who = Rider(name=rider["name"] or "rider", mass=parse(rider["mass"], "mass"))
    return sag_on_the_day(unit, setting, who, bike, day)


def _written_card(papers: JobPapers, words: CardWords, after: Mapping[str, Any]) -> SetupCard:
    """A card of what was written down alone, for a unit the shop has no file of."""
    entries = [Entry(name, after[key], "by the gauge") for key, name in PRESSURES if after[key]]
    if after["preload"]:
        entries.append(Entry("Spring preload", after["preload"]))
    if after["spacers"] is not None:
        entries.append(Entry("Volume spacers", str(after["spacers"])))
    entries += [
        Entry(name, f"{after[key]} click{'' if after[key] == 1 else 's'}", "from fully closed")
        for key, name in CLICKS
        if after[key] is not None
    ]
    return SetupCard(
        unit=papers.view["unit"]["name"],
        settings=tuple(entries),
        owner=words.owner,
        bike=words.bike,
        shop=words.shop,
        date=words.date,
        reference=words.reference,
        checks=(Entry("Sag measured", after["sag"]),) if after["sag"] else (),
        service=tuple(Entry(what, when) for what, when in words.service),
        warnings=(*words.warnings, "No file of this unit: its limits are those printed on it."),
    )


def _name(named: Mapping[str, str] | None) -> str:
    return "" if named is None else named["name"]


def _last_signed(view: Mapping[str, Any]) -> str:
    return str(view["signatures"][-1]["at"]) if view["signatures"] else ""
