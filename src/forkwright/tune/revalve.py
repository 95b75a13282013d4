"""Revalve: which stacks from the drawer come nearest to the forces that are wanted.

`revalve` answers, and says exactly what it looked at: every stack that can be built if they are few enough,
else a stated number of them, found by trying and improving.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from forkwright.bench.damper_model import DamperModel, adjuster_parts, model_of
from forkwright.bench.stack_maps import COARSE, StackUse, lift_map, peak_stress
from forkwright.hardware import Setting, Unit, check_setting
from forkwright.hardware.discs import Disc
from forkwright.hardware.drawer import Drawer
from forkwright.hardware.shim_parts import as_stack
from forkwright.hardware.valves import Valve
from forkwright.physics import Unphysical
from forkwright.physics.curtain import Curtain
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.damper_valve import Valve as Way
from forkwright.physics.values import Array
from forkwright.tune.stack_pile import Counts, Pile, improving
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


@dataclass(frozen=True)
class RevalveAnswer:
    """What the search found and what it looked at.

    Parameters
    ----------
    proposals : tuple of Proposal
        The nearest first, none past its yield stress.
    present : Proposal
        The stack that is in the valve now.
    searched, possible : int
        Stacks solved, and stacks that the drawer allows under the rules below.
    exhaustive : bool
        True when every possible stack was solved.
    overstressed : int
        Nearer stacks left out because a shim would yield.
    rules : tuple of str
        What counts as a possible stack.
    warnings : tuple of str
    """

    proposals: tuple[Proposal, ...]
    present: Proposal
    searched: int
    possible: int
    exhaustive: bool
    overstressed: int
    rules: tuple[str, ...]
    warnings: tuple[str, ...]


def revalve(
    unit: Unit,
    valve: str,
    targets: tuple[Target, ...],
    drawer: Drawer,
    setting: Setting | None = None,
    *,
    oil_temperature: float = 293.15,
    most_discs: int = 10,
    budget: int = 2000,
    keep: int = 5,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> RevalveAnswer:
    """Find the stacks for one valve that come nearest to the target forces.

    Parameters
    ----------
    unit : Unit
    valve : {"base_valve", "rebound_valve", "mid_valve"}
    targets : tuple of Target
        One to five, all in the valve's own direction.
    drawer : Drawer
    setting : Setting, optional
        Clicks at which the targets are meant; the unit's own when None.
    oil_temperature : float
        K.
    most_discs : int
        Most shims in a stack.
    budget : int
        Most stacks solved.
    keep : int
        Proposals wanted.
    seed : int
        Of the search, where it cannot look at every stack.
    progress : callable, optional
        Told the share done; it may raise to cancel.

    Returns
    -------
    RevalveAnswer

    Raises
    ------
    InputError
        For wrong targets, a valve without a stack, or a drawer from which no stack can be built.
    """
    setting = unit.setting if setting is None else setting
    bench = _Bench(unit, valve, targets, setting, oil_temperature)
    pile = Pile(drawer, bench.table, most_discs)
    possible = pile.possible()
    if possible == 0:
        raise InputError("no shim in the drawer covers the seat and the port of this valve", key="drawer")
    exhaustive = possible <= budget
    errors: dict[Counts, float] = {}
    order = pile.every() if exhaustive else improving(pile, errors, budget, random.Random(seed))
    for counts in order:
        errors[counts] = bench.error(pile.discs(counts))
        if progress is not None:
            progress(len(errors) / min(budget, possible))
    proposals, overstressed = _best(bench, pile, errors, keep)
    return RevalveAnswer(
        proposals,
        bench.proposal(bench.table.shims),
        len(errors),
        possible,
        exhaustive,
        overstressed,
        pile.rules,
        bench.model.warnings,
    )


class _Bench:
    """The damper with everything fixed but the shims of one valve."""

    def __init__(
        self, unit: Unit, valve: str, targets: tuple[Target, ...], setting: Setting, oil_temperature: float
    ) -> None:
        if unit.damper is None:
            raise InputError("the unit has no damper: give [damper]", key="damper")
        if valve not in VALVES:
            raise InputError("no such valve", key="valve", value=valve, allowed=", ".join(VALVES))
        check_setting(unit, setting)
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
        return float(np.sqrt(np.mean(((force - self.wanted) / self.wanted) ** 2)))

    def proposal(self, discs: tuple[Disc, ...]) -> Proposal:
        """Tell everything about one stack."""
        use = self.use(discs)
        force, across = self._force(use)
        return Proposal(
            discs,
            force,
            force - self.wanted,
            float(np.sqrt(np.mean(((force - self.wanted) / self.wanted) ** 2))),
            peak_stress(use, float(across[self.fastest])),
            use.stack.assumed_yield,
        )

    def _force(self, use: StackUse) -> tuple[Array, Array]:
        """Force at the targets' speeds (N) and the pressure across the shims (Pa)."""
        assert self.way.curtain is not None
        curtain = Curtain(self.way.curtain.unit_slit, lift_map(use))
        state = replace(self.way, curtain=curtain).state(self.flow)
        return self.others + self.sign * self.area * state.drop, state.curtain_drop


def _best(
    bench: _Bench, pile: Pile, errors: dict[Counts, float], keep: int
) -> tuple[tuple[Proposal, ...], int]:
    found: list[Proposal] = []
    overstressed = 0
    for counts in sorted(errors, key=errors.__getitem__):
        if len(found) == keep or not np.isfinite(errors[counts]):
            break
        proposal = bench.proposal(pile.discs(counts))
        if proposal.stress > proposal.yield_stress:
            overstressed += 1
        else:
            found.append(proposal)
    return tuple(found), overstressed


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
