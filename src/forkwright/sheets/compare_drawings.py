"""The cut-away drawings of a comparison: one scale and one tint for both, still and moved by one slider."""

from __future__ import annotations

from dataclasses import replace

from forkwright.sheets.compare_charts import both_names
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway, picture_size, round_scale
from forkwright.sheets.cutaway_data import MILLI, chamber_samples, floating_at, motion_data, pressures_at
from forkwright.sheets.document import Block, Gallery, Movers, Moving, Picture
from forkwright.sheets.legs import spring_leg
from forkwright.tune.compare import Comparison, Side
from forkwright.units import UnitChoice, from_unit, show, unit_label


def comparison_drawings(comparison: Comparison, ambient: float, units: UnitChoice) -> list[Block]:
    """Return both springs at full extension, at sag and at full travel, and once more to be moved.

    Parameters
    ----------
    comparison : Comparison
        From `forkwright.tune.compare.compare`.
    ambient : float
        Ambient pressure (Pa) the gauges read against.
    units : UnitChoice
        Units shown.
    """
    sides = (comparison.a, comparison.b)
    highest = max(
        float(values.max()) for side in sides for values in chamber_samples(side.spring, ambient).values()
    )
    scale = round_scale(highest, units)
    sizes = [picture_size(spring_leg(side.unit, side.setting)) for side in sides]
    style = CutawayStyle(
        units=units, least_size=(max(width for width, _ in sizes), max(height for _, height in sizes))
    )
    drawn = [
        _side_drawings(side, name, mark, scale, ambient, style)
        for mark, name, side in zip("ab", both_names(comparison), sides, strict=True)
    ]
    return [*(gallery for gallery, _ in drawn), Movers(tuple(moving for _, moving in drawn))]


def _side_drawings(
    side: Side, name: str, mark: str, scale: float, ambient: float, style: CutawayStyle
) -> tuple[Gallery, Moving]:
    units = style.units
    layout = spring_leg(side.unit, side.setting)
    samples = chamber_samples(side.spring, ambient)
    full = float(side.spring.travel[-1])
    pictures = []
    for place, (words, travel) in enumerate(
        (("at full extension", 0.0), ("at sag", float(side.sag.middle)), ("at full travel", full))
    ):
        svg = draw_cutaway(
            layout,
            layout.pose(travel * MILLI, floating_at(side.spring, travel)),
            pressures_at(samples, side.spring.travel, travel),
            scale,
            f"{name} {words}",
            replace(style, identity=f"leg-{mark}{place}"),
        )
        pictures.append(Picture(svg, f"{name} {words}, {show(travel, 'length', units)}"))
    moving = draw_cutaway(
        layout,
        layout.pose(0.0, floating_at(side.spring, 0.0)),
        pressures_at(samples, side.spring.travel, 0.0),
        scale,
        f"{name}, moved by the slider",
        replace(style, identity=f"leg-{mark}m"),
    )
    one = float(from_unit(1.0, "pressure", units))
    digits = 2 if unit_label("pressure", units) == "bar" else 1
    motion = motion_data(layout, side.spring, ambient, scale, (unit_label("pressure", units), one, digits))
    motion["travel_unit"] = _travel_unit(units)
    caption = " ".join((f"{name}, moved by the slider.", *layout.notes))
    return Gallery(tuple(pictures)), Moving(Picture(moving, caption), motion, name)


def _travel_unit(units: UnitChoice) -> dict[str, str | float | int]:
    """In which unit the page tells where its slider stands: symbol, mm per unit, digits shown."""
    symbol = unit_label("length", units)
    millimetres = float(from_unit(1.0, "length", units)) * MILLI
    return {"symbol": symbol, "mm": millimetres, "digits": 1 if symbol == "mm" else 2}
