"""Why something remains after a match: which part of B, were it like A's, would take most of it away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.air_spring import AirSpring
from forkwright.hardware.limits import faults_of_setting
from forkwright.tune.nearest_spring import PUMP_STEP, NearestSpring
from forkwright.tune.spring_grid import Judged, at_many, best_negative, negative_pull, negative_steps
from forkwright.units import Measure

WORTH_NAMING = 0.05  # of the remainder
_NEGATIVE = {
    "transfer": "B's negative chamber fills itself and cannot be set",
    "valve": "B's negative chamber has a valve of its own",
}
PRESSURES, NEAR = 141, 2  # pressures and spacers tried, from half to double and either way (own choice)


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
    judged = Judged(spring.travel, np.interp(spring.travel, target.travel, target.force), spring.weight)
    found = []
    for part, words, changed in _swaps(a, b, a.air_spring, b.air_spring, setting_a, setting_b):
        start = _suited(setting_b, changed, setting_a)
        rms = _best_rms(changed, start, judged, conditions)
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
    area_a, area_b = air_a.bore.si**2, air_b.bore.si**2
    if air_a.negative != air_b.negative and "coil" not in (air_a.negative, air_b.negative):
        yield "negative chamber", _NEGATIVE[air_b.negative], _with_negative_of(b, air_a, area_b / area_a)
    elif air_a.negative_volume is not None and air_b.negative_volume is not None:
        ring_a, ring_b = area_a - air_a.shaft.si**2, area_b - air_b.shaft.si**2
        like_a = air_a.negative_volume.si * ring_b / ring_a
        size = "smaller" if air_b.negative_volume.si < like_a else "larger"
        changed = air_b.model_copy(update={"negative_volume": Measure(like_a), "transfer": air_a.transfer})
        words = f"B's negative chamber is {size} for its piston"
        yield "negative chamber", words, b.model_copy(update={"air_spring": changed})
    like_a = _open_volume(air_a, setting_a) * area_b / area_a
    size = "smaller" if _open_volume(air_b, setting_b) < like_a else "larger"
    spacers = setting_b.spacers * air_b.spacers.volume.si if air_b.spacers is not None else 0.0
    changed = air_b.model_copy(update={"positive_volume": Measure(like_a + spacers)})
    if changed.positive_volume.si > np.pi / 4 * area_b * b.travel.si * 1.01:
        words = f"B's positive chamber is {size} for its piston"
        yield "positive chamber", words, b.model_copy(update={"air_spring": changed})
    if air_b.floating is not None and air_a.floating is None:
        fixed = air_b.model_copy(update={"floating": None})
        yield (
            "floating piston",
            "B's floating piston gives room late in the travel",
            b.model_copy(update={"air_spring": fixed}),
        )
    if air_a.floating is not None and air_b.floating is None:
        scale = area_b / area_a
        back = air_a.floating.secondary_bore
        floating = air_a.floating.model_copy(
            update={
                "bore": Measure(air_a.floating.bore.si * scale**0.5),
                "secondary_bore": Measure(back.si * scale**0.5) if back is not None else None,
                "volume": Measure(air_a.floating.volume.si * scale),
            }
        )
        room = air_b.model_copy(update={"floating": floating})
        words = "B has no floating piston to give room late in the travel"
        yield "floating piston", words, b.model_copy(update={"air_spring": room})
    if a.bumpers != b.bumpers:
        yield "bumpers", "B's bumpers act otherwise", b.model_copy(update={"bumpers": a.bumpers})
    if (
        a.lower_legs is not None
        and b.lower_legs is not None
        and a.chassis is not None
        and b.chassis is not None
    ):
        legs = b.model_copy(update={"lower_legs": a.lower_legs, "chassis": a.chassis})
        yield "lower legs", "the air trapped in B's lower legs is squeezed differently", legs


def _open_volume(air: AirSpring, setting: Setting) -> float:
    taken = setting.spacers * air.spacers.volume.si if air.spacers is not None else 0.0
    return float(air.positive_volume.si - taken)


def _with_negative_of(b: Unit, air_a: AirSpring, scale: float) -> Unit:
    """Return B with A's kind of negative chamber, as large for its piston as A's is."""
    air_b = b.air_spring
    assert air_b is not None
    assert air_a.negative_volume is not None
    changed = air_b.model_copy(
        update={
            "negative": air_a.negative,
            "negative_volume": Measure(air_a.negative_volume.si * scale),
            "transfer": air_a.transfer,
        }
    )
    return b.model_copy(update={"air_spring": changed})


def _best_rms(unit: Unit, setting: Setting, judged: Judged, conditions: Conditions | None) -> float:
    """Smallest weighted rms with pressures (half to double the present main one) and spacers set again."""
    assert setting.pressure is not None
    air = unit.air_spring
    pressures = setting.pressure.si * np.geomspace(0.5, 2.0, PRESSURES)
    most = air.spacers.max_count if air is not None and air.spacers is not None else 0
    negative = negative_steps(unit, setting, PUMP_STEP)
    least = float("inf")
    for spacers in range(max(0, setting.spacers - NEAR), min(most, setting.spacers + NEAR) + 1):
        tried = setting.model_copy(update={"spacers": spacers})
        if any(key == "setting.spacers" for key, *_ in faults_of_setting(unit, tried)):
            continue
        many = at_many(unit, tried, pressure=pressures[:, np.newaxis])
        force = spring_curve(many, None, conditions, travel=judged.travel).force
        if negative is not None and setting.negative_pressure is not None:
            pull = negative_pull(unit, tried, judged, conditions)
            now = float(setting.negative_pressure.si)
            errors, _ = best_negative(force - judged.wanted, pull, now, negative, judged)
        else:
            errors = judged.squares(force)
        least = min(least, float(np.sqrt(errors.min())))
    return least
