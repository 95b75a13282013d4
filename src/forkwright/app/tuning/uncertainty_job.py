"""Uncertainty for its page: bands, variance shares, and the verdict on a second fork."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from forkwright.app.jobs import Tell
from forkwright.app.question import conditions_of, oil_temperature
from forkwright.app.tuning.questions import UncertaintyQuestion, read_field
from forkwright.app.tuning.ride_fields import read_if_given
from forkwright.app.wire import plain
from forkwright.hardware import Bike, Rider, Unit
from forkwright.units import UnitChoice

if TYPE_CHECKING:
    from forkwright.bench.standing import Standing


def uncertainty_job(
    unit: Unit,
    against: Unit | None,
    rider: Rider,
    bike: Bike,
    asked: UncertaintyQuestion,
    units: UnitChoice,
    tell: Tell,
) -> dict[str, Any]:
    """Return how sure the answers are and which measure to repeat."""
    from forkwright.physics.constants import P0
    from forkwright.tune.compare import compare
    from forkwright.tune.damping_verdict import damping_verdict
    from forkwright.tune.naming import measure_words
    from forkwright.tune.uncertainty import uncertainty
    from forkwright.tune.uncertainty_answer import uncertainty_answer
    from forkwright.tune.verdict import verdict

    day, oil = conditions_of(asked.day), oil_temperature(asked.oil_temperature)
    load = load_on(unit, rider, bike, asked)
    share = 0.8 if against is not None else 0.98
    found = uncertainty(
        unit,
        load.axial,
        conditions=day,
        side_load=load.side,
        samples=asked.samples,
        progress=lambda done: tell(share * done, "drawing forks from the tolerances"),
    )
    judged = damped = None
    if against is not None:
        tell(share, f"comparing with {against.name}")
        judged = verdict(
            compare(
                unit, against, load.axial, load_b=load_on(against, rider, bike, asked).axial,
                side_load=load.side, conditions=day, damper_draws=2,
            )
        )  # fmt: skip
        damped = damping_verdict(
            unit,
            against,
            oil_temperature=oil,
            progress=lambda done: tell(0.85 + 0.13 * done, "drawing dampers"),
        )
    answer: dict[str, Any] = plain(uncertainty_answer(unit, found, judged, units, damped=damped))
    for row in answer["answers"]:  # the pages read pressures as a gauge does
        row["zero"] = P0 if row["unit"] == "Pa" else 0.0
    answer["repeat_first_words"] = measure_words(found.repeat_first) if found.repeat_first else None
    return answer


def load_on(unit: Unit, rider: Rider, bike: Bike, asked: UncertaintyQuestion) -> Standing:
    """Return the load that was typed, or what the rider puts on the unit.

    Raises
    ------
    InputError
        For a load that is none, or a shock whose bike has no leverage curve.
    """
    from forkwright.bench.standing import Standing, standing_load

    axial = read_if_given(asked.load, "force", "load")
    side = read_field(asked.side_load, "force", "side load", 0.0)
    if axial is not None:
        return Standing(axial, side, None)
    return standing_load(unit, rider, bike, conditions_of(asked.day))
