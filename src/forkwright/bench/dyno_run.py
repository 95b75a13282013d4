"""One run of the dynamometer: a motion in, pressures and heat out, told as a `DynoRun`."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.damper_model import DamperModel, model_of
from forkwright.bench.damper_oil import oil_state
from forkwright.bench.damper_setup import check_oil_temperature, damper_of
from forkwright.bench.dyno_parts import SOFT, Geometry, OilParts, ReservoirParts
from forkwright.bench.dyno_result import DynoRun, loop_of
from forkwright.bench.dyno_tables import (
    SPACING,
    DynoTables,
    geometry_of,
    oil_parts,
    reservoir_parts,
    tables_of,
)
from forkwright.hardware import Setting, Unit, check_setting
from forkwright.hardware.damper import Damper
from forkwright.physics import Unphysical
from forkwright.physics.constants import ZERO_CELSIUS
from forkwright.physics.values import Array

_RENEW = 0.25
"""The tables are made anew whenever the oil has warmed by this much (K)."""

_WORST_RESIDUAL = 1e-6
"""Room that may stay unexplained in a step, as a share of a chamber."""

Progress = Callable[[float], None]
"""Told the share done, 0 to 1; may raise to cancel."""


@dataclass(frozen=True)
class Motion:
    """What the machine does: travel (m) and speed (m/s) at the end of each step (s), and where it starts (m).

    `per_cycle` steps make a cycle.
    """

    travel: Array
    speed: Array
    step: float
    per_cycle: int
    start: float


@dataclass(frozen=True)
class Surroundings:
    """Oil at the start and the air around (K), pressure outside (Pa absolute)."""

    oil_temperature: float
    air_temperature: float
    pressure: float


@dataclass(frozen=True)
class _Rig:
    """What does not change while a run lasts."""

    damper: Damper
    geometry: Geometry
    oil: OilParts
    law: ReservoirParts

    def at_rest(self, travel: float) -> Array:
        """State with everything at the reservoir's pressure, plates shut, at a travel (m)."""
        from forkwright.bench.dyno_kernel import law_pressure, mixture

        room = self.geometry
        displaced = (room.tube - room.annulus) * travel
        pressure = law_pressure(displaced, self.law)
        per_reference = mixture(pressure, self.oil)[0]
        state = np.zeros(12)
        state[0] = (room.compression_room - room.tube * travel) / per_reference
        state[1] = (room.shaft_room + room.annulus * travel) / per_reference
        state[2] = (room.reservoir_room + displaced) / per_reference
        state[3] = state[11] = displaced
        state[4:7] = pressure
        return state


class _Heat:
    """The lumped heat balance: oil and metal at one temperature, losing to the air."""

    def __init__(self, damper: Damper, geometry: Geometry, around: Surroundings) -> None:
        volume = geometry.compression_room + geometry.shaft_room + geometry.reservoir_room
        density = oil_state(damper.oil, around.oil_temperature)[0].density
        self.capacity = volume * density * damper.oil.specific_heat.si
        self.cooling = 0.0
        if damper.heat is not None:
            self.capacity += damper.heat.metal_capacity.si
            self.cooling = damper.heat.cooling.si
        self.air = around.air_temperature
        self.temperature = around.oil_temperature

    def take(self, heat: float, time: float) -> None:
        """Take up heat (J) over a time (s); exact for a steady rate."""
        if self.cooling <= 0.0:
            self.temperature += heat / self.capacity
            return
        settled = self.air + heat / time / self.cooling
        left = math.exp(-self.cooling * time / self.capacity)
        self.temperature = settled + (self.temperature - settled) * left


def run_motion(
    unit: Unit, setting: Setting | None, motion: Motion, around: Surroundings, progress: Progress | None
) -> DynoRun:
    """Run a motion, one cycle at a time, renewing the tables as the oil warms (see `sine_test`)."""
    from forkwright.bench import dyno_kernel

    setting = unit.setting if setting is None else setting
    damper = damper_of(unit)
    check_setting(unit, setting)
    check_oil_temperature(around.oil_temperature)
    geometry, assumed = geometry_of(damper, float(unit.travel.si))
    rig = _Rig(damper, geometry, oil_parts(damper), reservoir_parts(damper, around.pressure))
    heat, state = _Heat(damper, geometry, around), rig.at_rest(motion.start)
    displaced, steps = float(state[3]), motion.travel.size
    result, warm = np.empty((steps, 4)), np.empty(steps)
    model, tables, made_at = _built(rig, setting, heat.temperature, displaced, around, motion.step)
    for first in range(0, steps, motion.per_cycle):
        if abs(heat.temperature - made_at) > _RENEW:
            model, tables, made_at = _built(rig, setting, heat.temperature, displaced, around, motion.step)
        block = slice(first, min(first + motion.per_cycle, steps))
        given = (motion.travel[block], motion.step, geometry, rig.oil, rig.law, SPACING)
        dyno_kernel.run(state, *given, *vars(tables).values(), result[block])  # type: ignore[call-arg]
        before, speed = heat.temperature, motion.speed[block]
        rubbed = model.circuit.seal_friction * float(np.abs(speed).sum()) * motion.step
        heat.take(float(result[block, 3].sum()) + rubbed, speed.size * motion.step)
        warm[block] = np.linspace(before, heat.temperature, speed.size)
        if progress is not None:
            progress(block.stop / steps)
    if not np.all(np.isfinite(result)) or state[10] > _WORST_RESIDUAL:
        raise Unphysical("the dynamometer's step loop finds no pressures for this damper")
    void = _largest_void(result, motion.travel, rig)
    warnings = (*model.warnings, *assumed, *_warnings(rig, state, void, float(warm.max())))
    return _as_run(unit, model, motion, result, warm, void, rig.oil.parting, warnings)


def _built(
    rig: _Rig, setting: Setting, temperature: float, displaced: float, around: Surroundings, step: float
) -> tuple[DamperModel, DynoTables, float]:
    model = model_of(rig.damper, setting, temperature, displaced, ambient_pressure=around.pressure)
    return model, tables_of(rig.damper, model, step), temperature


def _as_run(
    unit: Unit,
    model: DamperModel,
    motion: Motion,
    result: Array,
    warm: Array,
    void: float,
    parting: float,
    warnings: tuple[str, ...],
) -> DynoRun:
    circuit, per_cycle = model.circuit, motion.per_cycle
    force = circuit.force(result[:, 0], result[:, 1]) + circuit.seal_friction * np.sign(motion.speed)
    shape = (motion.travel.size // per_cycle, per_cycle)
    by_cycle = force.reshape(shape)
    work = (by_cycle * motion.speed.reshape(shape)).sum(axis=1) * motion.step
    area, widest = loop_of(motion.speed[-per_cycle:], force[-per_cycle:])
    return DynoRun(
        time=np.linspace(motion.step, motion.travel.size * motion.step, motion.travel.size),
        travel=motion.travel,
        speed=motion.speed,
        force=force,
        compression_chamber=result[:, 0],
        shaft_chamber=result[:, 1],
        reservoir=result[:, 2],
        cavitation_margin=np.minimum(result[:, 0], result[:, 1]) - parting,
        oil_temperature=warm,
        cycle_energy=work,
        cycle_temperature=warm.reshape(shape).mean(axis=1),
        cycle_peaks=np.column_stack((by_cycle.max(axis=1), by_cycle.min(axis=1))),
        hysteresis=area,
        widest=widest,
        fade=float(1.0 - work[-1] / work[1]) if work.size >= 3 and work[1] > 0.0 else 0.0,
        void=void,
        steps_per_cycle=per_cycle,
        fingerprint=unit.fingerprint,
        warnings=warnings,
    )


def _warnings(rig: _Rig, state: Array, void: float, hottest: float) -> list[str]:
    found = []
    if rig.damper.heat is None:
        found.append("damper.heat is not given: the oil alone is heated and nothing cools it")
    if void > 0.0:
        found.append(f"the damper cavitates: up to {void * 1e6:.3g} ml of a chamber is left empty")
    if state[11] >= rig.law.capacity * (1.0 - 1e-9):
        found.append("the reservoir bottoms during the run: from there on the oil is shut in")
    if hottest > 393.15:
        found.append(f"the oil reaches {hottest - ZERO_CELSIUS:.0f} °C: seals and oil rarely stand that")
    return [*found, *oil_state(rig.damper.oil, hottest)[1]]


def _largest_void(result: Array, travel: Array, rig: _Rig) -> float:
    """Room that the oil leaves empty below its parting pressure (m3)."""
    room = rig.geometry
    rooms = (room.compression_room - room.tube * travel, room.shaft_room + room.annulus * travel)
    largest = 0.0
    for pressure, chamber in zip((result[:, 0], result[:, 1]), rooms, strict=True):
        share = np.maximum(rig.oil.parting - pressure, 0.0) * SOFT
        largest = max(largest, float(np.max(chamber * share / (1.0 + share))))
    return largest
