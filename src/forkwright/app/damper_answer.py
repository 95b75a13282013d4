"""The damper's answers for the pages: stacks as written, and everything at one shaft speed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from forkwright.app.drafts import Draft
from forkwright.app.drawings import drawing_key
from forkwright.bench.stack_maps import bent_discs
from forkwright.bench.valve_state import FlowAt, ValvesAt, valves_at
from forkwright.hardware import Unit
from forkwright.physics import P0
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway, round_scale
from forkwright.sheets.cutaway_data import still_data
from forkwright.sheets.legs import damper_leg
from forkwright.sheets.shim_drawing import draw_stack, stack_of_shapes
from forkwright.units import UnitChoice

TITLES = {"base_valve": "Base valve", "rebound_valve": "Rebound valve", "mid_valve": "Mid-valve"}


def stack_lists(unit: Unit, document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the shim stacks as the file writes them, from the valve face to the clamp.

    Parameters
    ----------
    unit : Unit
        Which valves there are.
    document : mapping
        The parsed file, whose own words for each shim are kept.
    """
    if unit.damper is None:
        return []
    written = document.get("damper", {})
    return [
        {
            "path": f"damper.{table}.shims",
            "table": table,
            "title": title,
            "shims": written.get(table, {}).get("shims", []),
        }
        for table, title in TITLES.items()
        if getattr(unit.damper, table).shims
    ]


def answer_at_speed(
    unit: Unit,
    draft: Draft,
    speed: float,
    oil_temperature: float,
    units: UnitChoice,
    known: Mapping[str, str],
    stiffening: bool = False,
) -> dict[str, Any]:
    """Return what the damper does at one speed: force by path, flows, bent stacks, tinted drawing.

    Parameters
    ----------
    unit, draft : Unit, Draft
        The unit, and what it was read from.
    speed : float
        m/s, positive in compression.
    oil_temperature : float
        K.
    units : UnitChoice
        Of the texts in the drawings.
    known : mapping of str to str
        The `key` of every drawing that the page already shows, by stack table or "cutaway"; such a drawing
        is not drawn again, its `svg` is null.
    stiffening : bool
        Let the shims stretch as well as bend; the drawings show them bent alone.
    """
    at = valves_at(unit, speed, oil_temperature=oil_temperature, stiffening=stiffening)
    return {
        "speed_m_s": speed,
        "force_N": at.force,
        "by_path_N": {name.replace(" ", "_"): force for name, force in at.by_path.items()},
        "flows": {"base": _flow(at.base), "piston": _flow(at.piston)},
        "stacks": [_stack(table, at, units, known.get(table)) for table in at.stacks],
        "cutaway": _cutaway(unit, draft, at, units, known.get("cutaway")),
    }


def _flow(flow: FlowAt) -> dict[str, float]:
    return {
        "bleed_m3_s": flow.bleed,
        "leak_m3_s": flow.leak,
        "main_m3_s": flow.main,
        "drop_Pa": flow.drop,
    }


def _stack(table: str, at: ValvesAt, units: UnitChoice, known: str | None) -> dict[str, Any]:
    use, pressure = at.stacks[table], at.across[table]
    key = hashlib.sha256(repr((use, pressure, units)).encode()).hexdigest()[:16]
    svg = None
    if key != known:
        drawn = stack_of_shapes(
            use.stack,
            use.load,
            use.seat_radius,
            pressure,
            bent_discs(use, 0.0),
            bent_discs(use, pressure),
            TITLES[table],
        )
        svg = draw_stack(drawn, None, units, f"stack-{table}")
    return {"table": table, "title": TITLES[table], "across_Pa": pressure, "key": key, "svg": svg}


def _cutaway(
    unit: Unit, draft: Draft, at: ValvesAt, units: UnitChoice, known: str | None
) -> dict[str, Any] | None:
    """The damper leg at half travel; its tints and readings move with `motion`."""
    layout = damper_leg(unit)
    if layout is None:
        return None
    gauge = {role: pressure - P0 for role, pressure in at.chambers.items()}
    scale = round_scale(max(gauge.values()), units)
    key = drawing_key(draft, unit.setting.spacers, unit.setting.preload, units, scale)
    svg = None
    pose = layout.pose(layout.travel / 2)
    if key != known:
        style = CutawayStyle(identity="damper", units=units)
        svg = draw_cutaway(layout, pose, gauge, scale, f"{unit.name}, damper leg cut away", style)
    return {"key": key, "svg": svg, "motion": still_data(pose, gauge, scale)}
