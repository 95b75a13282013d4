"""The report of a comparison: two units side by side for one rider, as blocks any writer can print."""

from __future__ import annotations

from dataclasses import dataclass, field

from forkwright.bench import Conditions
from forkwright.hardware import measures
from forkwright.hardware.draws import quantities
from forkwright.sheets.chart import Chart, Line, Mark
from forkwright.sheets.compare_words import nearest_sentences, summary_sentences
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway, round_scale
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
from forkwright.units import UnitChoice, from_unit, show, show_measure, to_unit, unit_label

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
    blocks: list[Block] = [
        Warnings(comparison.warnings),
        Heading("In short"),
        Sentences(summary_sentences(comparison, units)),
        Heading("Spring force over the travel"),
        Figure(
            _force_chart(comparison, units), "Slow bench, friction-free, bumpers and lower-leg air included."
        ),
        Figure(
            _difference_chart(comparison, units),
            "Where zero lies outside the band, the two differ by more than the calipers can tell.",
        ),
        Heading("Stiffness and pressure"),
        Figure(_rate_chart(comparison, units)),
        Figure(_pressure_chart(comparison, wishes)),
        Heading("Inside the legs"),
        *_drawings(comparison, wishes),
        Heading("Figures"),
        _figures_table(comparison, wishes),
        _steps_table(comparison, units),
        *_nearest(comparison, units),
        Heading("What was measured"),
        *(_parts_table(side, units) for side in (a, b)),
    ]
    return Report(
        title=f"{a.unit.name} and {b.unit.name} compared",
        subtitle=f"{who}{load} along the leg axis",
        blocks=tuple(block for block in blocks if not (isinstance(block, Warnings) and not block.lines)),
        fingerprints=(a.unit.fingerprint, b.unit.fingerprint),
    )


# --- curves ----------------------------------------------------------------------------------------------


def _names(comparison: Comparison) -> tuple[str, str]:
    """Both names, told apart even when they are the same."""
    a, b = comparison.a.unit.name, comparison.b.unit.name
    return (a, b) if a != b else (f"{a} (A)", f"{b} (B)")


def _axis(quantity: str, dimension: str, units: UnitChoice) -> str:
    return f"{quantity}, {unit_label(dimension, units)}"


def _banded(side: Side, name: str, entry: str, dimension: str, units: UnitChoice, place: int) -> Line:
    spring, band = side.spring, side.bands.get(entry)
    return Line(
        name=name,
        x=to_unit(spring.travel, "length", units),
        y=to_unit(getattr(spring, entry), dimension, units),
        low=None if band is None else to_unit(band.low, dimension, units),
        high=None if band is None else to_unit(band.high, dimension, units),
        place=place,
    )


def _force_chart(comparison: Comparison, units: UnitChoice) -> Chart:
    names = _names(comparison)
    sides = (comparison.a, comparison.b)
    lines = [
        _banded(side, name, "force", "force", units, place)
        for place, (side, name) in enumerate(zip(sides, names, strict=True))
    ]
    if comparison.nearest_side is not None:
        near = comparison.nearest_side
        lines.append(_banded(near, f"{names[1]}, nearest setting", "force", "force", units, 2))
    marks = tuple(
        Mark(f"sag {name}", to_unit(float(side.sag.low), "length", units),
             to_unit(float(side.sag.high), "length", units), place)
        for place, (side, name) in enumerate(zip(sides, names, strict=True))
    )  # fmt: skip
    return Chart(
        "Spring force", _axis("travel", "length", units), _axis("force", "force", units), tuple(lines), marks
    )


def _difference_chart(comparison: Comparison, units: UnitChoice) -> Chart:
    difference = comparison.difference
    name_a, name_b = _names(comparison)
    line = Line(
        f"{name_b} minus {name_a}",
        to_unit(difference.travel, "length", units),
        to_unit(difference.force, "force", units),
        to_unit(difference.band.low, "force", units),
        to_unit(difference.band.high, "force", units),
    )
    lines = [line]
    if comparison.nearest is not None:
        near = comparison.nearest
        lines.append(
            Line(f"{name_b} at its nearest setting minus {name_a}", to_unit(near.travel, "length", units),
                 to_unit(near.remainder, "force", units), place=2)
        )  # fmt: skip
    return Chart(
        "Difference in force",
        _axis("travel", "length", units),
        _axis("difference", "force", units),
        tuple(lines),
    )


def _rate_chart(comparison: Comparison, units: UnitChoice) -> Chart:
    lines = tuple(
        _banded(side, name, "rate", "stiffness", units, place)
        for place, (side, name) in enumerate(
            zip((comparison.a, comparison.b), _names(comparison), strict=True)
        )
    )
    return Chart("Spring rate", _axis("travel", "length", units), _axis("rate", "stiffness", units), lines)


def _pressure_chart(comparison: Comparison, wishes: ReportWishes) -> Chart:
    units, ambient = wishes.units, wishes.conditions.ambient_pressure
    lines = []
    for place, (side, name) in enumerate(zip((comparison.a, comparison.b), _names(comparison), strict=True)):
        travel = to_unit(side.spring.travel, "length", units)
        for entry, thin in (("positive", False), ("negative", True)):
            gauge = to_unit(getattr(side.spring, entry) - ambient, "pressure", units)
            lines.append(Line(f"{name}, {entry} chamber", travel, gauge, place=place, thin=thin))
    return Chart(
        "Chamber pressures (gauge)",
        _axis("travel", "length", units),
        _axis("pressure", "pressure", units),
        tuple(lines),
    )


# --- drawings --------------------------------------------------------------------------------------------


def _drawings(comparison: Comparison, wishes: ReportWishes) -> list[Block]:
    sides = (comparison.a, comparison.b)
    ambient = wishes.conditions.ambient_pressure
    highest = max(
        float(values.max()) for side in sides for values in chamber_samples(side.spring, ambient).values()
    )
    scale = round_scale(highest, wishes.units)
    drawn = [
        _side_drawings(side, mark, scale, ambient, wishes.units)
        for mark, side in zip("ab", sides, strict=True)
    ]
    return [*(gallery for gallery, _ in drawn), Movers(tuple(moving for _, moving in drawn))]


def _side_drawings(
    side: Side, mark: str, scale: float, ambient: float, units: UnitChoice
) -> tuple[Gallery, Moving]:
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
            f"{side.unit.name} {words}",
            CutawayStyle(identity=f"leg-{mark}{place}", units=units),
        )
        pictures.append(Picture(svg, f"{side.unit.name} {words}, {show(travel, 'length', units)}"))
    moving = draw_cutaway(
        layout,
        layout.pose(0.0, floating_at(side.spring, 0.0)),
        pressures_at(samples, side.spring.travel, 0.0),
        scale,
        f"{side.unit.name}, moved by the slider",
        CutawayStyle(identity=f"leg-{mark}m", units=units),
    )
    one = float(from_unit(1.0, "pressure", units))
    digits = 2 if unit_label("pressure", units) == "bar" else 1
    motion = motion_data(layout, side.spring, ambient, scale, (unit_label("pressure", units), one, digits))
    caption = " ".join((f"{side.unit.name}, moved by the slider.", *layout.notes))
    return Gallery(tuple(pictures)), Moving(Picture(moving, caption), motion, side.unit.name)


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
    return Table("Figures of both, each at its setting", ("Figure", *_names(comparison)), tuple(rows))


def _steps_table(comparison: Comparison, units: UnitChoice) -> Table:
    rows = []
    for side, name in zip((comparison.a, comparison.b), _names(comparison), strict=True):
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


def _parts_table(side: Side, units: UnitChoice) -> Table:
    kinds = quantities(side.unit)
    rows = tuple(
        (
            path.replace("_", " ").replace(".", ": "),
            Cell(show_measure(measure, kinds[path].dimension, units), measure.origin),
            measure.note,
        )
        for path, measure in measures(side.unit).items()
    )
    return Table(f"{side.unit.name}: values as in its file", ("Part", "Value", "Note"), rows)
