"""The damper's answers for the pages: the static curve, and everything at one shaft speed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from forkwright.bench.damping import DampingCurve, damping_curve
from forkwright.bench.valve_state import FlowAt, ValvesAt, valves_at
from forkwright.hardware import Unit
from forkwright.physics import P0
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway
from forkwright.sheets.legs import damper_leg
from forkwright.sheets.shim_drawing import draw_stack, drawn_stack
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


def answer_at_speed(unit: Unit, speed: float, oil_temperature: float, units: UnitChoice) -> dict[str, Any]:
    """Return what the damper does at one speed: force by path, flows, deflected stacks, tinted drawing."""
    at = valves_at(unit, speed, oil_temperature=oil_temperature)
    curve = damping_curve(unit, None, oil_temperature, np.array([speed]))
    return {
        "speed_m_s": speed,
        "force_N": float(curve.force[0]),
        "by_path_N": {name.replace(" ", "_"): float(force[0]) for name, force in curve.by_path.items()},
        "flows": {"base": _flow(at.base), "piston": _flow(at.piston)},
        "stacks": [_stack(table, at, units) for table in at.stacks],
        "cutaway": _cutaway(unit, curve, units),
    }


def _flow(flow: FlowAt) -> dict[str, float]:
    return {
        "bleed_m3_s": flow.bleed,
        "leak_m3_s": flow.leak,
        "main_m3_s": flow.main,
        "drop_Pa": flow.drop,
    }


def _stack(table: str, at: ValvesAt, units: UnitChoice) -> dict[str, Any]:
    use, pressure = at.stacks[table], at.across[table]
    drawn = drawn_stack(
        use.stack,
        use.load,
        use.seat_radius,
        pressure,
        TITLES[table],
        fulcrum=use.fulcrum,
        backing_spring=use.spring,
    )
    return {
        "table": table,
        "title": TITLES[table],
        "across_Pa": pressure,
        "svg": draw_stack(drawn, None, units, f"stack-{table}"),
    }


def _cutaway(unit: Unit, curve: DampingCurve, units: UnitChoice) -> str | None:
    layout = damper_leg(unit)
    if layout is None:
        return None
    gauge = {
        "compression": float(curve.compression_chamber[0]) - P0,
        "shaft_side": float(curve.shaft_chamber[0]) - P0,
        "reservoir": float(curve.reservoir[0]) - P0,
    }
    style = CutawayStyle(identity="damper", units=units)
    pose = layout.pose(layout.travel / 2)
    return draw_cutaway(layout, pose, gauge, None, f"{unit.name}, damper leg cut away", style)
