"""Why something remains after a match: which part of B, were it like A's, would take most of it away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.air_spring import AirSpring
from forkwright.physics import Unphysical
from forkwright.tune.nearest_spring import PUMP_STEP, NearestSpring
from forkwright.tune.spring_grid import (
    Yardstick,
    at_many,
    best_negative,
    near_spacers,
    negative_pull,
    negative_steps,
)
from forkwright.units import Measure

WORTH_NAMING = 0.05  # of the remainder
_NEGATIVE = {
    "transfer": "B's negative chamber fills itself and cannot be set",
    "valve": "B's negative chamber has a valve of its own",
}
TRIED = 141  # pressures, from half to double (own choice)


@dataclass(frozen=True)
class Reason:
    """One part of B and what its being like A's would leave of the remainder.

    `rms_with_part_of_a` (N) is after B's pressure and spacers have been set again: only the shape counts.
    """

    part: str
    words: str
    rms_with_part_of_a: float
    share: float  # of the remainder that would go, 0 to 1


def reasons(
    a: Unit,
    b: Unit,
    setting_a: Setting,
    setting_b: Setting,
    target: SpringCurve,
    spring: NearestSpring,
    conditions: Conditions | None,
) -> tuple[Reason, ...]:
    """Return the parts that explain the remainder, the one that explains most first.

    Notes
    -----
    Own definition. Chamber volumes are compared as lengths (volume over area), since a larger piston needs a
    proportionally larger chamber for the same curve.
    """
    if a.air_spring is None or b.air_spring is None or spring.rms <= 0.0:
        return ()
    yardstick = Yardstick(spring.travel, np.interp(spring.travel, target.travel, target.force), spring.weight)
    found = []
    for part, words, changed in _swaps(a, b, a.air_spring, b.air_spring, setting_a, setting_b):
        start = _suited(setting_b, changed, setting_a)
        try:
            rms = _best_rms(changed, start, yardstick, conditions)
        except Unphysical:  # B has no room for such a part
            continue
        share = 1.0 - rms / spring.rms
        if share > WORTH_NAMING:
            found.append(Reason(part, words, rms, share))
    return tuple(sorted(found, key=lambda reason: -reason.share))


def _suited(setting: Setting, unit: Unit, other: Setting) -> Setting:
    """Return a setting with what a changed unit needs taken from another one, and without what it has not."""
    air = unit.air_spring
    entries: dict[str, object] = {}
    if air is None or air.floating is None:
        entries["floating"] = None
    elif setting.floating is None:
        entries["floating"] = other.floating
    if air is None or air.negative != "valve":
        entries["negative_pressure"] = None
    elif setting.negative_pressure is None:
        entries["negative_pressure"] = other.negative_pressure
    return setting.model_copy(update=entries)


def _swaps(
    a: Unit, b: Unit, air_a: AirSpring, air_b: AirSpring, setting_a: Setting, setting_b: Setting
) -> Iterator[tuple[str, str, Unit]]:
    """Yield B with one part made like A's."""
    for part, words, air in (
        *_negative_swap(air_a, air_b),
        *_positive_swap(air_a, air_b, setting_a, setting_b, b.travel.si),
        *_floating_swap(air_a, air_b),
    ):
        yield part, words, b.model_copy(update={"air_spring": air})
    if a.bumpers != b.bumpers:
        yield "bumpers", "B's bumpers act otherwise", b.model_copy(update={"bumpers": a.bumpers})
    if None not in (a.lower_legs, b.lower_legs, a.chassis, b.chassis):
        legs = b.model_copy(update={"lower_legs": a.lower_legs, "chassis": a.chassis})
        yield "lower legs", "the air trapped in B's lower legs is squeezed differently", legs


def _negative_swap(air_a: AirSpring, air_b: AirSpring) -> Iterator[tuple[str, str, AirSpring]]:
    part = "negative chamber"
    if air_a.negative != air_b.negative and "coil" not in (air_a.negative, air_b.negative):
        assert air_a.negative_volume is not None
        as_large = Measure(air_a.negative_volume.si * _larger(air_a, air_b))
        kind = {"negative": air_a.negative, "negative_volume": as_large, "transfer": air_a.transfer}
        yield part, _NEGATIVE[air_b.negative], air_b.model_copy(update=kind)
    elif air_a.negative_volume is not None and air_b.negative_volume is not None:
        ring_a, ring_b = (air.bore.si**2 - air.shaft.si**2 for air in (air_a, air_b))
        like_a = air_a.negative_volume.si * ring_b / ring_a
        size = "smaller" if air_b.negative_volume.si < like_a else "larger"
        changed = {"negative_volume": Measure(like_a), "transfer": air_a.transfer}
        yield part, f"B's negative chamber is {size} for its piston", air_b.model_copy(update=changed)


def _positive_swap(
    air_a: AirSpring, air_b: AirSpring, setting_a: Setting, setting_b: Setting, travel: float
) -> Iterator[tuple[str, str, AirSpring]]:
    like_a = _open_volume(air_a, setting_a) * _larger(air_a, air_b)
    size = "smaller" if _open_volume(air_b, setting_b) < like_a else "larger"
    spacers = setting_b.spacers * air_b.spacers.volume.si if air_b.spacers is not None else 0.0
    changed = air_b.model_copy(update={"positive_volume": Measure(like_a + spacers)})
    if changed.positive_volume.si > np.pi / 4 * air_b.bore.si**2 * travel * 1.01:
        yield "positive chamber", f"B's positive chamber is {size} for its piston", changed


def _floating_swap(air_a: AirSpring, air_b: AirSpring) -> Iterator[tuple[str, str, AirSpring]]:
    part, larger = "floating piston", _larger(air_a, air_b)
    if air_b.floating is not None and air_a.floating is None:
        words = "B's floating piston gives room late in the travel"
        yield part, words, air_b.model_copy(update={"floating": None})
    if air_a.floating is not None and air_b.floating is None:
        back = air_a.floating.secondary_bore
        floating = air_a.floating.model_copy(
            update={
                "bore": Measure(air_a.floating.bore.si * larger**0.5),
                "secondary_bore": Measure(back.si * larger**0.5) if back is not None else None,
                "volume": Measure(air_a.floating.volume.si * larger),
            }
        )
        words = "B has no floating piston to give room late in the travel"
        yield part, words, air_b.model_copy(update={"floating": floating})


def _larger(air_a: AirSpring, air_b: AirSpring) -> float:
    """How many times larger B's piston is."""
    return float(air_b.bore.si**2 / air_a.bore.si**2)


def _open_volume(air: AirSpring, setting: Setting) -> float:
    taken = setting.spacers * air.spacers.volume.si if air.spacers is not None else 0.0
    return float(air.positive_volume.si - taken)


def _best_rms(unit: Unit, setting: Setting, yardstick: Yardstick, conditions: Conditions | None) -> float:
    """Smallest weighted rms with pressures (half to double the present main one) and spacers set again."""
    assert setting.pressure is not None
    pressures = setting.pressure.si * np.geomspace(0.5, 2.0, TRIED)
    negative = negative_steps(unit, setting, PUMP_STEP)
    least = float("inf")
    for spacers in near_spacers(unit, setting):
        tried = setting.model_copy(update={"spacers": spacers})
        many = at_many(unit, tried, pressure=pressures[:, np.newaxis])
        force = spring_curve(many, None, conditions, travel=yardstick.travel).force
        if negative is not None and setting.negative_pressure is not None:
            pull = negative_pull(unit, tried, yardstick, conditions)
            now = float(setting.negative_pressure.si)
            errors, _ = best_negative(force - yardstick.wanted, pull, now, negative, yardstick)
        else:
            errors = yardstick.squares(force)
        least = min(least, float(np.sqrt(errors.min())))
    return least
