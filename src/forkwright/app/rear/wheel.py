"""A shock at the rear wheel, for the pages: what the rear bench says, or why it can say nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from forkwright.bench.answers import sag_answer
from forkwright.bench.coil import coil_reading
from forkwright.bench.conditions import Conditions
from forkwright.bench.loads import rear_wheel_load
from forkwright.bench.rear_answers import (
    coil_answer,
    wheel_damping_answer,
    wheel_sag_answer,
    wheel_spring_answer,
)
from forkwright.bench.rear_damping import wheel_damping
from forkwright.bench.rear_linkage import full_wheel_travel, linkage_of
from forkwright.bench.rear_sag import wheel_sag
from forkwright.bench.rear_spring import at_wheel
from forkwright.bench.spring import SpringCurve
from forkwright.bench.standing import standing_sag
from forkwright.hardware import Bike, Rider, Unit

if TYPE_CHECKING:
    from forkwright.bench.damping import DampingCurve

NO_LEVERAGE = (
    "The bike has no leverage curve, so nothing can be said at the wheel: give it one under Rider and bike."
)


@dataclass(frozen=True)
class Stands:
    """Where a unit rests under its rider, as the pages show it; None where it cannot be said."""

    sag: dict[str, Any] | None  # of the unit
    wheel_sag: dict[str, Any] | None  # of the rear wheel, for a shock
    warnings: tuple[str, ...]


def stands(
    unit: Unit, rider: Rider | None, bike: Bike | None, conditions: Conditions | None = None
) -> Stands:
    """Return where a fork, or a shock through its leverage, rests under a rider."""
    if rider is None or bike is None:
        return Stands(None, None, ())
    if unit.kind == "shock" and bike.leverage is None:
        return Stands(None, None, (NO_LEVERAGE,))
    rests = standing_sag(unit, rider, bike, None, conditions)
    if unit.kind == "fork":
        return Stands(sag_answer(rests), None, rests.warnings)
    wheel = wheel_sag(unit, bike, float(rear_wheel_load(rider, bike)), conditions=conditions)
    return Stands(sag_answer(rests), wheel_sag_answer(wheel), (*rests.warnings, *wheel.warnings))


def wheel_answer(
    curve: SpringCurve, bike: Bike | None, conditions: Conditions | None = None
) -> dict[str, Any] | None:
    """Return a shock's spring at the rear wheel; None for a fork, and without a leverage curve."""
    if curve.unit.kind != "shock" or bike is None or bike.leverage is None:
        return None
    return wheel_spring_answer(at_wheel(curve, bike, conditions))


def damping_at_wheel(
    unit: Unit, bike: Bike | None, curve: DampingCurve, share: float
) -> dict[str, Any] | None:
    """Return a shock's damping at the wheel, at a share of the wheel's travel; None as for `wheel_answer`."""
    if unit.kind != "shock" or bike is None or bike.leverage is None:
        return None
    linkage = linkage_of(bike)
    full = full_wheel_travel(unit, linkage)
    stroke = float(linkage.stroke_at(np.array([share * full]))[0])
    found = wheel_damping(bike, curve.speed, curve.force, stroke=stroke)
    return wheel_damping_answer(found) | {"wheel_travel_full_m": full}


def coil_told(unit: Unit) -> dict[str, Any] | None:
    """Return what a unit's coil and its wire tell; None where it has none."""
    reading = coil_reading(unit)
    return coil_answer(reading) if reading is not None else None
