"""The report of a blind trial as a print: plan and verdict on the first page, raw data on the second."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from forkwright.sheets.fonts import isolated
from forkwright.sheets.typst_print import print_template
from forkwright.trial.report import raw_heading, raw_note, raw_rows

MOST_SESSIONS = 150
MOST_REMARKS = 20


def trial_report_pdf(content: Mapping[str, Any]) -> bytes:
    """Return the report on two A4 pages as PDF; the same content gives the same bytes.

    Parameters
    ----------
    content : mapping
        From `forkwright.trial.report_content`. Sessions past the 150th and remarks past the 20th do not fit
        and are counted in the print.
    """
    return print_template("trial_report.typ", template_data(dict(content))).content


def template_data(content: dict[str, Any]) -> dict[str, Any]:
    """Return what the template prints: texts, table rows, and bars as shares of their width."""
    plan, analysis = content["plan"], content["analysis"]
    rows, remarks = raw_rows(content), [_remark(one) for one in content["remarks"]]
    bars = [_bar(one, analysis["main"]) for one in analysis["main"]]
    return {
        "title": plan["name"],
        "footer": f"Blind trial, planned {plan['planned_at'][:10]}. Commitment {content['commitment'][:16]}…",
        "verdict": analysis["verdict"],
        "beside": analysis["beside_p"],
        "warnings": analysis["warnings"],
        "explanation": analysis["explanation"],
        "trends": [trend["sentence"] for trend in analysis["trends"]] or ["Too few answers to see a drift."],
        "bars": bars,
        "legend": "Bar: interval; dot: seen; line: no difference; dotted: the difference worth finding.",
        "facts": _facts(content),
        "rules": plan["rules"],
        "raw_heads": raw_heading(content),
        "raw_rows": rows[:MOST_SESSIONS],
        "raw_note": " ".join([raw_note(content), _cut(len(rows), MOST_SESSIONS, "sessions")]).strip(),
        "most_columns": 3 if len(plan["labels"]) <= 3 else 2,
        "remarks": remarks[:MOST_REMARKS]
        + [note for note in [_cut(len(remarks), MOST_REMARKS, "remarks")] if note],
        "left_out": _left_out(analysis["left_out"]),
        "log": [
            *(f"{one['at']} {one['event']}, by {one['by']}" for one in content["log"]),
            f"{content['cards_shown']} cards were shown to the mechanic",
        ],
    }


def _facts(content: dict[str, Any]) -> list[list[str]]:
    plan = content["plan"]
    settings = "; ".join(f"{option['label']}: {_setting(option)}" for option in content["options"])
    return [
        ["Question", plan["question"]],
        ["Options", settings],
        [
            "Design",
            f"{plan['design']}; {len(plan['riders'])} riders, {plan['answers']} answers to each question, "
            f"{plan['runs']} runs on {plan['days']} day(s)",
        ],
        ["Power", f"{plan['power']:.2f} at a risk of {plan['alpha']:g} ({plan['power_how']})"],
        ["Riders", ", ".join(plan["riders"])],
        ["Leader, mechanic", f"{plan['leader']}, {plan['mechanic']}"],
        ["Seed", str(plan["seed"])],
        ["Commitment", content["commitment"]],
        ["Salt", content["salt"]],
        [
            "Key",
            "fits the commitment; "
            + (
                "seed and salt give the same draw again"
                if content["draw_repeats"]
                else "seed and salt do NOT give this draw"
            ),
        ],
    ]


def _setting(option: dict[str, Any]) -> str:
    return ", ".join(f"{key} {value}" for key, value in option["setting"].items()) or "as it is"


def _bar(one: dict[str, Any], family: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return a comparison as a bar on the axis of its family: places as shares of the width."""
    worthwhile = _worthwhile(one)
    if one["unit"] == "share":
        start, end = 0.0, 1.0
        words = f"{one['estimate']:.0%} ({one['low']:.0%} to {one['high']:.0%})"
    else:
        ends = [other[key] for other in family for key in ("low", "high", "null")] + worthwhile
        margin = 0.05 * (max(ends) - min(ends)) or 1.0
        start, end = min(ends) - margin, max(ends) + margin
        span = f" ({one['low']:+.3g} to {one['high']:+.3g})" if one["low"] < one["high"] else ""
        words = f"{one['estimate']:+.3g}{span} {one['unit']}"

    def at(value: float) -> float:
        return (value - start) / (end - start)

    return {
        "name": f"{one['first']} – {one['second']}",
        "words": words,
        "low": at(one["low"]),
        "high": at(one["high"]),
        "estimate": at(one["estimate"]),
        "null": at(one["null"]),
        "worthwhile": [at(value) for value in worthwhile],
    }


def _worthwhile(one: dict[str, Any]) -> list[float]:
    if one["measure"] in ("triangle", "duo-trio"):
        return [one["worthwhile"]]
    if one["unit"] == "share":
        return [one["worthwhile"], 1 - one["worthwhile"]]
    return [one["worthwhile"], -one["worthwhile"]] if one["worthwhile"] else []


def _remark(one: dict[str, Any]) -> str:
    code = f" (code {one['code']})" if one["code"] else ""
    text = one["text"] if len(one["text"]) <= 160 else one["text"][:157] + "…"
    return f"{one['at']} {isolated(one['by'])}{code}: {isolated(text)}"


def _left_out(left_out: Sequence[Sequence[str]]) -> list[str]:
    reasons: dict[str, int] = {}
    for _, reason in left_out:
        reasons[reason.partition(" for ")[0]] = reasons.get(reason.partition(" for ")[0], 0) + 1
    return [f"{count} answer(s): {reason}" for reason, count in reasons.items()]


def _cut(count: int, most: int, what: str) -> str:
    return f"{most} of {count} {what}; all of them are in the report's JSON." if count > most else ""
