"""The published form of a run on the dynamometer: SI, pressures absolute, the unit as the key's ending."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.bench.dyno_result import DynoRun


def dyno_answer(run: DynoRun, points: int) -> dict[str, Any]:
    """Return a run as the JSON object of the command line: every n-th step, the cycles whole.

    Parameters
    ----------
    run : DynoRun
    points : int
        Points in a cycle, about.

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    thin = np.arange(0, run.time.size, max(1, run.steps_per_cycle // points))
    return histories(run, thin) | totals(run)


def cycle_answer(run: DynoRun, cycle: int, points: int) -> dict[str, Any]:
    """Return the histories of one cycle, thinned, from where it starts to where it ends.

    A cycle starts with the last step of the one before; the first has none before it.

    Parameters
    ----------
    run : DynoRun
    cycle : int
        From 1.
    points : int
        Points in it, about.

    Returns
    -------
    dict
        `cycle`, and the histories under the keys of `dyno_answer`, SI.

    Notes
    -----
    Source: none; it picks steps out.
    """
    first, last = max(0, (cycle - 1) * run.steps_per_cycle - 1), cycle * run.steps_per_cycle - 1
    thin = np.arange(first, last, max(1, run.steps_per_cycle // points))
    return {"cycle": cycle} | histories(run, np.append(thin, last))


def histories(run: DynoRun, steps: NDArray[np.int64]) -> dict[str, Any]:
    """Return what the machine reads at some of a run's steps.

    Parameters
    ----------
    run : DynoRun
    steps : ndarray of int

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "time_s": run.time[steps],
        "travel_m": run.travel[steps],
        "speed_m_s": run.speed[steps],
        "force_N": run.force[steps],
        "compression_chamber_Pa": run.compression_chamber[steps],
        "shaft_chamber_Pa": run.shaft_chamber[steps],
        "reservoir_Pa": run.reservoir[steps],
        "cavitation_margin_Pa": run.cavitation_margin[steps],
        "oil_temperature_K": run.oil_temperature[steps],
    }


def totals(run: DynoRun) -> dict[str, Any]:
    """Return what is told of the cycles and of the whole run.

    Parameters
    ----------
    run : DynoRun

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "cycle_energy_J": run.cycle_energy,
        "cycle_temperature_K": run.cycle_temperature,
        "cycle_peak_compression_N": run.cycle_peaks[:, 0],
        "cycle_peak_rebound_N": run.cycle_peaks[:, 1],
        "hysteresis_N_m_s": run.hysteresis,
        "widest_N": run.widest,
        "fade": run.fade,
        "void_m3": run.void,
        "fingerprint": run.fingerprint,
        "warnings": list(run.warnings),
    }
