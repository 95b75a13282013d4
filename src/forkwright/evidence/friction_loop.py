"""A slow pull on the bench, in both directions: half the difference is friction, the mean is the spring."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.recording import Recording
from forkwright.evidence.strokes import directions, shared_range, strokes_of
from forkwright.physics.values import Array
from forkwright.units import InputError

_SLOW = 0.02  # m/s; above this oil damping counts as friction (common practice, no source)


@dataclass(frozen=True)
class FrictionLoop:
    """What a slow force-travel loop shows.

    Parameters
    ----------
    travel : ndarray, shape (m,)
        m, compression from full extension, evenly spaced over what both directions reached.
    spring : ndarray, shape (m,)
        N, mean of the two directions.
    friction : ndarray, shape (m,)
        N, half of their difference.
    compressing, extending : ndarray, shape (m,)
        N, force in each direction.
    energy : float
        J, area between the two directions: what one loop turned into heat.
    friction_mean, friction_error : float
        N, mean friction over the loop and its standard error over strokes and travel.
    strokes : int
        Strokes used, both directions together.
    warnings : tuple of str
        What to mind.
    """

    travel: Array
    spring: Array
    friction: Array
    compressing: Array
    extending: Array
    energy: float
    friction_mean: float
    friction_error: float
    strokes: int
    warnings: tuple[str, ...]


def friction_loop(travel: Array, force: Array, time: Array | None = None, points: int = 81) -> FrictionLoop:
    """Part a slow force-travel loop into spring and friction.

    Parameters
    ----------
    travel : ndarray, shape (n,)
        m, compression from full extension, in the order it was pulled.
    force : ndarray, shape (n,)
        N, positive pushes towards extension.
    time : ndarray, shape (n,), optional
        s; only used to say when the pull was too fast.
    points : int
        Points of the answer.

    Returns
    -------
    FrictionLoop

    Raises
    ------
    InputError
        If the pull is too short, or one direction is missing.

    Notes
    -----
    Source: half the difference of the two directions at the same travel is the friction (derived); the area
    of a Coulomb loop is ``4 F X`` at amplitude X (derived).

    Examples
    --------
    >>> import numpy as np
    >>> x = 0.05 * (1 - np.cos(np.linspace(0, 2 * np.pi, 400)))
    >>> f = 500 * x + 10 * np.sign(np.gradient(x))
    >>> round(friction_loop(x, f).friction_mean, 6)
    10.0
    """
    travel, force = np.asarray(travel, dtype=np.float64), np.asarray(force, dtype=np.float64)
    direction = directions(travel)
    strokes = strokes_of(direction)
    up = [s for s in strokes if direction[s[0]] > 0]
    down = [s for s in strokes if direction[s[0]] < 0]
    if not up or not down:
        raise InputError("the trace goes one way only: friction needs both compressing and extending")
    low, high = shared_range(travel, up, down)
    grid = np.linspace(low, high, points)
    there = np.array([_along(travel, force, s, grid) for s in up])
    back = np.array([_along(travel, force, s, grid) for s in down])
    compressing, extending = there.mean(axis=0), back.mean(axis=0)
    friction = (compressing - extending) / 2
    fewest = min(_bins(b - a, points) for a, b in (*up, *down))
    error = _error(there, back, friction[:: _apart(points, fewest)])
    return FrictionLoop(
        grid,
        (compressing + extending) / 2,
        friction,
        compressing,
        extending,
        float(np.trapezoid(compressing - extending, grid)),
        float(friction.mean()),
        error,
        len(strokes),
        _warnings(travel, time, friction, error, float(np.polyfit(grid, compressing + extending, 1)[0])),
    )


def loop_of(recordings: Sequence[Recording]) -> FrictionLoop | None:
    """Return what the first slow pull among the recordings shows by itself, before any model.

    None where there is no pull of travel and force, or it goes one way only: that still has a spring to fit.
    """
    for recording in recordings:
        if {"travel", "force"} <= recording.channels.keys():
            try:
                time = recording.time if recording.timed else None
                return friction_loop(recording["travel"], recording["force"], time)
            except InputError:
                return None
    return None


def _along(travel: Array, force: Array, stroke: tuple[int, int], grid: Array) -> Array:
    """Return the force of one stroke on the grid: means over small bins, then straight lines."""
    x, f = travel[stroke[0] : stroke[1]], force[stroke[0] : stroke[1]]
    order = np.argsort(x, kind="stable")
    x, f = x[order], f[order]
    edges = np.linspace(0, x.size, _bins(x.size, grid.size) + 1).astype(np.intp)
    count = np.diff(edges)
    mean_x = np.add.reduceat(x, edges[:-1]) / count
    mean_f = np.add.reduceat(f, edges[:-1]) / count
    return _interpolated(grid, mean_x, mean_f)


def _bins(samples: int, points: int) -> int:
    """Return into how many bins the samples of a stroke go."""
    return min(max(2 * points, 20), max(samples // 4, 2))


def _apart(points: int, bins: int) -> int:
    """Return how many points apart two of the grid show scatters of their own, sharing hardly a bin.

    The factor was found by drawing noise over pulls of 30 to 4000 samples.
    """
    return max(1, min(math.ceil(1.5 * points / bins), (points - 1) // 2))


def _interpolated(grid: Array, x: Array, f: Array) -> Array:
    """Straight lines between points, carried on past both ends by the outermost line."""
    inside = np.interp(grid, x, f)
    first, last = (f[1] - f[0]) / (x[1] - x[0] or 1.0), (f[-1] - f[-2]) / (x[-1] - x[-2] or 1.0)
    inside = np.where(grid < x[0], f[0] + first * (grid - x[0]), inside)
    return np.asarray(np.where(grid > x[-1], f[-1] + last * (grid - x[-1]), inside), dtype=np.float64)


def _error(there: Array, back: Array, friction: Array) -> float:
    """Standard error of the mean friction: from repeats if any, else from scatter over travel."""
    if len(there) > 1 and len(back) > 1:
        spread = there.mean(axis=1).var(ddof=1) / len(there) + back.mean(axis=1).var(ddof=1) / len(back)
        return float(np.sqrt(spread) / 2)
    rough = np.diff(friction, n=2)
    return float(np.sqrt(np.mean(rough**2) / 6) / np.sqrt(friction.size))


def _warnings(
    travel: Array, time: Array | None, friction: Array, error: float, slope: float
) -> tuple[str, ...]:
    words = []
    if slope < 0:
        words.append(
            "the force falls as the unit is compressed: does the travel or the force count the other way?"
        )
    if np.any(friction < -3 * max(error, 1e-12)) and friction.mean() < 0:
        words.append("the loop runs the wrong way round: friction comes out negative; is the force reversed?")
    if time is not None and time.size > 2:
        usual = float(np.median(np.abs(np.diff(travel) / np.maximum(np.diff(time), 1e-12))))
        if usual > _SLOW:
            words.append(
                f"the pull ran at {usual * 1000:.0f} mm/s: above 20 mm/s "
                "the damper's force counts as friction"
            )
    return tuple(words)
