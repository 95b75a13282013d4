"""The cut-away for the pages: drawn only when its parts change, moved by data otherwise."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from forkwright.app.drafts import Draft
from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import SpringCurve
from forkwright.hardware import Unit
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway, round_scale
from forkwright.sheets.cutaway_data import chamber_samples, motion_data
from forkwright.sheets.geometry import Layout
from forkwright.sheets.legs import chassis, damper_leg, spring_leg
from forkwright.units import UnitChoice

View = Literal["spring", "damper", "chassis"]
_NO_UNIT = ("Pa", 1.0, 0)  # the page reads pressures out in the units it shows


def drawing_answer(
    unit: Unit,
    draft: Draft,
    curve: SpringCurve,
    view: View,
    units: UnitChoice,
    known: str | None,
    *,
    identity: str = "cutaway",
    full_scale: float | None = None,
    oil: Mapping[str, float] | None = None,
    ambient: float = Conditions().ambient_pressure,
) -> dict[str, Any]:
    """Return the drawing of one unit: its positions, and the drawing itself unless the page has it.

    Parameters
    ----------
    unit, draft, curve
        The unit, what it was read from, and its spring curve.
    view : str
        "spring" or "damper" leg, or the whole "chassis".
    units : UnitChoice
        For the names and the pressure scale in the drawing.
    known : str or None
        The `key` of the drawing that the page already shows.
    identity : str
        Prefix of the ids in the drawing.
    full_scale : float, optional
        Gauge pressure (Pa) at the dark end of the tint, where drawings are compared.
    oil : mapping of str to float, optional
        Gauge pressures (Pa) of the damper's chambers by role, where they are to be read in the drawing.
    ambient : float
        What gauges read against (Pa absolute).

    Returns
    -------
    dict
        ``key``, ``svg`` (null when the page has it), ``motion``, ``notes`` and ``view`` (the one drawn: a
        unit without damper sizes has no damper leg).
    """
    layout, drawn_view = _layout(unit, view)
    samples = chamber_samples(curve, ambient)
    scale = full_scale or tint_scale([curve], units)
    key = drawing_key(draft, unit.setting.spacers, unit.setting.preload, drawn_view, units, scale, identity)
    svg = None
    if key != known:
        style = CutawayStyle(identity=identity, units=units)
        gauge = {role: float(values[0]) for role, values in samples.items()} | dict(oil or {})
        svg = draw_cutaway(layout, None, gauge, scale, f"{unit.name}, cut away", style)
    return {
        "key": key,
        "svg": svg,
        "view": drawn_view,
        "motion": motion_data(layout, curve, ambient, scale, _NO_UNIT),
        "notes": list(layout.notes),
    }


def tint_scale(curves: Sequence[SpringCurve], units: UnitChoice) -> float:
    """Return one full scale (gauge Pa) of the tint for drawings that stand side by side."""
    ambient = Conditions().ambient_pressure
    highest = max(
        (float(values.max()) for curve in curves for values in chamber_samples(curve, ambient).values()),
        default=0.0,
    )
    return round_scale(highest, units)


def _layout(unit: Unit, view: View) -> tuple[Layout, View]:
    if unit.kind == "shock":  # all of it stands in one drawing
        return spring_leg(unit), "damper" if view == "damper" else "spring"
    if view == "chassis":
        return chassis(unit), "chassis"
    if view == "damper":
        leg = damper_leg(unit)
        if leg is not None:
            return leg, "damper"
    return spring_leg(unit), "spring"


def drawing_key(draft: Draft, *rest: object) -> str:
    """Return a name for what is drawn of a draft's parts; of the setting counts only what is in `rest`."""
    parts = {path: value for path, value in draft.edits.items() if not path.startswith("setting.")}
    content = json.dumps([draft.toml, parts, [str(item) for item in rest]], sort_keys=True)
    return hashlib.sha256(content.encode()).hexdigest()[:16]
