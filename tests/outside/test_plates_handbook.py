"""Annular plates against the handbooks: clamped inside, free outside, nu = 0.3.

Timoshenko & Woinowsky-Krieger, *Theory of Plates and Shells*, 2nd ed., Table 3, and Roark's *Formulas for
Stress and Strain*, 7th ed., Table 11.2, cases 1l and 2l; both from memory. An independent solution with 200
Hermite elements gives the same to all digits told here.
"""

from __future__ import annotations

import numpy as np
import pytest

from forkwright.physics.plate_stress import bending_stresses
from forkwright.physics.plates import (
    plate_rigidity,
    pressure_response,
    ring_load_response,
)

TIMOSHENKO = [  # a/b, k for pressure, k for edge load
    (1.25, 0.00231, 0.00510),
    (1.5, 0.0183, 0.0249),
    (2.0, 0.0938, 0.0877),
    (3.0, None, 0.209),  # remembered both as 0.289 and as 0.293: the exact solution below decides
    (4.0, 0.448, 0.294),
    (5.0, 0.564, 0.350),
]
ROARK = [  # b/a, K for a line load at the rim, K for pressure
    (0.1, 0.2691, 0.0757),
    (0.3, 0.1389, 0.0318),
    (0.5, 0.0505, 0.00859),
    (0.7, 0.0103, 0.00110),
    (0.9, 0.000351, 0.0000129),
]
NU = 0.3


def half_a_digit(number: float) -> float:
    """Half a unit of the last of three significant digits, a shade more for values that end in five."""
    return 0.51 * 10.0 ** (np.floor(np.log10(number)) - 2)


@pytest.mark.parametrize(("ratio", "under_pressure", "under_edge_load"), TIMOSHENKO)
def test_rim_lift_equals_the_table_of_annular_plates(check, ratio, under_pressure, under_edge_load):
    """The rim lifts by k q a^4 / (E h^3) and k P a^2 / (E h^3)."""
    clamp, rigidity = 1.0 / ratio, plate_rigidity(1.0, 1.0, NU)
    source = f"Timoshenko & Woinowsky-Krieger, Table 3 (from memory), a/b = {ratio:g}"
    if under_pressure is not None:
        check(
            formula="annular plate, even pressure: k",
            source=source,
            expected=under_pressure,
            got=float(pressure_response(1.0, clamp, 1.0, clamp, 1.0, NU).lift) / rigidity,
            tolerance=half_a_digit(under_pressure),
            relative=False,
        )
    edge = float(ring_load_response(1.0, 1.0, clamp, 1.0, NU).lift) / rigidity
    check(
        formula="annular plate, load at the rim: k",
        source=source,
        expected=under_edge_load,
        got=edge,
        tolerance=half_a_digit(under_edge_load),
        relative=False,
    )


def test_rim_lift_at_three_to_one_is_the_exact_solution(check):
    """Where memory gives two readings of the printed table, the exact value 0.28902 decides."""
    got = float(pressure_response(1.0, 1 / 3, 1.0, 1 / 3, 1.0, NU).lift) / plate_rigidity(1.0, 1.0, NU)
    check(
        formula="annular plate, even pressure, a/b = 3: k",
        source="exact solution (200 Hermite elements, independent)",
        expected=0.28902,
        got=got,
        tolerance=5e-6,
        relative=False,
    )


@pytest.mark.parametrize(("ratio", "under_rim_load", "under_pressure"), ROARK)
def test_rim_lift_equals_roark(check, ratio, under_rim_load, under_pressure):
    """The rim lifts by K w a^3 / D (w per length of rim) and K q a^4 / D."""
    source = f"Roark, 7th ed., Table 11.2, cases 1l and 2l (from memory), b/a = {ratio:g}"
    rim = float(ring_load_response(1.0, 1.0, ratio, 1.0, NU).lift) * 2.0 * np.pi
    check(
        formula="annular plate, line load at the rim: K",
        source=source,
        expected=under_rim_load,
        got=rim,
        tolerance=half_a_digit(under_rim_load) * (0.1 if under_rim_load > 0.1 else 1.0),
        relative=False,
    )
    pressed = float(pressure_response(1.0, ratio, 1.0, ratio, 1.0, NU).lift)
    check(
        formula="annular plate, even pressure: K",
        source=source,
        expected=under_pressure,
        got=pressed,
        tolerance=half_a_digit(under_pressure),
        relative=False,
    )


def test_one_steel_disc(check):
    """One 20 x 0.15 mm disc on an 8 mm clamp: rigidity, rim lift per bar and per newton."""
    rigidity = plate_rigidity(206e9, 0.15e-3, NU)
    source = "derived from the plate equation, independent of this code"
    check(formula="D", source=source, expected=0.06366758, got=rigidity, tolerance=1e-7, unit="N m")
    bar = float(pressure_response(10e-3, 4e-3, 10e-3, 4e-3, 10e-3, NU).lift) * 1e5 / rigidity * 1e6
    check(formula="rim lift at 1 bar", source=source, expected=277.0024, got=bar, tolerance=2e-7, unit="um")
    newton = float(ring_load_response(10e-3, 10e-3, 4e-3, 10e-3, NU).lift) / rigidity * 1e6
    check(
        formula="rim lift at 1 N of ring load",
        source=source,
        expected=22.01227,
        got=newton,
        tolerance=3e-7,
        unit="um",
    )


def test_clamp_moment_carries_the_whole_load(check):
    """A very narrow ring is a cantilever strip: stress at the clamp 6 w L / h^2 per length of clamp."""
    clamp, rim, thickness = 1.0, 1.0 + 1e-4, 1e-5
    bend = ring_load_response(np.array([clamp]), rim, clamp, rim, 0.0).scaled(
        1.0 / plate_rigidity(1.0, thickness, 0.0)
    )
    radial, _ = bending_stresses(np.array([clamp]), bend, 1.0, thickness, 0.0)
    expected = 6.0 * (1.0 / (2.0 * np.pi * clamp)) * 1e-4 / thickness**2
    check(
        formula="clamp stress of a narrow ring",
        source="cantilever strip, any strength-of-materials text",
        expected=expected,
        got=float(radial[0]),
        tolerance=3e-4,
        unit="Pa",
    )
