"""Spectra against SciPy, block bootstrap against closed forms."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import signal

from forkwright.evidence.bootstrap import block_sums, difference_of
from forkwright.evidence.spectra import spectrum
from forkwright.physics.values import Array


def noise() -> np.random.Generator:
    """The same noise for every test, whichever run before it."""
    return np.random.default_rng(21)


def mean(totals: Array) -> Array:
    return np.asarray(totals[:, 0] / totals[:, -1])


def error_of_mean(blocks: Array) -> float:
    """Bootstrap error of one log's mean: of its difference from a log that is zero throughout."""
    still = blocks.copy()
    still[:, 0] = 0.0
    return difference_of(still, blocks, mean).std


@pytest.mark.outside
@pytest.mark.parametrize("window", [1.0, 0.999])
def test_the_spectrum_is_scipys(window: float, check: Callable[..., None]) -> None:
    """Same noise, same windows: every frequency agrees with `scipy.signal.welch`, even and odd lengths."""
    values = np.cumsum(noise().normal(size=20_000)) * 1e-3
    ours = spectrum(values, 1000.0, window=window)
    frequency, density = signal.welch(values, 1000.0, window="hann", nperseg=round(window * 1000))
    assert ours.frequency == pytest.approx(frequency)
    for i in (1, 5, 50, len(density) - 1):
        check(
            formula=f"power spectral density at {frequency[i]:.0f} Hz", source="SciPy signal.welch",
            expected=density[i], got=ours.density[i], tolerance=1e-10,
        )  # fmt: skip
    assert ours.density[1:] == pytest.approx(density[1:], rel=1e-9)


@pytest.mark.outside
def test_a_gap_is_left_out_of_the_spectrum_as_if_scipy_saw_two_logs(check: Callable[..., None]) -> None:
    """Two pieces give the average of their own spectra, weighted by windows."""
    values = noise().normal(size=12_000)
    ours = spectrum(values, 100.0, ((0, 8000), (8000, 12_000)), window=4.0)
    first = signal.welch(values[:8000], 100.0, nperseg=400)[1]
    second = signal.welch(values[8000:], 100.0, nperseg=400)[1]
    a, b = (8000 - 400) // 200 + 1, (4000 - 400) // 200 + 1
    expected = (a * first + b * second) / (a + b)
    check(
        formula="spectrum over a gap, at 10 Hz", source="SciPy signal.welch of each piece",
        expected=expected[40], got=ours.density[40], tolerance=1e-10,
    )  # fmt: skip
    assert ours.windows == a + b


@pytest.mark.outside
def test_the_integral_of_a_white_spectrum_is_its_variance(check: Callable[..., None]) -> None:
    """Parseval: white noise of variance 4 has a flat density whose integral is 4."""
    ours = spectrum(2.0 * noise().normal(size=400_000), 500.0, window=2.0)
    check(
        formula="integral of a spectrum", source="Parseval's theorem", expected=4.0,
        got=float(np.trapezoid(ours.density, ours.frequency)), tolerance=0.01,
    )  # fmt: skip
    inside = (ours.low <= 4 / 250) & (ours.high >= 4 / 250)
    assert 0.92 < inside[1:-1].mean() < 0.98


@pytest.mark.outside
def test_the_bootstrap_error_of_a_mean_is_the_closed_form(check: Callable[..., None]) -> None:
    """Blocks of one sample: ``s/sqrt(n)``; an autoregressive log: times ``sqrt((1+r)/(1-r))``."""
    white = noise().normal(size=4000)
    blocks = block_sums(white, ((0, 4000),), 1)
    check(
        formula="bootstrap error of a mean, independent samples", source="s/sqrt(n)",
        expected=white.std(ddof=1) / np.sqrt(4000), got=error_of_mean(blocks),
        tolerance=0.04,
    )  # fmt: skip
    r, n = 0.9, 400_000
    log = signal.lfilter([1.0], [1.0, -r], noise().normal(size=n))
    blocks = block_sums(np.asarray(log), ((0, n),), 400)
    check(
        formula="block bootstrap error of a mean, alike neighbours",
        source="first-order autoregressive series, s sqrt((1+r)/(1-r)/n)",
        expected=log.std() * np.sqrt((1 + r) / (1 - r) / n), got=error_of_mean(blocks),
        tolerance=0.10,
    )  # fmt: skip


@pytest.mark.outside
def test_bootstrap_intervals_of_a_difference_cover_as_the_closed_form_does(
    check: Callable[..., None],
) -> None:
    """Two means, 30 blocks each: 95 % intervals hold the true difference in 92 to 98 % of repeats."""
    held = 0
    for seed in range(400):
        rng = np.random.default_rng(seed)
        a, b = rng.normal(0, 1, 30), rng.normal(0.7, 1, 30)
        found = difference_of(
            block_sums(a, ((0, 30),), 1), block_sums(b, ((0, 30),), 1), mean, seed=seed, draws=600
        )
        held += found.low <= 0.7 <= found.high
    check(
        formula="coverage of a bootstrap interval", source="normal theory, 95 %", expected=0.95,
        got=held / 400, tolerance=0.03, relative=False,
    )  # fmt: skip
