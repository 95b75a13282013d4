"""The full report of a job: what was found, done and set, with the curves before and after."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from forkwright.sheets.document import Block, Heading, Report, Sentences, Table, Warnings
from forkwright.sheets.fonts import isolated
from forkwright.sheets.job_curves import job_curves
from forkwright.sheets.job_papers import MOMENTS, NOT_SIGNED, JobPapers, service_lines, unit_of
from forkwright.sheets.setup_card import CAUTIONS
from forkwright.units import UnitChoice

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
    curves, notes = job_curves(papers, unit, units) if unit is not None else ([], [])
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
