"""The report of a comparison: two units side by side for one rider, as blocks any writer can print."""

from __future__ import annotations

from dataclasses import dataclass, field

from forkwright.bench import Conditions
from forkwright.bench.rear_sag import WheelSag
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
from forkwright.sheets.compare_drawings import comparison_drawings
from forkwright.sheets.compare_words import nearest_sentences, summary_sentences, wheel_sentences
from forkwright.sheets.document import (
    Block,
    Cell,
    Figure,
    Heading,
    Report,
    Sentences,
    Table,
    Warnings,
)
from forkwright.tune.compare import Comparison, Side
from forkwright.units import UnitChoice, show, show_measure


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
    wheel : tuple of WheelSag
        Where the rear wheel rests on A and on B; empty for forks.
    """

    rider: str = ""
    conditions: Conditions = field(default_factory=Conditions)
    units: UnitChoice = field(default_factory=UnitChoice)
    wheel: tuple[WheelSag, ...] = ()


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
    pressures = pressure_chart(comparison, wishes.conditions.ambient_pressure, units)
    blocks: list[Block] = [
        Warnings(_warnings(comparison, wishes.wheel)),
        Heading("In short"),
        Sentences((*summary_sentences(comparison, units), *wheel_sentences(comparison, wishes.wheel, units))),
        Heading("Spring force over the travel"),
        Figure(force_chart(comparison, units), f"Slow bench, friction-free, {air}."),
        Figure(
            difference_chart(comparison, units),
            "Where zero lies outside the band, the two differ by more than the calipers can tell.",
        ),
        Heading("Stiffness" if pressures is None else "Stiffness and pressure"),
        Figure(rate_chart(comparison, units)),
        *([Figure(pressures)] if pressures is not None else []),
        Heading("Inside the shocks" if shocks else "Inside the legs"),
        *comparison_drawings(comparison, wishes.conditions.ambient_pressure, units),
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


def _warnings(comparison: Comparison, wheel: tuple[WheelSag, ...]) -> tuple[str, ...]:
    said = (*comparison.warnings, *(warning for one in wheel for warning in one.warnings))
    return tuple(dict.fromkeys(said))


def _figures_table(comparison: Comparison, wishes: ReportWishes) -> Table:
    units, ambient = wishes.units, wishes.conditions.ambient_pressure
    sides = (comparison.a, comparison.b)

    def row(name: str, *values: str) -> tuple[str, ...]:
        return (name, *values)

    def gauge(side: Side, pressure: float) -> str:
        return "–" if side.unit.air_spring is None else show(pressure - ambient, "pressure", units)

    rows = [
        row("Sag, middle", *(show(float(side.sag.middle), "length", units) for side in sides)),
        row("Sag, band left by friction", *(
            f"{show(float(side.sag.low), 'length', units)} to {show(float(side.sag.high), 'length', units)}"
            for side in sides
        )),
        row("Sag, share of travel", *(
            f"{100 * float(side.sag.middle) / float(side.spring.travel[-1]):.1f} %" for side in sides
        )),
        *_wheel_rows(wishes.wheel, units),
        row("Travel lost at rest", *(show(float(side.sag.rest), "length", units) for side in sides)),
        row("End pressure, slow", *(gauge(side, side.figures.end_pressure) for side in sides)),
        row("End pressure, fast limit", *(gauge(side, side.figures.end_pressure_fast) for side in sides)),
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


def _wheel_rows(wheel: tuple[WheelSag, ...], units: UnitChoice) -> list[tuple[str, ...]]:
    """What the rear wheel does on each shock; nothing for forks."""
    if not wheel:
        return []
    return [
        ("Load at the wheel", *(show(one.wheel_load, "force", units) for one in wheel)),
        ("Sag at the wheel, middle", *(show(one.middle, "length", units) for one in wheel)),
        (
            "Sag at the wheel, band left by friction",
            *(f"{show(one.low, 'length', units)} to {show(one.high, 'length', units)}" for one in wheel),
        ),
        ("Sag at the wheel, share of its travel", *(f"{100 * one.middle / one.full:.1f} %" for one in wheel)),
        ("Leverage ratio at that sag", *(f"{one.ratio:.2f}" for one in wheel)),
    ]


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
