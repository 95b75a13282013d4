"""The Show page: one fork, or two side by side, cut away and moving through a stroke, each step explained."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

import numpy as np
from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.drafts import Draft
from forkwright.app.drawings import View, drawing_answer, tint_scale
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units
from forkwright.app.state import Drafts, Pages
from forkwright.app.story import Stroke, told
from forkwright.app.wire import Answer
from forkwright.bench.damping import DampingCurve, damping_curve
from forkwright.bench.loads import ForkLoad, fork_load
from forkwright.bench.sag import sag
from forkwright.bench.spring import spring_curve
from forkwright.bench.valve_state import ValvesAt, valves_at
from forkwright.hardware import Unit
from forkwright.physics import P0
from forkwright.units import UnitChoice

PAGE = Page("/show", "Show", 40, "A moving, labelled cut-away through a stroke, each step explained")
router = APIRouter()


class ShowQuestion(BaseModel):
    """One or two forks, who rides them, and how fast the stroke is."""

    model_config = ConfigDict(extra="forbid")

    forks: Annotated[list[Draft], Field(min_length=1, max_length=2)]
    rider: Draft
    bike: Draft
    speed_m_s: Annotated[float, Field(gt=0.0, le=5.0, allow_inf_nan=False)] = 1.0
    units: Annotated[dict[str, str], Field(max_length=20)] = {}


@router.get("/show", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "show.html", title="Show")


@router.post("/api/show", tags=["show"])
def stroke(question: ShowQuestion, drafts: Drafts) -> Answer:
    """Return drawings, positions, chamber pressures and the story of a stroke."""
    units = chosen_units(question.units)
    load = fork_load(drafts.rider(question.rider), drafts.bike(question.bike))
    read = [_stroke(drafts.unit(draft), load, question.speed_m_s) for draft in question.forks]
    scale = tint_scale([one.spring for one in read], units)
    sides = [
        _side(one, draft, place, units, scale)
        for place, (one, draft) in enumerate(zip(read, question.forks, strict=True))
    ]
    return Answer({"sides": sides, "speed_m_s": question.speed_m_s})


def _stroke(unit: Unit, load: ForkLoad, speed: float) -> Stroke:
    damped = unit.damper is not None
    return Stroke(
        unit=unit,
        spring=spring_curve(unit),
        sag=sag(unit, float(load.axial), side_load=float(load.side)) if unit.kind == "fork" else None,
        speed=speed,
        damping=damping_curve(unit, speeds=np.array([-speed, 0.0, speed])) if damped else None,
        inwards=valves_at(unit, speed) if damped else None,
        outwards=valves_at(unit, -speed) if damped else None,
    )


def _side(stroke: Stroke, draft: Draft, place: int, units: UnitChoice, scale: float) -> dict[str, Any]:
    views: tuple[View, ...] = ("spring", "damper") if stroke.damping is not None else ("spring",)
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
        "steps": [asdict(step) for step in told(stroke, units)],
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
