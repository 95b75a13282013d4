"""Static damping: force, chamber pressures and cavitation margin against speed, and what the clicks do.

`damping_curve` is the whole answer for one setting; `click_effects`, `damping_bands` and `cavitation_map`
ask it again for other clicks, other draws from the tolerances, and other speeds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from forkwright.bench.bands import Band, band_of
from forkwright.bench.damper_model import DamperModel, model_of
from forkwright.bench.stack_maps import stack_limits
from forkwright.hardware import Setting, Unit, check_setting, drawn, measures, replaced
from forkwright.hardware.damper import Damper
from forkwright.physics import P0, Unphysical
from forkwright.physics.damper_circuit import CircuitState, lowest_chamber, steady_state
from forkwright.physics.values import Array
from forkwright.units import InputError

WORKSHOP_OIL = 293.15
"""Oil temperature when none is given (K): 20 degrees C."""

CLICK_SPEEDS = (0.1, 0.5, 1.0, 2.0, 4.0)
"""Speeds at which the effect of a click is told (m/s)."""

HIGHEST_SPEED = 50.0
"""No shaft moves faster than this (m/s); asked for more, the bench refuses."""


@dataclass(frozen=True)
class DampingCurve:
    """A damper at steady speeds; every array has the shape of `speed`.

    Parameters
    ----------
    speed : ndarray
        m/s, positive in compression.
    force : ndarray
        N, positive when it pushes the unit towards extension; seal friction included.
    compression_chamber, shaft_chamber, reservoir : ndarray
        Absolute pressures (Pa).
    cavitation_margin : ndarray
        Lowest of the three above the pressure at which the oil parts (Pa). Below zero the pressures and
        the force are those of oil that could be pulled; a real damper gives less force there.
    by_path : dict of str to ndarray
        Force by path (N), adding up to `force`: see `physics.damper_circuit.CircuitState`.
    margin_lost : tuple of float or None
        Speed at which the margin is lost in compression and in rebound (m/s, both positive), None if it
        is not within the speeds asked for.
    clicks : dict of str to int
        From fully closed, as taken.
    oil_temperature : float
        K.
    position : float
        Compression at which the reservoir stands (m).
    fingerprint : str
        Of the unit that made it.
    warnings : tuple of str
    """

    speed: Array
    force: Array
    compression_chamber: Array
    shaft_chamber: Array
    reservoir: Array
    cavitation_margin: Array
    by_path: dict[str, Array]
    margin_lost: tuple[float | None, float | None]
    clicks: dict[str, int]
    oil_temperature: float
    position: float
    fingerprint: str
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class ClickEffect:
    """What one click of one adjuster changes.

    Parameters
    ----------
    adjuster : str
        low_speed, high_speed or rebound.
    clicks : int
        From fully closed, before the click.
    step : int
        +1 one click open, -1 one click closed.
    speed : ndarray, shape (10,)
        m/s, rebound (negative) first.
    force_change : ndarray, shape (10,)
        N, force after the click less force before.
    """

    adjuster: str
    clicks: int
    step: int
    speed: Array
    force_change: Array


def damping_curve(
    unit: Unit,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    *,
    position: float | None = None,
    ambient_pressure: float = P0,
    stiffening: bool = False,
) -> DampingCurve:
    """Force and chamber pressures of a unit's damper at steady speeds.

    Parameters
    ----------
    unit : Unit
    setting : Setting, optional
        The unit's own when None. An adjuster that is not set is taken in the middle, with a warning.
    oil_temperature : float
        K.
    speeds : array_like, shape (n,), optional
        m/s, positive in compression; 201 speeds from -5 to 5 when None.
    position : float, optional
        Compression (m) at which the reservoir stands; the middle of the travel when None.
    ambient_pressure : float
        Outside (Pa absolute).
    stiffening : bool
        Let the shims stretch as well as bend.

    Returns
    -------
    DampingCurve

    Raises
    ------
    InputError
        If the unit has no damper, the setting does not suit it, or a speed is out of range.
    Unphysical
        If a valve has no path for the oil, the reservoir bottoms, or a stack cannot exist.
    """
    setting = unit.setting if setting is None else setting
    speed, place = _speeds(speeds), _position(unit, position)
    model = _model(unit, setting, oil_temperature, place, ambient_pressure, stiffening)
    state = steady_state(model.circuit, speed)
    return _curve(unit, model, state, oil_temperature, place, _stack_warnings(model, state))


def click_effects(
    unit: Unit,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: tuple[float, ...] = CLICK_SPEEDS,
) -> tuple[ClickEffect, ...]:
    """What one click of each adjuster, each way, changes at given speeds (m/s, both directions).

    `oil_temperature` in K. Clicks that do not exist (beyond either end) are left out.
    """
    setting = unit.setting if setting is None else setting
    speed = np.concatenate((-np.array(speeds)[::-1], speeds))
    before = damping_curve(unit, setting, oil_temperature, speed)
    effects = []
    for adjuster, most in _damper(unit).click_ranges().items():
        for step in (1, -1):
            clicks = before.clicks[adjuster]
            if 0 <= clicks + step <= most:
                changed = setting.changed(**{**before.clicks, adjuster: clicks + step})
                after = damping_curve(unit, changed, oil_temperature, speed)
                effects.append(ClickEffect(adjuster, clicks, step, speed, after.force - before.force))
    return tuple(effects)


def damping_bands(
    unit: Unit,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    *,
    draws: int = 200,
    seed: int = 1,
    fields: tuple[str, ...] = ("force",),
) -> dict[str, Band]:
    """Return bands of `DampingCurve` fields over the speeds, from the tolerances of every measure.

    Parameters
    ----------
    unit, setting, oil_temperature, speeds
        As in `damping_curve` (K, m/s).
    draws : int
        Units drawn; each solves its own shim stacks.
    seed : int
        The same seed gives the same bands.
    fields : tuple of str
        Fields of `DampingCurve`.

    Returns
    -------
    dict of str to Band
        By field; arrays of shape (n,), in the field's SI unit.

    Notes
    -----
    Source: Monte-Carlo propagation, JCGM 101:2008, clause 7. A draw that cannot exist (a shim as narrow as
    its clamp, say) is left out.
    """
    setting = unit.setting if setting is None else setting
    speed = _speeds(speeds)
    rows: dict[str, list[Array]] = {name: [] for name in fields}
    check_setting(unit, setting)
    for one in drawn_dampers(unit, draws, seed):
        curve = _drawn_curve(one, setting, oil_temperature, speed)
        if curve is not None:
            for name, found in rows.items():
                found.append(getattr(curve, name))
    return {name: band_of(np.array(found).T.copy()) for name, found in rows.items()}


def drawn_dampers(unit: Unit, draws: int, seed: int) -> Iterator[Unit]:
    """Yield units whose damper's measures are drawn from their tolerances, one draw each."""
    damper = _damper(unit)
    many = measures(drawn(damper, draws, seed))
    values = {path: np.ravel(measure.si) for path, measure in many.items() if np.size(measure.si) > 1}
    for number in range(draws):
        one = replaced(damper, {path: float(found[number]) for path, found in values.items()})
        yield unit.model_copy(update={"damper": one})


@dataclass(frozen=True)
class CavitationMap:
    """Cavitation margin over speed and clicks.

    Parameters
    ----------
    speed : ndarray, shape (n,)
        m/s.
    clicks : ndarray of int, shape (m,)
        Of `adjuster`, from fully closed.
    margin : ndarray, shape (m, n)
        Pa; below zero the oil parts.
    adjuster : str
    """

    speed: Array
    clicks: Array
    margin: Array
    adjuster: str


def cavitation_map(
    unit: Unit,
    adjuster: str,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    *,
    position: float | None = None,
) -> CavitationMap:
    """Cavitation margin (Pa) over speeds (m/s) for every click of one adjuster; oil temperature in K."""
    setting = unit.setting if setting is None else setting
    ranges = _damper(unit).click_ranges()
    if adjuster not in ranges:
        raise InputError("the unit has no such adjuster", value=adjuster, allowed=", ".join(ranges))
    clicks = np.arange(ranges[adjuster] + 1)
    speed = _speeds(speeds)
    rows = [
        damping_curve(
            unit, setting.changed(**{adjuster: int(number)}), oil_temperature, speed, position=position
        ).cavitation_margin
        for number in clicks
    ]
    return CavitationMap(speed, clicks, np.array(rows), adjuster)


def _curve(
    unit: Unit,
    model: DamperModel,
    state: CircuitState,
    oil_temperature: float,
    position: float,
    stack_warnings: list[str],
) -> DampingCurve:
    margin = lowest_chamber(state) - model.circuit.parting_pressure
    lost = _speed_of_loss(state.speed, margin, 1.0), _speed_of_loss(state.speed, margin, -1.0)
    return DampingCurve(
        state.speed,
        state.force,
        state.compression_chamber,
        state.shaft_chamber,
        state.reservoir,
        margin,
        state.by_path,
        lost,
        model.clicks,
        oil_temperature,
        position,
        unit.fingerprint,
        (*model.warnings, *_margin_warnings(lost), *stack_warnings),
    )


def _model(
    unit: Unit, setting: Setting, oil_temperature: float, position: float, ambient: float, stiffening: bool
) -> DamperModel:
    damper = _damper(unit)
    check_setting(unit, setting)
    if not 203.15 <= oil_temperature <= 473.15:
        raise InputError(
            "oil temperature out of range", value=f"{oil_temperature - 273.15:g} °C", allowed="-70 to 200 °C"
        )
    displaced = np.pi / 4 * damper.shaft.si**2 * position
    return model_of(
        damper, setting, oil_temperature, displaced, ambient_pressure=ambient, stiffening=stiffening
    )


def _damper(unit: Unit) -> Damper:
    if unit.damper is None:
        raise InputError("the unit has no damper: give [damper]", key="damper")
    return unit.damper


def _speeds(speeds: ArrayLike | None) -> Array:
    speed = np.linspace(-5.0, 5.0, 201) if speeds is None else np.atleast_1d(np.asarray(speeds, float))
    if speed.ndim != 1 or speed.size == 0 or not np.all(np.abs(speed) <= HIGHEST_SPEED):
        raise InputError(
            "speeds out of range", key="speeds", allowed=f"{-HIGHEST_SPEED:g} to {HIGHEST_SPEED:g} m/s"
        )
    return speed


def _position(unit: Unit, position: float | None) -> float:
    if position is None:
        return 0.5 * float(unit.travel.si)
    if not 0.0 <= position <= unit.travel.si:
        raise InputError(
            "position outside the travel", key="position", value=f"{position:g} m",
            allowed=f"0 to {unit.travel.si:g} m",
        )  # fmt: skip
    return position


def _drawn_curve(
    unit: Unit, setting: Setting, oil_temperature: float, speed: Array
) -> DampingCurve | None:
    """Return one draw's curve without asking its shims for stress; None if such a damper cannot exist."""
    place = _position(unit, None)
    try:
        model = _model(unit, setting, oil_temperature, place, P0, False)
        state = steady_state(model.circuit, speed)
    except Unphysical:
        return None
    return _curve(unit, model, state, oil_temperature, place, [])


def _speed_of_loss(speed: Array, margin: Array, direction: float) -> float | None:
    """Smallest speed of one direction at which the margin is gone, between samples in a straight line."""
    chosen = speed * direction >= 0.0
    along = np.abs(speed[chosen])
    order = np.argsort(along)
    along, left = along[order], margin[chosen][order]
    below = np.flatnonzero(left < 0.0)
    if not below.size:
        return None
    first = int(below[0])
    if first == 0:
        return float(along[0])
    share = left[first - 1] / (left[first - 1] - left[first])
    return float(along[first - 1] + share * (along[first] - along[first - 1]))


def _margin_warnings(lost: tuple[float | None, float | None]) -> list[str]:
    return [
        f"the damper cavitates in {way} from {speed:.2f} m/s: beyond it the real force is smaller than shown"
        for way, speed in zip(("compression", "rebound"), lost, strict=True)
        if speed is not None
    ]


def _stack_warnings(model: DamperModel, state: CircuitState) -> list[str]:
    """Name the stacks that pass yield, or lift too far for linear theory, within these speeds."""
    across = {
        "base_valve": state.base[0].curtain_drop,
        "rebound_valve": state.piston[1].curtain_drop,
        "mid_valve": state.piston[0].curtain_drop,
    }
    found = []
    for name, use in model.stacks.items():
        drop, words, stack = across[name], name.replace("_", " "), stack_limits(use)
        found += [f"{words}: {warning}" for warning in stack.warnings]
        if np.any(drop > stack.yield_pressure):
            speed = float(np.min(np.abs(state.speed[drop > stack.yield_pressure])))
            found.append(
                f"{words}: a shim passes its yield stress from about {speed:.2f} m/s: it would stay bent"
            )
        if np.any(drop > stack.stretch_pressure):
            speed = float(np.min(np.abs(state.speed[drop > stack.stretch_pressure])))
            found.append(
                f"{words}: a shim lifts by more than half its thickness from about {speed:.2f} m/s; there it "
                "also stretches and opens less than linear theory says (ask for stiffening)"
            )
    return found
