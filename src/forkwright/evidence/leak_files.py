"""Leak-down files: every chamber's pressure over hours, and lower-leg pressure over rides."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from forkwright.evidence.importing import in_si
from forkwright.evidence.ingress import Ingress, ingress
from forkwright.evidence.leak_path import LeakVerdict, which_path
from forkwright.evidence.leakdown import LeakRate, leak_rate
from forkwright.evidence.mapping import SourceMapping
from forkwright.evidence.recording import Recording
from forkwright.evidence.tables import Table
from forkwright.hardware import Setting, Unit
from forkwright.physics.constants import P0
from forkwright.units import InputError

RIDES = "rides"
"""Channel that counts the rides since the vent ports were last opened."""

# Channel name to chamber.
_CHAMBERS = {
    "pressure": "positive",
    "negative_pressure": "negative",
    "lower_leg_pressure": "lower_leg",
    "floating_pressure": "floating",
}


@dataclass(frozen=True)
class LeakDown:
    """A leak-down file, read.

    Parameters
    ----------
    source : str
        File name.
    leaks : tuple of LeakRate
        One for each chamber in the file.
    verdict : LeakVerdict or None
        Which way the gas may have gone; None without the chambers' volumes.
    warnings : tuple of str
        What to mind.
    """

    source: str
    leaks: tuple[LeakRate, ...]
    verdict: LeakVerdict | None
    warnings: tuple[str, ...]


def chamber_volumes(unit: Unit, setting: Setting | None = None) -> dict[str, float]:
    """Return the volume of each chamber at full extension, m3, with the setting's spacers in."""
    setting = setting or unit.setting
    volumes: dict[str, float] = {}
    air = unit.air_spring
    if air is not None:
        taken = setting.spacers * air.spacers.volume.si if air.spacers is not None else 0.0
        volumes["positive"] = air.positive_volume.si - taken
        if air.negative_volume is not None:
            volumes["negative"] = air.negative_volume.si
        if air.floating is not None:
            volumes["floating"] = air.floating.volume.si
    if unit.lower_legs is not None:
        volumes["lower_leg"] = unit.lower_legs.air_volume.si
    return volumes


def read_leak_down(
    recording: Recording,
    volumes: dict[str, float] | None = None,
    *,
    ambient: float = P0,
    gauge_resolution: float = 0.0,
    hose_volume: float = 0.0,
    level: float = 0.95,
) -> LeakDown:
    """Find the leak rate of every chamber in a recording, and which way the gas went.

    Parameters
    ----------
    recording : Recording
        Channels "pressure", "negative_pressure", "lower_leg_pressure", "floating_pressure" (gauge unless
        marked absolute), and "temperature" if it was read.
    volumes : dict of str to float, optional
        m3 by chamber; see `chamber_volumes`.
    ambient : float
        Pa, absolute.
    gauge_resolution : float
        Pa; one step of the gauge.
    hose_volume : float
        m3; of a pump put on anew for every reading of the positive chamber.
    level : float
        Coverage of the intervals.

    Raises
    ------
    InputError
        If there is no pressure in the recording.
    """
    recording.needs_time()
    volumes = volumes or {}
    temperature = next(
        (recording[n] for n in ("temperature", "ambient_temperature") if n in recording.channels), None
    )
    leaks = []
    for channel, chamber in _CHAMBERS.items():
        if channel not in recording.channels:
            continue
        absolute = recording[channel] + (0.0 if channel in recording.absolute else ambient)
        leaks.append(
            leak_rate(
                recording.time,
                absolute,
                temperature,
                chamber=chamber,
                volume=volumes.get(chamber, 0.0),
                ambient=ambient,
                gauge_resolution=gauge_resolution,
                hose_volume=hose_volume if chamber == "positive" else 0.0,
                level=level,
            )
        )
    if not leaks:
        raise InputError(
            "there is no pressure in the file", file=recording.source, allowed=", ".join(_CHAMBERS)
        )
    verdict = which_path(leaks, level) if all(leak.volume > 0 for leak in leaks) else None
    words = () if verdict is not None else ("which way the gas went needs the unit's file, for its volumes",)
    return LeakDown(recording.source, tuple(leaks), verdict, (*recording.warnings, *words))


def ingress_from(
    table: Table,
    mapping: SourceMapping,
    volume: float = 0.0,
    *,
    accept_guesses: bool = False,
    ambient: float = P0,
    level: float = 0.95,
) -> Ingress:
    """Read lower-leg pressures over rides.

    Parameters
    ----------
    table : Table
        As read.
    mapping : SourceMapping
        With "rides", a pressure ("lower_leg_pressure" or "pressure"), and a temperature if it was read.
    volume : float
        m3 of the leg's air.
    accept_guesses : bool
        Take guessed units as they are.
    ambient : float
        Pa, absolute.
    level : float
        Coverage of the interval.

    Raises
    ------
    InputError
        If the rides or the pressure are missing, or something is only guessed.
    """
    file = str(table.path)
    notes = [*table.notes, *mapping.accepted(accept_guesses, file)]
    rides = mapping.find(RIDES)
    pressure = mapping.find("lower_leg_pressure") or mapping.find("pressure")
    if rides is None or pressure is None:
        raise InputError(
            "air drawn into the lower legs is read from a column of rides and a pressure",
            file=file,
            value=", ".join(use.name for use in mapping.uses),
        )
    uses = [rides, pressure]
    temperature = mapping.find("temperature") or mapping.find("ambient_temperature")
    uses += [temperature] if temperature is not None else []
    columns = [in_si(table, use) for use in uses]
    whole = np.all(np.isfinite(columns), axis=0)
    count, gauge, *rest = (c[whole] for c in columns)
    if pressure.absolute:
        gauge = gauge - ambient
    found = ingress(count, gauge, rest[0] if rest else None, volume=volume, ambient=ambient, level=level)
    if not whole.all():
        notes.append(f"{int((~whole).sum())} rows without a reading were left out")
    return replace(found, warnings=(*notes, *found.warnings))
