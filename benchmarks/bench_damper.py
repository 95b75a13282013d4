"""Damper curve, dynamometer run and valve solver against their stated limits and a general root finder."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

import forkwright as fw
from benchmarks.rows import Row, at_most, best_time, times_faster
from forkwright.bench.damper_model import model_of
from forkwright.bench.damping import damping_curve
from forkwright.bench.damping_bands import damping_bands
from forkwright.bench.dyno import sine_test

SPEEDS = np.linspace(-5.0, 5.0, 201)


def measure() -> list[Row]:
    """Return the rows of this file."""
    unit = fw.load(fw.demo_file("dunlin-160"))
    curve = best_time(lambda: damping_curve(unit, None, 293.15, SPEEDS))
    dyno = best_time(lambda: sine_test(unit, duration=10.0), repeats=5)
    band = best_time(lambda: damping_bands(unit, speeds=[-1.0, 1.0], draws=20), repeats=3) / 20
    valve = model_of(unit.damper, unit.setting, 293.15).circuit.base_compression
    flows = np.linspace(1e-6, 4e-4, 101)

    def one_by_one() -> list[float]:
        return [
            brentq(lambda drop, asked=flow: float(valve.flow_at_drop(np.array([drop]))[0]) - asked, 0.0, 1e9)
            for flow in flows[::20]
        ]

    ours = best_time(lambda: valve.state(flows))
    reference = best_time(one_by_one, repeats=3) * flows.size / flows[::20].size
    return [
        at_most("damper curve, 201 speeds, warm", curve, 2e-3),
        at_most("dynamometer, sine of 10 s, warm", dyno, 50e-3),
        at_most("one draw of a damper band (three stacks solved)", band, 20e-3),
        times_faster("one valve at 101 flows", ours, reference, "scipy.optimize.brentq, flow by flow", 20.0),
    ]
