"""Whole stacks against sources that share no code with them: chains, scikit-fem, a boundary-value solver."""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.reference_shims import ElementStack
from scipy.integrate import solve_bvp

from forkwright.physics.shims import Shim, ShimLoad, ShimStack, opening

STEEL, NU, CLAMP = 206e9, 0.3, 4e-3
CHAIN = "flexibility chain of closed-form plates, derived apart; E 206 GPa, nu 0.3, clamp radius 4 mm"


def stack_of(*discs: tuple[float, float], clamp: float = CLAMP) -> ShimStack:
    """Return a stack of discs given as (radius, thickness) in mm."""
    return ShimStack(tuple(Shim(r * 1e-3, t * 1e-3) for r, t in discs), clamp, 2e-3, STEEL, NU)


def test_two_discs_touch_only_at_the_rim_of_the_smaller(check):
    """(10, .15)(7, .15) mm at 20 N: the lift, and one contact ring of 21.238 N at radius 7 mm."""
    got = opening(stack_of((10, 0.15), (7, 0.15)), ShimLoad.ring(10e-3), 10e-3, [20.0])
    check(
        formula="lift of a loose stack of two",
        source=CHAIN,
        expected=274.34394,
        got=got.opening[0] * 1e6,
        tolerance=3e-8,
        unit="um",
    )
    (touching,) = np.nonzero(got.contact_force[0])
    assert got.contact_radius[touching].tolist() == [7e-3]
    check(
        formula="contact force at radius 7 mm",
        source=CHAIN,
        expected=21.23822,
        got=got.contact_force[0, touching[0]],
        tolerance=3e-7,
        unit="N",
    )


def test_three_discs_hand_the_load_on_from_rim_to_rim(check):
    """(10, .15)(8.5, .15)(7, .15) mm at 20 N: lift and both contact rings."""
    got = opening(stack_of((10, 0.15), (8.5, 0.15), (7, 0.15)), ShimLoad.ring(10e-3), 10e-3, [20.0])
    check(
        formula="lift of a loose stack of three",
        source=CHAIN,
        expected=175.88236,
        got=got.opening[0] * 1e6,
        tolerance=3e-8,
        unit="um",
    )
    for radius, force in ((8.5e-3, 17.98236), (7e-3, 14.45199)):
        touching = (got.contact_radius == radius) & (got.contact_force[0] > 0.0)
        check(
            formula=f"contact force at radius {radius * 1e3:g} mm",
            source=CHAIN,
            expected=force,
            got=got.contact_force[0, touching].sum(),
            tolerance=3e-7,
            unit="N",
        )


@pytest.mark.parametrize(
    ("force", "lift", "tolerance"),
    [
        (10.0, 75.24761, 7e-8),
        (20.0, 150.49522, 4e-8),
        # The contact ring between disc 3 and disc 4 has left the rim and lies between two rings of the mesh.
        (40.0, 287.0813, 3e-5),
        (80.0, 504.8255, 1e-4),
    ],
)
def test_a_crossover_disc_leaves_a_gap_that_closes(check, force, lift, tolerance):
    """2 x (10, .15), (6, .10), 2 x (9, .15) mm: linear up to where the 0.10 mm gap closes, stiffer beyond."""
    stack = stack_of((10, 0.15), (10, 0.15), (6, 0.10), (9, 0.15), (9, 0.15))
    got = opening(stack, ShimLoad.ring(10e-3), 10e-3, [force])
    check(
        formula=f"lift over a crossover disc at {force:g} N",
        source=CHAIN,
        expected=lift,
        got=got.opening[0] * 1e6,
        tolerance=tolerance,
        unit="um",
    )


DISCS = {
    "taper": [(10.0 - 0.5 * i, 0.15) for i in range(11)],
    "crossover": [(10, 0.15)] * 3
    + [(6, 0.10)]
    + [(9.5 - 0.5 * i, 0.15) for i in range(6)]
    + [(6.5, 0.2)] * 2,
    "any order": [(10, 0.15), (7, 0.1), (9, 0.2), (8, 0.15), (10, 0.1), (6, 0.3), (9.5, 0.15), (8.5, 0.1)],
}


@pytest.mark.parametrize("name", DISCS)
def test_stacks_open_as_in_a_general_finite_element_library(check, name):
    """scikit-fem, 60 Hermite elements a disc, contact by its own active set: the same lift within 0.1 %."""
    discs = [(r * 1e-3, t * 1e-3) for r, t in DISCS[name]]
    pressures = np.array([2e5, 10e5, 40e5, 160e5])
    expected = ElementStack(discs, CLAMP, STEEL, NU, (5e-3, 8e-3), 9.5e-3).opening(pressures)
    got = opening(stack_of(*DISCS[name]), ShimLoad(5e-3, 8e-3), 9.5e-3, pressures).opening
    for pressure, reference, ours in zip(pressures, expected, got, strict=True):
        check(
            formula=f"lift of the {name} stack at {pressure / 1e5:g} bar",
            source="scikit-fem, independent discretisation and contact solver",
            expected=reference,
            got=ours,
            tolerance=1e-3,
            unit="m",
        )


def stretched_rim_lift(pressure: float, thickness: float, clamp: float, rim: float) -> float:
    """Von Karman's equations of the flat ring by collocation (slope, its rate, shift, pull, lift)."""
    membrane = STEEL * thickness / (1.0 - NU**2)
    rigidity = membrane * thickness**2 / 12.0

    def rates(s, y):
        r = clamp + (rim - clamp) * s
        slope, bend, shift, pull, _ = y
        stretch = pull / membrane - NU * shift / r
        around = membrane * (shift / r + NU * stretch)
        shear = pressure * (rim**2 - r**2) / (2.0 * r)
        curve = (pull * slope - shear) / rigidity - bend / r + slope / r**2
        return (rim - clamp) * np.vstack([bend, curve, stretch - slope**2 / 2.0, (around - pull) / r, slope])

    def ends(a, b):
        return np.array([a[0], a[2], a[4], b[1] + NU * b[0] / rim, b[3]])

    s = np.linspace(0.0, 1.0, 60)
    guess = np.zeros((5, len(s)))
    for share in np.linspace(0.1, 1.0, 10):
        full, pressure = pressure, pressure * share
        answer = solve_bvp(rates, ends, s, guess, tol=1e-8, max_nodes=20000)
        pressure = full
        assert answer.success
        s, guess = answer.x, answer.y
    return float(answer.y[4, -1])


@pytest.mark.parametrize("pressure", [0.05e5, 0.2e5, 1e5, 3e5])
def test_a_stretching_disc_equals_an_independent_nonlinear_solution(check, pressure):
    """One 20 x 0.15 mm disc up to 2.4 thicknesses: SciPy's boundary-value solver, von Karman."""
    got = opening(stack_of((10, 0.15)), ShimLoad(4e-3, 10e-3), 10e-3, [pressure], stiffening=True)
    check(
        formula=f"lift of a stretching disc at {pressure / 1e5:g} bar",
        source="von Karman's equations by SciPy solve_bvp, independent of the elements",
        expected=stretched_rim_lift(pressure, 0.15e-3, 4e-3, 10e-3),
        got=got.opening[0],
        tolerance=1e-4,
        unit="m",
    )
