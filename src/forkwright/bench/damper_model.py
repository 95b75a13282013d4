"""From the damper as measured to the circuit that the physics solves: oil, openings, stacks, clicks.

`circuit_of` answers; each function under it turns one table of the file into one part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from forkwright.bench.stack_maps import StackUse, lift_map
from forkwright.hardware.damper import Damper, Oil, Reservoir
from forkwright.hardware.setting import Setting
from forkwright.hardware.shim_parts import as_stack
from forkwright.hardware.valves import Check, HighSpeed, Leak, Needle, Ports, Valve
from forkwright.physics import P0
from forkwright.physics import oil as oils
from forkwright.physics.annular_gap import thin_annulus_conductance
from forkwright.physics.curtain import Curtain, sprung_plate
from forkwright.physics.damper_circuit import Circuit
from forkwright.physics.damper_valve import Valve as Way
from forkwright.physics.needle import needle_opening
from forkwright.physics.orifice import (
    ROUND_DISCHARGE,
    SLOT_DISCHARGE,
    Passage,
    round_holes,
    slit,
)
from forkwright.physics.reservoir import BladderReservoir, GasReservoir, SpringReservoir
from forkwright.physics.reservoir import Reservoir as ReservoirLaw
from forkwright.physics.shim_stack import BackingSpring, Fulcrum
from forkwright.physics.viscosity_index import viscosity_from_index
from forkwright.units import Measure


@dataclass(frozen=True)
class OilState:
    """The oil at one temperature: density (kg/m3) and dynamic viscosity (Pa s)."""

    density: float
    viscosity: float


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
    base_bleeds = _bleeds(base, clicks.get("low_speed"), oil)
    piston_bleeds = _bleeds(rebound, clicks.get("rebound"), oil)
    mid_bleeds = _bleeds(mid, None, oil)
    base_leak = _leak(base.leak, oil)
    piston_leak = _leak(rebound.leak, oil) + _leak(mid.leak, oil)
    circuit = Circuit(
        tube_area=_circle(damper.tube),
        shaft_area=_circle(damper.shaft),
        base_compression=_forward("base valve", base, base_bleeds, base_leak, oil, stacks.get("base_valve")),
        base_return=_checked("base valve's return", base.check, _back(base, base_bleeds), base_leak, oil),
        piston_compression=_piston_compression(
            mid, (*mid_bleeds, *_back(rebound, piston_bleeds)), piston_leak, oil, stacks.get("mid_valve")
        ),
        piston_rebound=_forward(
            "rebound valve",
            rebound,
            (*piston_bleeds, *_back(mid, mid_bleeds)),
            piston_leak,
            oil,
            stacks.get("rebound_valve"),
        ),
        reservoir_pressure=reservoir_law(damper.reservoir, ambient_pressure).pressure(displaced),
        reservoir_friction=reservoir_friction(damper.reservoir),
        seal_friction=_si(damper.seal_friction, 0.0),
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


def oil_state(oil: Oil, temperature: float) -> tuple[OilState, tuple[str, ...]]:
    """Density and dynamic viscosity at a temperature (K), and a warning outside the viscosity law's range."""
    law = oil_law(oil)
    kinematic = law.kinematic_viscosity(temperature)
    warnings: tuple[str, ...] = ()
    if kinematic < oils.LOWEST_WALTHER_VISCOSITY:
        warnings = (f"the oil is at {kinematic * 1e6:.2f} cSt: the viscosity law holds above 2 cSt",)
    return OilState(law.density(temperature), kinematic * law.density(temperature)), warnings


def oil_law(oil: Oil) -> oils.Oil:
    """Return the oil's law from two points or from its label.

    Parameters
    ----------
    oil : hardware Oil
        The file's oil.

    Returns
    -------
    physics Oil
    """
    if oil.points is not None:
        (t1, v1), (t2, v2) = ((p.temperature.si, p.viscosity.si) for p in oil.points)
    else:
        t1, v1, t2 = 313.15, _si(oil.viscosity_40, 0.0), 373.15
        v2 = viscosity_from_index(v1, _si(oil.viscosity_index, 0.0))
    a, b = oils.walther_constants(t1, v1, t2, v2)
    return oils.Oil(
        walther_a=float(a),
        walther_b=float(b),
        reference_density=oil.density.si,
        density_temperature=oil.density_temperature.si,
        expansion=oil.expansion.si,
        bulk_modulus=oil.bulk_modulus.si,
        free_air=oil.free_air.si,
        parting_pressure=P0 + oil.parting_pressure.si,
    )


def reservoir_law(reservoir: Reservoir, ambient_pressure: float, exponent: float = 1.0) -> ReservoirLaw:
    """Return the reservoir's pressure law; pressures in the file are gauge at 101325 Pa.

    Parameters
    ----------
    reservoir : Reservoir
        The file's reservoir.
    ambient_pressure : float
        Pa absolute.
    exponent : float
        Polytropic exponent of its gas.

    Returns
    -------
    ReservoirLaw

    Notes
    -----
    A gas reservoir is taken as full at 95 % of its volume: our own limit, so that its pressure stays finite.
    """
    area = _circle(reservoir.bore) if reservoir.bore is not None else 0.0
    if reservoir.kind == "spring":
        rate = _si(reservoir.rate, 0.0)
        capacity = area * _si(reservoir.stroke, 0.0)
        return SpringReservoir(area, rate * _si(reservoir.preload, 0.0), rate, capacity, ambient_pressure)
    volume = _si(reservoir.volume, 0.0)
    charge = P0 + _si(reservoir.pressure, 0.0)
    if reservoir.kind == "gas":
        capacity = area * _si(reservoir.stroke, 0.0) if area else 0.95 * volume
        return GasReservoir(charge, volume, exponent, min(capacity, 0.95 * volume))
    lifted = ambient_pressure - P0  # the bladder's outside is open
    return BladderReservoir(charge + lifted, P0 + _si(reservoir.full_pressure, 0.0) + lifted, volume)


def reservoir_friction(reservoir: Reservoir) -> float:
    """Friction of the reservoir's piston as a pressure (Pa)."""
    if reservoir.friction is None or reservoir.bore is None:
        return 0.0
    return reservoir.friction.si / _circle(reservoir.bore)


def _stacks(
    damper: Damper, clicks: dict[str, int], stiffening: bool, fineness: int | None
) -> dict[str, StackUse]:
    found = {}
    for name in ("base_valve", "rebound_valve", "mid_valve"):
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
        return Fulcrum(0.5 * place, _si(adjuster.clearance, 0.0)), None
    rate = _si(adjuster.rate, 0.0)
    return None, BackingSpring(0.5 * _si(adjuster.diameter, 0.0), rate, rate * place)


def _forward(
    name: str,
    valve: Valve,
    bleeds: tuple[Passage, ...],
    leak: float,
    oil: OilState,
    stack: StackUse | None,
) -> Way:
    """The valve in its own direction: ports under the stack, or bare ports."""
    port = _holes(valve.ports, oil) if valve.ports is not None else None
    curtain = _curtain(valve.seat, stack, oil) if stack is not None else None
    return Way(name, bleeds, leak, port, curtain)


def _piston_compression(
    valve: Valve, bleeds: tuple[Passage, ...], leak: float, oil: OilState, stack: StackUse | None
) -> Way:
    if valve.check is not None:
        return _checked("piston's check", valve.check, bleeds, leak, oil)
    return _forward("mid-valve", valve, bleeds, leak, oil, stack)


def _checked(name: str, check: Check | None, bleeds: tuple[Passage, ...], leak: float, oil: OilState) -> Way:
    """A way through a sprung plate, or through the bleeds alone where there is none."""
    if check is None:
        return Way(name, bleeds, leak)
    ring = _circle(check.load.outer) - _circle(check.load.inner)
    plate = sprung_plate(ring, check.preload.si, check.rate.si, check.lift.si)
    unit_slit = slit(1.0, math.pi * check.seat.si, oil.density, oil.viscosity)
    return Way(name, bleeds, leak, _holes(check.ports, oil), Curtain(unit_slit, plate))


def _curtain(seat: Measure | None, stack: StackUse, oil: OilState) -> Curtain:
    return Curtain(slit(1.0, math.pi * _si(seat, 0.0), oil.density, oil.viscosity), lift_map(stack))


def _back(valve: Valve, bleeds: tuple[Passage, ...]) -> tuple[Passage, ...]:
    return () if valve.bleed_one_way else bleeds


def _bleeds(valve: Valve, clicks: int | None, oil: OilState) -> tuple[Passage, ...]:
    found = [] if valve.bleed is None else [_holes(valve.bleed, oil)]
    if valve.needle is not None and clicks is not None:
        opened = needle_passage(valve.needle, clicks, oil)
        found += [opened] if opened is not None else []
    return tuple(found)


def needle_passage(needle: Needle, clicks: int, oil: OilState) -> Passage | None:
    """Return what a needle lets through at a number of clicks from closed; None when it is shut."""
    if needle.holes is not None:
        hole = needle.holes[clicks].si
        discharge = _si(needle.discharge, ROUND_DISCHARGE)
        return round_holes(hole, 1, oil.density, oil.viscosity, discharge=discharge) if hole > 0.0 else None
    bore = _si(needle.bore, 0.0)
    lift = _si(needle.lift_closed, 0.0) + clicks * _si(needle.lift_per_click, 0.0)
    opening = needle_opening(bore, _si(needle.half_angle, 0.0), lift)
    if opening.area <= 0.0:
        return None
    if opening.wide_open:
        discharge = _si(needle.discharge, ROUND_DISCHARGE)
        return round_holes(bore, 1, oil.density, oil.viscosity, discharge=discharge)
    discharge = _si(needle.discharge, SLOT_DISCHARGE)
    width = opening.area / opening.height
    return slit(opening.height, width, oil.density, oil.viscosity, discharge=discharge)


def _holes(ports: Ports, oil: OilState) -> Passage:
    return round_holes(
        ports.diameter.si,
        ports.count,
        oil.density,
        oil.viscosity,
        length=_si(ports.length, 0.0),
        discharge=_si(ports.discharge, ROUND_DISCHARGE),
    )


def _leak(leak: Leak | None, oil: OilState) -> float:
    if leak is None:
        return 0.0
    eccentricity = _si(leak.eccentricity, 0.0)
    return thin_annulus_conductance(
        leak.diameter.si, leak.gap.si, leak.length.si, oil.viscosity, eccentricity
    )


def _circle(diameter: Measure) -> float:
    return math.pi / 4 * diameter.si**2


def _si(measure: Measure | None, otherwise: float) -> float:
    return otherwise if measure is None else measure.si
