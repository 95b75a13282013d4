"""What the spring does through a stroke, a sentence for each event that the curve shows."""

from __future__ import annotations

import numpy as np

from forkwright.app.stroke import Step, Stroke
from forkwright.bench.rear_sag import WheelSag
from forkwright.units import UnitChoice, show

_MOVED = 1e-5  # m of floating-piston movement that counts as having started
_RESTS = 5e-5  # m of lost travel worth a word


def unloaded(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell where it rests with nobody on the bike."""
    air, spring = stroke.unit.air_spring, stroke.spring
    if air is None or air.negative == "coil":
        return []
    rest = float(stroke.sag.rest) if stroke.sag is not None else 0.0
    pushes, pulls = (stroke.gauge(values, rest, units) for values in (spring.positive, spring.negative))
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


def chambers_meet(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell where the chambers are joined."""
    air = stroke.unit.air_spring
    if air is None or air.negative != "transfer" or air.transfer is None:
        return []
    place = float(air.transfer.si)
    sentence = (
        f"At {show(place, 'length', units)} the piston's seal lies over the transfer port: both chambers are "
        f"joined and hold {stroke.gauge(stroke.spring.positive, place, units)}. That is how the negative "
        "chamber fills itself."
    )
    return [Step("The chambers meet", sentence, place, "in", ("transfer", "piston"))]


def sag(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell where the rider settles it."""
    if stroke.sag is None:
        return []
    middle, low, high = (float(value) for value in (stroke.sag.middle, stroke.sag.low, stroke.sag.high))
    share = 100.0 * middle / stroke.full
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


def floating_piston(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell where the floating piston gives way, if it does."""
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


def half_way(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell how hard it pushes back half way in."""
    place = 0.5 * stroke.full
    sentence = (
        f"Half way in, at {show(place, 'length', units)}, it pushes back with "
        f"{show(stroke.at(stroke.spring.force, place), 'force', units)} and grows by "
        f"{show(stroke.at(stroke.spring.rate, place), 'stiffness', units)}."
    )
    return [Step("Half way", sentence, place, "in", ("positive",))]


def bumper(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Tell from where the bottom-out bumper is pressed."""
    bottom = stroke.unit.bumpers.bottom_out
    if bottom is None:
        return []
    full, length = stroke.full, float(bottom.length.si)
    place, step = full - length, full / (stroke.spring.travel.size - 1)
    before, after = (stroke.at(stroke.spring.rate, place + side * 1.5 * step) for side in (-1.0, 1.0))
    sentence = (
        f"From {show(place, 'length', units)} the bottom-out bumper is pressed as well; the rate goes from "
        f"{show(before, 'stiffness', units)} to {show(after, 'stiffness', units)}."
    )
    return [Step("The bumper", sentence, place, "in", ("bumper",))]


def full_travel(stroke: Stroke, units: UnitChoice) -> Step:
    """Tell what is there at full travel."""
    spring = stroke.spring
    full = float(spring.travel[-1])
    sentence = f"At full travel it pushes back with {show(float(spring.force[-1]), 'force', units)}"
    if stroke.unit.air_spring is not None:
        ratio = float(spring.positive[-1] / spring.positive[0])
        sentence += (
            f"; the air in the positive chamber stands at {stroke.gauge(spring.positive, full, units)}, "
            f"{ratio:.2f} times its absolute pressure at the start"
        )
    if stroke.unit.lower_legs is not None:
        sentence += f", and {stroke.gauge(spring.lower_leg, full, units)} are trapped in the lower leg"
    return Step("Full travel", f"{sentence}.", full, "in", ("positive", "lower-air"))
