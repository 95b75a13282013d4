"""What a run on the dynamometer gives, and how its force-speed loop is read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array


@dataclass(frozen=True)
class DynoRun:
    """One run on the dynamometer; arrays of shape (n,) over `time` unless told otherwise.

    Parameters
    ----------
    time : ndarray
        s.
    travel, speed : ndarray
        m and m/s, positive in compression.
    force : ndarray
        N, positive towards extension, seal friction included.
    compression_chamber, shaft_chamber, reservoir : ndarray
        Absolute pressures (Pa).
    cavitation_margin : ndarray
        Lower of the two chambers' pressures less the one at which the oil parts (Pa); below zero it parts.
    oil_temperature : ndarray
        K.
    cycle_energy : ndarray, shape (cycles,)
        Work that the machine puts in per cycle (J): the area of the force-travel loop.
    cycle_temperature : ndarray, shape (cycles,)
        Mean oil temperature of each cycle (K).
    cycle_peaks : ndarray, shape (cycles, 2)
        Largest force in compression and in rebound (N, rebound negative).
    hysteresis : float
        Area of the force-speed loop of the last cycle (N m/s, that is W): none for a damper without give.
    widest : float
        Greatest difference of force at one speed between gaining and losing speed, last cycle (N).
    fade : float
        Share of its energy that the last full cycle has lost against the second one; 0 for fewer than 3.
    void : float
        Largest room that the oil left empty in either chamber (m3): cavitation.
    steps_per_cycle : int
    fingerprint : str
    warnings : tuple of str
    """

    time: Array
    travel: Array
    speed: Array
    force: Array
    compression_chamber: Array
    shaft_chamber: Array
    reservoir: Array
    cavitation_margin: Array
    oil_temperature: Array
    cycle_energy: Array
    cycle_temperature: Array
    cycle_peaks: Array
    hysteresis: float
    widest: float
    fade: float
    void: float
    steps_per_cycle: int
    fingerprint: str
    warnings: tuple[str, ...]


def loop_of(speed: Array, force: Array) -> tuple[float, float]:
    """Area (W) and greatest width (N) of the force-speed loop of one cycle."""
    following = np.roll(speed, -1) - speed
    area = abs(float(np.sum(0.5 * (force + np.roll(force, -1)) * following)))
    gaining = np.abs(np.roll(speed, -1)) > np.abs(speed)
    widest = 0.0
    for side in (speed > 0.0, speed < 0.0):
        up, down = side & gaining, side & ~gaining
        if up.sum() > 2 and down.sum() > 2:
            order = np.argsort(speed[down])
            low, high = speed[down].min(), speed[down].max()
            inner = up & (speed >= low) & (speed <= high)
            other = np.interp(speed[inner], speed[down][order], force[down][order])
            widest = max(widest, float(np.max(np.abs(force[inner] - other), initial=0.0)))
    return area, widest
