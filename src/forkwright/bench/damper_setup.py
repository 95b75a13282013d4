"""Setting a damper up on the bench: its model built from a unit, and what is asked of it checked."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from forkwright.bench.damper_model import DamperModel, model_of
from forkwright.hardware import Setting, Unit, check_setting
from forkwright.hardware.damper import Damper
from forkwright.physics.constants import ZERO_CELSIUS
from forkwright.physics.values import Array
from forkwright.units import InputError

HIGHEST_SPEED = 50.0
"""No shaft moves faster than this (m/s); asked for more, the bench refuses."""


def built_model(
    unit: Unit,
    setting: Setting,
    oil_temperature: float,
    position: float,
    ambient: float,
    stiffening: bool = False,
    fineness: int | None = None,
) -> DamperModel:
    """Build the damper model of a unit, its setting and oil temperature checked.

    Parameters
    ----------
    unit : Unit
        With a damper.
    setting : Setting
    oil_temperature : float
        K.
    position : float
        Compression at which the reservoir stands, m.
    ambient : float
        Pa, absolute.
    stiffening : bool
        Shims stretch as well as bend.
    fineness : int, optional
        Of the shim solver; None is right for one answer (see `stack_maps.COARSE`).

    Returns
    -------
    DamperModel

    Raises
    ------
    InputError
        Without a damper, or for a setting or a temperature out of range.

    Notes
    -----
    Source: none; it puts parts together.
    """
    damper = damper_of(unit)
    check_setting(unit, setting)
    check_oil_temperature(oil_temperature)
    displaced = np.pi / 4 * damper.shaft.si**2 * position
    return model_of(
        damper,
        setting,
        oil_temperature,
        displaced,
        ambient_pressure=ambient,
        stiffening=stiffening,
        fineness=fineness,
    )


def check_oil_temperature(temperature: float) -> None:
    """Refuse an oil temperature (K) at which no damper is run, on the bench or on the dynamometer.

    Parameters
    ----------
    temperature : float
        K.

    Raises
    ------
    InputError
        Out of range.

    Notes
    -----
    Source: none; the range is an own choice, far beyond what seals stand.
    """
    if not 203.15 <= temperature <= 473.15:
        raise InputError(
            "out of range", key="oil temperature", value=f"{temperature - ZERO_CELSIUS:g} °C",
            allowed="-70 to 200 °C",
        )  # fmt: skip


def damper_of(unit: Unit) -> Damper:
    """Return the unit's damper; refuse a unit without one."""
    if unit.damper is None:
        raise InputError("the unit has no damper: give [damper]", key="damper")
    return unit.damper


def checked_speeds(speeds: ArrayLike | None) -> Array:
    """Return speeds (m/s) as an array; the usual 201 when None."""
    speed = np.linspace(-5.0, 5.0, 201) if speeds is None else np.atleast_1d(np.asarray(speeds, float))
    if speed.ndim != 1 or speed.size == 0 or not np.all(np.abs(speed) <= HIGHEST_SPEED):
        raise InputError(
            "speeds out of range", key="speeds", allowed=f"{-HIGHEST_SPEED:g} to {HIGHEST_SPEED:g} m/s"
        )
    return speed


def checked_position(unit: Unit, position: float | None) -> float:
    """Return the compression at which the reservoir stands.

    Parameters
    ----------
    unit : Unit
    position : float, optional
        m; by default the middle of the travel.

    Returns
    -------
    float
        m.

    Raises
    ------
    InputError
        Outside the travel.

    Notes
    -----
    Source: none; the middle is an own choice.
    """
    if position is None:
        return 0.5 * float(unit.travel.si)
    if not 0.0 <= position <= unit.travel.si:
        raise InputError(
            "position outside the travel", key="position", value=f"{position:g} m",
            allowed=f"0 to {unit.travel.si:g} m",
        )  # fmt: skip
    return position
