"""Draws one unit's cut-away at one travel as a file of its own: the bench computes, this lays out."""

from __future__ import annotations

from typing import Literal

from forkwright.bench import Conditions, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway, round_scale
from forkwright.sheets.cutaway_data import chamber_samples, floating_at, pressures_at
from forkwright.sheets.legs import chassis, damper_leg, spring_leg
from forkwright.units import InputError, Measure, UnitChoice

Leg = Literal["spring", "damper", "both"]
LEGS: tuple[Leg, ...] = ("spring", "damper", "both")


def cutaway_of_unit(
    unit: Unit,
    setting: Setting,
    travel: Measure,
    leg: Leg,
    conditions: Conditions,
    units: UnitChoice,
    keys: tuple[str, str] = ("travel", "leg"),
) -> tuple[str, tuple[str, ...]]:
    """Return the drawing as SVG text, and what to know about it.

    Parameters
    ----------
    unit, setting, conditions
        What is drawn, at which setting and on which day.
    travel : Measure
        Compression to draw, m.
    leg : str
        The air spring's or the damper's leg of a fork, or both.
    units : UnitChoice
        Units of the readings in the drawing.
    keys : tuple of str
        What travel and leg are called where they were typed, for errors.

    Raises
    ------
    InputError
        A travel out of range, or a damper leg of a unit that has no damper sizes.
    """
    if not 0.0 <= travel.si <= unit.travel.si:
        raise InputError("out of range", key=keys[0], value=travel.text, allowed=f"0 to {unit.travel.text}")
    layout = {"spring": spring_leg, "damper": damper_leg, "both": chassis}[leg](unit, setting)
    if layout is None:
        raise InputError("the file has no damper to draw", key=keys[1], value=leg, allowed="spring, both")
    curve = spring_curve(unit, setting, conditions)
    samples = chamber_samples(curve, conditions.ambient_pressure)
    scale = round_scale(max((float(p.max()) for p in samples.values()), default=0.0), units)
    pose = layout.pose(travel.si * 1e3, floating_at(curve, travel.si))
    known = pressures_at(samples, curve.travel, travel.si)
    svg = draw_cutaway(layout, pose, known, scale, unit.name, CutawayStyle(units=units))
    return svg, (*curve.warnings, *layout.notes)
