"""The one-page set-up card that leaves the shop with the bike."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from typing import Literal

from forkwright.sheets.typst_print import Printed, print_on_one_page
from forkwright.units import InputError

FINEST_QR = 25  # version: 117 modules, 0.22 mm each on the A5 card

#: What stands on every card, whatever the setting.
CAUTIONS: tuple[str, ...] = (
    "Chambers hold high pressure: let all the air out of every chamber before anything is unscrewed.",
    "Never go above the pressure printed on the unit; where this card differs, the maker's manual wins.",
    "Ride the first minutes slowly on easy ground, then check pressures, axle and brakes again.",
    "A bent, dented or cracked part, or play that was not there before: stop riding and have it looked at.",
)


@dataclass(frozen=True)
class Entry:
    """One line of a card: what, how much, and a mark where the value was not measured."""

    name: str
    value: str
    note: str = ""


@dataclass(frozen=True)
class PressureTable:
    """Gauge readings by temperature (rows) and altitude (columns), as text in the shop's units."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]  # each begins with its temperature


@dataclass(frozen=True)
class SetupCard:
    """Everything a set-up card says. All of it plain text; whoever fills it has rounded and chosen units.

    Attributes
    ----------
    unit, owner, bike, shop, date, reference : str
        Whose it is and when it was set; empty lines are left out.
    settings : tuple of Entry
        Pressures, spacers and clicks from fully closed, in the order they are set.
    checks : tuple of Entry
        What to check afterwards: sag, rebound.
    pressures : tuple of PressureTable
        For the temperature and altitude ranges.
    service : tuple of Entry
        Next services, by hours and by date.
    warnings : tuple of str
        What this setting in particular must be watched for.
    cautions : tuple of str
        The usual ones.
    """

    unit: str
    settings: tuple[Entry, ...]
    owner: str = ""
    bike: str = ""
    shop: str = ""
    date: str = ""
    reference: str = ""
    checks: tuple[Entry, ...] = ()
    pressures: tuple[PressureTable, ...] = ()
    service: tuple[Entry, ...] = ()
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = field(default=CAUTIONS)


def print_setup_card(
    card: SetupCard, paper: Literal["a5", "a4"] = "a5", form: Literal["pdf", "png"] = "pdf"
) -> Printed:
    """Print a set-up card on one page.

    Parameters
    ----------
    card : SetupCard
        What it says.
    paper : str
        "a5" or "a4".
    form : str
        "pdf", or "png" for a look.
    """
    data = {
        "paper": paper,
        "unit": card.unit,
        "about": _pairs(
            (("Owner", card.owner), ("Bike", card.bike), ("Set by", card.shop), ("On", card.date),
             ("Job", card.reference))
        ),
        "settings": [[entry.name, entry.value, entry.note] for entry in card.settings],
        "checks": [[entry.name, entry.value, entry.note] for entry in card.checks],
        "pressures": [
            {"caption": table.caption, "columns": list(table.columns), "rows": [list(r) for r in table.rows]}
            for table in card.pressures
        ],
        "service": [[entry.name, entry.value, entry.note] for entry in card.service],
        "warnings": list(card.warnings),
        "cautions": list(card.cautions),
        "drawings": [qr_svg(qr_text(card))],
    }  # fmt: skip
    return print_on_one_page("setup_card.typ", data, form)


def qr_text(card: SetupCard) -> str:
    """Return the settings as the plain text in the card's QR code: readable without any program of ours.

    Examples
    --------
    >>> print(qr_text(SetupCard("Dunlin 160", (Entry("Pressure", "85.0 psi"),), date="2026-05-02")))
    Dunlin 160 2026-05-02
    Pressure: 85.0 psi
    """
    head = " ".join(part for part in (card.unit, card.date) if part)
    return "\n".join([head, *(f"{entry.name}: {entry.value}" for entry in (*card.settings, *card.checks))])


def qr_svg(text: str) -> str:
    """Return a QR code of plain text as SVG (error correction M, quiet zone of four modules).

    Raises
    ------
    InputError
        When the text needs a code too fine to be read off a card.
    """
    import segno

    out = io.BytesIO()
    try:
        code = segno.make(text, error="m", micro=False, boost_error=False)
    except segno.DataOverflowError:
        code = None
    if code is None or int(code.version) > FINEST_QR:
        raise InputError("the settings are too long for a readable QR code; shorten names", key="card")
    code.save(out, kind="svg", border=4, xmldecl=False, svgclass=None, lineclass=None, light="#ffffff")
    return out.getvalue().decode("utf-8")


def _pairs(pairs: tuple[tuple[str, str], ...]) -> list[list[str]]:
    return [[name, value] for name, value in pairs if value]
