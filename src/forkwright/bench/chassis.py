"""The chassis on the bench: bushing loads, bending stiffness and overlap over the travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.hardware import Unit
from forkwright.hardware.parts import Chassis
from forkwright.physics import Unphysical
from forkwright.physics.friction import bushing_reactions
from forkwright.physics.tubes import axle_compliance, second_moment
from forkwright.physics.values import Array, Value
from forkwright.units import InputError

# Where the file gives no figure (stated in the docs as assumptions):
ASSUMED_MODULUS = 71e9  # Pa, aluminium alloy tube (handbook figure, from memory)
ASSUMED_CROWN_GAP = 0.020  # m, free stanchion left above the upper bushing at full travel


@dataclass(frozen=True)
class BushingLoads:
    """Normal loads on the bushings of both legs together, N; fore-aft and sideways are at right angles."""

    lower_fore_aft: Value
    upper_fore_aft: Value
    lower_sideways: Value
    upper_sideways: Value

    def magnitudes(self) -> tuple[Value, Value]:
        """Return the resultant on the lower and on the upper bushings, both legs added, N."""
        return (
            np.hypot(self.lower_fore_aft, self.lower_sideways),
            np.hypot(self.upper_fore_aft, self.upper_sideways),
        )


@dataclass(frozen=True)
class ChassisCurve:
    """The chassis over the travel (last axis), SI."""

    travel: Array  # m
    crown_to_upper: Array  # m, free stanchion above the upper bushing
    axle_stiffness: Array  # N/m, fore-aft at the axle, both legs
    lower: Array  # N, sum of the lower bushings' loads at the given axle force
    upper: Array  # N, sum of the upper bushings' loads
    friction: Array  # N, from these loads
    warnings: tuple[str, ...]


def bushing_loads(unit: Unit, travel: Array, side_load: Value, moment: Value = 0.0) -> BushingLoads | None:
    """Return the bushing loads from a force at the axle and from what the axle clamps in.

    Parameters
    ----------
    unit : Unit
    travel : array
        Compression, m.
    side_load : float
        Force at the axle normal to the leg axis, fore-aft, N, shared by both legs.
    moment : float
        Moment of a brake caliper on the lowers, of the same sense as that of `side_load`, N m.

    Returns
    -------
    BushingLoads or None
        None where the file does not give the bushing positions.
    """
    chassis = unit.chassis
    if chassis is None or chassis.axle_to_lower_bushing is None or chassis.bushing_spacing is None:
        return None
    lever, spacing = chassis.axle_to_lower_bushing.si, chassis.bushing_spacing.si
    lower, upper = bushing_reactions(side_load, lever, spacing, moment)
    clamped = clamped_in_force(unit, travel)
    if clamped is None:
        return BushingLoads(lower, upper, 0.0, 0.0)
    side_lower, side_upper = bushing_reactions(clamped, lever, spacing)
    return BushingLoads(lower, upper, 2.0 * side_lower, 2.0 * side_upper)


def clamped_in_force(unit: Unit, travel: Array) -> Value | None:
    """Return the sideways force on each leg from a clamped-in axle misalignment, N; None without one.

    Both legs are bent towards (or away from) each other in series: ``d = P (c + c)`` with the compliance c of
    one leg at the axle. A floating axle clamps nothing in.
    """
    chassis = unit.chassis
    if chassis is None or not clamps_in_misalignment(chassis) or chassis.axle_misalignment is None:
        return None
    return np.abs(chassis.axle_misalignment.si) / (2.0 * _leg_compliance(unit, chassis, travel))


def clamps_in_misalignment(chassis: Chassis) -> bool:
    """Return whether the axle is fixed and misaligned, on tubes whose stiffness is known."""
    return (
        chassis.axle == "fixed"
        and chassis.axle_misalignment is not None
        and bool(np.any(chassis.axle_misalignment.si))
        and chassis.stanchion_wall is not None
    )


def check_fork(unit: Unit) -> None:
    """Refuse a unit that is no fork.

    Parameters
    ----------
    unit : Unit

    Raises
    ------
    InputError
        For a shock.
    """
    if unit.kind != "fork":
        raise InputError("only a fork has a chassis", key="kind", value=unit.kind, allowed="fork")


def chassis_curve(
    unit: Unit, axle_force: float, travel: Array | None = None, moment: float = 0.0
) -> ChassisCurve:
    """Return stiffness, bushing loads and their friction over the travel.

    Parameters
    ----------
    unit : Unit
        With `[chassis]` tube and bushing measures.
    axle_force : float
        Force at the axle normal to the leg axis, N.
    travel : array, optional
        Compressions, m; by default 33 points over the travel.
    moment : float
        Moment of a brake caliper on the lowers, N m.

    Returns
    -------
    ChassisCurve

    Raises
    ------
    Unphysical
        If the file lacks the measures, or the stanchions do not reach both bushings.

    Notes
    -----
    Source: `physics.tubes` and `physics.friction`; the two legs act side by side.
    """
    chassis = unit.chassis
    if chassis is None or chassis.stanchion_wall is None:
        raise Unphysical("the chassis' stiffness needs [chassis] stanchion_outer and stanchion_wall")
    x = np.linspace(0.0, np.max(unit.travel.si), 33) if travel is None else travel
    loads = bushing_loads(unit, x, axle_force, moment)
    if loads is None:
        raise Unphysical("the bushing loads need [chassis] axle_to_lower_bushing and bushing_spacing")
    compliance = _leg_compliance(unit, chassis, x)
    lower, upper = (np.broadcast_to(load, np.shape(compliance)) for load in loads.magnitudes())
    coefficient = chassis.bushing_friction.si if chassis.bushing_friction is not None else 0.0
    notes = []
    if chassis.axle_to_crown is None:
        notes.append(
            f"axle_to_crown is not given: {ASSUMED_CROWN_GAP * 1e3:.0f} mm assumed above the upper bushing"
        )
    if chassis.stanchion_modulus is None:
        notes.append(f"stanchion_modulus is not given: {ASSUMED_MODULUS / 1e9:.0f} GPa assumed")
    return ChassisCurve(
        travel=x,
        crown_to_upper=_crown_to_upper(unit, chassis, x),
        axle_stiffness=2.0 / compliance,
        lower=lower,
        upper=upper,
        friction=coefficient * (lower + upper),
        warnings=tuple(notes),
    )


def _leg_compliance(unit: Unit, chassis: Chassis, travel: Array) -> Value:
    assert chassis.stanchion_wall is not None
    assert chassis.bushing_spacing is not None
    assert chassis.axle_to_lower_bushing is not None
    outer = chassis.stanchion_outer.si
    modulus = chassis.stanchion_modulus.si if chassis.stanchion_modulus is not None else ASSUMED_MODULUS
    rigidity = modulus * second_moment(outer, outer - 2.0 * chassis.stanchion_wall.si)
    free = _crown_to_upper(unit, chassis, travel)
    return axle_compliance(free, chassis.bushing_spacing.si, chassis.axle_to_lower_bushing.si, rigidity)


def _crown_to_upper(unit: Unit, chassis: Chassis, travel: Array) -> Value:
    """Free stanchion between crown and upper bushing, m."""
    assert chassis.bushing_spacing is not None
    assert chassis.axle_to_lower_bushing is not None
    if chassis.axle_to_crown is None:
        return unit.travel.si + ASSUMED_CROWN_GAP - travel
    free = chassis.axle_to_crown.si - chassis.axle_to_lower_bushing.si - chassis.bushing_spacing.si - travel
    if not np.all(free > 0.0):
        raise Unphysical("with these lengths the upper bushing would pass the crown before full travel")
    return free
