"""What the time-stepping kernel needs to know: one flat, immutable record of floats and arrays, all in SI.

The record is a named tuple so that the compiled kernel, the plain twin in the tests and the C twin in the
benchmarks all read the same fields by the same names. `defaults` gives a bare unit (no gas, no friction, no
bumpers) to which the parts that exist are added with `_replace`.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from forkwright.physics import P0
from forkwright.physics.gas import ADIABATIC

FULL_TRAVEL_STOP_RATE = 3.0e5
"""Stiffness of metal on metal past full travel, N/m; own assumption (crown, stanchions and lowers flex)."""

FLOATING_RELAXATION = 2.0e-3
"""Time in which a floating piston closes a pressure difference, s; own assumption, far below a stroke's
time."""


class RideParameters(NamedTuple):
    """Everything about bike, unit and air that stays the same during a run.

    Lengths m, areas m^2, volumes m^3, masses kg, forces N, pressures Pa (absolute), stiffness N/m, damping
    N s/m, heat contents ``n R Tw`` J, heat rates 1/s (zero: no heat passes). ``x`` is the unit's
    compression, ``w`` the wheel's movement along its path; for a fork both are the same.
    """

    # masses and geometry
    sprung_mass: float
    unsprung_mass: float
    rider_mass: float  # 0: the rider is part of the sprung mass
    rider_stiffness: float
    rider_damping: float
    axis_sine: float  # sine of the angle between the wheel's path and the ground: the head angle, or 1
    slope_shift: float  # N that leave this wheel for the other per unit of the slope's sine
    # tyre
    tyre_stiffness: float
    tyre_loss: float  # s/m, see physics.tyre.contact_force
    # gas
    ambient: float
    gas_ratio: float  # 1: isothermal, whatever the heat rates say
    positive_volume: float  # at x = 0, spacers taken off, floating piston on its stop
    positive_area: float
    positive_content: float
    positive_heat_rate: float
    negative_volume: float
    negative_area: float
    negative_content: float
    negative_heat_rate: float
    spring_leg_volume: float
    spring_leg_area: float
    spring_leg_content: float
    damper_leg_volume: float
    damper_leg_area: float
    damper_leg_content: float
    lower_leg_heat_rate: float
    floating_volume: float
    floating_area: float  # face on the positive chamber; 0: no floating piston
    floating_back_area: float
    floating_content: float
    floating_heat_rate: float
    floating_stroke: float
    floating_friction: float
    floating_relaxation: float  # s
    # springs and stops
    coil_rate: float
    coil_force: float  # at x = 0
    negative_coil_rate: float
    negative_coil_length: float  # compression x at which it goes slack
    top_out_rate: float
    travel: float
    bumper_length: float
    bumper_rate: float
    bumper_exponent: float
    stop_rate: float
    # friction, in wheel coordinates where it stems from the wheel's load
    friction_force: float
    friction_per_load: float  # N of friction per N of tyre force
    friction_per_pressure: float  # m^2: N of friction per Pa of positive gauge pressure, at the unit
    breakaway: float  # times the running friction
    # damper as a static map: the shaft's gas push and the force at evenly spaced speeds
    damper_push: float
    damper_lowest_speed: float
    damper_speed_step: float
    damper_force: NDArray[np.float64]
    # damper with chambers of its own (used instead of the map when damper_chambers is 1)
    damper_chambers: float
    tube_area: float
    shaft_area: float
    compression_volume: float  # chamber volumes at x = 0
    shaft_volume: float
    oil_bulk_modulus: float  # of air-free oil
    oil_air_share: float  # free air at 101325 Pa per volume of air-free oil
    reservoir_pressure: float  # at x = 0
    reservoir_gas_volume: float  # 0: a coil holds the reservoir piston and reservoir_rate applies
    reservoir_rate: float  # Pa per m of x
    valve_pressure_step: float
    piston_flow: NDArray[np.float64]  # m^3/s from compression to shaft side, over evenly spaced differences
    base_flow: NDArray[np.float64]  # m^3/s from compression side to reservoir
    # leverage of a rear unit: its stroke at evenly spaced wheel travels; one value: none
    leverage_step: float
    leverage_stroke: NDArray[np.float64]


def defaults(
    sprung_mass: float, unsprung_mass: float, tyre_stiffness: float, travel: float
) -> RideParameters:
    """Return a bare unit to start from: masses and a tyre, and nothing between them.

    Parameters
    ----------
    sprung_mass, unsprung_mass
        Masses, kg.
    tyre_stiffness
        Tyre stiffness, N/m.
    travel
        Travel of the unit, m.

    Returns
    -------
    Parameters with no gas, springs, friction, damper or bumpers, a vertical axis and ambient 101325 Pa.

    Source
    ------
    None: bookkeeping.

    Examples
    --------
    >>> defaults(28.0, 3.0, 9.0e4, 0.16).axis_sine
    1.0
    """
    flat = np.zeros(2)
    values: dict[str, Any] = dict.fromkeys(RideParameters._fields, 0.0)
    values |= {"damper_force": flat, "piston_flow": flat, "base_flow": flat, "leverage_stroke": np.zeros(1)}
    values.update(
        sprung_mass=sprung_mass,
        unsprung_mass=unsprung_mass,
        tyre_stiffness=tyre_stiffness,
        travel=travel,
        axis_sine=1.0,
        ambient=P0,
        gas_ratio=ADIABATIC,
        positive_volume=1.0,
        negative_volume=1.0,
        spring_leg_volume=1.0,
        damper_leg_volume=1.0,
        floating_volume=1.0,
        floating_relaxation=FLOATING_RELAXATION,
        bumper_exponent=1.0,
        bumper_length=1.0e-3,
        breakaway=1.0,
        damper_lowest_speed=-1.0,
        damper_speed_step=2.0,
        compression_volume=1.0,
        shaft_volume=1.0,
        oil_bulk_modulus=1.5e9,
        valve_pressure_step=1.0,
        leverage_step=1.0,
    )
    return RideParameters(**values)
