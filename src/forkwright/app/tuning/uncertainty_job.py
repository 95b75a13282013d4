"""Uncertainty for its page: bands, variance shares, and the verdict on a second fork."""

from __future__ import annotations

from typing import Any

from forkwright.app.jobs import Tell
from forkwright.app.wire import plain
from forkwright.hardware import Bike, Rider, Unit
from forkwright.units import UnitChoice


def uncertainty_job(
    unit: Unit,
    against: Unit | None,
    rider: Rider,
    bike: Bike,
    samples: int,
    units: UnitChoice,
    tell: Tell,
) -> dict[str, Any]:
    """Return how sure the answers are and which measure to repeat; `samples` is a power of two."""
    from forkwright.bench.standing import standing_load
    from forkwright.physics.constants import P0
    from forkwright.tune.compare import compare
    from forkwright.tune.damping_verdict import damping_verdict
    from forkwright.tune.naming import measure_words
    from forkwright.tune.uncertainty import uncertainty
    from forkwright.tune.uncertainty_answer import uncertainty_answer
    from forkwright.tune.verdict import verdict

    load = standing_load(unit, rider, bike)
    share = 0.8 if against is not None else 0.98
    found = uncertainty(
        unit,
        load.axial,
        side_load=load.side,
        samples=samples,
        progress=lambda done: tell(share * done, "drawing forks from the tolerances"),
    )
    judged = damped = None
    if against is not None:
        tell(share, f"comparing with {against.name}")
        judged = verdict(compare(unit, against, load.axial, side_load=load.side, damper_draws=2))
        damped = damping_verdict(
            unit,
            against,
            progress=lambda done: tell(0.85 + 0.13 * done, "drawing dampers"),
        )
    answer: dict[str, Any] = plain(uncertainty_answer(unit, found, judged, units, damped=damped))
    for row in answer["answers"]:  # the pages read pressures as a gauge does
        row["zero"] = P0 if row["unit"] == "Pa" else 0.0
    answer["repeat_first_words"] = measure_words(found.repeat_first) if found.repeat_first else None
    return answer
