"""The Show page's answer: drawings, positions, chamber pressures and the story of a stroke."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from forkwright.app.drafts import Draft
from forkwright.app.drawings import View, drawing_answer, tint_scale
from forkwright.app.story import story_of
from forkwright.app.stroke import Stroke
from forkwright.bench.damping import DampingCurve, damping_curve
from forkwright.bench.loads import rear_wheel_load
from forkwright.bench.rear_sag import wheel_sag
from forkwright.bench.spring import spring_curve
from forkwright.bench.standing import standing_sag
from forkwright.bench.valve_state import ValvesAt, valves_at
from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics import P0
from forkwright.sheets.cutaway import round_scale
from forkwright.units import UnitChoice


def show_answer(
    units: Sequence[Unit], drafts: Sequence[Draft], rider: Rider, bike: Bike, speed: float, shown: UnitChoice
) -> dict[str, Any]:
    """Return everything the page moves and says.

    Parameters
    ----------
    units, drafts : sequences of equal length
        The forks, and what they were read from.
    rider, bike : Rider, Bike
        For sag.
    speed : float
        Of the shaft (m/s).
    shown : UnitChoice
        Units that numbers are written in.
    """
    read = [_stroke(unit, rider, bike, speed) for unit in units]
    scale = _scale(read, shown)
    sides = [
        _shown_side(one, draft, place, shown, scale)
        for place, (one, draft) in enumerate(zip(read, drafts, strict=True))
    ]
    return {"sides": sides, "speed_m_s": speed}


def _scale(strokes: Sequence[Stroke], shown: UnitChoice) -> float:
    """Return one full scale of the tint: that of the gas, or of the oil where there is no gas to tint."""
    if any(one.unit.air_spring is not None for one in strokes):
        return tint_scale([one.spring for one in strokes], shown)
    oil = [
        float(max(chamber.max() for chamber in (one.damping.compression_chamber, one.damping.shaft_chamber)))
        for one in strokes
        if one.damping is not None
    ]
    return round_scale(max(oil, default=P0) - P0, shown)


def _stroke(unit: Unit, rider: Rider, bike: Bike, speed: float) -> Stroke:
    damped = unit.damper is not None
    reached = unit.kind == "fork" or bike.leverage is not None
    shock = unit.kind == "shock" and reached
    return Stroke(
        unit=unit,
        spring=spring_curve(unit),
        sag=standing_sag(unit, rider, bike) if reached else None,
        wheel=wheel_sag(unit, bike, float(rear_wheel_load(rider, bike))) if shock else None,
        speed=speed,
        damping=damping_curve(unit, speeds=np.array([-speed, 0.0, speed])) if damped else None,
        inwards=valves_at(unit, speed) if damped else None,
        outwards=valves_at(unit, -speed) if damped else None,
    )


def _shown_side(stroke: Stroke, draft: Draft, place: int, units: UnitChoice, scale: float) -> dict[str, Any]:
    views: tuple[View, ...] = ("spring", "damper") if stroke.damping is not None else ("spring",)
    if stroke.unit.kind == "shock":
        views = views[-1:]  # all of it stands in one drawing
    phases = _phases(stroke.damping, stroke.inwards, stroke.outwards)
    return {
        "name": stroke.unit.name,
        "travel_m": float(stroke.spring.travel[-1]),
        "drawings": [
            drawing_answer(
                stroke.unit,
                draft,
                stroke.spring,
                view,
                units,
                None,
                identity=f"show-{place}-{view}",
                full_scale=scale,
                oil=phases["rest"]["pressures"] if phases is not None else None,
            )
            for view in views
        ],
        "damper": phases,
        "steps": [asdict(step) for step in story_of(stroke, units)],
    }


def _phases(
    curve: DampingCurve | None, inwards: ValvesAt | None, outwards: ValvesAt | None
) -> dict[str, Any] | None:
    """Return gauge pressures (Pa) by chamber and flows (m3/s) by valve, moving in, out, and at rest."""
    if curve is None or inwards is None or outwards is None:
        return None
    still = {"base": 0.0, "piston": 0.0}
    flows = {
        name: {
            valve: getattr(at, valve).bleed + getattr(at, valve).leak + getattr(at, valve).main
            for valve in still
        }
        for name, at in (("in", inwards), ("out", outwards))
    }
    return {
        phase: {
            "pressures": {
                "compression": float(curve.compression_chamber[index]) - P0,
                "shaft_side": float(curve.shaft_chamber[index]) - P0,
                "reservoir": float(curve.reservoir[index]) - P0,
            },
            "flows": flows.get(phase, still),
        }
        for phase, index in (("out", 0), ("rest", 1), ("in", 2))
    }
