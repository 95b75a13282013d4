"""Opening curves of shim stacks as the damper uses them, kept so that the same stack is solved once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from forkwright.physics.curtain import LiftMap
from forkwright.physics.shims import (
    BackingSpring,
    DiscShape,
    Fulcrum,
    ShimLoad,
    ShimOpening,
    ShimStack,
    SolvedStack,
    opening,
    opening_map,
    solved_stack,
)
from forkwright.physics.values import Array

HIGHEST_PRESSURE = 2e7
"""Opening curves are traced up to 200 bar across the shims (Pa); the last straight piece goes on beyond."""

COARSE = 12
"""Rings across the widest disc: a few ten-thousandths off in opening, a quarter of the time."""

_SAMPLES = np.concatenate(([0.0], np.geomspace(5e3, HIGHEST_PRESSURE, 48)))


@dataclass(frozen=True)
class StackUse:
    """One stack as it is built in: what it is, where it is loaded, what adjusts it (seat radius in m).

    `fineness` is the solver's; `COARSE` serves where thousands of stacks are solved.
    """

    stack: ShimStack
    load: ShimLoad
    seat_radius: float
    fulcrum: Fulcrum | None = None
    spring: BackingSpring | None = None
    stiffening: bool = False
    fineness: int | None = None


@dataclass(frozen=True)
class StackLimits:
    """Where a stack stops being trustworthy.

    Parameters
    ----------
    yield_pressure : float
        Pressure across the shims at which one passes its yield stress (Pa); infinite if none does.
    stretch_pressure : float
        Pressure at which the opening passes half the thinnest disc's thickness (Pa), so that linear theory
        opens it too far; infinite with stiffening, which accounts for it.
    warnings : tuple of str
        About the load, whatever the pressure.
    """

    yield_pressure: float
    stretch_pressure: float
    warnings: tuple[str, ...]


@lru_cache(maxsize=1024)
def lift_map(use: StackUse) -> LiftMap:
    """Solve a stack's whole opening curve.

    Raises
    ------
    Unphysical
        If the stack, its load or its adjuster cannot exist.
    """
    if use.stiffening:
        pressure, lift = _SAMPLES, _sampled(use).opening
    else:
        curve = opening_map(
            use.stack,
            use.load,
            use.seat_radius,
            HIGHEST_PRESSURE,
            fulcrum=use.fulcrum,
            backing_spring=use.spring,
            fineness=use.fineness,
        )
        pressure, lift = curve.pressure, curve.opening
    slope = (lift[-1] - lift[-2]) / (pressure[-1] - pressure[-2])
    return LiftMap(pressure, np.maximum.accumulate(lift), max(float(slope), 0.0))


@lru_cache(maxsize=1024)
def stack_limits(use: StackUse) -> StackLimits:
    """Find the pressures (Pa) from which the stack's answer needs a warning."""
    answer = _sampled(use)
    half = 0.5 * min(shim.thickness for shim in use.stack.shims)
    return StackLimits(
        _first_above(_SAMPLES, answer.stress, use.stack.assumed_yield),
        np.inf if use.stiffening else _first_above(_SAMPLES, answer.opening, half),
        tuple(warning for warning in answer.warnings if "annulus" in warning),
    )


def bent_discs(use: StackUse, pressure: float) -> tuple[DiscShape, ...]:
    """Bent shape of every disc at a pressure across the shims, the valve face first.

    Parameters
    ----------
    use : StackUse
    pressure : float
        Pa.

    Returns
    -------
    tuple of DiscShape
        Radii and heights in m.

    Notes
    -----
    Source: `forkwright.physics.shims.solved_stack`, linear theory. A stack is solved once, for every pressure
    up to `HIGHEST_PRESSURE`; beyond it, for that one alone.
    """
    if pressure > HIGHEST_PRESSURE:
        return _solved(use, pressure).shapes(pressure)
    return _followed(use).shapes(pressure)


@lru_cache(maxsize=64)
def _followed(use: StackUse) -> SolvedStack:
    return _solved(use, HIGHEST_PRESSURE)


def _solved(use: StackUse, highest: float) -> SolvedStack:
    return solved_stack(
        use.stack, use.load, use.seat_radius, highest, fulcrum=use.fulcrum, backing_spring=use.spring
    )


def peak_stress(use: StackUse, pressure: float) -> float:
    """Largest von Mises stress (Pa) in any disc at a pressure across the shims (Pa).

    Parameters
    ----------
    use : StackUse
    pressure : float
        Across the shims, Pa.

    Returns
    -------
    float
        Pa.
    """
    return float(stack_opening(use, np.array([pressure])).stress[0])


@lru_cache(maxsize=256)
def _sampled(use: StackUse) -> ShimOpening:
    return stack_opening(use, _SAMPLES)


def stack_opening(use: StackUse, pressure: Array) -> ShimOpening:
    """Open a stack at pressures across it, as it is built in.

    Parameters
    ----------
    use : StackUse
    pressure : ndarray, shape (n,)
        Pa.

    Returns
    -------
    ShimOpening
        Opening in m, stress in Pa, with its warnings.

    Notes
    -----
    Source: `forkwright.physics.shims.opening`.
    """
    return opening(
        use.stack,
        use.load,
        use.seat_radius,
        pressure,
        stiffening=use.stiffening,
        fulcrum=use.fulcrum,
        backing_spring=use.spring,
    )


def stretch_words(linear: ShimOpening, stretched: ShimOpening) -> str:
    """Return how much less a stack opens at the last pressure when its discs also stretch.

    Parameters
    ----------
    linear, stretched : ShimOpening
        The same stack, bent alone and also stretched; m, Pa.

    Returns
    -------
    str
        A sentence.

    Notes
    -----
    Source: none; it tells two openings apart.
    """
    whole, real = float(linear.opening[-1]), float(stretched.opening[-1])
    less = 1.0 - real / whole if whole > 0.0 else 0.0
    return (
        f"with stretching it opens {real * 1e3:.4f} mm instead of {whole * 1e3:.4f} mm at "
        f"{float(linear.pressure[-1]) / 1e5:g} bar, {less:.0%} less"
    )


def _first_above(pressure: Array, value: Array, limit: float) -> float:
    """Pressure (Pa) at which `value` first passes `limit`, between samples in a straight line."""
    above = np.flatnonzero(value > limit)
    if not above.size:
        return float("inf")
    first = int(above[0])
    if first == 0:
        return 0.0
    share = (limit - value[first - 1]) / (value[first] - value[first - 1])
    return float(pressure[first - 1] + share * (pressure[first] - pressure[first - 1]))
