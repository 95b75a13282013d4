"""Fills a set-up card and a pressure book from a unit at a setting: the bench computes, this lays out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions, spring_curve
from forkwright.bench.sag import Sag
from forkwright.hardware import Setting, Unit, check_setting
from forkwright.physics.constants import ZERO_CELSIUS
from forkwright.sheets.pressure_book import ChamberReadings, PressureBook
from forkwright.sheets.setup_card import Entry, PressureTable, SetupCard
from forkwright.units import UnitChoice, show

Array = NDArray[np.float64]

TEMPERATURES: tuple[float, ...] = tuple(ZERO_CELSIUS + t for t in (-10.0, 0.0, 10.0, 20.0, 30.0, 40.0))
ALTITUDES: tuple[float, ...] = (0.0, 1000.0, 2000.0, 3000.0)
MAIN, SECONDARY, NEGATIVE = "Main chamber", "Secondary chamber", "Negative chamber"
CLICKS = (
    ("low_speed", "Low-speed compression"),
    ("high_speed", "High-speed compression"),
    ("rebound", "Rebound"),
)


@dataclass(frozen=True)
class CardDay:
    """The day the unit was set, and the ranges the card answers for.

    Attributes
    ----------
    temperature, altitude : float
        K and m, in the workshop.
    temperatures, altitudes : sequence of float
        K and m, rows and columns of the tables.
    """

    temperature: float = ZERO_CELSIUS + 20.0
    altitude: float = 0.0
    temperatures: Sequence[float] = TEMPERATURES
    altitudes: Sequence[float] = ALTITUDES


@dataclass(frozen=True)
class CardWords:
    """What only the shop knows; any text, empty where it does not apply. Services are (what, when)."""

    owner: str = ""
    bike: str = ""
    shop: str = ""
    date: str = ""
    reference: str = ""
    service: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = field(default=())


def setup_card_of(
    unit: Unit,
    setting: Setting | None = None,
    sag: Sag | None = None,
    day: CardDay | None = None,
    words: CardWords | None = None,
    units: UnitChoice | None = None,
) -> SetupCard:
    """Fill a set-up card.

    Parameters
    ----------
    unit, setting
        The unit, and the setting it leaves with (by default the one in its file).
    sag : Sag, optional
        From `bench.sag.sag` for the rider.
    day : CardDay, optional
        When it was set, and the ranges of the tables.
    words : CardWords, optional
        Owner, bike, date, services.
    units : UnitChoice, optional
        Units shown.

    Raises
    ------
    InputError
        If the unit must not be given this setting.
    """
    setting, day, words = setting or unit.setting, day or CardDay(), words or CardWords()
    check_setting(unit, setting)
    chambers = chamber_readings(unit, setting, day)
    tables = tuple(_table(chamber, day, units) for chamber in chambers)
    return SetupCard(
        unit=unit.name,
        settings=_settings(unit, setting, day, units),
        owner=words.owner,
        bike=words.bike,
        shop=words.shop,
        date=words.date,
        reference=words.reference,
        checks=_checks(unit, sag, units),
        pressures=tables,
        service=tuple(Entry(what, when) for what, when in words.service),
        warnings=(
            *words.warnings,
            *limit_warnings(unit, chambers, day, units),
            *(sag.warnings if sag else ()),
        ),
    )


def pressure_book_of(
    unit: Unit, setting: Setting | None = None, day: CardDay | None = None, units: UnitChoice | None = None
) -> PressureBook:
    """Fill the spreadsheet of gauge readings; parameters as for `setup_card_of`."""
    setting, day = setting or unit.setting, day or CardDay()
    check_setting(unit, setting)
    chambers = chamber_readings(unit, setting, day)
    return PressureBook(
        unit=unit.name,
        chambers=chambers,
        temperature_set=day.temperature,
        altitude_set=day.altitude,
        temperatures=np.asarray(day.temperatures, dtype=np.float64),
        altitudes=np.asarray(day.altitudes, dtype=np.float64),
        units=units or UnitChoice(),
        notes=limit_warnings(unit, chambers, day, units),
    )


def chamber_readings(unit: Unit, setting: Setting, day: CardDay) -> tuple[ChamberReadings, ...]:
    """Return what the gauge shows at full extension, by temperature and altitude, for each set chamber."""
    chambers = []
    for name, entry, field_name in (
        (MAIN, setting.pressure, "positive"),
        (SECONDARY, setting.floating, "secondary"),
        (NEGATIVE, setting.negative_pressure, "negative"),
    ):
        if entry is None:
            continue
        readings = _readings(unit, setting, day, field_name)
        if readings is not None:
            chambers.append(ChamberReadings(name, float(entry.si), readings))
    return tuple(chambers)


def limit_warnings(
    unit: Unit, chambers: tuple[ChamberReadings, ...], day: CardDay, units: UnitChoice | None
) -> tuple[str, ...]:
    """Say where in the tables a chamber would stand above its stated limit."""
    said = []
    for chamber in chambers:
        limit = _limit(unit, chamber.name)
        over = chamber.readings > (np.inf if limit is None else limit)
        if limit is not None and over.any():
            row = int(np.flatnonzero(over.any(axis=1))[0])
            warm = show(day.temperatures[row], "temperature", units, 0)
            said.append(
                f"From {warm} up the {chamber.name.lower()} can stand above its limit of "
                f"{show(limit, 'pressure', units)}: let air out before it gets that warm."
            )
    return tuple(said)


def _limit(unit: Unit, chamber: str) -> float | None:
    """The gauge pressure (Pa) that the unit's file allows in a chamber; None where it states none."""
    air = unit.air_spring
    if air is None:
        return None
    stated = {
        MAIN: air.pressure_limit,
        SECONDARY: None if air.floating is None else air.floating.pressure_limit,
        NEGATIVE: air.negative_pressure_limit or air.pressure_limit,
    }[chamber]
    return None if stated is None else float(stated.si)


def _readings(unit: Unit, setting: Setting, day: CardDay, name: str) -> Array | None:
    table = np.empty((len(day.temperatures), len(day.altitudes)))
    for row, temperature in enumerate(day.temperatures):
        for column, altitude in enumerate(day.altitudes):
            conditions = Conditions.at(altitude, temperature, day.altitude, day.temperature)
            curve = spring_curve(unit, setting, conditions, points=2)
            pressure = getattr(curve, name, None)
            if pressure is None:
                return None
            table[row, column] = float(pressure[0]) - conditions.ambient_pressure
    return table


def _table(chamber: ChamberReadings, day: CardDay, units: UnitChoice | None) -> PressureTable:
    heat = show(day.temperature, "temperature", units, 0)
    rows = tuple(
        (
            show(temperature, "temperature", units, 0),
            *(show(float(value), "pressure", units) for value in chamber.readings[place]),
        )
        for place, temperature in enumerate(day.temperatures)
    )
    pressure = show(chamber.set_pressure, "pressure", units)
    caption = f"{chamber.name}: what the gauge shows later, set to {pressure} at {heat}, {day.altitude:.0f} m"
    return PressureTable(caption, tuple(f"{altitude:.0f} m" for altitude in day.altitudes), rows)


def _settings(unit: Unit, setting: Setting, day: CardDay, units: UnitChoice | None) -> tuple[Entry, ...]:
    heat = f"by the gauge, at {show(day.temperature, 'temperature', units, 0)}"
    entries = []
    if setting.floating is not None:
        entries.append(Entry(SECONDARY, show(setting.floating.si, "pressure", units), heat))
    if setting.pressure is not None:
        entries.append(Entry(MAIN, show(setting.pressure.si, "pressure", units), heat))
    if setting.negative_pressure is not None:
        entries.append(Entry(NEGATIVE, show(setting.negative_pressure.si, "pressure", units), heat))
    if setting.preload is not None:
        entries.append(Entry("Spring preload", show(setting.preload.si, "length", units)))
    if unit.air_spring is not None and unit.air_spring.spacers is not None:
        most = unit.air_spring.spacers.max_count
        entries.append(Entry("Volume spacers", str(setting.spacers), f"of at most {most}"))
    for name, words in CLICKS:
        clicks = getattr(setting, name)
        if clicks is not None:
            entries.append(Entry(words, f"{clicks} click{'' if clicks == 1 else 's'}", "from fully closed"))
    return tuple(entries)


def _checks(unit: Unit, sag: Sag | None, units: UnitChoice | None) -> tuple[Entry, ...]:
    if sag is None:
        return ()
    middle, low, high = float(sag.middle), float(sag.low), float(sag.high)
    share = 100.0 * middle / float(unit.travel.si)
    band = f"{show(low, 'length', units)} to {show(high, 'length', units)}"
    what = ("Sag of the shock", "Share of its stroke") if unit.kind == "shock" else ("Sag", "Share of travel")
    return (
        Entry(what[0], show(middle, "length", units), f"friction: {band}"),
        Entry(what[1], f"{share:.0f} %"),
    )
