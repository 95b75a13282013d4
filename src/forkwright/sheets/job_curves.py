"""The computed half of a job's report: curves before and after, and what the gauge shows by weather."""

from __future__ import annotations

from forkwright.bench import Conditions, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics import Unphysical
from forkwright.sheets.card_of_unit import CardDay, chamber_readings, limit_warnings
from forkwright.sheets.chart import Chart, Line, axis_title
from forkwright.sheets.document import Block, Figure, Heading, Table
from forkwright.sheets.job_papers import MOMENTS, JobPapers, day_of, from_the_file, setting_of
from forkwright.units import InputError, UnitChoice, show, to_unit

#: A setting that can be computed: when it was found, the setting, and the day's weather.
Found = tuple[str, Setting, CardDay]


def job_curves(papers: JobPapers, unit: Unit, units: UnitChoice) -> tuple[list[Block], list[str]]:
    """Return charts and tables of every setting that can be computed, and what to say about the others.

    Parameters
    ----------
    papers : JobPapers
        With the settings as written down.
    unit : Unit
        From its newest file.
    units : UnitChoice
        Units of the curves.
    """
    notes: list[str] = []
    settings: list[Found] = []
    for moment, words in MOMENTS:
        fields = papers.view["settings"].get(moment)
        if fields is None:
            continue
        try:
            settings.append((words, setting_of(unit, fields), day_of(fields)))
            notes += [f"{words}: {words_left}" for words_left in from_the_file(unit, fields)]
        except InputError as fault:
            notes.append(f"{words}: no curve, since {fault}")
    blocks: list[Block] = []
    for heading, draw in (
        ("Spring", _spring_charts),
        ("Damper", _damper_charts),
        ("Pressure by weather", _weather),
    ):
        try:
            found = draw(unit, settings, units, notes) if settings else []
        except (InputError, Unphysical) as fault:
            notes.append(f"{heading}: nothing computed, since {fault}")
            continue
        blocks += [Heading(heading), *found] if found else []
    return blocks, list(dict.fromkeys(notes))


def _spring_charts(unit: Unit, settings: list[Found], units: UnitChoice, notes: list[str]) -> list[Block]:
    force, pressure = [], []
    for place, (words, setting, day) in enumerate(settings):
        conditions = Conditions.at(day.altitude, day.temperature, day.altitude, day.temperature)
        curve = spring_curve(unit, setting, conditions)
        notes += curve.warnings
        travel = to_unit(curve.travel, "length", units)
        force.append(Line(words, travel, to_unit(curve.force, "force", units), place=place))
        if curve.positive is not None:
            gauge = to_unit(curve.positive - conditions.ambient_pressure, "pressure", units)
            pressure.append(Line(words, travel, gauge, place=place))
    along = axis_title("travel", "length", units)
    charts: list[Block] = [
        Figure(
            Chart("Spring force", along, axis_title("force", "force", units), tuple(force)),
            "Computed from the measured parts in the unit's file, friction-free, each at its own setting.",
        )
    ]
    if pressure:
        up = axis_title("gauge pressure", "pressure", units)
        charts.append(Figure(Chart("Main chamber", along, up, tuple(pressure))))
    return charts


def _damper_charts(unit: Unit, settings: list[Found], units: UnitChoice, notes: list[str]) -> list[Block]:
    from forkwright.bench.damping import damping_curve

    if unit.damper is None:
        return []
    lines = []
    for place, (words, setting, day) in enumerate(settings):
        curve = damping_curve(unit, setting, day.temperature)
        notes += getattr(curve, "warnings", ())
        speed = to_unit(curve.speed, "speed", units)
        lines.append(Line(words, speed, to_unit(curve.force, "force", units), place=place))
    axes = (
        axis_title("shaft speed, compression positive", "speed", units),
        axis_title("force", "force", units),
    )
    return [Figure(Chart("Damping force", *axes, tuple(lines)), "Oil at the workshop's temperature.")]


def _weather(unit: Unit, settings: list[Found], units: UnitChoice, notes: list[str]) -> list[Block]:
    words, setting, day = settings[-1]
    if words != MOMENTS[-1][1]:
        return []
    chambers = chamber_readings(unit, setting, day)
    notes += limit_warnings(unit, chambers, day, units)
    heads = ("Temperature", *(f"{altitude:.0f} m" for altitude in day.altitudes))
    tables: list[Block] = []
    for chamber in chambers:
        rows = tuple(
            (show(heat, "temperature", units, 0), *(show(float(value), "pressure", units) for value in line))
            for heat, line in zip(day.temperatures, chamber.readings, strict=True)
        )
        tables.append(
            Table(f"{chamber.name}: what the gauge shows later, by temperature and altitude", heads, rows)
        )
    return tables
