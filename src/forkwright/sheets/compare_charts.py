"""The curves of a comparison as charts: force, difference, rate, chamber pressures."""

from __future__ import annotations

import numpy as np

from forkwright.sheets.chart import Chart, Line, Mark, axis_title
from forkwright.tune.compare import Comparison, Side
from forkwright.units import UnitChoice, to_unit


def force_chart(comparison: Comparison, units: UnitChoice) -> Chart:
    """Return force over travel of both with bands and sag, and of B at its nearest setting."""
    names = both_names(comparison)
    sides = (comparison.a, comparison.b)
    lines = [
        _banded(side, name, "force", "force", units, place)
        for place, (side, name) in enumerate(zip(sides, names, strict=True))
    ]
    if comparison.nearest_side is not None:
        near = comparison.nearest_side
        lines.append(_banded(near, f"{names[1]}, nearest setting", "force", "force", units, 2))
    marks = tuple(
        Mark(f"sag {name}", to_unit(float(side.sag.low), "length", units),
             to_unit(float(side.sag.high), "length", units), place)
        for place, (side, name) in enumerate(zip(sides, names, strict=True))
    )  # fmt: skip
    return Chart(
        "Spring force",
        axis_title("travel", "length", units),
        axis_title("force", "force", units),
        tuple(lines),
        marks,
    )


def difference_chart(comparison: Comparison, units: UnitChoice) -> Chart:
    """Return force of B minus force of A with its band, and what the nearest setting leaves of it."""
    difference = comparison.difference
    name_a, name_b = both_names(comparison)
    line = Line(
        f"{name_b} minus {name_a}",
        to_unit(difference.travel, "length", units),
        to_unit(difference.force, "force", units),
        to_unit(difference.band.low, "force", units),
        to_unit(difference.band.high, "force", units),
    )
    lines = [line]
    if comparison.nearest is not None:
        near = comparison.nearest
        lines.append(
            Line(f"{name_b} at its nearest setting minus {name_a}", to_unit(near.travel, "length", units),
                 to_unit(near.remainder, "force", units), place=2)
        )  # fmt: skip
    return Chart(
        "Difference in force",
        axis_title("travel", "length", units),
        axis_title("difference", "force", units),
        tuple(lines),
    )


def rate_chart(comparison: Comparison, units: UnitChoice) -> Chart:
    """Return the spring rates of both with bands."""
    lines = tuple(
        _banded(side, name, "rate", "stiffness", units, place)
        for place, (side, name) in enumerate(
            zip((comparison.a, comparison.b), both_names(comparison), strict=True)
        )
    )
    return Chart(
        "Spring rate", axis_title("travel", "length", units), axis_title("rate", "stiffness", units), lines
    )


def pressure_chart(comparison: Comparison, ambient: float, units: UnitChoice) -> Chart | None:
    """Return the gauge pressures of the main and negative chambers (`ambient` in Pa); None where none is.

    A chamber that a unit does not have stands at one pressure all the way, which no trapped gas does.
    """
    lines = []
    for place, (side, name) in enumerate(
        zip((comparison.a, comparison.b), both_names(comparison), strict=True)
    ):
        travel = to_unit(side.spring.travel, "length", units)
        for entry, thin in (("positive", False), ("negative", True)):
            pressure = getattr(side.spring, entry)
            if np.ptp(pressure) > 0.0:
                gauge = to_unit(pressure - ambient, "pressure", units)
                lines.append(Line(f"{name}, {entry} chamber", travel, gauge, place=place, thin=thin))
    axes = axis_title("travel", "length", units), axis_title("pressure", "pressure", units)
    return Chart("Chamber pressures (gauge)", *axes, tuple(lines)) if lines else None


def both_names(comparison: Comparison) -> tuple[str, str]:
    """Both names, told apart even when they are the same."""
    a, b = comparison.a.unit.name, comparison.b.unit.name
    return (a, b) if a != b else (f"{a} (A)", f"{b} (B)")


def _banded(side: Side, name: str, entry: str, dimension: str, units: UnitChoice, place: int) -> Line:
    spring, band = side.spring, side.bands.get(entry)
    return Line(
        name=name,
        x=to_unit(spring.travel, "length", units),
        y=to_unit(getattr(spring, entry), dimension, units),
        low=None if band is None else to_unit(band.low, dimension, units),
        high=None if band is None else to_unit(band.high, dimension, units),
        place=place,
    )
