"""From a unit, its setting, a rider and a bike to what the kernel needs."""

from __future__ import annotations

from typing import Any

import numpy as np

from forkwright.bench import Conditions
from forkwright.bench.chambers import chambers_of, fill_of
from forkwright.bench.coil import preload_of
from forkwright.bench.friction import breakaway_factor, running_friction
from forkwright.bench.lower_legs import extended_pressure, swept_areas
from forkwright.hardware import Bike, Rider, Setting, Unit, check_setting
from forkwright.physics import G0
from forkwright.physics.air_spring import charge
from forkwright.ride.damping import damping_values
from forkwright.ride.leverage_table import NO_LEVERAGE, leverage_fields, with_leverage
from forkwright.ride.options import RideOptions
from forkwright.ride.parameters import FULL_TRAVEL_STOP_RATE, RideParameters, defaults
from forkwright.ride.pitch_layout import layout_of
from forkwright.units import InputError


def ride_parameters(
    unit: Unit,
    setting: Setting,
    rider: Rider,
    bike: Bike,
    conditions: Conditions,
    options: RideOptions,
) -> tuple[RideParameters, tuple[str, ...]]:
    """Collect everything that stays the same during a ride.

    Parameters
    ----------
    unit : Unit
        A fork, or a shock with a leverage curve in the options or in the bike's file.
    setting : Setting
        Checked against the unit's limits.
    rider, bike : Rider, Bike
    conditions : Conditions
        Ambient and temperatures.
    options : RideOptions

    Returns
    -------
    RideParameters and warnings.

    Raises
    ------
    InputError
        If the unit must not be given this setting, or a shock comes without a leverage curve.

    Notes
    -----
    Source: docs/ride.md, "From the unit to the kernel". Bushing friction is taken as a straight line in the
    wheel's load, tangent at the static load.
    """
    check_setting(unit, setting)
    options = with_leverage(unit, bike, options)
    masses, warnings = _masses(unit, rider, bike, options)
    tyre_stiffness, tyre_notes = options.tyre.stiffness()
    bare = defaults(masses["sprung_mass"], masses["unsprung_mass"], tyre_stiffness, float(unit.travel.si))
    ambient = conditions.ambient_pressure
    values: dict[str, Any] = {
        **masses,
        "ambient": ambient,
        "tyre_loss": options.tyre.loss,
        "gas_ratio": 1.0 if options.heat.isothermal else bare.gas_ratio,
        **_air(unit, setting, conditions, options),
        **_lower_legs(unit, conditions, options),
        **_springs_and_stops(unit, setting),
    }
    damping, damping_notes = damping_values(unit, setting, conditions, options)
    values.update(damping)
    if options.leverage:
        values.update(leverage_fields(options.leverage))
    p = bare._replace(**values)
    friction: dict[str, Any] = dict(_friction(unit, bike, p))
    p = p._replace(**friction)
    return p, (*warnings, *tyre_notes, *damping_notes)


def _masses(
    unit: Unit, rider: Rider, bike: Bike, options: RideOptions
) -> tuple[dict[str, float], tuple[str, ...]]:
    """Return the masses at one wheel and what a slope moves between the wheels.

    The front share of the sprung weight stands on the front wheel. On a slope at steady speed the moments of
    the whole weight about a wheel's contact move ``m g sin(slope) h / b`` from one wheel to the other.
    Source: statics (derived).
    """
    is_fork = unit.kind == "fork"
    if is_fork == bool(options.leverage):
        raise InputError(
            NO_LEVERAGE if is_fork else "a shock needs a leverage curve: give a bike whose file has it",
            key="leverage",
        )
    layout = layout_of(rider, bike)
    front, rear = layout.unsprung_front, layout.unsprung_rear
    share = bike.front_share.si if is_fork else 1.0 - bike.front_share.si
    rider_mass = share * rider.mass.si
    frame_mass = share * (bike.mass.si - front - rear)
    uphill = layout.whole_mass * G0 * layout.centre_height / layout.wheelbase
    masses = {
        "slope_shift": uphill if is_fork else -uphill,  # uphill lightens the front and loads the rear
        "sprung_mass": frame_mass if options.limbs else frame_mass + rider_mass,
        "rider_mass": rider_mass if options.limbs else 0.0,
        "rider_stiffness": options.limbs.stiffness if options.limbs else 0.0,
        "rider_damping": options.limbs.damping if options.limbs else 0.0,
        "unsprung_mass": front if is_fork else rear,
        "axis_sine": float(np.sin(bike.head_angle.si)) if is_fork else 1.0,
    }
    # one wheel alone does not pitch
    felt = {name: words for name, words in layout.assumed.items() if name != "pitch_inertia"}
    return masses, tuple(felt.values())


def _air(unit: Unit, setting: Setting, conditions: Conditions, options: RideOptions) -> dict[str, float]:
    """Return geometry and gas of the air spring; contents are p V at wall temperature."""
    if unit.air_spring is None:
        return {}
    chambers = chambers_of(unit.air_spring, setting.spacers)
    gas = charge(chambers, fill_of(setting, conditions), 1.0, conditions.ambient_pressure)
    positive_rate, negative_rate, _, secondary_rate = options.heat.rates()
    values = {
        "positive_volume": float(chambers.positive_volume),
        "positive_area": float(chambers.piston_area),
        "positive_content": float(gas.positive),
        "positive_heat_rate": positive_rate,
    }
    if chambers.negative_volume is not None:
        values |= {
            "negative_volume": float(chambers.negative_volume),
            "negative_area": float(chambers.negative_area),
            "negative_content": float(gas.negative or 0.0),
            "negative_heat_rate": negative_rate,
        }
    if chambers.floating is not None:
        values |= {
            "floating_volume": float(chambers.floating.volume),
            "floating_area": float(chambers.floating.area),
            "floating_back_area": float(chambers.floating.secondary_area),
            "floating_content": float(gas.secondary or 0.0),
            "floating_heat_rate": secondary_rate,
            "floating_stroke": float(chambers.floating.stroke),
            "floating_friction": float(chambers.floating.friction),
        }
    return values


def _lower_legs(unit: Unit, conditions: Conditions, options: RideOptions) -> dict[str, float]:
    """Return the air trapped in both lower legs."""
    legs = unit.lower_legs
    if legs is None or unit.chassis is None:
        return {}
    values = {"lower_leg_heat_rate": options.heat.rates()[2]}
    content = extended_pressure(legs, conditions) * legs.air_volume.si
    for leg, area in zip(("spring_leg", "damper_leg"), swept_areas(unit), strict=True):
        values |= {f"{leg}_volume": legs.air_volume.si, f"{leg}_area": area, f"{leg}_content": content}
    return values


def _springs_and_stops(unit: Unit, setting: Setting) -> dict[str, float]:
    values = {"stop_rate": FULL_TRAVEL_STOP_RATE, "top_out_rate": FULL_TRAVEL_STOP_RATE}
    if unit.bumpers.top_out is not None:
        values["top_out_rate"] = unit.bumpers.top_out.rate.si
    bottom = unit.bumpers.bottom_out
    if bottom is not None:
        values |= {
            "bumper_length": bottom.length.si,
            "bumper_rate": bottom.rate.si,
            "bumper_exponent": bottom.exponent.si,
        }
    air = unit.air_spring
    if air is not None and air.negative == "coil" and air.negative_coil is not None:
        values["negative_coil_rate"] = air.negative_coil.rate.si
        values["negative_coil_length"] = air.negative_coil.length.si
    if unit.coil_spring is not None:
        values["coil_rate"] = unit.coil_spring.rate.si
        values["coil_force"] = unit.coil_spring.rate.si * preload_of(unit.coil_spring, setting)
    return values


def _friction(unit: Unit, bike: Bike, p: RideParameters) -> dict[str, float]:
    """Return friction as a constant, a part by tyre force, and a part by positive pressure."""
    spring = unit.air_spring
    by_pressure = spring.seal_area.si if spring is not None and spring.seal_area is not None else 0.0
    seals = spring.seal_friction.si if spring is not None and spring.seal_friction is not None else 0.0
    if unit.damper is not None and unit.damper.seal_friction is not None:
        seals += unit.damper.seal_friction.si
    weight = (p.sprung_mass + p.rider_mass) * G0
    middle = np.array([0.25 * p.travel])
    across = float(np.cos(bike.head_angle.si)) if unit.kind == "fork" else 0.0

    def bushings(load: float) -> float:
        return float(running_friction(unit, None, middle, p.ambient, load * across)[0])

    at_rest, nudge = bushings(weight), 0.01 * weight
    slope = (bushings(weight + nudge) - bushings(weight - nudge)) / (2.0 * nudge)
    return {
        "friction_force": seals + max(at_rest - slope * weight, 0.0),
        "friction_per_load": slope,
        "friction_per_pressure": by_pressure,
        "breakaway": float(breakaway_factor(unit)),
    }
