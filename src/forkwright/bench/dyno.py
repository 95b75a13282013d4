"""The virtual dynamometer: sine and step tests, their loops, energy per cycle, oil heat and fade.

`sine_test` and `step_test` move the shaft; the oil gives way, the reservoir's piston sticks, check plates
lag, and what the oil loses warms it. See docs/damper.md for what is assumed.
"""

from __future__ import annotations

import math

import numpy as np

from forkwright.bench.dyno_result import DynoRun
from forkwright.bench.dyno_run import Motion, Progress, Surroundings, run_motion
from forkwright.hardware import Setting, Unit
from forkwright.physics import P0, T0
from forkwright.units import InputError

STEP = 2e-4
"""Time step (s), of which cycles and strokes have a whole number; shorter where they would have too few."""

FEWEST_STEPS = 2500
"""Time steps in a cycle of a sine at least."""

FEWEST_STEPS_OF_A_STROKE = 20
"""Time steps in one stroke of a step test at least."""

MOST_STEPS = 20_000_000
"""Time steps in a run at most: some two gigabytes of histories."""


def sine_test(
    unit: Unit,
    setting: Setting | None = None,
    *,
    amplitude: float = 0.025,
    frequency: float = 1.6,
    duration: float = 10.0,
    centre: float | None = None,
    oil_temperature: float = T0,
    ambient_temperature: float = T0,
    ambient_pressure: float = P0,
    progress: Progress | None = None,
) -> DynoRun:
    """Move the damper to and fro as a sine, starting at rest at the extended end of the stroke.

    Parameters
    ----------
    unit : Unit
    setting : Setting, optional
    amplitude : float
        Half the stroke (m).
    frequency : float
        Hz.
    duration : float
        s; whole cycles are run, at least one.
    centre : float, optional
        Compression at mid-stroke (m); the middle of the travel when None.
    oil_temperature, ambient_temperature : float
        At the start, and of the air around (K).
    ambient_pressure : float
        Pa absolute.
    progress : callable, optional
        Told the share done; it may raise to cancel.

    Returns
    -------
    DynoRun

    Raises
    ------
    InputError
        If the stroke leaves the travel or a number is out of range.
    Unphysical
        If a valve has no path, or the step loop finds no pressure.

    Notes
    -----
    Source: the motion is ``-A cos(2 pi f t)`` about the centre, by definition; the oil as in
    `dyno_kernel.run`.
    """
    middle = _middle(unit, centre)
    cycles, per_cycle = sine_cycles(unit, amplitude, frequency, duration, centre)
    check_length("duration", duration, "s", cycles * per_cycle)
    step = 1.0 / (frequency * per_cycle)
    phase = 2.0 * math.pi * np.arange(1, cycles * per_cycle + 1) / per_cycle
    travel = middle - amplitude * np.cos(phase)
    speed = amplitude * 2.0 * math.pi * frequency * np.sin(phase)
    motion = Motion(travel, speed, step, per_cycle, middle - amplitude)
    around = Surroundings(oil_temperature, ambient_temperature, ambient_pressure)
    return run_motion(unit, setting, motion, around, progress)


def step_test(
    unit: Unit,
    setting: Setting | None = None,
    *,
    speed: float = 1.0,
    stroke: float = 0.05,
    hold: float = 0.1,
    cycles: int = 2,
    centre: float | None = None,
    oil_temperature: float = T0,
    ambient_temperature: float = T0,
    ambient_pressure: float = P0,
    progress: Progress | None = None,
) -> DynoRun:
    """Push in at one speed, hold, draw out at the same speed, hold; again and again.

    Parameters
    ----------
    unit, setting
        As in `sine_test`.
    speed : float
        Of both strokes (m/s), reached at once.
    stroke : float
        m.
    hold : float
        Rest at both ends (s).
    cycles : int
        Number of pairs of strokes.
    centre, oil_temperature, ambient_temperature, ambient_pressure, progress
        As in `sine_test`.

    Returns
    -------
    DynoRun

    Raises
    ------
    InputError, Unphysical
        As in `sine_test`.

    Notes
    -----
    Source: the motion is straight lines, by definition; the oil as in `dyno_kernel.run`.
    """
    middle = _middle(unit, centre)
    moving, resting = step_strokes(unit, stroke, speed, hold, cycles, centre)
    check_length("cycles", cycles, "", 2 * (moving + resting) * cycles)
    step = stroke / speed / moving
    still = np.zeros(resting)
    one = np.concatenate((np.full(moving, speed), still, np.full(moving, -speed), still))
    speeds = np.tile(one, cycles)
    start = middle - 0.5 * stroke
    motion = Motion(start + np.cumsum(speeds) * step, speeds, step, one.size, start)
    around = Surroundings(oil_temperature, ambient_temperature, ambient_pressure)
    return run_motion(unit, setting, motion, around, progress)


def sine_cycles(
    unit: Unit, amplitude: float, frequency: float, duration: float, centre: float | None = None
) -> tuple[int, int]:
    """Return how many cycles a sine test has and how many time steps each takes.

    Parameters
    ----------
    unit, amplitude, frequency, duration, centre
        As in `sine_test` (m, Hz, s, m).

    Returns
    -------
    tuple of int
        Cycles, and steps in a cycle.

    Raises
    ------
    InputError
        As in `sine_test`.

    Notes
    -----
    Source: none; the steps are an own choice.
    """
    _check_sine(unit, _middle(unit, centre), amplitude, frequency, duration)
    return max(1, round(duration * frequency)), max(FEWEST_STEPS, round(1.0 / (frequency * STEP)))


def step_strokes(
    unit: Unit, stroke: float, speed: float, hold: float, cycles: int, centre: float | None = None
) -> tuple[int, int]:
    """Return how many time steps one stroke and one rest of a step test take; a cycle has two of each.

    Parameters
    ----------
    unit, stroke, speed, hold, cycles, centre
        As in `step_test` (m, m/s, s, m).

    Returns
    -------
    tuple of int
        Steps of a stroke, and of a rest.

    Raises
    ------
    InputError
        As in `step_test`.

    Notes
    -----
    Source: none; the steps are an own choice.
    """
    _check_step(unit, _middle(unit, centre), stroke, speed, hold, cycles)
    moving = max(FEWEST_STEPS_OF_A_STROKE, round(stroke / speed / STEP))
    resting = round(hold * speed / stroke * moving)  # the whole run has the stroke's time step
    return moving, resting


def check_length(
    key: str, value: float, unit: str, steps: int, most: int = MOST_STEPS, words: str = "too long a run"
) -> None:
    """Refuse a run of more time steps than memory is meant for, and tell how long it may be.

    Parameters
    ----------
    key : str
        What makes the run long: "duration" or "cycles".
    value : float
        As asked, in `unit` (s, or dimensionless for cycles).
    unit : str
        "s", or nothing for a number of cycles.
    steps : int
        Time steps that this takes.
    most : int
        Time steps at most.
    words : str
        What is wrong.

    Raises
    ------
    InputError
        Naming key, value and what is allowed.

    Notes
    -----
    Source: none; the length is an own choice.
    """
    if steps <= most:
        return
    longest = math.floor(value * most / steps)
    upto = f"up to {longest} {unit}".strip() if longest >= 1 else "a faster stroke or a shorter rest"
    allowed = f"{upto} here, for {most:,} time steps; this run takes {steps:,}"
    raise InputError(words, key=key, value=f"{value:g} {unit}".strip(), allowed=allowed)


def _middle(unit: Unit, centre: float | None) -> float:
    return 0.5 * float(unit.travel.si) if centre is None else centre


def _check_sine(unit: Unit, centre: float, amplitude: float, frequency: float, duration: float) -> None:
    _check("amplitude", amplitude, 1e-4, 0.5 * float(unit.travel.si), "m")
    _check("frequency", frequency, 0.01, 50.0, "Hz")
    _check("duration", duration, 0.01, 3600.0, "s")
    _check("peak speed (2 pi frequency amplitude)", 2 * math.pi * frequency * amplitude, 1e-4, 12.0, "m/s")
    _check_stroke(unit, centre, amplitude)


def _check_step(unit: Unit, centre: float, stroke: float, speed: float, hold: float, cycles: int) -> None:
    _check("stroke", stroke, 1e-4, float(unit.travel.si), "m")
    _check("speed", speed, 1e-3, 12.0, "m/s")
    _check("hold", hold, 0.0, 60.0, "s")
    _check("cycles", cycles, 1, 1000, "")
    _check_stroke(unit, centre, 0.5 * stroke)


def _check_stroke(unit: Unit, centre: float, half: float) -> None:
    if not half * (1 - 1e-9) <= centre <= unit.travel.si - half * (1 - 1e-9):
        allowed = f"{half:g} to {unit.travel.si - half:g} m"
        raise InputError("the stroke leaves the travel", key="centre", value=f"{centre:g} m", allowed=allowed)


def _check(name: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        allowed = f"{low:g} to {high:g} {unit}".strip()
        raise InputError("out of range", key=name, value=f"{value:g} {unit}".strip(), allowed=allowed)
