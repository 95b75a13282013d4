"""Plain sentences about front and rear together; every one is computed from its figures."""

from __future__ import annotations

import math

from forkwright.physics.pitch import Mode
from forkwright.ride.attitude import Attitude
from forkwright.ride.pitch import PitchRide
from forkwright.tune.balance import Balance, Pair
from forkwright.tune.balance_advice import Advice, Change
from forkwright.tune.balance_ends import SLOW_SPEED, EndBalance
from forkwright.tune.naming import ADJUSTERS
from forkwright.tune.recommend_words import CAUTION
from forkwright.units import UnitChoice, show

ALIKE_SHARE = 0.005
"""Shares of sag nearer than this are told as alike."""

ALIKE_RATIO = 0.05
"""Frequencies and damping nearer than this share of each other are told as alike."""

OUT_OF_SCOPE = (
    "Chain pull and the rear brake's caliper act on a real linkage and are left out: the rear's answers are "
    "those of a coasting bike."
)


def balance_sentences(found: Balance, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return how front and rear stand to each other."""
    return (
        *_sag(found.pair, units),
        _frequency(found.pair),
        _modes(found, units),
        *_damping(found.pair),
        *_held(found, units),
        *(drift_sentences(found.ride, units) if found.ride is not None else ()),
        OUT_OF_SCOPE,
    )


def advice_sentences(advice: Advice, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return what to change, what it brings, and the caution."""
    end = advice.end
    own = advice.after.rear if end == "rear" else advice.after.front
    kept = "fork" if end == "rear" else "shock"
    if not advice.changes:
        return (f"With the {kept} kept, nothing on {own.unit.name} comes nearer to it.",)
    said = [
        f"To bring the {end} to the {'front' if end == 'rear' else 'rear'}, change {own.unit.name} and keep "
        f"the {kept}: {'; '.join(_change(one, units) for one in advice.changes)}."
    ]
    front, rear = advice.after.front, advice.after.rear
    said.append(
        f"Then the front sags {front.share:.0%} and the rear {rear.share:.0%} of its travel, the rear swings "
        f"at {advice.after.frequency_ratio:.2f} of the front's frequency, and rebound damps "
        f"{front.rebound_ratio:.2f} in front and {rear.rebound_ratio:.2f} in the rear."
    )
    if advice.frequency_ratio_pressure is not None:
        said.append(
            f"For equal frequencies instead, {own.unit.name} would need about "
            f"{show(advice.frequency_ratio_pressure, 'pressure', units)}, and would sag otherwise."
        )
    return (*said, CAUTION)


def _sag(pair: Pair, units: UnitChoice | None) -> tuple[str, ...]:
    front, rear = pair.front, pair.rear
    parts = [
        f"{show(end.wheel_sag, 'length', units)} of {show(end.full, 'length', units)} ({end.share:.0%})"
        for end in (front, rear)
    ]
    said = f"At the wheels the front sags {parts[0]}, the rear {parts[1]}"
    if abs(pair.sag_lead) < ALIKE_SHARE:
        return (f"{said}: alike.",)
    way = "rear" if pair.sag_lead > 0.0 else "front"
    return (f"{said}: the {way} sits {abs(pair.sag_lead) * 100.0:.1f} points of its travel deeper.",)


def _frequency(pair: Pair) -> str:
    front, rear = pair.front, pair.rear
    said = f"Alone, the front would swing at {front.frequency:.2f} Hz and the rear at {rear.frequency:.2f} Hz"
    apart = pair.frequency_ratio - 1.0
    if abs(apart) < ALIKE_RATIO:
        return f"{said}: alike."
    if apart > 0.0:
        return f"{said}: the rear is {apart:.0%} quicker and catches up with the front after a bump."
    return f"{said}: the rear is {-apart:.0%} slower, so after a bump the bike goes on pitching."


def _modes(found: Balance, units: UnitChoice | None) -> str:
    slow, quick = found.pair.modes
    index = found.dynamic_index
    felt = (
        "each end swings almost by itself"
        if abs(index - 1.0) < 0.1
        else f"the ends feel each other (dynamic index {index:.2f}; at 1 they would not)"
    )
    return (
        f"Together, through the tyres, the bike swings at {slow.frequency:.2f} Hz {_about(slow, units)} and "
        f"at {quick.frequency:.2f} Hz {_about(quick, units)}, damped {slow.damping:.2f} and "
        f"{quick.damping:.2f} of critical; {felt}."
    )


def _about(mode: Mode, units: UnitChoice | None) -> str:
    if not math.isfinite(mode.centre) or abs(mode.centre) > 20.0:
        return "straight up and down"
    way = "ahead of" if mode.centre > 0.0 else "behind"
    return f"about a point {show(round(abs(mode.centre), 2), 'length', units, 0)} {way} its centre"


def _damping(pair: Pair) -> tuple[str, ...]:
    front, rear = pair.front, pair.rear
    said = []
    for words, one, other in (
        ("Compression", front.compression_ratio, rear.compression_ratio),
        ("Rebound", front.rebound_ratio, rear.rebound_ratio),
    ):
        figures = (
            f"{words} at {SLOW_SPEED:g} m/s damps {one:.2f} of critical in front, {other:.2f} in the rear"
        )
        if one <= 0.0 or other <= 0.0:
            said.append(f"{figures}.")
        elif abs(other / one - 1.0) < ALIKE_RATIO:
            said.append(f"{figures}: alike.")
        else:
            said.append(
                f"{figures}: the {'rear' if other > one else 'front'} moves more slowly for its spring."
            )
    return tuple(said)


def _held(found: Balance, units: UnitChoice | None) -> tuple[str, ...]:
    """How the bike stands under what is held, against its rest on level ground."""
    held, level = found.held, found.level
    if held is None:
        return ()
    what = _stance(held, units)
    if held.lifts is not None:
        return (f"{what} the {held.lifts} wheel would lift: nobody holds that.",)
    if held.pitch is None or held.front_travel is None or held.rear_travel is None or level.pitch is None:
        return ()
    turned = math.degrees(held.pitch - level.pitch)
    way = "up" if turned > 0.0 else "down"
    front = _rest("front", held.front_travel, found.pair.front, units)
    rear = _rest("rear", held.rear_travel, found.pair.rear, units)
    turn = f"turns the bike {abs(turned):.1f}° nose {way}"
    return (f"{what} {front} and {rear}: against level ground the suspension {turn}.",)


def _rest(name: str, travel: float, end: EndBalance, units: UnitChoice | None) -> str:
    if travel <= 0.0:
        return f"the {name} stands at full extension"
    if travel >= end.full:
        return f"the {name} is pressed to its end"
    return f"the {name} rests {show(travel, 'length', units)} deep ({travel / end.full:.0%})"


def _stance(held: Attitude, units: UnitChoice | None) -> str:
    said = []
    if held.stance.gradient:
        way = "Uphill" if held.stance.gradient > 0.0 else "Downhill"
        said.append(f"{way} at {abs(held.stance.gradient):.0%}")
    if held.stance.speed_change:
        way = "gaining" if held.stance.speed_change > 0.0 else "braking by"
        said.append(f"{way} {abs(held.stance.speed_change):.1f} m/s²")
    if held.rider_shift:
        way = "ahead" if held.rider_shift > 0.0 else "back"
        said.append(f"with the rider {show(abs(held.rider_shift), 'length', units)} {way}")
    words = ", ".join(said)
    return f"{words[:1].upper()}{words[1:]},"


def drift_sentences(ride: PitchRide, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return how the ride heights drift over a course."""
    words = []
    for name, end in (("front", ride.front), ("rear", ride.rear)):
        way = "deeper" if end.drift > 0.0 else "higher"
        words.append(f"the {name} {show(abs(end.drift), 'length', units)} {way} than at rest")
    nose = "up" if ride.scores.attitude_drift > 0.0 else "down"
    turned = abs(math.degrees(ride.scores.attitude_drift))
    return (
        f"Over the course the wheels ride {words[0]} and {words[1]}: the attitude drifts {turned:.1f}° "
        f"nose {nose}.",
    )


def _change(one: Change, units: UnitChoice | None) -> str:
    if one.adjuster == "pressure":
        return f"pressure {show(one.before, 'pressure', units)} to {show(one.after, 'pressure', units)}"
    if one.adjuster == "coil_rate":
        return f"coil {show(one.before, 'stiffness', units)} to {show(one.after, 'stiffness', units)}"
    return f"{ADJUSTERS[one.adjuster]} {one.before:.0f} to {one.after:.0f} clicks from closed"
