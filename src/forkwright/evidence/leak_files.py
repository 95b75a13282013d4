"""Leak-down files: every chamber's pressure over hours, and lower-leg pressure over rides."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from forkwright.evidence.leak_path import Ingress, LeakVerdict, ingress, which_path
from forkwright.evidence.leakdown import LeakRate, leak_rate
from forkwright.evidence.recording import Recording
from forkwright.evidence.tables import read_table
from forkwright.hardware import Setting, Unit
from forkwright.physics.constants import P0
from forkwright.units import InputError
from forkwright.units.registry import scale

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


def read_ingress(
    path: str | Path, volume: float = 0.0, *, ambient: float = P0, level: float = 0.95
) -> Ingress | None:
    """Read lower-leg pressures over rides; None where the file has no column of rides.

    Parameters
    ----------
    path : str or Path
        A table with a column "rides" and a gauge pressure, and a temperature if it was read.
    volume : float
        m3 of the leg's air.
    ambient : float
        Pa, absolute.
    level : float
        Coverage of the interval.
    """
    table = read_table(path)
    by_name = {h.name: h for h in reversed(table.headers)}
    if "rides" not in by_name:
        return None
    pressure = by_name.get("lower_leg_pressure") or by_name.get("pressure")
    if pressure is None or not pressure.unit:
        raise InputError("a pressure with its unit in the header is needed", file=str(path))
    columns = []
    for header, dimension in (
        (by_name["rides"], ""),
        (pressure, "pressure"),
        (by_name.get("temperature"), "temperature"),
    ):
        if header is None:
            continue
        factor, offset = (scale(header.unit, dimension) or (1.0, 0.0)) if dimension else (1.0, 0.0)
        readings = table.columns[header.text]
        if not isinstance(readings, np.ndarray):
            raise InputError("the column holds text, not numbers", file=str(path), key=header.text)
        columns.append(readings * factor + offset)
    whole = np.all(np.isfinite(columns), axis=0)
    rides, gauge, *rest = (c[whole] for c in columns)
    if pressure.absolute:
        gauge = gauge - ambient
    return ingress(rides, gauge, rest[0] if rest else None, volume=volume, ambient=ambient, level=level)
