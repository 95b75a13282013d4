"""The limits a unit states for its own setting, enforced wherever a setting is given."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from forkwright.hardware.setting import Setting
from forkwright.units import InputError, Measure, show

if TYPE_CHECKING:
    from forkwright.hardware.unit import Unit

Fault = tuple[str, str, str, str]  # key, reason, value as text, allowed


def check_setting(unit: Unit, setting: Setting, *, file: str | None = None) -> None:
    """Refuse a setting that this unit cannot or must not be given.

    Raises
    ------
    InputError
        For a pressure over the stated limit, more spacers than fit, clicks beyond the adjuster, or an entry
        for a part that the unit does not have.
    """
    for key, reason, value, allowed in faults_of_setting(unit, setting):
        raise InputError(reason, file=file, key=key, value=value or None, allowed=allowed or None)


def with_setting(unit: Unit, setting: Setting | None) -> Unit:
    """Return the unit with another setting in it (None keeps its own).

    Raises
    ------
    InputError
        If the unit must not be given this setting.
    """
    if setting is None:
        return unit
    check_setting(unit, setting)
    return unit.model_copy(update={"setting": setting})


def faults_of_setting(unit: Unit, setting: Setting) -> list[Fault]:
    """Return every reason why `setting` does not suit `unit`, as (key, reason, value, allowed)."""
    return [*_pressure_faults(unit, setting), *_spacer_faults(unit, setting), *_click_faults(unit, setting)]


def _pressure_faults(unit: Unit, setting: Setting) -> list[Fault]:
    air = unit.air_spring
    floating = air.floating if air is not None else None
    own_valve = air is not None and air.negative == "valve"
    faults: list[Fault] = []
    faults += _pressure_fault(
        "setting.pressure",
        setting.pressure,
        air.pressure_limit if air else None,
        air is not None,
        "an air spring",
    )
    faults += _pressure_fault(
        "setting.floating",
        setting.floating,
        floating.pressure_limit if floating else None,
        floating is not None,
        "a floating piston",
    )
    faults += _pressure_fault(
        "setting.negative_pressure",
        setting.negative_pressure,
        (air.negative_pressure_limit or air.pressure_limit) if air else None,
        own_valve,
        "a negative chamber with its own valve",
    )
    if setting.preload is not None and unit.coil_spring is None:
        faults.append(("setting.preload", "the unit has no coil spring", setting.preload.text, ""))
    return faults


def _pressure_fault(
    key: str, pressure: Measure | None, limit: Measure | None, present: bool, part: str
) -> list[Fault]:
    if not present:
        return [(key, f"the unit does not have {part}", pressure.text, "")] if pressure is not None else []
    if pressure is None:
        return [(key, f"missing key: the unit has {part}", "", "")]
    if limit is not None and pressure.si > limit.si * (1 + 1e-9):
        allowed = f"up to {limit.text or show(limit.si, 'pressure')}"
        return [
            (key, "over the stated pressure limit", pressure.text or show(pressure.si, "pressure"), allowed)
        ]
    return []


def _spacer_faults(unit: Unit, setting: Setting) -> list[Fault]:
    if setting.spacers == 0:
        return []
    air = unit.air_spring
    if air is None or air.spacers is None:
        return [("setting.spacers", "the unit takes no spacers", str(setting.spacers), "0")]
    if setting.spacers > air.spacers.max_count:
        return [
            (
                "setting.spacers",
                "more spacers than fit",
                str(setting.spacers),
                f"0 to {air.spacers.max_count}",
            )
        ]
    free = air.positive_volume.si - math.pi / 4 * air.bore.si**2 * unit.travel.si
    if setting.spacers * air.spacers.volume.si >= free:
        most = max(0, math.ceil(free / air.spacers.volume.si) - 1)
        reason = "with these spacers the piston would compress the positive chamber below zero"
        return [("setting.spacers", reason, str(setting.spacers), f"0 to {most}")]
    return []


def _click_faults(unit: Unit, setting: Setting) -> list[Fault]:
    ranges = unit.damper.click_ranges() if unit.damper is not None else {}
    faults: list[Fault] = []
    for name in ("low_speed", "high_speed", "rebound"):
        clicks = getattr(setting, name)
        if clicks is None:
            continue
        if name not in ranges:
            faults.append((f"setting.{name}", "the unit has no such adjuster", str(clicks), ""))
        elif clicks > ranges[name]:
            faults.append(
                (f"setting.{name}", "more clicks than the adjuster has", str(clicks), f"0 to {ranges[name]}")
            )
    return faults
