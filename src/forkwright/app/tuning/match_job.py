"""The match for its page: the tune room's answer, the springs behind it, and what to change on B."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from forkwright.app.setting_edits import coil_edits, edits_to
from forkwright.app.tuning.courses import chosen
from forkwright.app.tuning.questions import UseQuestion, read_quantity
from forkwright.app.wire import plain
from forkwright.hardware import Bike, Rider, Unit
from forkwright.units import InputError, UnitChoice

if TYPE_CHECKING:
    from forkwright.bench.spring import SpringCurve
    from forkwright.tune.match import Match
    from forkwright.tune.use import Use

Tell = Callable[[float, str], None]


def match_job(
    a: Unit,
    b: Unit,
    rider: Rider,
    bike: Bike,
    asked: UseQuestion,
    oil_temperature: float,
    units: UnitChoice,
    tell: Tell,
) -> dict[str, Any]:
    """Return B's setting nearest to A, with sentences and curves; `oil_temperature` in K."""
    from forkwright.bench.spring import spring_curve
    from forkwright.tune.match import match
    from forkwright.tune.match_answer import match_answer
    from forkwright.tune.nearest_spring import PUMP_STEP

    use = _use(a, b, rider, bike, asked, tell)
    tell(0.6, "trying settings of B")
    step = bike.pump_step.si if bike.pump_step is not None else PUMP_STEP
    found = match(a, b, use=use, oil_temperature=oil_temperature, pump_step=step)
    tell(0.9, "drawing")
    springs = {
        "a": spring_curve(a),
        "b": spring_curve(b),
        "nearest": _nearest(b, found),
    }
    edits = edits_to(found.setting, b.setting, units) or {}
    curves = {
        name: None if curve is None else {"travel_m": curve.travel, "force_N": curve.force}
        for name, curve in springs.items()
    }
    answer: dict[str, Any] = plain(
        match_answer(a, b, found, units)
        | {
            "springs": curves,
            "edits": edits | coil_edits(b, found.coil.rate if found.coil is not None else None),
        }
    )
    return answer


def _nearest(b: Unit, found: Match) -> SpringCurve | None:
    """B's spring as matched, with its other coil where it is one; None where nothing could be set."""
    from forkwright.bench.spring import spring_curve
    from forkwright.tune.nearest_coil import with_rate

    if found.coil is not None:
        return spring_curve(with_rate(b, found.coil.rate), found.setting)
    return spring_curve(b, found.setting) if found.spring is not None else None


def _use(a: Unit, b: Unit, rider: Rider, bike: Bike, asked: UseQuestion, tell: Tell) -> Use | None:
    from forkwright.tune.use import stated_use, use_from_rides

    full = min(float(a.travel.si), float(b.travel.si))
    if asked.kind == "even":
        return None
    if asked.kind == "stated":
        low = read_quantity(asked.used_from, "length", "used from", 0.0)
        high = read_quantity(asked.used_to, "length", "used to", full)
        return stated_use(full, low, high, read_quantity(asked.fastest, "speed", "fastest", 2.0))
    if not asked.courses:
        raise InputError("choose at least one course", key="courses")
    from forkwright.ride.simulate import simulate

    scores, names = [], []
    for number, choice in enumerate(asked.courses):
        course = chosen(choice)
        tell(0.5 * number / len(asked.courses), f"riding {a.name} over {course.name}")
        scores.append(simulate(a, course, rider=rider, bike=bike).scores)
        names.append(course.name)
    words = f"a simulated ride of {a.name} over {', '.join(names)}"
    return use_from_rides(scores, float(a.travel.si), words)
