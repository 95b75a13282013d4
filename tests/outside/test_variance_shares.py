"""Variance shares against the Ishigami function's closed form, and bands against a known sum."""

from __future__ import annotations

import numpy as np
import pytest

from forkwright.tune.variance import variance_shares

pytestmark = pytest.mark.outside


def test_ishigami_shares(check) -> None:  # type: ignore[no-untyped-def]
    """First-order shares of the Ishigami function (a = 7, b = 0.1): 0.3139, 0.4424, 0 (closed form)."""
    from scipy.stats import norm

    def ishigami(values):  # type: ignore[no-untyped-def]
        # normal inputs are mapped to the function's uniform ones, -pi to pi
        x = [2 * np.pi * norm.cdf(values[name]) - np.pi for name in ("x1", "x2", "x3")]
        return {"f": np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])}

    inputs = dict.fromkeys(("x1", "x2", "x3"), (0.0, 1.0, -np.inf, np.inf))
    shares, _ = variance_shares(inputs, ishigami, samples=4096, seed=1)
    for name, got, expected in zip(("x1", "x2", "x3"), shares["f"].first, (0.3139, 0.4424, 0.0), strict=True):
        check(
            formula=f"first-order Sobol share of {name}, Ishigami function",
            source="Ishigami function, a = 7, b = 0.1, closed form",
            expected=expected,
            got=got,
            tolerance=0.02,
            relative=False,
        )


def test_linear_sum_has_variance_ratios(check) -> None:  # type: ignore[no-untyped-def]
    """For a weighted sum the shares are the squared weights times variances over their sum (closed form)."""
    inputs = {"a": (1.0, 0.3, -9.0, 9.0), "b": (2.0, 0.1, -9.0, 9.0), "c": (0.0, 0.2, -9.0, 9.0)}
    shares, draws = variance_shares(
        inputs,
        lambda v: {"sum": v["a"] + 4 * v["b"] - v["c"], "constant": np.ones_like(v["a"])},
        samples=1024,
        seed=2,
    )
    parts = np.array([0.3, 0.4, 0.2]) ** 2
    for name, expected, got in zip("abc", parts / parts.sum(), shares["sum"].total, strict=True):
        check(
            formula=f"total Sobol share of {name} in a weighted sum",
            source="variance of a weighted sum (any statistics text)",
            expected=expected,
            got=got,
            tolerance=0.02,
            relative=False,
        )
    check(
        formula="standard deviation of a weighted sum, from the draws",
        source="variance of a weighted sum (any statistics text)",
        expected=np.sqrt(parts.sum()),
        got=draws["sum"].std(),
        tolerance=0.02,
    )
    assert np.all(shares["constant"].total == 0.0)
