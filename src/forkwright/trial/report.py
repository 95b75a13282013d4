"""The report as data and as a plain page: plan, commitment, raw data, analysis, verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from html import escape
from typing import Any

from forkwright.trial.analysis import Options, analyse_trial
from forkwright.trial.answers import Answers, counted
from forkwright.trial.closing import draw_repeats
from forkwright.trial.findings import Analysis
from forkwright.trial.folder import Trial
from forkwright.trial.seal import Key
from forkwright.trial.views import leader_view

#: Letters in all the options' labels together, above which the table of raw data names them by a letter.
_SHORT = 30
#: Stands behind the rider of a session that the leader typed in.
TYPED = " *"


def analysis_content(analysis: Analysis) -> dict[str, Any]:
    """Return an analysis as plain content for JSON."""
    return asdict(analysis)


def report_content(trial: Trial, options: Options | None = None) -> dict[str, Any]:
    """Return everything that belongs into the report of an opened trial, as plain content.

    Parameters
    ----------
    trial : Trial
        The trial; it must be open.
    options : Options, optional
        The Bayesian update, if wanted.

    Raises
    ------
    InputError
        If the trial is not open.
    """
    key = trial.opened_key()
    answers = counted(trial.plan, key, trial.kept(), trial.broken_at)
    plan = leader_view(trial)
    del plan["sessions"]
    return {
        "plan": plan,
        "options": [option.model_dump(mode="json") for option in key.options],
        "commitment": trial.plan.commitment,
        "salt": key.salt,
        "draw_repeats": draw_repeats(trial, key),
        "analysis": analysis_content(analyse_trial(trial, options)),
        "raw": _raw(trial, key, answers),
        "remarks": [
            {
                "at": f"{one.at:%Y-%m-%d %H:%M}",
                "by": one.by,
                "code": one.code,
                "kind": one.kind,
                "text": one.text,
            }
            for one in answers.remarks
        ],
        "log": [
            {"at": event["at"][:16].replace("T", " "), "event": event["event"], "by": event["by"]}
            for event in trial.log()
            if event["event"] != "card"
        ],
        "cards_shown": sum(event["event"] == "card" for event in trial.log()),
    }


def report_page(content: dict[str, Any]) -> str:
    """Return the report as one plain HTML page that prints on paper.

    Parameters
    ----------
    content : dict
        From `report_content`.
    """
    plan, analysis = content["plan"], content["analysis"]
    parts = [
        f"<h1>{escape(plan['name'])}</h1>",
        f"<p><strong>{escape(analysis['verdict'])}</strong></p>",
        f"<p>{escape(analysis['beside_p'])}</p>",
        _list([*analysis["explanation"], *(trend["sentence"] for trend in analysis["trends"])]),
        "<h2>Plan</h2>",
        _table(["", ""], _facts(content)),
        _list(plan["rules"]),
        "<h2>Warnings</h2>" if analysis["warnings"] else "",
        _list(analysis["warnings"]),
        "<h2>Raw data</h2>",
        f"<p>{escape(raw_note(content))}</p>" if raw_note(content) else "",
        _table(raw_heading(content), raw_rows(content)),
        "<h2>Remarks and incidents</h2>" if content["remarks"] else "",
        _list([f"{one['at']} {one['by']}: {one['text']}" for one in content["remarks"]]),
        "<h2>Log</h2>",
        _list([f"{event['at']} {event['event']} by {event['by']}" for event in content["log"]]),
    ]
    title = escape(plan["name"])
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title></head>\n'
        "<body>\n" + "\n".join(part for part in parts if part) + "\n</body></html>\n"
    )


def _facts(content: dict[str, Any]) -> list[list[str]]:
    plan, draw_repeats = content["plan"], content["draw_repeats"]
    return [
        ["Question", plan["question"]],
        ["Options", ", ".join(plan["labels"])],
        ["Design", f"{plan['design']}, {plan['answers']} answers planned, power {plan['power']:.2f}"],
        ["Riders", ", ".join(plan["riders"])],
        ["Leader, mechanic", f"{plan['leader']}, {plan['mechanic']}"],
        ["Seed", str(plan["seed"])],
        ["Commitment (SHA-256)", content["commitment"]],
        ["Key verified", "the same draw again" if draw_repeats else "NOT the draw of seed and salt"],
    ]


def short_labels(content: dict[str, Any]) -> dict[str, str]:
    """Return what the table of raw data calls each option: its label, or a letter where those are long."""
    labels = content["plan"]["labels"]
    if sum(len(label) for label in labels) <= _SHORT:
        return {label: label for label in labels}
    return {label: "ABCDEF"[place] for place, label in enumerate(labels)}


def raw_note(content: dict[str, Any]) -> str:
    """Return what explains letters and marks in the table of raw data, or nothing where there are none."""
    named = short_labels(content)
    notes = [f"{short} = {label}" for label, short in named.items() if short != label]
    if any(one["typed_by_leader"] for one in content["raw"]["sessions"]):
        notes.append(f"{TYPED.strip()} = typed in from paper by the leader, {content['plan']['leader']}")
    return "; ".join(notes)


def raw_heading(content: dict[str, Any]) -> list[str]:
    """Return the headings of the table of raw data."""
    return [
        "Session",
        "Rider",
        "Day",
        "Ridden (code = option)",
        *(["Answer"] if _has_answer(content) else []),
        *content["raw"]["names"],
    ]


def raw_rows(content: dict[str, Any]) -> list[list[str]]:
    """Return the table of raw data, one row for each session, as text."""
    rows, named = [], short_labels(content)
    for one in content["raw"]["sessions"]:
        ridden = ", ".join(
            f"{code} = {named[label]}" for code, label in zip(one["codes"], one["labels"], strict=True)
        )
        values = [
            " / ".join("–" if value is None else f"{value:g}" for value in one["values"][name])
            for name in content["raw"]["names"]
        ]
        answer = [_answer_words(one["answer"], named)] if _has_answer(content) else []
        rider = one["rider"] + (TYPED if one["typed_by_leader"] else "")
        rows.append([str(one["session"]), rider, str(one["day"]), ridden, *answer, *values])
    return rows


def _answer_words(answer: dict[str, Any], named: dict[str, str]) -> str:
    marks = {None: "", True: " (right)", False: " (wrong)"}
    return " > ".join(named[label] for label in answer["labels"]) + marks[answer["right"]] or "–"


def _has_answer(content: dict[str, Any]) -> bool:
    return bool(content["plan"]["design"] != "rated")


def _raw(trial: Trial, key: Key, answers: Answers) -> dict[str, Any]:
    chosen: dict[int, dict[str, Any]] = {
        one.session: {"labels": [one.chosen], "right": one.right} for one in answers.choices
    }
    chosen |= {one.session: {"labels": list(one.options), "right": None} for one in answers.rankings}
    values = {(one.code, one.name): one.value for one in answers.measurements}
    request = trial.plan.request
    names = [*(scale.name for scale in request.scales), *request.times]
    return {
        "names": names,
        "sessions": [
            {
                "session": session.number,
                "rider": session.rider,
                "day": session.day,
                "codes": list(session.codes),
                "labels": [key.allocation[code] for code in session.codes],
                "typed_by_leader": session.number in answers.typed_by_leader,
                "answer": chosen.get(session.number, {"labels": [], "right": None}),
                "values": {name: [values.get((code, name)) for code in session.codes] for name in names},
            }
            for session in trial.plan.sessions
        ],
    }


def _list(lines: Sequence[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>" if lines else ""


def _table(heading: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    head = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in heading) if any(heading) else ""
    body = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows)
    return f"<table>{f'<tr>{head}</tr>' if head else ''}{body}</table>"
