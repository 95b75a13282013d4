"""What a sound file still deserves a remark for: assumed values, missing tolerances, odd ratios."""

from __future__ import annotations

import numpy as np

from forkwright.bench.lower_legs import lock_words, reachable_travel
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Unit, measures

_HIGH_RATIO = 12.0


def remarks(unit: Unit) -> list[str]:
    """Return remarks on a sound unit; an answer that would be unphysical is raised.

    Parameters
    ----------
    unit : Unit
        As it was read from its file.

    Returns
    -------
    list of str

    Raises
    ------
    Unphysical
        If the unit cannot be compressed over its travel with its own setting.

    Notes
    -----
    The compression past which a volume is asked about is our own choice; common practice, no source.
    """
    locked = lock_words(unit)
    curve = spring_curve(unit, travel=np.linspace(0.0, reachable_travel(unit), 161))
    notes = [*([locked] if locked is not None else []), *curve.warnings]
    for origin in ("assumed", "fitted"):
        named = [path for path, measure in measures(unit).items() if measure.origin == origin]
        if named:
            notes.append(f"{origin}, not measured: {', '.join(named)}")
    exact = [path for path in _WORTH_A_TOLERANCE if path in measures(unit) and not measures(unit)[path].std]
    if exact:
        notes.append(f"no tolerance given, so taken as exact: {', '.join(exact)}")
    if (
        unit.chassis is not None
        and unit.chassis.breakaway is None
        and unit.chassis.bushing_friction is not None
    ):
        notes.append("chassis.breakaway is not given: 1 is taken, so the sag band is at its narrowest")
    ratio = float(np.max(curve.positive) / curve.positive[0])
    if ratio > _HIGH_RATIO:
        notes.append(f"the positive chamber is compressed {ratio:.0f} times: is its volume right?")
    if np.any(np.diff(curve.force) < 0.0):
        notes.append(
            "the force falls somewhere over the travel: are the volumes and the transfer point right?"
        )
    return notes


_WORTH_A_TOLERANCE = (
    "air_spring.bore",
    "air_spring.shaft",
    "air_spring.positive_volume",
    "air_spring.negative_volume",
    "air_spring.transfer",
)
