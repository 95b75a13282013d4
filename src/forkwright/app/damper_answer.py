"""The damper's answers for the pages: stacks as written, and everything at one shaft speed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from forkwright.app.damper_questions import Place
from forkwright.app.drafts import Draft
from forkwright.app.drawings import drawing_key
from forkwright.bench.damping_variations import ClickEffect
from forkwright.bench.stack_maps import StackUse, bent_discs, stack_opening, stretch_words
from forkwright.bench.valve_state import FlowAt, ValvesAt, valves_at
from forkwright.hardware import Unit
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway, round_scale
from forkwright.sheets.cutaway_data import still_data
from forkwright.sheets.legs import damper_leg
from forkwright.sheets.shim_drawing import draw_stack
from forkwright.sheets.shim_shapes import stack_of_shapes
from forkwright.units import UnitChoice

OPENING_PRESSURES = np.linspace(0.0, 20e5, 41)
"""Pressures across a stack at which its opening is told (Pa), as `forkwright shims` takes them."""

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
    place: Place,
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
    place : Place
        Where the damper stands.
    units : UnitChoice
        Of the texts in the drawings.
    known : mapping of str to str
        The `key` of every drawing that the page already shows, by stack table or "cutaway"; such a drawing
        is not drawn again, its `svg` is null.
    stiffening : bool
        Let the shims stretch as well as bend; the drawings show them bent alone.
    """
    at = valves_at(unit, speed, oil_temperature=oil_temperature, **place, stiffening=stiffening)
    return {
        "speed_m_s": speed,
        "force_N": at.force,
        "by_path_N": {name.replace(" ", "_"): force for name, force in at.by_path.items()},
        "flows": {"base": _flow(at.base), "piston": _flow(at.piston)},
        "stacks": [_stack(table, at, units, known.get(table)) for table in at.stacks],
        "cutaway": _cutaway(unit, draft, at, place, units, known.get("cutaway")),
    }


def stack_openings(unit: Unit, oil_temperature: float, place: Place) -> list[dict[str, Any]]:
    """Return every stack's opening and stress against pressure, as it is built in at its clicks.

    The shims bend alone; where they would stretch too, a warning says how much less they open then.

    Parameters
    ----------
    unit : Unit
    oil_temperature : float
        K.
    place : Place
        Where the damper stands.
    """
    built = valves_at(unit, 0.0, oil_temperature=oil_temperature, **place).stacks
    return [_opening(table, use) for table, use in built.items()]


def _opening(table: str, use: StackUse) -> dict[str, Any]:
    found = stack_opening(use, OPENING_PRESSURES)
    notes = list(found.warnings)
    if found.lifts_far:
        stretched = stack_opening(replace(use, stiffening=True), OPENING_PRESSURES[-1:])
        notes.append(stretch_words(found, stretched))
    return {
        "table": table,
        "title": TITLES[table],
        "pressure_Pa": found.pressure,
        "opening_m": found.opening,
        "stress_Pa": found.stress,
        "yield_stress_Pa": use.stack.assumed_yield,
        "seat_reaction_N": found.seat_reaction,
        "warnings": notes,
    }


def click_rows(effects: Iterable[ClickEffect]) -> list[dict[str, Any]]:
    """Return what one click changes under the keys of the command line."""
    return [
        {
            "adjuster": effect.adjuster,
            "clicks": effect.clicks,
            "step": effect.step,
            "speed_m_s": effect.speed,
            "force_change_N": effect.force_change,
        }
        for effect in effects
    ]


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
    unit: Unit, draft: Draft, at: ValvesAt, place: Place, units: UnitChoice, known: str | None
) -> dict[str, Any] | None:
    """The damper leg where its reservoir stands; its tints and readings move with `motion`."""
    layout = damper_leg(unit)
    if layout is None:
        return None
    gauge = {role: pressure - place["ambient_pressure"] for role, pressure in at.chambers.items()}
    scale = round_scale(max(gauge.values()), units)
    key = drawing_key(draft, unit.setting.spacers, unit.setting.preload, units, scale)
    svg = None
    position = place["position"]
    pose = layout.pose(layout.travel / 2 if position is None else position * 1e3)
    if key != known:
        style = CutawayStyle(identity="damper", units=units)
        svg = draw_cutaway(layout, pose, gauge, scale, f"{unit.name}, damper leg cut away", style)
    return {"key": key, "svg": svg, "motion": still_data(pose, gauge, scale)}
