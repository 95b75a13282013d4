"""A bike's linkage as the benches use it: the curve through its points, and what of it a shock can use."""

from __future__ import annotations

import numpy as np

from forkwright.hardware import Bike, Unit
from forkwright.hardware.leverage import as_linkage
from forkwright.physics.leverage import Linkage
from forkwright.units import InputError


def linkage_of(bike: Bike) -> Linkage:
    """Return the bike's linkage as a curve.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    Linkage

    Raises
    ------
    InputError
        If the bike has no leverage curve.
    """
    if bike.leverage is None:
        raise InputError(
            "the bike has no leverage curve: a shock needs one; give a bike whose file has it", key="leverage"
        )
    return as_linkage(bike.leverage)


def full_wheel_travel(unit: Unit, link: Linkage) -> float:
    """Return the wheel travel at which shock or linkage ends, whichever is first.

    Parameters
    ----------
    unit : Unit
    link : Linkage

    Returns
    -------
    float
        m.
    """
    return min(link.full_wheel, float(link.wheel_at(float(np.min(unit.travel.si)))))


def fit_notes(unit: Unit, link: Linkage) -> tuple[str, ...]:
    """Return what does not fit between a shock and a linkage.

    Parameters
    ----------
    unit : Unit
    link : Linkage

    Returns
    -------
    tuple of str
        Empty where their strokes agree to half a millimetre (own definition).
    """
    gap = link.full_stroke - float(np.max(unit.travel.si))
    if abs(gap) <= 0.0005:
        return ()
    if gap > 0:
        return (f"the linkage asks for {gap * 1e3:.1f} mm more stroke than the shock has: its end is never "
                "reached",)  # fmt: skip
    return (
        f"the linkage uses {-gap * 1e3:.1f} mm less stroke than the shock has: the wheel may meet the frame "
        "before the bumper works; see the maker's manual",
    )


def check_shock(unit: Unit) -> None:
    """Refuse a unit that is no shock.

    Parameters
    ----------
    unit : Unit
    """
    if unit.kind != "shock":
        raise InputError(
            "only a shock is reached through a leverage", key="kind", value=unit.kind, allowed="shock"
        )
