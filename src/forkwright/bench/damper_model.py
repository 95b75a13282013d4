"""From the damper as measured to the circuit that the physics solves, at one setting and oil temperature.

`model_of` puts it together; oil, reservoir and each way through a valve have files of their own.
"""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.bench.damper_oil import oil_state
from forkwright.bench.damper_reservoir import reservoir_friction, reservoir_law
from forkwright.bench.damper_ways import back_bleeds, bleeds_of, checked_way, forward_way, leak_of, piston_way
from forkwright.bench.given import circle, si_or
from forkwright.bench.stack_maps import StackUse
from forkwright.hardware.damper import Damper
from forkwright.hardware.setting import Setting
from forkwright.hardware.shim_parts import as_stack
from forkwright.hardware.valves import HighSpeed, Valve
from forkwright.physics import P0
from forkwright.physics.damper_circuit import Circuit, CircuitState
from forkwright.physics.shim_stack import BackingSpring, Fulcrum
from forkwright.physics.values import Array

STACKED = ("base_valve", "rebound_valve", "mid_valve")
"""Tables of the file that may hold a shim stack."""


@dataclass(frozen=True)
class DamperModel:
    """A damper at one setting and oil temperature, ready to be pushed.

    Parameters
    ----------
    circuit : Circuit
    stacks : dict of str to StackUse
        The shim stacks as built in, by table name.
    clicks : dict of str to int
        The clicks taken, from fully closed.
    warnings : tuple of str
    """

    circuit: Circuit
    stacks: dict[str, StackUse]
    clicks: dict[str, int]
    warnings: tuple[str, ...]


def model_of(
    damper: Damper,
    setting: Setting,
    oil_temperature: float,
    displaced: float = 0.0,
    *,
    ambient_pressure: float = P0,
    stiffening: bool = False,
    fineness: int | None = None,
) -> DamperModel:
    """Build the circuit of a damper.

    Parameters
    ----------
    damper : Damper
    setting : Setting
        Its clicks are used; an adjuster that is not set is taken in the middle, and that is said.
    oil_temperature : float
        K.
    displaced : float
        Shaft volume in the tube (m3): where in the travel the reservoir stands.
    ambient_pressure : float
        Outside (Pa absolute).
    stiffening : bool
        Let the shims stretch as well as bend.
    fineness : int, optional
        Of the shim solver; None is right for one answer (see `stack_maps.COARSE`).

    Returns
    -------
    DamperModel

    Raises
    ------
    Unphysical
        If the reservoir bottoms or a stack cannot exist.
    """
    clicks, warnings = clicks_of(damper, setting)
    oil, oil_warnings = oil_state(damper.oil, oil_temperature)
    base, rebound, mid = damper.base_valve, damper.rebound_valve, damper.mid_valve
    stacks = _stacks(damper, clicks, stiffening, fineness)
    base_bleeds = bleeds_of(base, clicks.get("low_speed"), oil)
    rebound_bleeds = bleeds_of(rebound, clicks.get("rebound"), oil)
    mid_bleeds = bleeds_of(mid, None, oil)
    in_compression = (*mid_bleeds, *back_bleeds(rebound, rebound_bleeds))
    in_rebound = (*rebound_bleeds, *back_bleeds(mid, mid_bleeds))
    base_leak = leak_of(base.leak, oil)
    piston_leak = leak_of(rebound.leak, oil) + leak_of(mid.leak, oil)
    base_stack, rebound_stack, mid_stack = (stacks.get(name) for name in STACKED)
    circuit = Circuit(
        tube_area=circle(damper.tube),
        shaft_area=circle(damper.shaft),
        base_compression=forward_way("base valve", base, base_bleeds, base_leak, oil, base_stack),
        base_return=checked_way(
            "base valve's return", base.check, back_bleeds(base, base_bleeds), base_leak, oil
        ),
        piston_compression=piston_way(mid, in_compression, piston_leak, oil, mid_stack),
        piston_rebound=forward_way("rebound valve", rebound, in_rebound, piston_leak, oil, rebound_stack),
        reservoir_pressure=reservoir_law(damper.reservoir, ambient_pressure).pressure(displaced),
        reservoir_friction=reservoir_friction(damper.reservoir),
        seal_friction=si_or(damper.seal_friction, 0.0),
        ambient_pressure=ambient_pressure,
        parting_pressure=P0 + damper.oil.parting_pressure.si,
    )
    return DamperModel(circuit, stacks, clicks, (*warnings, *oil_warnings))


def clicks_of(damper: Damper, setting: Setting) -> tuple[dict[str, int], tuple[str, ...]]:
    """Return the clicks of every adjuster that exists, from fully closed, and what was assumed."""
    clicks, warnings = {}, []
    for name, most in damper.click_ranges().items():
        given = getattr(setting, name)
        clicks[name] = most // 2 if given is None else given
        if given is None:
            warnings.append(f"{name} clicks are not set: taken {most // 2} from fully closed, of {most}")
    return clicks, tuple(warnings)


def across_stacks(state: CircuitState) -> dict[str, Array]:
    """Return the pressure across each table's shims over the speeds, Pa; 0 where they are not pushed open."""
    return {
        "base_valve": state.base[0].curtain_drop,
        "rebound_valve": state.piston[1].curtain_drop,
        "mid_valve": state.piston[0].curtain_drop,
    }


def _stacks(
    damper: Damper, clicks: dict[str, int], stiffening: bool, fineness: int | None
) -> dict[str, StackUse]:
    found = {}
    for name in STACKED:
        valve: Valve = getattr(damper, name)
        if valve.shims:
            fulcrum, spring = adjuster_parts(valve.high_speed, clicks.get("high_speed"))
            found[name] = StackUse(*as_stack(valve), fulcrum, spring, stiffening, fineness)
    return found


def adjuster_parts(
    adjuster: HighSpeed | None, clicks: int | None
) -> tuple[Fulcrum | None, BackingSpring | None]:
    """Where the high-speed adjuster puts its ring, or how far it compresses its spring.

    Parameters
    ----------
    adjuster : HighSpeed or None
        The file's high-speed adjuster.
    clicks : int or None
        From fully closed.

    Returns
    -------
    fulcrum, backing spring
        At most one of them is not None.

    Notes
    -----
    Evenly spaced clicks; common practice, no source.
    """
    if adjuster is None or clicks is None:
        return None, None
    share = clicks / adjuster.clicks
    place = adjuster.closed.si + share * (adjuster.open.si - adjuster.closed.si)
    if adjuster.kind == "fulcrum":
        return Fulcrum(0.5 * place, si_or(adjuster.clearance, 0.0)), None
    rate = si_or(adjuster.rate, 0.0)
    return None, BackingSpring(0.5 * si_or(adjuster.diameter, 0.0), rate, rate * place)
