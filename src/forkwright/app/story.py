"""What happens in a fork through one stroke, step by step, in sentences computed from the bench's curves.

No sentence is said in general: each stands only where the unit has the part and the curve shows the event.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.damping import DampingCurve
from forkwright.bench.rear_sag import WheelSag
from forkwright.bench.sag import Sag
from forkwright.bench.spring import SpringCurve
from forkwright.bench.valve_state import FlowAt, ValvesAt
from forkwright.hardware import Unit
from forkwright.physics import P0
from forkwright.physics.values import Array
from forkwright.units import UnitChoice, show

_MOVED = 1e-5  # m of floating-piston movement that counts as having started
_RESTS = 5e-5  # m of lost travel worth a word


@dataclass(frozen=True)
class Step:
    """One event of the stroke.

    Parameters
    ----------
    title, sentence : str
        What is shown beside the drawing.
    travel : float
        Where it happens (m).
    phase : str
        "in" on the way in, "out" on the way back.
    parts : tuple of str
        Keys of the drawn parts that it is about.
    """

    title: str
    sentence: str
    travel: float
    phase: str
    parts: tuple[str, ...]


@dataclass(frozen=True)
class Stroke:
    """Everything a story is told from: one unit on the benches, and the damper at the speed of the stroke."""

    unit: Unit
    spring: SpringCurve
    sag: Sag | None
    wheel: WheelSag | None  # of a shock
    speed: float  # m/s of the shaft
    damping: DampingCurve | None  # at -speed, 0, +speed
    inwards: ValvesAt | None
    outwards: ValvesAt | None


def told(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Return the steps of a stroke: the way in by travel, then the way back.

    Parameters
    ----------
    stroke : Stroke
    units : UnitChoice
        Units the numbers are written in.
    """
    inwards = [
        *_unloaded(stroke, units),
        *_transfer(stroke, units),
        *_sag(stroke, units),
        *_floating(stroke, units),
        *_half(stroke, units),
        *_damper_in(stroke, units),
        *_bumper(stroke, units),
        _full(stroke, units),
    ]
    return sorted(inwards, key=lambda step: step.travel) + _back(stroke, units)


def _at(stroke: Stroke, values: Array, travel: float) -> float:
    return float(np.interp(travel, stroke.spring.travel, values))


def _gauge(stroke: Stroke, values: Array, travel: float, units: UnitChoice) -> str:
    return show(_at(stroke, values, travel) - P0, "pressure", units)


def _unloaded(stroke: Stroke, units: UnitChoice) -> list[Step]:
    air, spring = stroke.unit.air_spring, stroke.spring
    if air is None or air.negative == "coil":
        return []
    rest = float(stroke.sag.rest) if stroke.sag is not None else 0.0
    pushes, pulls = (_gauge(stroke, values, rest, units) for values in (spring.positive, spring.negative))
    if rest > _RESTS:
        place = f"rests {show(rest, 'length', units)} into its travel"
        why = f"the negative chamber ({pulls}) pulls it in as hard as the positive ({pushes}) pushes it out"
        sentence = f"With nobody on the bike {stroke.unit.name} {place}: there {why}."
    else:
        sentence = (
            f"With nobody on the bike {stroke.unit.name} stands at full extension: {pushes} in the positive "
            f"chamber, {pulls} in the negative."
        )
    return [Step("Unloaded", sentence, rest, "in", ("positive", "negative"))]


def _transfer(stroke: Stroke, units: UnitChoice) -> list[Step]:
    air = stroke.unit.air_spring
    if air is None or air.negative != "transfer" or air.transfer is None:
        return []
    place = float(air.transfer.si)
    sentence = (
        f"At {show(place, 'length', units)} the piston's seal lies over the transfer port: both chambers are "
        f"joined and hold {_gauge(stroke, stroke.spring.positive, place, units)}. That is how the negative "
        "chamber fills itself."
    )
    return [Step("The chambers meet", sentence, place, "in", ("transfer", "piston"))]


def _sag(stroke: Stroke, units: UnitChoice) -> list[Step]:
    if stroke.sag is None:
        return []
    middle, low, high = (float(value) for value in (stroke.sag.middle, stroke.sag.low, stroke.sag.high))
    share = 100.0 * middle / float(stroke.spring.travel[-1])
    if stroke.wheel is not None:
        return [Step("Sag", _wheel_sag(stroke.wheel, units), middle, "in", ("positive", "shaft"))]
    sentence = (
        f"The rider's {show(float(stroke.sag.load), 'force', units)} settle it at "
        f"{show(middle, 'length', units)}, {share:.0f} % of the travel. Friction lets it rest anywhere from "
        f"{show(low, 'length', units)} to {show(high, 'length', units)}."
    )
    return [Step("Sag", sentence, middle, "in", ("positive", "upper-bushing-l", "lower-bushing-l"))]


def _wheel_sag(found: WheelSag, units: UnitChoice) -> str:
    middle, low, high = (show(value, "length", units) for value in (found.middle, found.low, found.high))
    return (
        f"The rider's {show(found.wheel_load, 'force', units)} on the rear wheel settle it at {middle}, "
        f"{100.0 * found.middle / found.full:.0f} % of its travel. The shock has gone in "
        f"{show(float(found.shock.middle), 'length', units)}: the leverage ratio there is {found.ratio:.2f}. "
        f"Friction lets the wheel rest anywhere from {low} to {high}."
    )


def _floating(stroke: Stroke, units: UnitChoice) -> list[Step]:
    spring = stroke.spring
    started = np.flatnonzero(spring.floating > spring.floating[0] + _MOVED)
    if stroke.unit.air_spring is None or stroke.unit.air_spring.floating is None or not started.size:
        return []
    first = max(int(started[0]) - 1, 0)
    later = min(first + 2, spring.rate.size - 1)
    place, moved = float(spring.travel[first]), float(spring.floating[-1] - spring.floating[0])
    before, after = float(spring.rate[first]), float(spring.rate[later])
    softer = "falls" if after < before else "goes"
    sentence = (
        f"From about {show(place, 'length', units)} the positive chamber has reached what is pumped behind "
        f"the floating piston. It gives way, {show(moved, 'length', units)} by full travel, and makes room "
        f"for the air: the spring rate {softer} from {show(before, 'stiffness', units)} to "
        f"{show(after, 'stiffness', units)}."
    )
    return [Step("The floating piston moves", sentence, place, "in", ("floating-piston", "secondary"))]


def _half(stroke: Stroke, units: UnitChoice) -> list[Step]:
    place = 0.5 * float(stroke.spring.travel[-1])
    sentence = (
        f"Half way in, at {show(place, 'length', units)}, it pushes back with "
        f"{show(_at(stroke, stroke.spring.force, place), 'force', units)} and grows by "
        f"{show(_at(stroke, stroke.spring.rate, place), 'stiffness', units)}."
    )
    return [Step("Half way", sentence, place, "in", ("positive",))]


def _damper_in(stroke: Stroke, units: UnitChoice) -> list[Step]:
    if stroke.damping is None or stroke.inwards is None:
        return []
    base, piston = (_total(flow) for flow in (stroke.inwards.base, stroke.inwards.piston))
    sentence = (
        f"Going in at {show(stroke.speed, 'speed', units)} the shaft needs room: "
        f"{show(base, 'flow', units)} of oil leave through the base valve for the reservoir while "
        f"{show(piston, 'flow', units)} pass the piston. The damper holds against it with "
        f"{show(float(stroke.damping.force[-1]), 'force', units)}."
    )
    place = 0.65 * float(stroke.spring.travel[-1])
    parts = ("base-valve", "damper-piston", "reservoir-piston")
    return [Step("Oil on the way in", sentence, place, "in", parts)]


def _bumper(stroke: Stroke, units: UnitChoice) -> list[Step]:
    bottom = stroke.unit.bumpers.bottom_out
    if bottom is None:
        return []
    full, length = float(stroke.spring.travel[-1]), float(bottom.length.si)
    place, step = full - length, full / (stroke.spring.travel.size - 1)
    before, after = (_at(stroke, stroke.spring.rate, place + side * 1.5 * step) for side in (-1.0, 1.0))
    sentence = (
        f"From {show(place, 'length', units)} the bottom-out bumper is pressed as well; the rate goes from "
        f"{show(before, 'stiffness', units)} to {show(after, 'stiffness', units)}."
    )
    return [Step("The bumper", sentence, place, "in", ("bumper",))]


def _full(stroke: Stroke, units: UnitChoice) -> Step:
    spring = stroke.spring
    full = float(spring.travel[-1])
    sentence = f"At full travel it pushes back with {show(float(spring.force[-1]), 'force', units)}"
    if stroke.unit.air_spring is not None:
        ratio = float(spring.positive[-1] / spring.positive[0])
        sentence += (
            f"; the air in the positive chamber stands at {_gauge(stroke, spring.positive, full, units)}, "
            f"{ratio:.2f} times its absolute pressure at the start"
        )
    if stroke.unit.lower_legs is not None:
        sentence += f", and {_gauge(stroke, spring.lower_leg, full, units)} are trapped in the lower leg"
    return Step("Full travel", f"{sentence}.", full, "in", ("positive", "lower-air"))


def _back(stroke: Stroke, units: UnitChoice) -> list[Step]:
    full = float(stroke.spring.travel[-1])
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
