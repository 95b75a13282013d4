"""Oil against published sheets: ASTM D341 and D2270, ISO 3448, and the stiffness of oil with air."""

from __future__ import annotations

import numpy as np
import pytest

from forkwright.physics import oil, oil_air, viscosity_index

pytestmark = pytest.mark.outside

D341 = "ASTM D341 worked sheet (public copy, seen): 32 cSt at 40 °C, 5.4 cSt at 100 °C, T = t + 273"
D2270 = "ASTM D2270 worked examples (public copy, seen)"
D2270_TABLE = "ASTM D2270, table of L and H (from memory)"


def test_walther_constants_equal_the_worked_sheet(check):
    """Two points give the sheet's A and B, and the sheet's viscosity at 80 °C."""
    a, b = oil.walther_constants(313.0, 32e-6, 373.0, 5.4e-6)
    check(formula="Walther A", source=D341, expected=9.5259, got=a, tolerance=5e-5, relative=False)
    check(formula="Walther B", source=D341, expected=3.7449, got=b, tolerance=5e-5, relative=False)
    at_80 = oil.walther_viscosity(a, b, 353.0) * 1e6
    check(
        formula="viscosity at 80 °C", source=D341, expected=8.5, got=at_80, tolerance=0.05, unit="cSt",
        relative=False,
    )  # fmt: skip


def test_viscosity_index_equals_both_worked_examples(check):
    """Both procedures of the standard, at the rounding it prints."""
    for at_40, at_100, index in ((73.30e-6, 8.86e-6, 92), (22.83e-6, 5.05e-6, 156)):
        got = viscosity_index.viscosity_index(at_40, at_100)
        check(
            formula=f"viscosity index of {at_40 * 1e6:.2f}/{at_100 * 1e6:.2f} cSt", source=D2270,
            expected=index, got=got, tolerance=0.5, relative=False,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("at_100", "low", "high"),
    [
        (2.0, 7.994, 6.394),
        (4.0, 25.32, 19.56),
        (8.86, 119.94, 69.48),
        (10.0, 147.7, 82.87),
        (15.0, 296.5, 149.7),
    ],
)
def test_limits_of_the_index_equal_the_standards_table(check, at_100, low, high):
    """L and H at rows of the table: an oil of index 0 has viscosity L at 40 °C, one of index 100 has H."""
    got_low, got_high = viscosity_index._index_limits(at_100)
    check(
        formula=f"D2270 L at {at_100} cSt",
        source=D2270_TABLE,
        expected=low,
        got=got_low,
        tolerance=2e-3,
        unit="cSt",
    )
    check(
        formula=f"D2270 H at {at_100} cSt",
        source=D2270_TABLE,
        expected=high,
        got=got_high,
        tolerance=2e-3,
        unit="cSt",
    )


def test_the_worked_sheets_oil_keeps_its_grade_at_40_degrees(check):
    """Given at 80 and 100 °C alone, the sheet's oil is an ISO VG 32 at 40 °C, within the grade's tenth."""
    a, b = oil.walther_constants(353.0, 8.5e-6, 373.0, 5.4e-6)
    got = float(oil.walther_viscosity(a, b, 313.0)) * 1e6
    check(
        formula="VG 32 at 40 °C from 80 and 100 °C",
        source="ASTM D341 worked sheet and ISO 3448 limits, 28.8 to 35.2 cSt (both seen)",
        expected=32.0, got=got, tolerance=3.2, unit="cSt", relative=False,
    )  # fmt: skip


def test_oil_with_air_is_as_soft_as_its_two_volumes_make_it(check):
    """1.5 GPa oil with 1 % air at 10 bar: 592 MPa slow, 483 MPa fast."""
    source = "derived: K_e = (V_l + V_g) / (V_l0/K + V_g/(n p)), computed apart from the code"
    for exponent, expected in ((1.0, 592e6), (1.4, 483e6)):
        got = oil_air.effective_bulk_modulus(10e5, 1.5e9, 0.01, exponent)
        check(
            formula=f"bulk modulus with air, n = {exponent}", source=source, expected=expected, got=got,
            tolerance=0.5e6, unit="Pa", relative=False,
        )  # fmt: skip


def test_bulk_modulus_is_the_slope_of_the_mixtures_volume(check):
    """-V dp/dV by finite differences of the volume law."""
    for pressure in (0.3e5, 1e5, 5e5, 50e5):
        step = pressure * 1e-5
        volume = oil_air.mixture_volume(
            np.array([pressure - step, pressure, pressure + step]), 1.5e9, 0.02, 1.3
        )
        slope = (volume[2] - volume[0]) / (2 * step)
        check(
            formula=f"bulk modulus with air at {pressure / 1e5:g} bar, -V dp/dV",
            source="definition, by finite differences of the volume",
            expected=-volume[1] / slope,
            got=oil_air.effective_bulk_modulus(pressure, 1.5e9, 0.02, 1.3),
            tolerance=1e-6,
            unit="Pa",
        )


def test_index_inverts():
    """The viscosity found from an index has that index."""
    for at_40, index in ((15e-6, 120.0), (22e-6, 150.0), (46e-6, 60.0)):
        assert viscosity_index.viscosity_index(
            at_40, viscosity_index.viscosity_from_index(at_40, index)
        ) == pytest.approx(index, abs=1e-6)


def test_points_in_the_wrong_order_are_refused():
    """A colder second point, or an oil that thickens as it warms, cannot be."""
    with pytest.raises(ValueError, match="hotter"):
        oil.walther_constants(373.0, 5e-6, 313.0, 32e-6)
    with pytest.raises(ValueError, match="thinner"):
        oil.walther_constants(313.0, 5e-6, 373.0, 32e-6)
