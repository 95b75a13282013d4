"""Where the oil goes through a stroke, in and back out, and what holds against it."""

from __future__ import annotations

from forkwright.app.stroke import Step, Stroke
from forkwright.bench.valve_state import FlowAt
from forkwright.units import UnitChoice, show


def oil_in(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell where the oil goes on the way in."""
    if stroke.damping is None or stroke.inwards is None:
        return []
    base, piston = (_total(flow) for flow in (stroke.inwards.base, stroke.inwards.piston))
    sentence = (
        f"Going in at {show(stroke.speed, 'speed', units)} the shaft needs room: "
        f"{show(base, 'flow', units)} of oil leave through the base valve for the reservoir while "
        f"{show(piston, 'flow', units)} pass the piston. The damper holds against it with "
        f"{show(float(stroke.damping.force[-1]), 'force', units)}."
    )
    place = 0.65 * stroke.full
    parts = ("base-valve", "damper-piston", "reservoir-piston")
    return [Step("Oil on the way in", sentence, place, "in", parts)]


def way_back(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell what pushes it back, and what holds it."""
    full = stroke.full
    pushes = "air" if stroke.unit.air_spring is not None else "coil"
    if stroke.damping is None or stroke.outwards is None:
        return [Step("Back out", f"The {pushes} pushes it back out.", full, "out", ("positive",))]
    piston, back = _total(stroke.outwards.piston), _total(stroke.outwards.base)
    margin = float(stroke.damping.cavitation_margin[0])
    held = (
        f"the lowest chamber stays {show(margin, 'pressure', units)} above where oil parts"
        if margin >= 0.0
        else "the oil parts: the damper cavitates, and holds less than it should"
    )
    sentence = (
        f"Coming back at {show(stroke.speed, 'speed', units)}, {show(piston, 'flow', units)} pass the "
        f"rebound valve and {show(back, 'flow', units)} return from the reservoir; the damper holds back "
        f"{show(abs(float(stroke.damping.force[0])), 'force', units)}, and {held}."
    )
    return [Step("Oil on the way back", sentence, full, "out", ("damper-piston", "base-valve"))]


def _total(flow: FlowAt) -> float:
    return flow.bleed + flow.leak + flow.main
