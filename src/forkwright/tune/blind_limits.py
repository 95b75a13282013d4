"""Whether a blind setting may be ridden: the unit's own limits, its sag, and its force at full travel."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from forkwright.units import InputError, Measure, parse, show

if TYPE_CHECKING:
    from forkwright.hardware import Unit

#: Sag as a share of the travel outside which a setting is refused, unless the request says otherwise (common
#: practice, no source).
SAG_LOW, SAG_HIGH = 0.10, 0.40

Limits = Mapping[str, str | float | int]


class BlindOption(Protocol):
    """What is judged: a setting of a unit's file, or somebody's signature in its place."""

    @property
    def setting(self) -> Mapping[str, object]:
        """The setting, by the names a unit's file uses."""

    @property
    def unit(self) -> str:
        """Name of the unit's file, or nothing."""

    @property
    def checked_by_hand(self) -> str:
        """Who has checked the limits where there is no file, and how."""


def judge(limits: Limits, folder: Path) -> Callable[[BlindOption], list[str]]:
    """Return the judge of blind settings for one trial.

    Parameters
    ----------
    limits : mapping
        From the request: `load` (force along the leg axis of rider and bike at rest) and
        `full_travel_force` (the least force the unit must have at full travel), both with a unit; `sag_low`
        and `sag_high` as shares of the travel, dimensionless.
    folder : Path
        What the unit files' names are relative to.
    """

    def reasons(option: BlindOption) -> list[str]:
        if not option.unit:
            if option.checked_by_hand:
                return []
            return ["no unit file to compute its limits from, and no `checked_by_hand` signed"]
        try:
            return _computed(option, limits, folder)
        except InputError as fault:
            return [str(fault)]

    return reasons


def _computed(option: BlindOption, limits: Limits, folder: Path) -> list[str]:
    from forkwright.bench.gas_push import gas_push, seal_of
    from forkwright.bench.sag import sag
    from forkwright.bench.spring import spring_curve
    from forkwright.hardware import load_unit, with_setting

    unit: Unit = load_unit(os.path.normpath(folder.resolve() / option.unit))
    unit = with_setting(unit, unit.setting.changed(**option.setting))
    load, least = _limit(limits, "load"), _limit(limits, "full_travel_force")
    low, high = _share(limits, "sag_low", SAG_LOW), _share(limits, "sag_high", SAG_HIGH)
    reasons = []
    rests = sag(unit, load.si, push=gas_push(unit), extra_friction=seal_of(unit))  # a rider stands on it
    share = float(rests.middle) / unit.travel.si
    if not low <= share <= high:
        reasons.append(
            f"sag would be {share:.0%} of the travel under {show(load.si, 'force')}, allowed {low:.0%} to "
            f"{high:.0%}"
        )
    force = float(spring_curve(unit).force[-1])
    if force < least.si:
        reasons.append(
            f"at full travel it pushes back with {show(force, 'force')} only, "
            f"limits.full_travel_force asks for {show(least.si, 'force')}"
        )
    return reasons


def _limit(limits: Limits, key: str) -> Measure:
    if key not in limits:
        raise InputError("missing; a blind setting is checked against it", key=f"limits.{key}")
    found = parse(str(limits[key]), "force")
    if not found.si > 0:
        raise InputError("not a force", key=f"limits.{key}", value=str(limits[key]), allowed="above 0 N")
    return found


def _share(limits: Limits, key: str, otherwise: float) -> float:
    given = limits.get(key, otherwise)
    if isinstance(given, str) or not 0 < given < 1:
        raise InputError("not a share", key=f"limits.{key}", value=str(given), allowed="above 0, below 1")
    return float(given)
