"""The damper's oil: from label or measured points to density and viscosity at a temperature."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.bench.given import si_or
from forkwright.hardware.damper import Oil
from forkwright.physics import P0
from forkwright.physics import oil as oils
from forkwright.physics.viscosity_index import viscosity_from_index


@dataclass(frozen=True)
class OilState:
    """The oil at one temperature: density (kg/m3) and dynamic viscosity (Pa s)."""

    density: float
    viscosity: float


def oil_state(oil: Oil, temperature: float) -> tuple[OilState, tuple[str, ...]]:
    """Density and dynamic viscosity at a temperature (K), and a warning outside the viscosity law's range."""
    law = oil_law(oil)
    kinematic = law.kinematic_viscosity(temperature)
    warnings: tuple[str, ...] = ()
    if kinematic < oils.LOWEST_WALTHER_VISCOSITY:
        warnings = (f"the oil is at {kinematic * 1e6:.2f} cSt: the viscosity law holds above 2 cSt",)
    return OilState(law.density(temperature), kinematic * law.density(temperature)), warnings


def oil_law(oil: Oil) -> oils.Oil:
    """Return the oil's law from two points or from its label.

    Parameters
    ----------
    oil : hardware Oil
        The file's oil.

    Returns
    -------
    physics Oil
    """
    if oil.points is not None:
        (t1, v1), (t2, v2) = ((p.temperature.si, p.viscosity.si) for p in oil.points)
    else:
        t1, v1, t2 = 313.15, si_or(oil.viscosity_40, 0.0), 373.15
        v2 = viscosity_from_index(v1, si_or(oil.viscosity_index, 0.0))
    a, b = oils.walther_constants(t1, v1, t2, v2)
    return oils.Oil(
        walther_a=float(a),
        walther_b=float(b),
        reference_density=oil.density.si,
        density_temperature=oil.density_temperature.si,
        expansion=oil.expansion.si,
        bulk_modulus=oil.bulk_modulus.si,
        free_air=oil.free_air.si,
        parting_pressure=P0 + oil.parting_pressure.si,
    )
