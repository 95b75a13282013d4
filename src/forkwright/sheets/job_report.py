"""The full report of a job: what was found, done and set, with the curves before and after."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from forkwright.bench import Conditions, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics import Unphysical
from forkwright.sheets.card_of_unit import CardDay, chamber_readings, limit_warnings
from forkwright.sheets.chart import Chart, Line
from forkwright.sheets.document import Block, Figure, Heading, Report, Sentences, Table, Warnings
from forkwright.sheets.fonts import isolated
from forkwright.sheets.job_papers import (
    NOT_SIGNED,
    JobPapers,
    day_of,
    from_the_file,
    service_lines,
    setting_of,
    unit_of,
)
from forkwright.sheets.setup_card import CAUTIONS
from forkwright.units import InputError, UnitChoice, show, to_unit, unit_label

MOMENTS = (("before", "As it came in"), ("after", "As it leaves"))
SETTING_ROWS = (
    ("pressure", "Main chamber, gauge"),
    ("floating", "Secondary chamber, gauge"),
    ("negative_pressure", "Negative chamber, gauge"),
    ("preload", "Spring preload"),
    ("spacers", "Volume spacers"),
    ("low_speed", "Low-speed compression, clicks from closed"),
    ("high_speed", "High-speed compression, clicks from closed"),
    ("rebound", "Rebound, clicks from closed"),
    ("sag", "Sag measured"),
    ("temperature", "Temperature"),
    ("altitude", "Altitude"),
    ("remark", "Remark"),
)


def report_of_job(papers: JobPapers, units: UnitChoice | None = None) -> Report:
    """Lay out the report of a job.

    Parameters
    ----------
    papers : JobPapers
        From `job_papers.papers_of`.
    units : UnitChoice, optional
        Units of the curves; what was typed stands as typed.

    Returns
    -------
    Report
        Blocks in reading order.
    """
    view, units = papers.view, units or UnitChoice()
    unit = unit_of(papers)
    curves, notes = _curves(papers, unit, units) if unit is not None else ([], [])
    signed = () if papers.signed else (NOT_SIGNED,)
    blocks: list[Block] = [
        Warnings((*signed, *notes)),
        Heading("The visit"),
        Table("", ("Job", str(view["number"])), tuple(_visit(view)), texts=(1,)),
        Heading("Inspection"),
        *_inspection(view),
        *_materials(view),
        *_leak_downs(view),
        Heading("Settings"),
        *_settings(view),
        *curves,
        Heading("Next service"),
        Sentences(
            tuple(f"{what}: {when}." for what, when in service_lines(view["next_service"])) or ("Not set.",)
        ),
        Heading("Signatures"),
        *_signatures(view),
        Heading("Before the first ride"),
        Sentences(CAUTIONS),
    ]
    named = view["unit"]["serial"]
    return Report(
        title=f"{isolated(view['unit']['name'])}: service report",
        subtitle=f"Job {view['number']}" + (f", serial number {isolated(named)}" if named else ""),
        blocks=tuple(block for block in blocks if not (isinstance(block, Warnings) and not block.lines)),
        fingerprints=() if unit is None else (unit.fingerprint,),
    )


# --- what was written down -------------------------------------------------------------------------------


def _visit(view: Mapping[str, Any]) -> list[tuple[str, str]]:
    rider, hours = view["rider"], view["riding_h"]
    rows = (
        ("Received", view["received_at"][:10]),
        ("Handed over", (view["closed_at"] or "")[:10]),
        ("Customer", "" if view["customer"] is None else view["customer"]["name"]),
        ("Bike", "" if view["bike"] is None else view["bike"]["name"]),
        ("Rider", _joined(", ", rider["name"], rider["mass"], rider["manner"])),
        ("Riding since the last service", "" if hours is None else f"{hours:g} h"),
        ("What the rider felt", view["complaint"]),
        ("What was done", view["work_done"]),
    )
    return [(name, text) for name, text in rows if text]


def _inspection(view: Mapping[str, Any]) -> list[Block]:
    from forkwright.shop.inspection import check_list

    names = {item.key: item.what for item in check_list(view["unit"]["kind"])}
    rows = tuple(
        (names.get(row["item"], row["item"]), row["result"], row["measured"], row["limit"],
         _joined("; ", row["remark"], row["resolved"]))
        for row in view["findings"]
    )  # fmt: skip
    blocks: list[Block] = []
    if rows:
        heads = ("Looked at", "Found", "Measured", "Shop's limit", "Note")
        blocks.append(Table("", heads, rows, texts=(4,)))
    if view["not_inspected"]:
        left = ", ".join(names[key].lower() for key in view["not_inspected"])
        blocks.append(Sentences((f"Not looked at: {left}.",)))
    return blocks


def _materials(view: Mapping[str, Any]) -> list[Block]:
    rows = tuple(
        (row["name"], row["kind"], row["part_number"], row["amount"], row["place"])
        for row in view["materials"]
    )
    heads = ("What", "Kind", "Number", "Amount", "Note")
    return [Heading("Parts and oil"), Table("", heads, rows, texts=(4,))] if rows else []


def _leak_downs(view: Mapping[str, Any]) -> list[Block]:
    rows = tuple(
        (
            row["chamber"],
            row["start_pressure"],
            row["end_pressure"],
            f"{row['time_s'] / 3600.0:g} h",
            row["verdict"],
        )
        for row in view["leak_downs"]
    )
    heads = ("Chamber", "Begun at, gauge", "Ended at, gauge", "After", "Verdict")
    return [Heading("Leak-down"), Table("", heads, rows, texts=(4,))] if rows else []


def _settings(view: Mapping[str, Any]) -> list[Block]:
    settings = view["settings"]
    if not settings:
        return [Sentences(("No setting was written down.",))]
    rows = []
    for key, name in SETTING_ROWS:
        texts = [_text(settings[moment][key]) if moment in settings else "" for moment, _ in MOMENTS]
        if any(texts):
            rows.append((name, *texts))
    return [Table("", ("Setting", *(words for _, words in MOMENTS)), tuple(rows))]


def _signatures(view: Mapping[str, Any]) -> list[Block]:
    rows = tuple(
        (row["name"], row["role"], row["at"][:10], "yes" if row["still_holds"] else "no")
        for row in view["signatures"]
    )
    if not rows:
        return [Sentences(("Nobody has signed.",))]
    said = tuple(
        f"{isolated(row['name'])}: {row['statement']}" for row in view["signatures"] if row["statement"]
    )
    return [Table("", ("Name", "As", "On", "Nothing changed since"), rows), Sentences(said)]


def _joined(between: str, *parts: str) -> str:
    return between.join(isolated(part) for part in parts if part)


def _text(value: Any) -> str:
    return "" if value is None else str(value)


# --- what is computed ------------------------------------------------------------------------------------


def _curves(papers: JobPapers, unit: Unit, units: UnitChoice) -> tuple[list[Block], list[str]]:
    """Return the charts of every setting that can be computed, and what to say about the others."""
    notes: list[str] = []
    settings: list[tuple[str, Setting, CardDay]] = []
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


def _spring_charts(
    unit: Unit, settings: list[tuple[str, Setting, CardDay]], units: UnitChoice, notes: list[str]
) -> list[Block]:
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
    charts: list[Block] = [
        Figure(
            Chart(
                "Spring force", _axis("travel", "length", units), _axis("force", "force", units), tuple(force)
            ),
            "Computed from the measured parts in the unit's file, friction-free, each at its own setting.",
        )
    ]
    if pressure:
        axes = (_axis("travel", "length", units), _axis("gauge pressure", "pressure", units))
        charts.append(Figure(Chart("Main chamber", *axes, tuple(pressure))))
    return charts


def _damper_charts(
    unit: Unit, settings: list[tuple[str, Setting, CardDay]], units: UnitChoice, notes: list[str]
) -> list[Block]:
    from forkwright.bench.damping import damping_curve

    if unit.damper is None:
        return []
    lines = []
    for place, (words, setting, day) in enumerate(settings):
        curve = damping_curve(unit, setting, day.temperature)
        notes += getattr(curve, "warnings", ())
        speed = to_unit(curve.speed, "speed", units)
        lines.append(Line(words, speed, to_unit(curve.force, "force", units), place=place))
    axes = (_axis("shaft speed, compression positive", "speed", units), _axis("force", "force", units))
    return [Figure(Chart("Damping force", *axes, tuple(lines)), "Oil at the workshop's temperature.")]


def _weather(
    unit: Unit, settings: list[tuple[str, Setting, CardDay]], units: UnitChoice, notes: list[str]
) -> list[Block]:
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


def _axis(name: str, dimension: str, units: UnitChoice) -> str:
    return f"{name}, {unit_label(dimension, units)}"
