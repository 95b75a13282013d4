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
from forkwright.physics.values import Array
from forkwright.tune.nearest_spring import NearestSpring
from forkwright.units import Measure

WORTH_NAMING = 0.05  # of the remainder
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
    wanted = np.interp(spring.travel, target.travel, target.force)
    found = []
    for part, words, changed in _swaps(a, b, a.air_spring, b.air_spring, setting_a, setting_b):
        start = setting_b
        if setting_b.floating is None and part == "floating piston":
            start = setting_b.model_copy(update={"floating": setting_a.floating})
        rms = _best_rms(changed, start, spring, wanted, conditions)
        share = 1.0 - rms / spring.rms
        if share > WORTH_NAMING:
            found.append(Reason(part, words, rms, share))
    return tuple(sorted(found, key=lambda reason: -reason.share))


def _swaps(
    a: Unit, b: Unit, air_a: AirSpring, air_b: AirSpring, setting_a: Setting, setting_b: Setting
) -> Iterator[tuple[str, str, Unit]]:
    """Yield B with one part made like A's."""
    area_a, area_b = air_a.bore.si**2, air_b.bore.si**2
    if air_a.negative_volume is not None and air_b.negative_volume is not None:
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


def _best_rms(
    unit: Unit, setting: Setting, spring: NearestSpring, wanted: Array, conditions: Conditions | None
) -> float:
    """Smallest weighted rms with pressure (half to double the present one) and spacers set again."""
    assert setting.pressure is not None
    air = unit.air_spring
    pressures = setting.pressure.si * np.geomspace(0.5, 2.0, PRESSURES)
    kept: dict[str, object] = {"pressure": Measure(pressures[:, np.newaxis], text="many")}  # type: ignore[arg-type]
    if air is not None and air.floating is None:
        kept["floating"] = None
    most = air.spacers.max_count if air is not None and air.spacers is not None else 0
    least = float("inf")
    for spacers in range(max(0, setting.spacers - NEAR), min(most, setting.spacers + NEAR) + 1):
        tried = setting.model_copy(update={"spacers": spacers})
        if any(key == "setting.spacers" for key, *_ in faults_of_setting(unit, tried)):
            continue
        many = unit.model_copy(update={"setting": setting.model_copy(update={**kept, "spacers": spacers})})
        force = spring_curve(many, None, conditions, travel=spring.travel).force
        least = min(least, float(np.sqrt(((force - wanted) ** 2 @ spring.weight).min())))
    return least
