"""The match for its page: the tune room's answer, the springs behind it, and what to change on B."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from forkwright.app.jobs import Tell
from forkwright.app.question import conditions_of
from forkwright.app.setting_edits import coil_edits, edits_to
from forkwright.app.tuning.courses import chosen
from forkwright.app.tuning.drawer import drawer_from
from forkwright.app.tuning.logged import Log, logged_ride
from forkwright.app.tuning.questions import (
    MatchQuestion,
    RevalveQuestion,
    UseQuestion,
    pump_steps,
    read_field,
)
from forkwright.app.wire import plain
from forkwright.hardware import Bike, Rider, Unit
from forkwright.units import InputError, UnitChoice

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.spring import SpringCurve
    from forkwright.tune.match import Match
    from forkwright.tune.use import Use


def match_job(
    a: Unit,
    b: Unit,
    rider: Rider,
    bike: Bike,
    asked: MatchQuestion,
    log: Log | None,
    oil_temperature: float,
    units: UnitChoice,
    tell: Tell,
) -> dict[str, Any]:
    """Return B's setting nearest to A, with sentences and curves; `oil_temperature` in K."""
    from forkwright.bench.spring import spring_curve
    from forkwright.tune.match import match
    from forkwright.tune.match_answer import match_answer

    day, steps = conditions_of(asked.day), pump_steps(asked, bike)
    use = _logged(a, log, tell) if log is not None else _use(a, b, rider, bike, asked.use, day, tell)
    end = 0.95 if asked.revalve.kind == "none" else 0.7
    found = match(
        a, b, use=use, conditions=day, oil_temperature=oil_temperature, pump_step=steps.main,
        secondary_step=steps.secondary,
        progress=lambda share: tell(0.5 + (end - 0.5) * share, "settings, and parts off by their tolerances"),
    )  # fmt: skip
    stacks = _stacks(b, found, asked.revalve, oil_temperature, tell)
    tell(0.96, "drawing")
    springs = {
        "a": spring_curve(a, None, day),
        "b": spring_curve(b, None, day),
        "nearest": _nearest(b, found, day),
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
            "revalve": stacks,
            "edits": edits | coil_edits(b, found.coil.rate if found.coil is not None else None),
        }
    )
    return answer


def _nearest(b: Unit, found: Match, day: Conditions) -> SpringCurve | None:
    """B's spring as matched, with its other coil where it is one; None where nothing could be set."""
    from forkwright.bench.spring import spring_curve
    from forkwright.tune.nearest_coil import with_rate

    if found.coil is not None:
        return spring_curve(with_rate(b, found.coil.rate), found.setting, day)
    return spring_curve(b, found.setting, day) if found.spring is not None else None


def _stacks(
    b: Unit, found: Match, asked: RevalveQuestion, oil_temperature: float, tell: Tell
) -> dict[str, Any] | None:
    """Return proposals for B's valves, None where none are wanted."""
    from forkwright.tune.match_revalve import own_shims, revalve_for
    from forkwright.tune.revalve_answer import revalve_answer

    if asked.kind == "none":
        return None
    shims = own_shims(b) if asked.kind == "own" else drawer_from(asked.shims)
    answers = revalve_for(
        b, found, shims, oil_temperature=oil_temperature,
        progress=lambda share: tell(0.7 + 0.25 * share, "solving stacks"),
    )  # fmt: skip
    return {valve: revalve_answer(one) for valve, one in answers.items()}


def _logged(a: Unit, log: Log, tell: Tell) -> Use:
    """Return what a log brought in on the Ride logs page used."""
    from forkwright.tune.use import use_from

    used = logged_ride(log, a, lambda share, words: tell(0.5 * share, words)).whole.used
    return use_from(used, f"{used.duration / 60.0:.1f} minutes of riding in {log.held.name}")


def _use(
    a: Unit, b: Unit, rider: Rider, bike: Bike, asked: UseQuestion, day: Conditions, tell: Tell
) -> Use | None:
    from forkwright.tune.use import stated_use, use_from_rides

    full = min(float(a.travel.si), float(b.travel.si))
    if asked.kind == "even":
        return None
    if asked.kind == "stated":
        low = read_field(asked.used_from, "length", "used from", 0.0)
        high = read_field(asked.used_to, "length", "used to", full)
        return stated_use(full, low, high, read_field(asked.fastest, "speed", "fastest", 2.0))
    if not asked.courses:
        raise InputError("choose at least one course", key="courses")
    from forkwright.ride.simulate import simulate

    scores, names = [], []
    for number, choice in enumerate(asked.courses):
        course = chosen(choice)
        tell(0.5 * number / len(asked.courses), f"riding {a.name} over {course.name}")
        scores.append(simulate(a, course, rider=rider, bike=bike, conditions=day).scores)
        names.append(course.name)
    words = f"a simulated ride of {a.name} over {', '.join(names)}"
    return use_from_rides(scores, float(a.travel.si), words)
