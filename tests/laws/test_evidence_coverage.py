"""Stated coverage is real coverage: 95 % intervals hold the truth in 93 to 97 % of 500 repeats."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.fitting import fit_curve
from forkwright.evidence.traces import SpringTrace
from forkwright.evidence.unit_fit import fit_unit
from forkwright.hardware import load_unit, measures, replaced

SEEDS = 500
PATHS = [
    "air_spring.positive_volume",
    "air_spring.negative_volume",
    "air_spring.seal_friction",
    "lower_legs.air_volume",
]


@pytest.mark.slow
def test_intervals_of_a_fitted_fork_cover_the_truth(demo_dir: Path) -> None:
    """Truth drawn from the tolerances, a slow pull both ways with invented noise, fitted, 500 times."""
    unit = load_unit(demo_dir / "dunlin-160.toml")
    known = measures(unit)
    phase = np.linspace(0, 2 * np.pi, 90)
    phase = phase[np.abs(np.sin(phase)) > 0.1]
    travel, direction = 0.077 * (1 - np.cos(phase)), np.sign(np.sin(phase))
    held = np.zeros(len(PATHS))
    for seed in range(SEEDS):
        rng = np.random.default_rng(seed)
        truth = {p: known[p].si + known[p].std * rng.standard_normal() for p in PATHS}
        clean = SpringTrace("made", travel, travel, direction).predict(replaced(unit, truth))
        trace = SpringTrace("made", travel, clean + rng.normal(0, 8.0, travel.size), direction)
        fit = fit_unit(unit, [trace], PATHS).fit
        true = np.array([truth[p] for p in PATHS])
        held += (fit.low <= true) & (true <= fit.high)
    shares = held / SEEDS
    print(dict(zip(PATHS, shares.tolist(), strict=True)))
    assert np.all((shares >= 0.93) & (shares <= 0.97)), shares


@pytest.mark.slow
def test_intervals_without_tolerances_cover_a_fixed_truth() -> None:
    """A curve with three free values and unknown noise, 500 times."""
    x = np.linspace(0, 3, 40)
    truth = np.array([2.0, 1.2, 0.5])

    def model(b: np.ndarray) -> np.ndarray:
        return np.asarray(b[0] * np.exp(-b[1] * x) + b[2])

    held = np.zeros(3)
    for seed in range(SEEDS):
        data = model(truth) + np.random.default_rng(1000 + seed).normal(0, 0.05, x.size)
        fit = fit_curve(model, data, [Parameter("a", 1.5), Parameter("b", 1.0), Parameter("c", 0.3)])
        held += (fit.low <= truth) & (truth <= fit.high)
    shares = held / SEEDS
    print(shares)
    assert np.all((shares >= 0.93) & (shares <= 0.97)), shares
