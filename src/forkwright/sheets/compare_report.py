"""The report of a comparison: two units side by side for one rider, as blocks any writer can print."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from forkwright.bench import Conditions
from forkwright.hardware import measures
from forkwright.hardware.draws import quantities
from forkwright.sheets.compare_charts import (
    both_names,
    difference_chart,
    force_chart,
    pressure_chart,
    rate_chart,
)
from forkwright.sheets.compare_damper_report import damper_blocks
from forkwright.sheets.compare_words import nearest_sentences, summary_sentences
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway, picture_size, round_scale
from forkwright.sheets.cutaway_data import chamber_samples, floating_at, motion_data, pressures_at
from forkwright.sheets.document import (
    Block,
    Cell,
    Figure,
    Gallery,
    Heading,
    Movers,
    Moving,
    Picture,
    Report,
    Sentences,
    Table,
    Warnings,
)
from forkwright.sheets.legs import spring_leg
from forkwright.tune.compare import Comparison, Side
from forkwright.units import UnitChoice, from_unit, show, show_measure, unit_label

MILLI = 1e3


@dataclass(frozen=True)
class ReportWishes:
    """How the reader wants the report.

    Attributes
    ----------
    rider : str
        Who it is for, any text.
    conditions : Conditions
        Those the comparison was made in.
    units : UnitChoice
        Units shown.
    """

    rider: str = ""
    conditions: Conditions = field(default_factory=Conditions)
    units: UnitChoice = field(default_factory=UnitChoice)


def compare_report(comparison: Comparison, wishes: ReportWishes | None = None) -> Report:
    """Lay out the report of a comparison.

    Parameters
    ----------
    comparison : Comparison
        From `forkwright.tune.compare.compare`.
    wishes : ReportWishes, optional
        Reader, conditions and units.

    Returns
    -------
    Report
        Blocks in reading order: what matters first, then curves, drawings, tables.
    """
    wishes = wishes or ReportWishes()
    a, b, units = comparison.a, comparison.b, wishes.units
    load = show(comparison.load, "force", units)
    who = f"{wishes.rider}, " if wishes.rider else ""
    shocks = a.unit.kind == "shock"
    air = "bumpers included" if shocks else "bumpers and lower-leg air included"
    blocks: list[Block] = [
        Warnings(comparison.warnings),
        Heading("In short"),
        Sentences(summary_sentences(comparison, units)),
        Heading("Spring force over the travel"),
        Figure(force_chart(comparison, units), f"Slow bench, friction-free, {air}."),
        Figure(
            difference_chart(comparison, units),
            "Where zero lies outside the band, the two differ by more than the calipers can tell.",
        ),
        Heading("Stiffness and pressure"),
        Figure(rate_chart(comparison, units)),
        Figure(pressure_chart(comparison, wishes.conditions.ambient_pressure, units)),
        Heading("Inside the shocks" if shocks else "Inside the legs"),
        *_drawings(comparison, wishes),
        Heading("Figures"),
        _figures_table(comparison, wishes),
        _steps_table(comparison, units),
        *_nearest(comparison, units),
        *damper_blocks(comparison, units),
        Heading("What was measured"),
        *(_parts_table(side, name, units) for side, name in zip((a, b), both_names(comparison), strict=True)),
    ]
    return Report(
        title=f"{a.unit.name} and {b.unit.name} compared",
        subtitle=f"{who}{load} {'on the spring of the shock' if shocks else 'along the leg axis'}",
        blocks=tuple(block for block in blocks if not (isinstance(block, Warnings) and not block.lines)),
        fingerprints=(a.unit.fingerprint, b.unit.fingerprint),
    )


# --- drawings --------------------------------------------------------------------------------------------


def _drawings(comparison: Comparison, wishes: ReportWishes) -> list[Block]:
    sides = (comparison.a, comparison.b)
    ambient = wishes.conditions.ambient_pressure
    highest = max(
        float(values.max()) for side in sides for values in chamber_samples(side.spring, ambient).values()
    )
    scale = round_scale(highest, wishes.units)
    sizes = [picture_size(spring_leg(side.unit, side.setting)) for side in sides]
    style = CutawayStyle(
        units=wishes.units, least_size=(max(width for width, _ in sizes), max(height for _, height in sizes))
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
    caption = " ".join((f"{name}, moved by the slider.", *layout.notes))
    return Gallery(tuple(pictures)), Moving(Picture(moving, caption), motion, name)


# --- tables ----------------------------------------------------------------------------------------------


def _figures_table(comparison: Comparison, wishes: ReportWishes) -> Table:
    units, ambient = wishes.units, wishes.conditions.ambient_pressure
    sides = (comparison.a, comparison.b)

    def row(name: str, *values: str) -> tuple[str, ...]:
        return (name, *values)

    rows = [
        row("Sag, middle", *(show(float(side.sag.middle), "length", units) for side in sides)),
        row("Sag, band left by friction", *(
            f"{show(float(side.sag.low), 'length', units)} to {show(float(side.sag.high), 'length', units)}"
            for side in sides
        )),
        row("Sag, share of travel", *(
            f"{100 * float(side.sag.middle) / float(side.spring.travel[-1]):.1f} %" for side in sides
        )),
        row("Travel lost at rest", *(show(float(side.sag.rest), "length", units) for side in sides)),
        row("End pressure, slow", *(
            show(side.figures.end_pressure - ambient, "pressure", units) for side in sides
        )),
        row("End pressure, fast limit", *(
            show(side.figures.end_pressure_fast - ambient, "pressure", units) for side in sides
        )),
        row("Force at full travel", *(show(side.figures.end_force, "force", units) for side in sides)),
        row("Energy to bottom-out, slow", *(show(side.figures.energy, "energy", units) for side in sides)),
        row("Energy to bottom-out, fast limit", *(
            show(side.figures.energy_fast, "energy", units) for side in sides
        )),
        row("Midstroke support (force at 50 % over 30 % of travel)", *(
            f"{side.figures.midstroke_support:.3f}" for side in sides
        )),
    ]  # fmt: skip
    return Table("Figures of both, each at its setting", ("Figure", *both_names(comparison)), tuple(rows))


def _steps_table(comparison: Comparison, units: UnitChoice) -> Table:
    rows = []
    for side, name in zip((comparison.a, comparison.b), both_names(comparison), strict=True):
        for step in side.steps:
            size = f"{step.step:+.0f}" if step.what == "spacer" else _signed(step.step, "pressure", units)
            rows.append(
                (
                    f"{name}: {step.what} {size}",
                    _signed(step.sag, "length", units, 2),
                    _signed(step.half_force, "force", units),
                    _signed(step.end_force, "force", units),
                    _signed(step.end_pressure, "pressure", units),
                )
            )
    heads = ("One step of", "sag", "force at half travel", "force at full travel", "end pressure")
    return Table("What one step changes", heads, tuple(rows))


def _signed(si: float, dimension: str, units: UnitChoice, digits: int | None = None) -> str:
    text = show(si, dimension, units, digits)
    return text if text.startswith("-") else f"+{text}"


def _nearest(comparison: Comparison, units: UnitChoice) -> list[Block]:
    sentences = nearest_sentences(comparison, units)
    return [Heading("Bringing B nearest to A"), Sentences(sentences)] if sentences else []


def _parts_table(side: Side, name: str, units: UnitChoice) -> Table:
    kinds = quantities(side.unit)
    rows = tuple(
        (
            path.replace("_", " ").replace(".", ": "),
            Cell(show_measure(measure, kinds[path].dimension, units), measure.origin),
            measure.note,
        )
        for path, measure in measures(side.unit).items()
    )
    return Table(f"{name}: values as in its file", ("Part", "Value", "Note"), rows)
