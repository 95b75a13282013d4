"""Bushing statics and stanchion bending against handbook cases and an independent solution."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from forkwright.bench.chassis import chassis_curve
from forkwright.hardware import load_unit
from forkwright.physics.friction import bushing_friction, bushing_reactions
from forkwright.physics.tubes import axle_compliance, cantilever_deflection, second_moment

pytestmark = pytest.mark.outside


def test_overhung_beam(check) -> None:  # type: ignore[no-untyped-def]
    """Reactions of an overhung beam under an end load, handbook case."""
    lower, upper = bushing_reactions(300.0, 0.180, 0.110)
    for name, got, expected in (
        ("lower", lower, 790.909),
        ("upper", upper, 490.909),
        ("sum", lower + upper, 1281.818),
    ):
        check(
            formula=f"bushing reaction, {name}: P(L1+b)/b, P L1/b",
            source="overhung beam, mechanics handbook (derived)",
            expected=expected,
            got=got,
            tolerance=1e-6,
            unit="N",
        )
    assert bushing_friction(0.05, lower, -upper) == pytest.approx(0.05 * (lower + upper))


def test_second_moment_of_a_stanchion(check) -> None:  # type: ignore[no-untyped-def]
    """pi/64 (D^4 - d^4) of a 36/32 mm tube."""
    check(
        formula="second moment of area of a 36/32 mm tube",
        source="mechanics handbook (derived)",
        expected=30976.1,
        got=second_moment(36.0, 32.0),
        tolerance=2e-6,
        unit="mm4",
    )


def test_cantilever_end_load(check) -> None:  # type: ignore[no-untyped-def]
    """P L^3 / 3 E I at the end of a cantilever."""
    check(
        formula="cantilever end deflection P L^3/(3 E I)",
        source="mechanics handbook (from memory)",
        expected=100.0 * 0.3**3 / (3 * 2000.0),
        got=cantilever_deflection(100.0, 0.3, 0.3, 2000.0),
        tolerance=1e-12,
        unit="m",
    )


def test_axle_compliance_against_a_stiffness_matrix(check) -> None:  # type: ignore[no-untyped-def]
    """The two-point loading agrees with an independent beam stiffness matrix with a rigid lever."""
    rigidity, a, b, lever = 2199.0, 0.12, 0.15, 0.235

    def beam(length: float) -> np.ndarray:
        return (
            rigidity
            / length**3
            * np.array(
                [
                    [12, 6 * length, -12, 6 * length],
                    [6 * length, 4 * length**2, -6 * length, 2 * length**2],
                    [-12, -6 * length, 12, -6 * length],
                    [6 * length, 2 * length**2, -6 * length, 4 * length**2],
                ]
            )
        )

    matrix = np.zeros((6, 6))
    for node, length in ((0, a), (1, b)):
        matrix[2 * node : 2 * node + 4, 2 * node : 2 * node + 4] += beam(length)
    load = np.array([-lever / b, 0.0, (lever + b) / b, 0.0])
    upper, _, lower, _ = np.linalg.solve(matrix[2:, 2:], load)
    check(
        formula="sideways movement of the axle per newton, two-point loading",
        source="beam stiffness matrix with a rigid lever, solved with NumPy",
        expected=lower + (lower - upper) * lever / b,
        got=axle_compliance(a, b, lever, rigidity),
        tolerance=1e-9,
        unit="m/N",
    )


def test_chassis_over_the_travel(demo_dir: Path) -> None:
    """Overlap grows with travel: the free stanchion shortens, the axle gets stiffer; loads stay statics."""
    curve = chassis_curve(load_unit(demo_dir / "dunlin-160.toml"), 300.0)
    assert np.all(np.diff(curve.axle_stiffness) > 0.0)
    np.testing.assert_allclose(curve.crown_to_upper[0] - curve.crown_to_upper[-1], 0.160, rtol=1e-9)
    np.testing.assert_allclose(curve.lower, 300.0 * (235 + 150) / 150, rtol=1e-9)
    np.testing.assert_allclose(curve.friction, 0.04 * (curve.lower + curve.upper), rtol=1e-12)
