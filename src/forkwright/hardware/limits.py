"""The limits a unit states for its own setting, enforced wherever a setting is given."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from forkwright.hardware.faults import Fault
from forkwright.hardware.fields import Part
from forkwright.hardware.setting import Setting
from forkwright.units import InputError, Measure, show

if TYPE_CHECKING:
    from forkwright.hardware.unit import Unit


def check_setting(unit: Unit, setting: Setting, *, file: str | None = None) -> None:
    """Refuse a setting that this unit cannot or must not be given.

    Parameters
    ----------
    unit : Unit
    setting : Setting
    file : str, optional
        Named in the error.

    Raises
    ------
    InputError
        For a pressure over the stated limit, more spacers than fit, clicks beyond the adjuster, or an entry
        for a part that the unit does not have.
    """
    for key, reason, value, allowed in faults_of_setting(unit, setting):
        raise InputError(reason, file=file, key=key, value=value or None, allowed=allowed or None)


def with_setting(unit: Unit, setting: Setting | None) -> Unit:
    """Return the unit with another setting in it.

    Parameters
    ----------
    unit : Unit
    setting : Setting or None
        None keeps the unit's own.

    Returns
    -------
    Unit

    Raises
    ------
    InputError
        If the unit must not be given this setting.
    """
    if setting is None:
        return unit
    check_setting(unit, setting)
    return unit.model_copy(update={"setting": setting})


def stated_setting(unit: Unit, **stated: Any) -> Setting | None:
    """Return the unit's own setting with what was stated about it, checked; None where nothing was.

    Parameters
    ----------
    unit : Unit
        Its setting stands where nothing was stated.
    **stated
        Entries of the setting as `Setting.changed` takes them; None was not stated.

    Raises
    ------
    InputError
        If an entry is out of range, or the unit must not be given this setting.
    """
    entries = {name: value for name, value in stated.items() if value is not None}
    if not entries:
        return None
    setting = unit.setting.changed(**entries)
    check_setting(unit, setting)
    return setting


def faults_of_setting(unit: Unit, setting: Setting) -> list[Fault]:
    """Return every reason why `setting` does not suit `unit`."""
    return [*_pressure_faults(unit, setting), *_spacer_faults(unit, setting), *_click_faults(unit, setting)]


def _pressure_faults(unit: Unit, setting: Setting) -> list[Fault]:
    air = unit.air_spring
    floating = air.floating if air is not None else None
    valve = air if air is not None and air.negative == "valve" else None
    limit = air.pressure_limit if air else None
    floating_limit = floating.pressure_limit if floating else None
    valve_limit = (valve.negative_pressure_limit or valve.pressure_limit) if valve else None
    faults = [
        *_faults_of_pressure(setting, "pressure", "an air spring", air, limit),
        *_faults_of_pressure(setting, "floating", "a floating piston", floating, floating_limit),
        *_faults_of_pressure(
            setting, "negative_pressure", "a negative chamber with its own valve", valve, valve_limit
        ),
    ]
    if setting.preload is not None and unit.coil_spring is None:
        faults.append(Fault("setting.preload", "the unit has no coil spring", setting.preload.text))
    return faults


def _faults_of_pressure(
    setting: Setting, name: str, words: str, part: Part | None, limit: Measure | None
) -> list[Fault]:
    """A pressure is given where there is a part to hold it, only there, and not above its limit."""
    pressure, key = getattr(setting, name), f"setting.{name}"
    if part is None:
        return [] if pressure is None else [Fault(key, f"the unit does not have {words}", pressure.text)]
    if pressure is None:
        return [Fault(key, f"missing key: the unit has {words}")]
    if limit is not None and pressure.si > limit.si * (1 + 1e-9):
        value, most = (measure.text or show(measure.si, "pressure") for measure in (pressure, limit))
        return [Fault(key, "over the stated pressure limit", value, f"up to {most}")]
    return []


def _spacer_faults(unit: Unit, setting: Setting) -> list[Fault]:
    if setting.spacers == 0:
        return []
    key, given, air = "setting.spacers", str(setting.spacers), unit.air_spring
    if air is None or air.spacers is None:
        return [Fault(key, "the unit takes no spacers", given, "0")]
    if setting.spacers > air.spacers.max_count:
        return [Fault(key, "more spacers than fit", given, f"0 to {air.spacers.max_count}")]
    free = air.positive_volume.si - math.pi / 4 * air.bore.si**2 * unit.travel.si
    if setting.spacers * air.spacers.volume.si >= free:
        most = max(0, math.ceil(free / air.spacers.volume.si) - 1)
        reason = "with these spacers the piston would compress the positive chamber below zero"
        return [Fault(key, reason, given, f"0 to {most}")]
    return []


def _click_faults(unit: Unit, setting: Setting) -> list[Fault]:
    ranges = unit.damper.click_ranges() if unit.damper is not None else {}
    faults: list[Fault] = []
    for name in ("low_speed", "high_speed", "rebound"):
        clicks, key = getattr(setting, name), f"setting.{name}"
        if clicks is None:
            continue
        if name not in ranges:
            faults.append(Fault(key, "the unit has no such adjuster", str(clicks)))
        elif clicks > ranges[name]:
            faults.append(
                Fault(key, "more clicks than the adjuster has", str(clicks), f"0 to {ranges[name]}")
            )
    return faults
