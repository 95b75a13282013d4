"""Revalve: which stacks from the drawer come nearest to the forces that are wanted.

`revalve` answers, and says exactly what it looked at: every stack that can be built if they are few enough,
else a stated number of them, found by trying and improving.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
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
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.damper_valve import Curtain
from forkwright.physics.damper_valve import Valve as Way
from forkwright.physics.values import Array
from forkwright.units import InputError

VALVES = ("base_valve", "rebound_valve", "mid_valve")
MOST_TARGETS = 5

Counts = tuple[int, ...]
"""How many of each size in the drawer a stack uses."""


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
    pile = _Pile(drawer, bench.table, most_discs)
    possible = pile.possible()
    if possible == 0:
        raise InputError("no shim in the drawer covers the seat and the port of this valve", key="drawer")
    exhaustive = possible <= budget
    errors: dict[Counts, float] = {}
    order = pile.every() if exhaustive else _improving(pile, errors, budget, random.Random(seed))
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


class _Pile:
    """The drawer sorted for one valve: which stacks can be built from it."""

    def __init__(self, drawer: Drawer, table: Valve, most_discs: int) -> None:
        assert table.clamp is not None
        assert table.seat is not None
        assert table.load is not None
        self.clamp = table.clamp.si
        self.cover = max(table.seat.si, table.load.outer.si)
        usable = [disc for disc in drawer.shims if disc.outer_diameter.si > self.clamp * (1 + 1e-9)]
        self.sizes = sorted(usable, key=lambda disc: (-disc.outer_diameter.si, -disc.thickness.si))
        self.covering = sum(disc.outer_diameter.si >= self.cover * (1 - 1e-9) for disc in self.sizes)
        self.most, self.room = most_discs, float("inf") if table.room is None else table.room.si
        self.rules = (
            "diameters never grow from the valve face to the clamp",
            f"the first shim covers seat and port ({self.cover * 1e3:g} mm or more), every shim is larger "
            f"than the clamp ({self.clamp * 1e3:g} mm)",
            f"at most {most_discs} shims"
            + ("" if table.room is None else f" and {self.room * 1e3:g} mm in all"),
        )

    def possible(self) -> int:
        """Count the stacks that can be built, without building them (room is not counted out)."""
        with_cover = _ways([disc.count for disc in self.sizes], self.most)
        without = _ways([disc.count for disc in self.sizes[self.covering :]], self.most)
        return with_cover - without

    def every(self) -> Iterator[Counts]:
        """Yield every stack once."""

        def grow(place: int, left: int, chosen: list[int]) -> Iterator[Counts]:
            if place == len(self.sizes):
                if any(chosen[: self.covering]):
                    yield tuple(chosen)
                return
            for number in range(min(self.sizes[place].count, left) + 1):
                yield from grow(place + 1, left - number, [*chosen, number])

        yield from grow(0, self.most, [])

    def discs(self, counts: Counts) -> tuple[Disc, ...]:
        """Return a stack as the file would hold it."""
        return tuple(
            disc.model_copy(update={"count": number})
            for disc, number in zip(self.sizes, counts, strict=True)
            if number
        )

    def allowed(self, counts: Counts) -> bool:
        """Tell whether a choice is one of the possible stacks."""
        return (
            any(counts[: self.covering])
            and sum(counts) <= self.most
            and all(0 <= n <= disc.count for n, disc in zip(counts, self.sizes, strict=True))
        )

    def chance(self, dice: random.Random) -> Counts:
        """Return some possible stack."""
        while True:
            counts = [0] * len(self.sizes)
            for _ in range(dice.randint(1, self.most)):
                place = dice.randrange(len(self.sizes))
                counts[place] += counts[place] < self.sizes[place].count
            counts[dice.randrange(self.covering)] |= not any(counts[: self.covering])
            if self.allowed(tuple(counts)):
                return tuple(counts)


def _improving(
    pile: _Pile, errors: dict[Counts, float], budget: int, dice: random.Random
) -> Iterator[Counts]:
    """Yield stacks to try: some at random, then the neighbours of the best known, over and over."""
    for _ in range(budget // 4):
        counts = pile.chance(dice)
        if counts not in errors:
            yield counts
    opened: set[Counts] = set()
    while len(errors) < budget:
        closed = [counts for counts in errors if counts not in opened]
        best = min(closed, key=errors.__getitem__) if closed else pile.chance(dice)
        opened.add(best)
        if best not in errors:
            yield best
        for counts in _neighbours(pile, best):
            if counts not in errors and len(errors) < budget:
                yield counts


def _neighbours(pile: _Pile, counts: Counts) -> Iterator[Counts]:
    """Yield the stacks that are one shim more, one less, or one exchanged."""
    size = len(counts)
    for add in range(-1, size):
        for drop in range(-1, size):
            if add == drop:
                continue
            new = list(counts)
            if add >= 0:
                new[add] += 1
            if drop >= 0:
                new[drop] -= 1
            if pile.allowed(tuple(new)):
                yield tuple(new)


def _best(
    bench: _Bench, pile: _Pile, errors: dict[Counts, float], keep: int
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


def _ways(counts: list[int], most: int) -> int:
    """Number of ways to take up to `most` things from kinds with these counts."""
    ways = [1] + [0] * most
    for count in counts:
        ways = [sum(ways[max(0, n - count) : n + 1]) for n in range(most + 1)]
    return sum(ways)


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
