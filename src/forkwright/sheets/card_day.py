"""The day a card was set, read from text: its tables' ranges, its sag, and when to come back."""

from __future__ import annotations

from collections.abc import Iterable

from forkwright.bench import Conditions
from forkwright.bench.sag import Sag
from forkwright.bench.standing import standing_sag
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.sheets.card_of_unit import ALTITUDES, TEMPERATURES, CardDay
from forkwright.units import InputError, Measure, parse

#: What a workshop may be, and what a table may ask for: lowest, highest, and both in words.
_WORKSHOP = (223.15, 333.15, "-50 °C to 60 °C")
_ASKED = (223.15, 353.15, "-50 °C to 80 °C")
_HEIGHT = (-500.0, 9000.0, "-500 m to 9000 m")
MOST_TEMPERATURES, MOST_ALTITUDES = 12, 8


def card_day(
    temperature: Measure,
    altitude: Measure,
    temperatures: str | None = None,
    altitudes: str | None = None,
    keys: tuple[str, str, str, str] = ("temperature", "altitude", "temperatures", "altitudes"),
) -> CardDay:
    """Return the day and the ranges of a card.

    Parameters
    ----------
    temperature, altitude : Measure
        In the workshop, K and m.
    temperatures, altitudes : str, optional
        Lists such as "-5 °C, 10 °C"; by default the usual ones.
    keys : tuple of str
        What the four are called where they were typed, for errors.

    Raises
    ------
    InputError
        One that is no quantity or out of range, or too many of them.
    """
    workshop, height, rows, columns = keys
    return CardDay(
        temperature=_within(workshop, temperature, *_WORKSHOP),
        altitude=_within(height, altitude, *_HEIGHT),
        temperatures=_listed(rows, temperatures, "temperature", MOST_TEMPERATURES, _ASKED) or TEMPERATURES,
        altitudes=_listed(columns, altitudes, "length", MOST_ALTITUDES, _HEIGHT) or ALTITUDES,
    )


def sag_on_the_day(unit: Unit, setting: Setting, rider: Rider, bike: Bike, day: CardDay) -> Sag:
    """Return the sag to check in the workshop, at its altitude and temperature."""
    conditions = Conditions.at(day.altitude, day.temperature, day.altitude, day.temperature)
    return standing_sag(unit, rider, bike, setting, conditions)


def services(pairs: Iterable[str], key: str = "service") -> tuple[tuple[str, str], ...]:
    """Return (what, when) of each "WHAT=WHEN"; InputError for one that does not say both."""
    found = []
    for pair in pairs:
        what, mark, when = pair.partition("=")
        if not (mark and what.strip() and when.strip()):
            raise InputError("say what and when", key=key, value=pair, allowed="WHAT=WHEN")
        found.append((what.strip(), when.strip()))
    return tuple(found)


def _listed(
    key: str, text: str | None, dimension: str, most: int, limits: tuple[float, float, str]
) -> tuple[float, ...]:
    if text is None:
        return ()
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if not 1 <= len(parts) <= most:
        raise InputError("wrong number of values", key=key, value=text, allowed=f"1 to {most}")
    try:
        values = [parse(part, dimension) for part in parts]
    except InputError as fault:
        raise InputError(fault.message, key=key, value=text) from None
    return tuple(_within(key, value, *limits) for value in values)


def _within(key: str, given: Measure, low: float, high: float, allowed: str) -> float:
    if not low <= given.si <= high:
        raise InputError("out of range", key=key, value=given.text, allowed=allowed)
    return float(given.si)
