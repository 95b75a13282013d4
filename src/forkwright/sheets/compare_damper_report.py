"""The damper half of the comparison report: curves, stacks under load, what a click does, cavitation maps."""

from __future__ import annotations

import numpy as np

from forkwright.bench.stack_maps import StackUse
from forkwright.bench.valve_state import valves_at
from forkwright.hardware import Unit
from forkwright.sheets.chart import Chart, Line, axis_title
from forkwright.sheets.compare_charts import both_names
from forkwright.sheets.document import Block, Figure, Gallery, Heading, Picture, Sentences, Table
from forkwright.sheets.map_drawing import draw_margin_map
from forkwright.sheets.shim_drawing import draw_stack
from forkwright.sheets.shim_shapes import drawn_stack
from forkwright.tune.compare import Comparison, Side
from forkwright.tune.compare_damper import DamperHalf, DamperSide
from forkwright.units import UnitChoice, show, to_unit

STACK_SPEED = 1.0  # m/s at which the stacks are drawn
WORDS = {"base_valve": "base valve", "rebound_valve": "rebound valve", "mid_valve": "mid valve"}


def damper_blocks(comparison: Comparison, units: UnitChoice) -> list[Block]:
    """Return the report's damper blocks; none where the comparison has no dampers."""
    half = comparison.damper
    if half is None:
        return []
    a, b = comparison.a, comparison.b
    name_a, name_b = both_names(comparison)
    oil = show(half.oil_temperature, "temperature", units)
    return [
        Heading("Damping force over shaft speed"),
        Figure(
            _force_chart(comparison, half, units),
            f"Oil at {oil}; compression to the right. Bands where drawn.",
        ),
        Figure(_near_chart(comparison, half, units), "Both dampers and B at its nearest clicks."),
        Sentences(damper_sentences(comparison, units)),
        _effects_table(name_a, half.a, units),
        _effects_table(name_b, half.b, units),
        Heading("Shim stacks under load"),
        *_stacks(a, name_a, half.oil_temperature, "a", units),
        *_stacks(b, name_b, half.oil_temperature, "b", units),
        Heading("Where the oil parts"),
        *_maps(name_a, half.a, "a", units),
        *_maps(name_b, half.b, "b", units),
    ]


def damper_sentences(comparison: Comparison, units: UnitChoice) -> tuple[str, ...]:
    """Return what matters about the two dampers, each sentence computed."""
    half = comparison.damper
    if half is None:
        return ()
    a, b = both_names(comparison)
    said = []
    difference, near = half.difference, half.nearest
    apart = np.flatnonzero(difference.apart)
    if apart.size:
        gap = difference.second.middle - difference.first.middle
        worst = apart[int(np.argmax(np.abs(gap[apart])))]
        stiffer = b if abs(difference.second.middle[worst]) > abs(difference.first.middle[worst]) else a
        said.append(
            f"The dampers differ by more than their tolerances at {apart.size} of {difference.speed.size} "
            f"speeds; most at {difference.speed[worst]:+.2f} m/s, where {stiffer} damps "
            f"{show(abs(float(gap[worst])), 'force', units)} harder."
        )
    else:
        said.append("At no compared speed do the two dampers differ by more than their tolerances.")
    clicks = ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in near.clicks.items())
    said.append(
        f"{b} damps nearest to {a} with {clicks} from closed: {show(near.rms, 'force', units)} remain on "
        f"average ({show(near.before, 'force', units)} with its present clicks; {near.searched} combinations "
        "tried)."
    )
    for name, side in ((a, half.a), (b, half.b)):
        for words, lost in zip(("compression", "rebound"), side.curve.margin_lost, strict=True):
            if lost is not None:
                said.append(f"{name} loses its cavitation margin in {words} from {lost:.2f} m/s.")
    return tuple(said)


def _force_chart(comparison: Comparison, half: DamperHalf, units: UnitChoice) -> Chart:
    lines = []
    name_a, name_b = both_names(comparison)
    sides = (
        (name_a, half.a.curve, half.difference.first),
        (name_b, half.b.curve, half.difference.second),
    )
    for place, (name, curve, band) in enumerate(sides):
        speed = half.difference.speed
        inside = (curve.speed >= speed[0] - 1e-9) & (curve.speed <= speed[-1] + 1e-9)
        low, high = (np.interp(curve.speed[inside], speed, edge) for edge in (band.low, band.high))
        lines.append(
            Line(
                name, curve.speed[inside], to_unit(curve.force[inside], "force", units),
                to_unit(low, "force", units), to_unit(high, "force", units), place,
            )
        )  # fmt: skip
    return Chart("Damping force", "shaft speed, m/s", axis_title("force", "force", units), tuple(lines))


def _near_chart(comparison: Comparison, half: DamperHalf, units: UnitChoice) -> Chart:
    near = half.nearest
    a, b = both_names(comparison)
    now = half.difference.second.middle
    lines = (
        Line(a, near.speed, to_unit(near.wanted, "force", units), place=0),
        Line(b, half.difference.speed, to_unit(now, "force", units), place=1),
        Line(f"{b}, nearest clicks", near.speed, to_unit(near.reached, "force", units), place=2),
    )
    return Chart("Nearest clicks", "shaft speed, m/s", axis_title("force", "force", units), lines)


def _effects_table(name: str, side: DamperSide, units: UnitChoice) -> Table:
    speeds = side.effects[0].speed if side.effects else np.array([])
    heads = ("one click", *(f"{speed:+.1f}" for speed in speeds))
    rows = tuple(
        (
            f"{effect.adjuster.replace('_', ' ')}, {'open' if effect.step > 0 else 'closed'}",
            *(show(float(change), "force", units) for change in effect.force_change),
        )
        for effect in side.effects
    )
    return Table(f"{name}: what one click changes, by shaft speed in m/s", heads, rows)


def _stacks(side: Side, name: str, oil_temperature: float, mark: str, units: UnitChoice) -> list[Block]:
    """Every stack of a damper at the stated speed, in the direction in which it opens."""
    unit: Unit = side.unit.model_copy(update={"setting": side.setting})
    pictures = []
    for speed in (STACK_SPEED, -STACK_SPEED):
        at = valves_at(unit, speed, oil_temperature=oil_temperature)
        for table, use in at.stacks.items():
            pressure = float(at.across[table])
            if pressure <= 0.0:
                continue
            pictures.append(_stack_picture(name, table, use, pressure, speed, mark, units))
    return [Gallery(tuple(pictures))] if pictures else []


def _stack_picture(
    name: str, table: str, use: StackUse, pressure: float, speed: float, mark: str, units: UnitChoice
) -> Picture:
    drawn = drawn_stack(
        use.stack, use.load, use.seat_radius, pressure, WORDS.get(table, table), fulcrum=use.fulcrum,
        backing_spring=use.spring,
    )  # fmt: skip
    caption = f"{name}, {WORDS.get(table, table)} at {speed:+.1f} m/s"
    return Picture(
        draw_stack(drawn, None, units, f"stack-{mark}-{table}-{'c' if speed > 0 else 'r'}"), caption
    )


def _maps(name: str, damper: DamperSide, mark: str, units: UnitChoice) -> list[Block]:
    pictures = []
    for found in damper.maps:
        adjuster = found.adjuster.replace("_", " ")
        drawn = draw_margin_map(
            found.speed,
            found.clicks,
            found.margin,
            f"{name}, cavitation margin over speed and {adjuster} clicks",
            f"margin-{mark}-{found.adjuster}",
            damper.curve.clicks.get(found.adjuster),
        )
        pictures.append(Picture(drawn, f"{name}: {adjuster}; {_map_words(float(found.margin.max()), units)}"))
    return [Gallery(tuple(pictures))] if pictures else []


def _map_words(most: float, units: UnitChoice) -> str:
    """What the colours of a map stand for; `most` is its largest margin, Pa."""
    framed = "framed: the click set"
    if most <= 0.0:
        return f"every cell has lost its margin, {framed}"
    return f"deep blue is {show(most, 'pressure', units)} of margin, crossed cells have lost it, {framed}"
