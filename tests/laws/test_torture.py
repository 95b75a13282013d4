"""Numbers at the far ends: tiny and huge volumes, no friction, one shim and sixty, 1 to 400 mm of travel."""

from __future__ import annotations

import math

import numpy as np
import pytest

from forkwright.bench.sag import sag
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Unit, read_text
from forkwright.physics import Unphysical
from forkwright.physics.air_spring import Chambers, Fill, charge, state
from forkwright.physics.shims import Shim, ShimLoad, ShimStack, opening

AMBIENT = 101325.0
AREA = math.pi / 4 * 0.032**2


def unit_of(travel_mm: float, positive_ml: float, negative_ml: float, friction: str = "0 N") -> Unit:
    """A bare fork without bumpers; the transfer port at a twentieth of the travel."""
    found = read_text(f"""
format = 1
kind = "fork"
name = "bare"
travel = "{travel_mm:.9g} mm"
[air_spring]
bore = "32 mm"
shaft = "10 mm"
positive_volume = "{positive_ml:.9g} ml"
negative_volume = "{negative_ml:.9g} ml"
transfer = "{travel_mm / 20:.9g} mm"
seal_friction = "{friction}"
[setting]
pressure = "80 psi"
""")
    assert isinstance(found, Unit)
    return found


@pytest.mark.parametrize("travel_mm", [1.0, 3.0, 30.0, 160.0, 400.0])
@pytest.mark.parametrize("spare", [1.0001, 1.5, 4.0])
def test_travel_from_a_millimetre_to_four_hundred(travel_mm: float, spare: float) -> None:
    """Volumes in step with the travel: the force at a share of it is Boyle's, whatever the travel."""
    swept = AREA * travel_mm * 1e-3 * 1e6
    curve = spring_curve(unit_of(travel_mm, spare * swept, 0.2 * swept))
    share = np.linspace(0.0, 1.0, curve.force.size)
    filled = 80 * 6894.757293168 + AMBIENT
    positive = filled * spare / (spare - share)
    ring = AREA - math.pi / 4 * 0.010**2
    met = filled * spare / (spare - 0.05)
    negative = met * (0.2 * AREA + 0.05 * ring) / (0.2 * AREA + share * ring)
    force = (positive - AMBIENT) * AREA - (negative - AMBIENT) * ring
    np.testing.assert_allclose(curve.force, force, rtol=1e-4, atol=1e-6 * force.max())
    np.testing.assert_allclose(curve.travel, share * travel_mm * 1e-3, rtol=1e-12)


def test_a_chamber_without_end_keeps_its_pressure() -> None:
    """Huge volumes: the force is pressure times area at every travel, slow or fast."""
    chambers = Chambers(AREA, 0.9 * AREA, 1e6, None)
    x = np.linspace(0.0, 0.16, 9)
    for k in (1.0, 1.4):
        found = state(chambers, charge(chambers, Fill(7e5), k, AMBIENT), x, AMBIENT)
        np.testing.assert_allclose(found.force, (7e5 - AMBIENT) * AREA, rtol=1e-8)
        np.testing.assert_allclose(found.rate, 0.0, atol=1e-3)


@pytest.mark.parametrize("left", [1e-3, 1e-6, 1e-9])
def test_a_chamber_almost_used_up_follows_its_law_to_the_end(left: float) -> None:
    """Down to a thousandth of a millionth of the volume: p V stays, and nothing is capped."""
    volume = AREA * 0.16 / (1.0 - left)
    chambers = Chambers(AREA, 0.9 * AREA, volume, None)
    found = state(chambers, charge(chambers, Fill(7e5), 1.0, AMBIENT), np.array([0.0, 0.16]), AMBIENT)
    assert found.positive[1] / found.positive[0] == pytest.approx(1.0 / left, rel=1e-6)


@pytest.mark.parametrize("load", [0.0, 1e-9, 100.0, 400.0])
def test_without_friction_sag_is_one_point(load: float) -> None:
    """No friction, no band: low, middle and high fall together where the spring carries the load alone."""
    unit = unit_of(160.0, 200.0, 46.0)
    band = sag(unit, load)
    assert band.high - band.low == pytest.approx(0.0, abs=1e-12)
    assert 0.0 < band.middle < 0.16
    assert spring_curve(unit, travel=np.array([band.middle])).force[0] == pytest.approx(load, abs=1e-3)


@pytest.mark.parametrize("travel_mm", [1.0, 400.0])
def test_friction_larger_than_any_force_holds_everywhere(travel_mm: float) -> None:
    """The band is the whole travel, and both ends of it are said."""
    swept = AREA * travel_mm * 1e-3 * 1e6
    band = sag(unit_of(travel_mm, 2.0 * swept, 0.2 * swept, "1000 N"), 300.0)
    assert (band.low, band.high) == (0.0, pytest.approx(travel_mm * 1e-3, rel=1e-12))
    assert any("can stay topped out" in words for words in band.warnings)
    assert any("can stay bottomed" in words for words in band.warnings)


@pytest.mark.parametrize("count", [2, 60])
def test_equal_shims_share_the_load(count: int) -> None:
    """Two equal shims lift half of what one does, sixty a sixtieth; none stands alone."""
    load, seat = ShimLoad(5e-3, 8e-3), 9.5e-3
    one = opening(ShimStack((Shim(10e-3, 0.15e-3),), 4e-3, 2e-3, 206e9, 0.3), load, seat, [3e5]).opening[0]
    many = opening(ShimStack((Shim(10e-3, 0.15e-3),) * count, 4e-3, 2e-3, 206e9, 0.3), load, seat, [3e5])
    assert one > 0.0
    assert many.opening[0] == pytest.approx(one / count, rel=1e-9)


@pytest.mark.parametrize("count", [25, pytest.param(60, marks=pytest.mark.slow)])
def test_a_taper_of_different_shims(count: int) -> None:
    """Up to sixty shims of sixty diameters: stiffer than the first ten, and still rising with pressure."""
    taper = tuple(Shim(10e-3 - i * 5.4e-3 / count, 0.1e-3) for i in range(count))
    load, seat, at = ShimLoad(5e-3, 8e-3), 9.5e-3, [0.0, 1e5, 1e6, 1e7]
    all_of_them = opening(ShimStack(taper, 4e-3, 2e-3, 206e9, 0.3), load, seat, at).opening
    first_ten = opening(ShimStack(taper[:10], 4e-3, 2e-3, 206e9, 0.3), load, seat, at).opening
    assert np.all(np.isfinite(all_of_them))
    assert np.all(np.diff(all_of_them) > 0.0)
    assert np.all(all_of_them[1:] < first_ten[1:])


def test_more_different_shims_than_can_be_solved_are_refused() -> None:
    """A stack that would fill the memory is refused in words, not tried."""
    taper = tuple(Shim(10e-3 - i * 0.05e-3, 0.1e-3) for i in range(100))
    with pytest.raises(Unphysical, match="up to 59 changes can be solved"):
        opening(ShimStack(taper, 4e-3, 2e-3, 206e9, 0.3), ShimLoad(5e-3, 8e-3), 9.5e-3, [1e5])


@pytest.mark.parametrize("thickness", [1e-5, 1e-3, 5e-3])
def test_shims_thin_as_foil_and_thick_as_plate(thickness: float) -> None:
    """Lift falls with the cube of the thickness over five hundredfold thickness."""
    load, seat = ShimLoad(5e-3, 8e-3), 9.5e-3

    def lift(h: float) -> float:
        stack = ShimStack((Shim(10e-3, h),), 4e-3, 2e-3, 206e9, 0.3)
        return float(opening(stack, load, seat, [1e3]).opening[0])

    assert lift(thickness) * thickness**3 == pytest.approx(lift(1e-4) * 1e-12, rel=1e-6)
