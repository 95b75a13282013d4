"""The damper as a circuit: two chambers, a reservoir, and the valves that the oil must pass.

Compression (positive speed) pushes the shaft in: its volume passes the base valve, the rest of the tube
passes the piston's compression side. Rebound draws it out: the annulus passes the rebound valve and the
shaft's volume comes back through the base valve's return side. SI throughout, pressures absolute.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.damper_valve import Valve, ValveState
from forkwright.physics.values import Array

PATHS = ("bleed", "leak", "port", "shims")


@dataclass(frozen=True)
class Circuit:
    """A damper, ready to be pushed.

    Parameters
    ----------
    tube_area, shaft_area : float
        Cross sections (m2); the annulus between them is the shaft side.
    base_compression, base_return : Valve
        Between compression chamber and reservoir, out and back.
    piston_compression, piston_rebound : Valve
        Between compression chamber and shaft side, in compression and in rebound.
    reservoir_pressure : float
        Behind the base valve at rest (Pa absolute).
    reservoir_friction : float
        Of the reservoir's piston, as a pressure (Pa): more when it is pushed, less when it returns.
    seal_friction : float
        On the shaft (N), against the movement.
    ambient_pressure : float
        Outside (Pa absolute).
    parting_pressure : float
        Below it the oil no longer holds together (Pa absolute).
    """

    tube_area: float
    shaft_area: float
    base_compression: Valve
    base_return: Valve
    piston_compression: Valve
    piston_rebound: Valve
    reservoir_pressure: float
    reservoir_friction: float
    seal_friction: float
    ambient_pressure: float
    parting_pressure: float

    @property
    def annulus_area(self) -> float:
        """Cross section of the shaft side (m2)."""
        return self.tube_area - self.shaft_area

    def force(self, compression_chamber: Array, shaft_chamber: Array) -> Array:
        """Force of the oil on the shaft (N), positive towards extension, from chamber pressures (Pa)."""
        return (compression_chamber - self.ambient_pressure) * self.tube_area - (
            shaft_chamber - self.ambient_pressure
        ) * self.annulus_area


@dataclass(frozen=True)
class CircuitState:
    """The circuit at steady speeds; every array has the shape of `speed`.

    Parameters
    ----------
    speed : ndarray
        Positive in compression (m/s).
    force : ndarray
        On the shaft, towards extension, friction included (N).
    compression_chamber, shaft_chamber, reservoir : ndarray
        Absolute pressures (Pa).
    by_path : dict of str to ndarray
        Share of the force by path (N, signed like the force): ``"base bleed"``, ``"base port"``,
        ``"base shims"``, ``"base leak"``, the same for ``"piston ..."``, then ``"gas"`` and
        ``"friction"``. They add up to `force`: each is the power lost there (or stored) over the speed.
    base, piston : tuple of ValveState
        The valves in compression (first) and rebound, at the flows of the speeds of that sign.
    """

    speed: Array
    force: Array
    compression_chamber: Array
    shaft_chamber: Array
    reservoir: Array
    by_path: dict[str, Array]
    base: tuple[ValveState, ValveState]
    piston: tuple[ValveState, ValveState]


def steady_state(circuit: Circuit, speed: Array) -> CircuitState:
    """Pressures and force of a damper moving at steady speeds with oil that does not give.

    Parameters
    ----------
    circuit : Circuit
    speed : ndarray, shape (n,)
        Positive in compression (m/s), any order.

    Returns
    -------
    CircuitState
        Pressures below the circuit's parting pressure are reported as they come out, as if the oil could
        be pulled; the caller says so.

    Raises
    ------
    Unphysical
        If a valve that must pass oil has no open path.

    Notes
    -----
    Derived from continuity at the two pistons: compression ``p_C = p_res + dp_base(a v)``,
    ``p_R = p_C - dp_piston((A - a) v)``; rebound ``p_C = p_res - dp_return(a |v|)``,
    ``p_R = p_C + dp_rebound((A - a) |v|)``; force ``(p_C - p_amb) A - (p_R - p_amb)(A - a)``.
    """
    speed = np.asarray(speed, float)
    pushing, pulling = np.maximum(speed, 0.0), np.maximum(-speed, 0.0)
    shaft, annulus = circuit.shaft_area, circuit.annulus_area
    into, drawn = speed > 0.0, speed < 0.0
    base = (
        _solved(circuit.base_compression, shaft * pushing, into),
        _solved(circuit.base_return, shaft * pulling, drawn),
    )
    piston = (
        _solved(circuit.piston_compression, annulus * pushing, into),
        _solved(circuit.piston_rebound, annulus * pulling, drawn),
    )
    direction = np.sign(speed)
    reservoir = circuit.reservoir_pressure + circuit.reservoir_friction * direction
    compression_chamber = reservoir + base[0].drop - base[1].drop
    shaft_chamber = compression_chamber - piston[0].drop + piston[1].drop
    friction = circuit.seal_friction * direction
    oil = circuit.force(compression_chamber, shaft_chamber)
    gas = (reservoir - circuit.ambient_pressure) * shaft
    by_path = _shares("base", base, shaft) | _shares("piston", piston, annulus)
    by_path |= {"gas": gas, "friction": friction}
    return CircuitState(
        speed, oil + friction, compression_chamber, shaft_chamber, reservoir, by_path, base, piston
    )


def lowest_chamber(state: CircuitState) -> Array:
    """Lowest pressure anywhere in the circuit (Pa absolute).

    Parameters
    ----------
    state : CircuitState

    Returns
    -------
    array
        Pa absolute, of the shape of the state.

    Notes
    -----
    Source: the smallest of the three, by definition.
    """
    return np.minimum(np.minimum(state.compression_chamber, state.shaft_chamber), state.reservoir)


def _solved(valve: Valve, flow: Array, moving: NDArray[np.bool_]) -> ValveState:
    """Solve only where oil moves; everywhere else the valve is at rest."""
    full = [np.zeros_like(flow) for _ in range(6)]
    if moving.any():
        found = valve.state(flow[moving])
        for whole, part in zip(full, vars(found).values(), strict=True):
            whole[moving] = part
    return ValveState(*full)


def _shares(place: str, states: tuple[ValveState, ValveState], area: float) -> dict[str, Array]:
    """Force that each path of a valve stands for: power lost there over the speed, signed by direction."""
    shares = {f"{place} {path}": np.zeros_like(states[0].drop) for path in PATHS}
    for state, sign in zip(states, (1.0, -1.0), strict=True):
        total = state.bleed_flow + state.leak_flow + state.main_flow
        per_flow = sign * area / np.where(total > 1e-200, total, np.inf)
        shares[f"{place} bleed"] += per_flow * state.drop * state.bleed_flow
        shares[f"{place} leak"] += per_flow * state.drop * state.leak_flow
        shares[f"{place} port"] += per_flow * (state.drop - state.curtain_drop) * state.main_flow
        shares[f"{place} shims"] += per_flow * state.curtain_drop * state.main_flow
    return shares
