"""What happens in a fork or a shock through one stroke, step by step, computed from the bench's curves.

No sentence is said in general: each stands only where the unit has the part and the curve shows the event.
"""

from __future__ import annotations

from forkwright.app import story_damper, story_spring
from forkwright.app.stroke import Step, Stroke
from forkwright.units import UnitChoice


def story_of(stroke: Stroke, units: UnitChoice) -> list[Step]:
    """Return the steps of a stroke: the way in by travel, then the way back.

    Parameters
    ----------
    stroke : Stroke
    units : UnitChoice
        Units the numbers are written in.
    """
    inwards = [
        *story_spring.unloaded(stroke, units),
        *story_spring.chambers_meet(stroke, units),
        *story_spring.sag(stroke, units),
        *story_spring.floating_piston(stroke, units),
        *story_spring.half_way(stroke, units),
        *story_damper.oil_in(stroke, units),
        *story_spring.bumper(stroke, units),
        story_spring.full_travel(stroke, units),
    ]
    return sorted(inwards, key=lambda step: step.travel) + story_damper.way_back(stroke, units)
