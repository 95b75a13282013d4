"""What the dynamometer's step loop reads: each way through the damper as a table over the pressure drop."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from forkwright.bench.damper_model import DamperModel
from forkwright.bench.damper_oil import oil_law
from forkwright.bench.damper_reservoir import reservoir_friction, reservoir_law
from forkwright.bench.dyno_parts import Geometry, OilParts, Plate, ReservoirParts
from forkwright.hardware.damper import Damper
from forkwright.hardware.valves import Check
from forkwright.physics.damper_valve import Valve
from forkwright.physics.reservoir import BladderReservoir, GasReservoir, SpringReservoir
from forkwright.physics.values import Array

HIGHEST_TABLED_DROP = 3e7
"""Tables reach 300 bar (Pa); beyond, their last straight piece goes on."""

_ENTRIES = 1024
SPACING = math.sqrt(HIGHEST_TABLED_DROP) / (_ENTRIES - 1)
DROPS: Array = np.square(SPACING * np.arange(_ENTRIES, dtype=np.float64))

FAST_GAS = 1.4
"""Exponent of gas and entrained air on the dynamometer: no time for heat to leave (fast limit)."""


@dataclass(frozen=True)
class DynoTables:
    """Flows (m3/s) and plate lifts (m) over `DROPS` (Pa), and the two lagging plates."""

    base_out: Array
    base_back: Array
    piston_out: Array
    piston_back: Array
    lift_base: Array
    lift_piston: Array
    base_plate: Plate
    piston_plate: Plate


def tables_of(damper: Damper, model: DamperModel, step: float) -> DynoTables:
    """Tabulate a damper model for a time step (s)."""
    circuit = model.circuit
    base_back, lift_base, base_plate = _checked_way(circuit.base_return, damper.base_valve.check, step)
    piston_out, lift_piston, piston_plate = _checked_way(
        circuit.piston_compression, damper.mid_valve.check, step
    )
    return DynoTables(
        circuit.base_compression.flow_at_drop(DROPS),
        base_back,
        piston_out,
        circuit.piston_rebound.flow_at_drop(DROPS),
        lift_base,
        lift_piston,
        base_plate,
        piston_plate,
    )


def oil_parts(damper: Damper) -> OilParts:
    """Return the oil as the step loop wants it."""
    law = oil_law(damper.oil)
    return OilParts(law.bulk_modulus, law.free_air, FAST_GAS, max(law.parting_pressure, 100.0))


def reservoir_parts(damper: Damper, ambient_pressure: float) -> ReservoirParts:
    """Return the reservoir as the step loop wants it; ambient pressure in Pa absolute."""
    law = reservoir_law(damper.reservoir, ambient_pressure, FAST_GAS)
    friction = reservoir_friction(damper.reservoir)
    if isinstance(law, GasReservoir):
        return ReservoirParts(1, law.charge, law.volume, law.exponent, law.capacity, friction)
    assert isinstance(law, SpringReservoir | BladderReservoir)
    return ReservoirParts(0, law.pressure(0.0), law.slope(0.0), 1.0, law.capacity, friction)


def geometry_of(damper: Damper, travel: float) -> tuple[Geometry, tuple[str, ...]]:
    """Rooms and areas (SI), and what had to be assumed; `travel` of the unit in m."""
    tube, shaft = (math.pi / 4 * size.si**2 for size in (damper.tube, damper.shaft))
    assumed = {
        "compression_volume": tube * (travel + 0.02),
        "shaft_volume": (tube - shaft) * 0.015,
        "reservoir_oil": 10e-6,
    }
    rooms, warnings = [], []
    for name, otherwise in assumed.items():
        given = getattr(damper, name)
        rooms.append(otherwise if given is None else given.si)
        if given is None:
            warnings.append(f"damper.{name} is not given: {otherwise * 1e6:.0f} ml assumed")
    return Geometry(tube, tube - shaft, *rooms), tuple(warnings)


def _checked_way(way: Valve, check: Check | None, step: float) -> tuple[Array, Array, Plate]:
    """Split a way with a lagging plate into its steady rest and the plate; without a lag all is steady."""
    still = Plate(1.0, 1.0, 1.0, 1.0, 0.0)
    lag = 0.0 if check is None or check.lag is None else check.lag.si
    if lag <= 0.0 or way.port is None or way.curtain is None:
        return way.flow_at_drop(DROPS), np.zeros_like(DROPS), still
    rest = replace(way, port=None, curtain=None)
    slit = way.curtain.unit_slit
    follow = -math.expm1(-step / lag)
    plate = Plate(way.port.square, way.port.linear, slit.square, slit.linear, follow)
    return rest.flow_at_drop(DROPS), way.lift_at_drop(DROPS), plate
