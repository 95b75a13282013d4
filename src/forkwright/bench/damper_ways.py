"""The ways of the oil through a damper's valves: bleeds, needles, ports, checks, gaps and shim curtains.

Each function turns one table of the file into the part that the physics solves, for oil at one temperature.
"""

from __future__ import annotations

import math

from forkwright.bench.damper_oil import OilState
from forkwright.bench.given import circle, si_or
from forkwright.bench.stack_maps import StackUse, lift_map
from forkwright.hardware.valves import Check, Leak, Needle, Ports, Valve
from forkwright.physics.annular_gap import thin_annulus_conductance
from forkwright.physics.curtain import Curtain, sprung_plate
from forkwright.physics.damper_valve import Valve as Way
from forkwright.physics.needle import needle_opening
from forkwright.physics.orifice import (
    ROUND_DISCHARGE,
    SLOT_DISCHARGE,
    Passage,
    round_holes,
    slit,
)
from forkwright.units import Measure


def forward_way(
    name: str,
    valve: Valve,
    bleeds: tuple[Passage, ...],
    leak: float,
    oil: OilState,
    stack: StackUse | None,
) -> Way:
    """Return a valve in its own direction: ports under the stack, or bare ports."""
    port = _holes(valve.ports, oil) if valve.ports is not None else None
    curtain = _curtain(valve.seat, stack, oil) if stack is not None else None
    return Way(name, bleeds, leak, port, curtain)


def piston_way(
    valve: Valve, bleeds: tuple[Passage, ...], leak: float, oil: OilState, stack: StackUse | None
) -> Way:
    """Return the way through the piston in compression: past its check, or through the mid-valve."""
    if valve.check is not None:
        return checked_way("piston's check", valve.check, bleeds, leak, oil)
    return forward_way("mid-valve", valve, bleeds, leak, oil, stack)


def checked_way(
    name: str, check: Check | None, bleeds: tuple[Passage, ...], leak: float, oil: OilState
) -> Way:
    """Return the way through a sprung plate, or through the bleeds alone where there is none."""
    if check is None:
        return Way(name, bleeds, leak)
    ring = circle(check.load.outer) - circle(check.load.inner)
    plate = sprung_plate(ring, check.preload.si, check.rate.si, check.lift.si)
    unit_slit = slit(1.0, math.pi * check.seat.si, oil.density, oil.viscosity)
    return Way(name, bleeds, leak, _holes(check.ports, oil), Curtain(unit_slit, plate))


def _curtain(seat: Measure | None, stack: StackUse, oil: OilState) -> Curtain:
    return Curtain(slit(1.0, math.pi * si_or(seat, 0.0), oil.density, oil.viscosity), lift_map(stack))


def back_bleeds(valve: Valve, bleeds: tuple[Passage, ...]) -> tuple[Passage, ...]:
    """Return those of a valve's bleeds that also let oil through against its direction."""
    return () if valve.bleed_one_way else bleeds


def bleeds_of(valve: Valve, clicks: int | None, oil: OilState) -> tuple[Passage, ...]:
    """Return a valve's open bleeds: its hole, and its needle at a number of clicks from closed."""
    found = [] if valve.bleed is None else [_holes(valve.bleed, oil)]
    if valve.needle is not None and clicks is not None:
        opened = needle_passage(valve.needle, clicks, oil)
        found += [opened] if opened is not None else []
    return tuple(found)


def needle_passage(needle: Needle, clicks: int, oil: OilState) -> Passage | None:
    """Return what a needle lets through at a number of clicks from closed; None when it is shut."""
    if needle.holes is not None:
        hole = needle.holes[clicks].si
        discharge = si_or(needle.discharge, ROUND_DISCHARGE)
        return round_holes(hole, 1, oil.density, oil.viscosity, discharge=discharge) if hole > 0.0 else None
    bore = si_or(needle.bore, 0.0)
    lift = si_or(needle.lift_closed, 0.0) + clicks * si_or(needle.lift_per_click, 0.0)
    opening = needle_opening(bore, si_or(needle.half_angle, 0.0), lift)
    if opening.area <= 0.0:
        return None
    if opening.wide_open:
        discharge = si_or(needle.discharge, ROUND_DISCHARGE)
        return round_holes(bore, 1, oil.density, oil.viscosity, discharge=discharge)
    discharge = si_or(needle.discharge, SLOT_DISCHARGE)
    width = opening.area / opening.height
    return slit(opening.height, width, oil.density, oil.viscosity, discharge=discharge)


def _holes(ports: Ports, oil: OilState) -> Passage:
    return round_holes(
        ports.diameter.si,
        ports.count,
        oil.density,
        oil.viscosity,
        length=si_or(ports.length, 0.0),
        discharge=si_or(ports.discharge, ROUND_DISCHARGE),
    )


def leak_of(leak: Leak | None, oil: OilState) -> float:
    """Return the conductance of a gap round a valve, m3/s/Pa; none where the file names no leak."""
    if leak is None:
        return 0.0
    eccentricity = si_or(leak.eccentricity, 0.0)
    return thin_annulus_conductance(
        leak.diameter.si, leak.gap.si, leak.length.si, oil.viscosity, eccentricity
    )
