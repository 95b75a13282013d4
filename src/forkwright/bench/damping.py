"""Static damping: force, chamber pressures and cavitation margin against speed.

`damping_curve` is the whole answer for one setting; `damping_variations` asks it again for other clicks,
`damping_bands` for other draws from the tolerances.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from forkwright.bench.damper_model import DamperModel, across_stacks
from forkwright.bench.damper_setup import built_model, checked_position, checked_speeds
from forkwright.bench.stack_maps import stack_limits
from forkwright.hardware import Setting, Unit
from forkwright.physics import P0
from forkwright.physics.damper_circuit import CircuitState, lowest_chamber, steady_state
from forkwright.physics.values import Array

WORKSHOP_OIL = 293.15
"""Oil temperature when none is given (K): 20 degrees C."""


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
    speed, place = checked_speeds(speeds), checked_position(unit, position)
    model = built_model(unit, setting, oil_temperature, place, ambient_pressure, stiffening)
    state = steady_state(model.circuit, speed)
    return curve_of(unit, model, state, oil_temperature, place, _stack_warnings(model, state))


def curve_of(
    unit: Unit,
    model: DamperModel,
    state: CircuitState,
    oil_temperature: float,
    position: float,
    stack_warnings: list[str],
) -> DampingCurve:
    """Lay out a solved circuit for the reader (oil temperature in K, position in m)."""
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
        f"the damper cavitates in {way} from {speed:.2f} m/s: beyond it the force shown is that of oil that"
        " can be pulled, and the real one differs"
        for way, speed in zip(("compression", "rebound"), lost, strict=True)
        if speed is not None
    ]


def _stack_warnings(model: DamperModel, state: CircuitState) -> list[str]:
    """Name the stacks that pass yield, or lift too far for linear theory, within these speeds."""
    across, found = across_stacks(state), []
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
