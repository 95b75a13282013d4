"""What every valve does at one shaft speed: flow by path, pressure across the shims, and their opening."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.damper_model import across_stacks
from forkwright.bench.damper_setup import built_model, checked_position
from forkwright.bench.damping import WORKSHOP_OIL
from forkwright.bench.stack_maps import StackUse
from forkwright.hardware import Setting, Unit
from forkwright.physics import P0
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.damper_valve import ValveState


@dataclass(frozen=True)
class FlowAt:
    """One valve at one speed.

    Parameters
    ----------
    bleed, leak, main : float
        Flow (m3/s) through bleeds, gaps, and the port with its shims or check.
    drop : float
        Pressure drop over the whole valve (Pa).
    """

    bleed: float
    leak: float
    main: float
    drop: float


@dataclass(frozen=True)
class ValvesAt:
    """The damper at one speed (m/s, positive in compression).

    Parameters
    ----------
    base, piston : FlowAt
        The valve between compression chamber and reservoir, and the one in the piston.
    stacks : dict of str to StackUse
        The shim stacks as built in, by table name.
    across : dict of str to float
        Pressure across each stack's shims (Pa); 0 for a stack that this direction does not push open.
    force : float
        N, positive when it pushes the unit towards extension.
    by_path : dict of str to float
        Force by path (N), adding up to `force`: see `physics.damper_circuit.CircuitState`.
    chambers : dict of str to float
        Absolute pressures (Pa) of "compression", "shaft_side" and "reservoir".
    """

    speed: float
    base: FlowAt
    piston: FlowAt
    stacks: dict[str, StackUse]
    across: dict[str, float]
    force: float
    by_path: dict[str, float]
    chambers: dict[str, float]


def valves_at(
    unit: Unit,
    speed: float,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    *,
    position: float | None = None,
    ambient_pressure: float = P0,
    stiffening: bool = False,
) -> ValvesAt:
    """Return flows and openings of a unit's valves at one steady speed.

    Parameters
    ----------
    unit : Unit
    speed : float
        m/s, positive in compression.
    setting : Setting, optional
        The unit's own when None.
    oil_temperature : float
        K.
    position : float, optional
        Compression (m) at which the reservoir stands; the middle of the travel when None.
    ambient_pressure : float
        Outside (Pa absolute).
    stiffening : bool
        Let the shims stretch as well as bend.

    Returns
    -------
    ValvesAt

    Raises
    ------
    InputError
        If the unit has no damper, the setting does not suit it, or the position lies outside the travel.
    Unphysical
        If a valve has no path for the oil, or a stack cannot exist.
    """
    setting = unit.setting if setting is None else setting
    place = checked_position(unit, position)
    model = built_model(unit, setting, oil_temperature, place, ambient_pressure, stiffening)
    state = steady_state(model.circuit, np.array([speed]))
    way = 0 if speed >= 0.0 else 1
    drops = across_stacks(state)
    return ValvesAt(
        speed=speed,
        base=_flow(state.base[way]),
        piston=_flow(state.piston[way]),
        stacks=model.stacks,
        across={table: float(drops[table][0]) for table in model.stacks},
        force=float(state.force[0]),
        by_path={name: float(force[0]) for name, force in state.by_path.items()},
        chambers={
            "compression": float(state.compression_chamber[0]),
            "shaft_side": float(state.shaft_chamber[0]),
            "reservoir": float(state.reservoir[0]),
        },
    )


def _flow(valve: ValveState) -> FlowAt:
    return FlowAt(
        float(valve.bleed_flow[0]),
        float(valve.leak_flow[0]),
        float(valve.main_flow[0]),
        float(valve.drop[0]),
    )
