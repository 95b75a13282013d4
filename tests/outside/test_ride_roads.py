"""Drawn surfaces against ISO 8608, and the hand weighting against the table of ISO 5349-1."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.signal import welch

from forkwright.physics.hand_weighting import hand_weighting
from forkwright.physics.road import CLASS_MEAN, displacement_density, drawn_heights, root_mean_square_height

pytestmark = pytest.mark.outside

# ISO 8608: geometric means of Gd(n0), 1e-6 m3 (any copy of the standard's table of classes).
CLASSES = {"A": 16, "B": 64, "C": 256, "D": 1024, "E": 4096, "F": 16384, "G": 65536, "H": 262144}

# ISO 5349-1:2001, table A.2 (seen in a public extract): nominal centre in Hz, weighting factor Wh.
WEIGHTING = (
    (6.3, 0.727), (8, 0.873), (10, 0.951), (12.5, 0.958), (16, 0.896), (20, 0.782), (25, 0.647), (31.5,
    0.519), (40, 0.411), (50, 0.324), (63, 0.256), (80, 0.202), (100, 0.160), (125, 0.127), (160, 0.101),
    (200, 0.0799), (250, 0.0634), (315, 0.0503), (400, 0.0398), (500, 0.0314), (630, 0.0245), (800, 0.0186),
    (1000, 0.0135), (1250, 0.00894),
)  # fmt: skip


@pytest.mark.parametrize("letter", CLASSES)
def test_spectrum_of_a_drawn_surface_is_its_class_mean(letter: str, check: Callable[..., None]) -> None:
    """Welch's estimate of a drawn surface lies on the class mean at the reference frequency."""
    spacing = 0.05
    heights = drawn_heights(400_000, spacing, CLASS_MEAN[letter], seed=5)
    frequency, density = welch(heights, 1.0 / spacing, nperseg=8192)
    around = (frequency > 0.05) & (frequency < 0.2)
    got = np.exp(np.mean(np.log(density[around] * (frequency[around] / 0.1) ** 2)))
    check(
        formula=f"Welch estimate of Gd(n0), class {letter}",
        source="ISO 8608, table of classes",
        expected=CLASSES[letter] * 1e-6,
        got=got,
        tolerance=0.05,
        unit="m3",
    )


def test_spectrum_follows_another_waviness(check: Callable[..., None]) -> None:
    """Off-road surfaces of other waviness keep their slope over the band."""
    heights = drawn_heights(400_000, 0.05, 4e-3, waviness=2.6, seed=8)
    frequency, density = welch(heights, 20.0, nperseg=8192)
    inside = (frequency > 0.03) & (frequency < 2.0)
    slope = np.polyfit(np.log(frequency[inside]), np.log(density[inside]), 1)[0]
    check(
        formula="slope of the spectrum of a drawn surface, waviness 2.6",
        source="ISO 8608: Gd(n) = Gd(n0) (n/n0)^-w",
        expected=-2.6,
        got=slope,
        tolerance=0.05,
        relative=False,
    )
    ratio = density[inside] / displacement_density(frequency[inside], 4e-3, 2.6)
    assert np.mean(ratio) == pytest.approx(1.0, abs=0.03)


def test_height_of_a_class_c_surface(check: Callable[..., None]) -> None:
    """A drawn class C surface is as high as the integral of its spectrum."""
    heights = drawn_heights(2_000_000, 0.05, CLASS_MEAN["C"], seed=2)
    check(
        formula="rms height of class C over 0.011 to 2.83 cycle/m",
        source="integral of the ISO 8608 density (derived)",
        expected=15.23e-3,
        got=float(heights.std()),
        tolerance=2e-3,
        unit="m",
    )
    check(
        formula="rms height of class C, closed form",
        source="integral of the ISO 8608 density (derived)",
        expected=15.23e-3,
        got=root_mean_square_height(CLASS_MEAN["C"]),
        tolerance=5e-6,
        unit="m",
        relative=False,
    )


@pytest.mark.parametrize(("centre", "factor"), WEIGHTING)
def test_hand_weighting_is_the_standards_table(
    centre: float, factor: float, check: Callable[..., None]
) -> None:
    """The filter gives the printed factor at the exact centre of each third-octave band, to its last
    digit."""
    exact = 10.0 ** (round(10.0 * np.log10(centre)) / 10.0)
    digits = 3 if factor >= 0.1 else 4 if factor >= 0.01 else 5
    check(
        formula=f"Wh at {centre:g} Hz",
        source="ISO 5349-1:2001, table A.2",
        expected=factor,
        got=float(hand_weighting(exact)),
        tolerance=0.51 * 10.0**-digits,
        relative=False,
    )
