"""A unit's damper as the kernel takes it: a map of speed, or two oil chambers with their valves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.bench.damper_model import model_of
from forkwright.bench.damper_oil import oil_law
from forkwright.bench.damper_reservoir import reservoir_law
from forkwright.bench.damping import WORKSHOP_OIL, damping_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics.reservoir import GasReservoir
from forkwright.ride.options import DampingTable, RideOptions
from forkwright.units import InputError

Array = NDArray[np.float64]

FASTEST = 5.0
"""Reach of the damping map, m/s; beyond it the last slope is carried on and a warning says so."""

USUAL_POSITION = 0.3
"""Share of the travel at which the reservoir stands for the map."""

GREATEST_DROP, DROP_STEP = 150e5, 0.1e5
"""Reach and spacing of the valve tables of the oil chambers, Pa."""

_SLOW = (0.0, 0.005, 0.01, 0.02, 0.03, 0.05, 0.075, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.7)
_ONE_WAY = np.array([*_SLOW, 1.0, 1.4, 1.8, 2.2, 2.8, 3.4, 4.0, 5.0])


def damping_values(
    unit: Unit, setting: Setting, conditions: Conditions, options: RideOptions
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Return the damper's fields of `RideParameters`.

    Parameters
    ----------
    unit : Unit
    setting : Setting
    conditions : Conditions
    options : RideOptions
        A damping table in it is used instead of the unit's own damper.

    Returns
    -------
    Fields by name, and warnings.

    Raises
    ------
    InputError
        If oil chambers are asked for and the unit does not give their volumes.

    Notes
    -----
    Source: `forkwright.bench.damping` for the map; the valves' own flow for the chambers.
    """
    if options.damping is not None:
        return _mapped(options.damping), (*_short_of_reach(options.damping), *_left_out(options))
    if unit.damper is None:
        return {}, ("the unit has no damper and no damping table is given: only friction damps it",)
    if options.oil_chambers:
        return _chambers(unit, setting, conditions, options)
    table, notes = bench_table(unit, setting, conditions, options.oil_temperature, options.stiffening)
    return _mapped(table), notes


def bench_table(
    unit: Unit,
    setting: Setting,
    conditions: Conditions,
    oil_temperature: float | None = None,
    stiffening: bool = False,
) -> tuple[DampingTable, tuple[str, ...]]:
    """Return the damping table that the virtual bench measures on a unit's own damper, seal friction taken
    off.

    Parameters
    ----------
    unit : Unit
        With a damper.
    setting : Setting
    conditions : Conditions
    oil_temperature : float, optional
        K; the bench's usual temperature where it is not given.
    stiffening : bool
        Shims stretch as well as bend.

    Returns
    -------
    DampingTable and the bench's warnings.

    Notes
    -----
    Source: `forkwright.bench.damping.damping_curve`. Seal friction belongs to the ride's dry friction.
    """
    curve = damping_curve(
        unit,
        setting,
        WORKSHOP_OIL if oil_temperature is None else oil_temperature,
        np.concatenate((-_ONE_WAY[:0:-1], _ONE_WAY)),
        position=USUAL_POSITION * unit.travel.si,
        ambient_pressure=conditions.ambient_pressure,
        stiffening=stiffening,
    )
    return DampingTable(curve.speed, curve.force - curve.by_path["friction"]), curve.warnings


def _short_of_reach(table: DampingTable) -> tuple[str, ...]:
    reach = min(-float(table.speed[0]), float(table.speed[-1]))
    if reach >= FASTEST:
        return ()
    return (f"the damping table ends at {reach:g} m/s; its last slope is carried on beyond",)


def _left_out(options: RideOptions) -> tuple[str, ...]:
    """What was asked of the unit's own damper, which a table stands in for."""
    asked = {
        "an oil temperature": options.oil_temperature is not None,
        "chamber pressures": options.oil_chambers,
        "stretching shims": options.stiffening,
    }
    named = [name for name, wanted in asked.items() if wanted]
    if not named:
        return ()
    return (f"the damping is that of a table; asked of the damper and left out: {', '.join(named)}",)


def _mapped(table: DampingTable) -> dict[str, Any]:
    force, push = table.evenly_spaced(FASTEST)
    return {
        "damper_force": force,
        "damper_lowest_speed": -FASTEST,
        "damper_speed_step": 2.0 * FASTEST / (force.size - 1),
        "damper_push": push,
    }


def _chambers(
    unit: Unit, setting: Setting, conditions: Conditions, options: RideOptions
) -> tuple[dict[str, Any], tuple[str, ...]]:
    damper = unit.damper
    assert damper is not None
    volumes = damper.compression_volume, damper.shaft_volume
    if volumes[0] is None or volumes[1] is None:
        raise InputError(
            "oil chambers need both oil volumes",
            key="damper.compression_volume" if volumes[0] is None else "damper.shaft_volume",
        )
    temperature = WORKSHOP_OIL if options.oil_temperature is None else options.oil_temperature
    ambient = conditions.ambient_pressure
    model = model_of(damper, setting, temperature, ambient_pressure=ambient, stiffening=options.stiffening)
    circuit, oil, law = model.circuit, oil_law(damper.oil), reservoir_law(damper.reservoir, ambient)
    gas_volume = law.volume if isinstance(law, GasReservoir) else 0.0
    values = {
        "damper_chambers": 1.0,
        "tube_area": circuit.tube_area,
        "shaft_area": circuit.shaft_area,
        "compression_volume": volumes[0].si,
        "shaft_volume": volumes[1].si,
        "oil_bulk_modulus": oil.bulk_modulus,
        "oil_air_share": oil.free_air / (1.0 - oil.free_air),
        "reservoir_pressure": law.pressure(0.0),
        "reservoir_gas_volume": gas_volume,
        "reservoir_rate": 0.0 if gas_volume else law.slope(0.0) * circuit.shaft_area,
        "valve_pressure_step": DROP_STEP,
        "piston_flow": _both_ways(
            circuit.piston_compression.flow_at_drop, circuit.piston_rebound.flow_at_drop
        ),
        "base_flow": _both_ways(circuit.base_compression.flow_at_drop, circuit.base_return.flow_at_drop),
    }
    return values, model.warnings


def _both_ways(forward: Callable[[Array], Array], back: Callable[[Array], Array]) -> Array:
    drop = np.arange(0.0, GREATEST_DROP + 0.5 * DROP_STEP, DROP_STEP)
    return np.concatenate((-back(drop)[:0:-1], forward(drop)))
