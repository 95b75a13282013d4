"""One valve on the bench, everything else of the damper fixed: what a stack of shims does to the force."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from forkwright.bench.damper_model import DamperModel, adjuster_parts, model_of
from forkwright.bench.damper_setup import check_oil_temperature
from forkwright.bench.stack_maps import COARSE, StackUse, lift_map, peak_stress
from forkwright.hardware import Setting, Unit, check_setting
from forkwright.hardware.discs import Disc
from forkwright.hardware.shim_parts import as_stack
from forkwright.hardware.valves import Valve
from forkwright.physics import Unphysical
from forkwright.physics.curtain import Curtain
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.damper_valve import Valve as Way
from forkwright.physics.values import Array
from forkwright.units import InputError

VALVES = ("base_valve", "rebound_valve", "mid_valve")
MOST_TARGETS = 5


@dataclass(frozen=True)
class Target:
    """A force wanted at a speed: m/s and N, both with the sign of the curve (rebound negative)."""

    speed: float
    force: float


@dataclass(frozen=True)
class Proposal:
    """One stack and how near it comes.

    Parameters
    ----------
    discs : tuple of Disc
        From the valve face to the clamp.
    force : ndarray
        At the targets' speeds (N).
    difference : ndarray
        `force` less the target (N).
    error : float
        Root mean square of the differences as shares of the targets.
    stress : float
        Largest stress at the fastest target (Pa).
    yield_stress : float
        What it is judged by (Pa).
    """

    discs: tuple[Disc, ...]
    force: Array
    difference: Array
    error: float
    stress: float
    yield_stress: float


class ValveBench:
    """The damper with everything fixed but the shims of one valve."""

    def __init__(
        self, unit: Unit, valve: str, targets: tuple[Target, ...], setting: Setting, oil_temperature: float
    ) -> None:
        if unit.damper is None:
            raise InputError("the unit has no damper: give [damper]", key="damper")
        if valve not in VALVES:
            raise InputError("no such valve", key="valve", value=valve, allowed=", ".join(VALVES))
        check_setting(unit, setting)
        check_oil_temperature(oil_temperature)
        self.table: Valve = getattr(unit.damper, valve)
        if not self.table.shims:
            raise InputError("this valve has no shim stack", key=f"damper.{valve}")
        _check_targets(valve, targets)
        self.wanted = np.array([target.force for target in targets])
        speed = np.array([target.speed for target in targets])
        displaced = np.pi / 8 * unit.damper.shaft.si**2 * unit.travel.si
        self.model: DamperModel = model_of(unit.damper, setting, oil_temperature, displaced)
        self.adjuster = adjuster_parts(self.table.high_speed, self.model.clicks.get("high_speed"))
        circuit = self.model.circuit
        state = steady_state(circuit, speed)
        side = 1 if valve == "rebound_valve" else 0
        self.way: Way = {
            "base_valve": circuit.base_compression,
            "rebound_valve": circuit.piston_rebound,
            "mid_valve": circuit.piston_compression,
        }[valve]
        self.area = circuit.shaft_area if valve == "base_valve" else circuit.annulus_area
        here = (state.base if valve == "base_valve" else state.piston)[side]
        self.sign = -1.0 if side else 1.0
        self.flow = self.area * np.abs(speed)
        self.others = state.force - self.sign * self.area * here.drop
        self.fastest = int(np.argmax(np.abs(speed)))

    def use(self, discs: tuple[Disc, ...], fineness: int | None = None) -> StackUse:
        """Return the stack as built into this valve."""
        table = self.table.model_copy(update={"shims": discs})
        return StackUse(*as_stack(table), *self.adjuster, fineness=fineness)

    def error(self, discs: tuple[Disc, ...]) -> float:
        """Root mean square of the relative differences; infinite for a stack that cannot be built in."""
        try:
            force = self._force(self.use(discs, COARSE))[0]
        except Unphysical:
            return float("inf")
        return self._error_of(force)

    def proposal(self, discs: tuple[Disc, ...]) -> Proposal:
        """Tell everything about one stack."""
        use = self.use(discs)
        force, across = self._force(use)
        return Proposal(
            discs,
            force,
            force - self.wanted,
            self._error_of(force),
            peak_stress(use, float(across[self.fastest])),
            use.stack.assumed_yield,
        )

    def _error_of(self, force: Array) -> float:
        return float(np.sqrt(np.mean(((force - self.wanted) / self.wanted) ** 2)))

    def _force(self, use: StackUse) -> tuple[Array, Array]:
        """Force at the targets' speeds (N) and the pressure across the shims (Pa)."""
        assert self.way.curtain is not None
        curtain = Curtain(self.way.curtain.unit_slit, lift_map(use))
        state = replace(self.way, curtain=curtain).state(self.flow)
        return self.others + self.sign * self.area * state.drop, state.curtain_drop


def _check_targets(valve: str, targets: tuple[Target, ...]) -> None:
    if not 1 <= len(targets) <= MOST_TARGETS:
        raise InputError(
            "number of targets", key="target", value=str(len(targets)), allowed=f"1 to {MOST_TARGETS}"
        )
    sign, way = (-1.0, "rebound (negative)") if valve == "rebound_valve" else (1.0, "compression (positive)")
    for target in targets:
        if not (0.0 < target.speed * sign <= 20.0 and target.force * sign > 0.0):
            raise InputError(
                f"speed and force of a target for this valve must both be in {way}",
                key="target",
                value=f"{target.speed:g} m/s: {target.force:g} N",
            )
