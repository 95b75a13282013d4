"""Revalve: which stacks from the drawer come nearest to the forces that are wanted.

`revalve` answers, and says exactly what it looked at: every stack that can be built if they are few enough,
else a stated number of them, found by trying and improving.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.hardware import Setting, Unit
from forkwright.hardware.drawer import Drawer
from forkwright.tune.stack_pile import Counts, Pile, improving
from forkwright.tune.valve_bench import Proposal, Target, ValveBench
from forkwright.units import InputError


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
    bench = ValveBench(unit, valve, targets, setting, oil_temperature)
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


def _best(
    bench: ValveBench, pile: Pile, errors: dict[Counts, float], keep: int
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
