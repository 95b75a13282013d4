"""Where clicks do not reach: stacks from the drawer that bring B's valves nearer to A's damping."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from forkwright.bench.damping import WORKSHOP_OIL
from forkwright.hardware import Unit
from forkwright.hardware.discs import Disc
from forkwright.hardware.drawer import Drawer
from forkwright.physics.values import Array
from forkwright.tune.match import Match
from forkwright.tune.revalve import RevalveAnswer, revalve
from forkwright.tune.valve_bench import MOST_TARGETS, VALVES, Target
from forkwright.units import InputError

DIRECTIONS = {"base_valve": 1.0, "rebound_valve": -1.0}
"""Valves built anew, and the sign of the speeds at which they work."""


def revalve_for(
    b: Unit,
    found: Match,
    drawer: Drawer,
    *,
    oil_temperature: float = WORKSHOP_OIL,
    budget: int = 600,
    progress: Callable[[float], None] | None = None,
) -> dict[str, RevalveAnswer]:
    """Return proposals for B's valves at the matched clicks, wanted are A's forces at the speeds used most.

    Parameters
    ----------
    b : Unit
    found : Match
        Of b to the unit whose damping is wanted.
    drawer : Drawer
        Shims at hand.
    oil_temperature : float
        K, as in the match.
    budget : int
        Most stacks solved for each valve.
    progress : callable, optional
        Told the share done; may raise to stop.

    Returns
    -------
    dict
        Proposals by valve; a valve without a stack is left out.

    Raises
    ------
    InputError
        If either unit has no damper, or no valve of B has a stack to change.
    """
    if b.damper is None or found.clicks is None:
        raise InputError("a stack can only be proposed where both units have a damper", key="--drawer")
    stacked = [valve for valve in DIRECTIONS if getattr(b.damper, valve).shims]
    if not stacked:
        raise InputError("no valve of the unit has a shim stack", key="--drawer", value=b.name)
    answers = {}
    for number, valve in enumerate(stacked):
        move = None if progress is None else _part(progress, number, len(stacked))
        targets = _targets(found, DIRECTIONS[valve])
        answers[valve] = revalve(
            b, valve, targets, drawer, found.setting,
            oil_temperature=oil_temperature, budget=budget, progress=move,
        )  # fmt: skip
    return answers


def own_shims(unit: Unit) -> Drawer:
    """Return the shims that are in a unit's valves as a drawer: what can be stacked anew without buying any.

    Raises
    ------
    InputError
        If there are none.
    """
    found: dict[tuple[float, float], Disc] = {}
    for valve in VALVES:
        for disc in getattr(unit.damper, valve).shims if unit.damper is not None else ():
            key = (disc.outer_diameter.si, disc.thickness.si)
            count = disc.count + (found[key].count if key in found else 0)
            found[key] = disc.model_copy(update={"count": count})
    if not found:
        raise InputError("no valve of the unit has a shim stack", key="--revalve", value=unit.name)
    return Drawer(name=f"shims in {unit.name}", shims=tuple(found.values()))


def _targets(found: Match, direction: float) -> tuple[Target, ...]:
    """Up to five speeds of one direction: those that count most, slowest first."""
    clicks = found.clicks
    assert clicks is not None
    usable: NDArray[np.bool_] = (clicks.speed * direction > 0.0) & (clicks.wanted * direction > 0.0)
    weight: Array = np.where(usable, found.use.speed_weight, 0.0)
    chosen = [int(place) for place in np.argsort(-weight, kind="stable")[:MOST_TARGETS] if weight[place] > 0]
    if not chosen:
        raise InputError("the wanted damper does not damp at the speeds used", key="--drawer")
    chosen.sort(key=lambda place: abs(clicks.speed[place]))
    return tuple(Target(float(clicks.speed[place]), float(clicks.wanted[place])) for place in chosen)


def _part(progress: Callable[[float], None], number: int, count: int) -> Callable[[float], None]:
    return lambda share: progress((number + share) / count)
