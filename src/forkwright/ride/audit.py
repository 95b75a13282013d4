"""The energy account of a ride: what went in must be stored, given off or lost, or no result is returned."""

from __future__ import annotations

import math
from dataclasses import dataclass

from forkwright.physics import G0, Unphysical
from forkwright.ride.leverage_table import stroke_at
from forkwright.ride.parameters import RideParameters

TOLERANCE = 5.0e-4
"""Largest imbalance that is accepted, as a share of the energy that passed through."""

LEAST_SHARE = 1.0e-6
"""What counts as passing through at least, as a share of the static load times the travel: on flat ground
nothing moves, and rounding alone must not refuse the ride."""


@dataclass(frozen=True)
class EnergyAudit:
    """Where the energy of a ride went, J.

    `ground` and `weight` are works done on bike and rider; the others are taken away by what they name.
    `stored` is the change of kinetic and elastic energy and of the gases' internal energy. `residual` is what
    does not add up, `imbalance` that residual over everything that passed through, which is `least` or more.
    """

    ground: float
    weight: float
    stored: float
    damper: float
    friction: float
    tyre: float
    gas: float
    floating: float
    rider: float
    least: float = 1e-9

    @property
    def residual(self) -> float:
        """Energy that does not add up, J."""
        lost = self.damper + self.friction + self.tyre + self.gas + self.floating + self.rider
        return self.ground + self.weight - self.stored - lost

    @property
    def throughput(self) -> float:
        """Energy that passed through, J: the larger of what was lost and the works done."""
        lost = self.damper + self.friction + self.tyre + abs(self.gas) + self.floating + self.rider
        return max(lost, abs(self.ground), abs(self.weight), abs(self.stored), self.least)

    @property
    def imbalance(self) -> float:
        """Residual over throughput, dimensionless."""
        return abs(self.residual) / self.throughput


def audit_energy(
    p: RideParameters,
    before: tuple[float, ...],
    after: tuple[float, ...],
    works: tuple[float, ...],
    heights: tuple[float, float],
) -> EnergyAudit:
    """Account for the energy of a run, and refuse a run that does not balance.

    Parameters
    ----------
    p : RideParameters
    before, after : State
        First and last state.
    works : Powers
        Works summed by the kernel, J.
    heights : (float, float)
        Height of the ground under the wheel at the beginning and the end, m.

    Returns
    -------
    EnergyAudit

    Raises
    ------
    Unphysical
        If a number is not finite, or the imbalance exceeds `TOLERANCE`.

    Notes
    -----
    Source: first law (derived).
    """
    if not all(math.isfinite(value) for value in (*after, *works)):
        raise Unphysical(
            "the ride ran out of all bounds (a number is not finite); check masses and stiffnesses"
        )
    stored = stored_energy(p, after, heights[1]) - stored_energy(p, before, heights[0])
    ground, weight, damper, friction, tyre, wall, floating, rider = works
    static = (p.sprung_mass + p.unsprung_mass + p.rider_mass) * G0
    least = LEAST_SHARE * static * p.travel
    account = EnergyAudit(ground, weight, stored, damper, friction, tyre, wall, floating, rider, least)
    if account.imbalance > TOLERANCE:
        raise Unphysical(
            f"the ride's energy does not balance: {account.residual:.3g} J of {account.throughput:.3g} J are"
            f" unaccounted for (allowed {TOLERANCE:.2%}); try a shorter step"
        )
    return account


def refuse_used_up(p: RideParameters, least: float, greatest: float) -> None:
    """Refuse a run in which a chamber had no volume left: past that point its gas law means nothing.

    Parameters
    ----------
    p : RideParameters
    least, greatest : float
        Ends of the stroke that was used, m; below zero past full extension.

    Raises
    ------
    Unphysical
        Naming the chamber. The energy may balance all the same.

    Notes
    -----
    Source: the volumes of docs/theory.md, 1.
    """
    spare = p.floating_area * p.floating_stroke
    for name, content, volume, at in (
        ("negative chamber", p.negative_content, p.negative_volume + p.negative_area * least, least),
        ("positive chamber", p.positive_content, p.positive_volume + spare - p.positive_area * greatest,
         greatest),
        ("spring leg", p.spring_leg_content, p.spring_leg_volume - p.spring_leg_area * greatest, greatest),
        ("damper leg", p.damper_leg_content, p.damper_leg_volume - p.damper_leg_area * greatest, greatest),
    ):  # fmt: skip
        if content > 0.0 and volume <= 0.0:
            raise Unphysical(
                f"the {name} would be used up: the ride reached {at * 1e3:.1f} mm of travel, where it has no"
                " volume left"
            )


def stored_energy(p: RideParameters, state: tuple[float, ...], height: float) -> float:
    """Energy held in a state, J, up to a constant.

    Parameters
    ----------
    p : RideParameters
    state : State
    height : float
        Height of the ground under the wheel, m.

    Returns
    -------
    Kinetic and elastic energy, internal energy of the gases (free energy where they are isothermal), and
    what the ambient air gives back, J; weight is not in it.

    Notes
    -----
    Source: integrals of the forces in `ride.motion` and `ride.unit_forces` (derived).
    """
    body, travel, rise, speed, rider_height, rider_rise, *rest = state
    stroke = stroke_at(p, travel)
    floating = rest[5]
    kinetic = (
        0.5 * (p.sprung_mass + p.unsprung_mass) * rise**2
        + p.unsprung_mass * speed * (p.axis_sine * rise + 0.5 * speed)
        + 0.5 * p.rider_mass * rider_rise**2
    )
    tyre = 0.5 * p.tyre_stiffness * max(height - body - p.axis_sine * travel, 0.0) ** 2
    closed = body - rider_height
    limbs = 0.5 * p.rider_stiffness * closed**2 + p.rider_mass * G0 * closed
    return kinetic + tyre + limbs + _gases(p, rest, stroke, floating) + _solids(p, stroke)


def _gases(p: RideParameters, contents: list[float], stroke: float, floating: float) -> float:
    ambient_area = p.positive_area - p.negative_area + p.spring_leg_area + p.damper_leg_area
    outside = -p.ambient * ambient_area * stroke
    outside += p.ambient * (p.floating_area - p.floating_back_area) * floating
    if p.gas_ratio > 1.0:
        return sum(contents[:5]) / (p.gas_ratio - 1.0) + outside
    volumes = (
        p.positive_volume - p.positive_area * stroke + p.floating_area * floating,
        p.negative_volume + p.negative_area * stroke,
        p.spring_leg_volume - p.spring_leg_area * stroke,
        p.damper_leg_volume - p.damper_leg_area * stroke,
        p.floating_volume - p.floating_back_area * floating,
    )
    return outside - sum(
        content * math.log(volume) for content, volume in zip(contents, volumes, strict=False)
    )


def _solids(p: RideParameters, stroke: float) -> float:
    energy = (p.coil_force + p.damper_push) * stroke + 0.5 * p.coil_rate * stroke**2
    energy += 0.5 * p.negative_coil_rate * max(p.negative_coil_length - stroke, 0.0) ** 2
    energy += 0.5 * p.top_out_rate * min(stroke, 0.0) ** 2
    bumper = max(stroke - (p.travel - p.bumper_length), 0.0)
    power = p.bumper_exponent + 1.0
    energy += p.bumper_rate * p.bumper_length**2 * (bumper / p.bumper_length) ** power / power
    past_travel = max(stroke - p.travel, 0.0)
    energy += 0.5 * p.stop_rate * past_travel**2
    return float(energy)
