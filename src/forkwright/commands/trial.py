"""`forkwright trial`: plan a blind ride test, show cards, keep records, close, open, analyse."""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import json_option
from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.progress import told_progress
from forkwright.commands.trial_records import record_from, records_of, refuse_if_set_aside
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.trial import Request, Size

_FOLDER = click.argument("folder", type=click.Path())
_BY = click.option("--by", required=True, help="Who does it, by the name in the plan.")


@click.group("trial")
def command() -> None:
    """Plan, ride and open a blind test.

    A trial is a folder. Everybody sees codes; the mechanic sees the setting of the next code; nobody sees the
    key before the records are closed.
    """


@command.command("plan")
@click.argument("request_file", metavar="REQUEST", type=click.Path())
@click.option("--out", required=True, type=click.Path(), help="The folder the trial is laid into.")
@click.option("--seed", type=int, help="Seed of codes and turns; drawn and printed if not given.")
@json_option
def plan_command(request_file: str, out: str, seed: int | None, as_json: bool) -> None:
    """Draw a plan from REQUEST (TOML), seal its key, and print the commitment."""
    from forkwright.trial import Trial, choices, leader_view, read_request
    from forkwright.tune.blind_limits import judge

    request = _with_units_from(read_request(request_file), Path(request_file).parent, Path(out))
    with told_progress("Looking for the size") as tell:
        trial = Trial.planned(request, out, admissible=judge(request.limits, Path(out)), seed=seed, tell=tell)
    content = leader_view(trial)
    content["other_sizes"] = [_size(size) for size in choices(request)]
    if as_json:
        print_json(content)
        return
    click.echo(
        f"{content['name']}: {content['design']}, {content['answers']} answers, {content['runs']} runs, "
    )
    click.echo(f"{content['days']} day(s); power {content['power']:.2f} ({content['power_how']})")
    click.echo(f"Seed {content['seed']}")
    click.echo(f"Commitment {content['commitment']}")
    click.echo(
        "Print or write down seed and commitment now: they are held against the key when it is opened."
    )
    for heading in ("rules", "safety", "stop_rules", "same_on_every_run"):
        click.echo(f"\n{heading.replace('_', ' ').capitalize()}:")
        _bullets(content[heading])
    print_warnings(content["warnings"])


@command.command("status")
@_FOLDER
@click.option("--rider", default="", help="What this rider may see, instead of the leader's view.")
@json_option
def status_command(folder: str, rider: str, as_json: bool) -> None:
    """Say how far the trial in FOLDER is, in codes only."""
    from forkwright.trial import Trial, leader_view, rider_view

    trial = Trial(folder)
    content = rider_view(trial, rider) if rider else leader_view(trial)
    if as_json:
        print_json({**content, "warnings": content.get("warnings", [])})
        return
    click.echo(f"{content['name']}: {content['state']}")
    for session in content["sessions"]:
        who = "" if rider else f" {session['rider']}"
        number = session["session"] if rider else session["number"]
        click.echo(f"day {session['day']}, session {number}{who}: {' '.join(session['codes'])}")
    if not rider:
        click.echo(f"{len(content['missing'])} session(s) without a complete answer")
        print_warnings(content["warnings"])


@command.command("card")
@_FOLDER
@click.option("--mechanic", required=True, help="Your name, as in the plan. Nobody else may look.")
@click.option("--rider", default="", help="Whose next run; the next of all by default.")
@json_option
def card_command(folder: str, mechanic: str, rider: str, as_json: bool) -> None:
    """Show the mechanic the setting of the next code, after checking that it may be ridden."""
    from dataclasses import asdict

    from forkwright.trial import Trial, next_card
    from forkwright.tune.blind_limits import judge

    trial = Trial(folder)
    card = next_card(trial, mechanic, judge(trial.plan.request.limits, Path(folder)), rider)
    if as_json:
        print_json({**asdict(card), "warnings": []})
        return
    click.echo(f"Code {card.code} for {card.rider}, run {card.place} of {card.of} in session {card.session}")
    click.echo(f"Set: {card.label}")
    for key, value in card.setting.items():
        click.echo(f"  {key} = {value}")
    click.echo("Before the run must not be ridden without:")
    _bullets(f"{key}: {words}" for key, words in card.safety_checks.items())
    click.echo("Before the run counts as blind:")
    _bullets(f"{key}: {words}" for key, words in card.mask_checks.items())
    written = shlex.join([folder, "--kind", "ready", "--by", mechanic, "--code", card.code, "--check", "all"])
    click.echo(f"Then: forkwright trial record {written}")


@command.command("record")
@_FOLDER
@click.argument("file", required=False, type=click.Path(allow_dash=True))
@click.option("--kind", help="warm_up, ready, skip, choice, ranking, rating, time, remark, incident, resume.")
@click.option("--by", default="", help="Who writes it.")
@click.option("--rider", default="", help="The rider it is about.")
@click.option("--code", default="", help="The code of the run.")
@click.option("--session", type=int, help="The session, for a choice or a ranking.")
@click.option("--choice", default="", help="The code chosen.")
@click.option("--ranking", default="", help="All codes of the session with commas, the best first.")
@click.option("--set", "values", multiple=True, metavar="NAME=NUMBER", help="A rating (points), a time (s).")
@click.option("--check", "checks", multiple=True, help="A check ticked, by its short name; 'all' for all.")
@click.option("--severity", default="", help="For an incident: note or stop.")
@click.option("--text", default="", help="Words.")
@click.option("--id", "record_id", default="", help="The record's own id; sent twice it is kept once.")
@click.option("--replaces", default="", help="The id of the record this one corrects.")
@json_option
def record_command(folder: str, file: str | None, as_json: bool, **given: Any) -> None:
    """Keep records: one from the options, or all of FILE (JSON lines, - for standard input)."""
    from dataclasses import asdict

    from forkwright.trial import Trial

    trial = Trial(folder)
    if file and given["kind"]:
        raise InputError("give a file or options, not both", key="--kind", value=given["kind"])
    records = records_of(file) if file else [record_from(given)]
    receipts = trial.add(records)
    if as_json:
        print_json({"receipts": [asdict(one) for one in receipts], "warnings": []})
    else:
        for one in receipts:
            click.echo(f"{one.id}: {one.status}" + (f" ({one.reason})" if one.reason else ""))
    refuse_if_set_aside(receipts, file)


@command.command("close")
@_FOLDER
@_BY
@click.option("--reason", default="", help="Why, if answers are missing.")
@json_option
def close_command(folder: str, by: str, reason: str, as_json: bool) -> None:
    """Close the records for good; only then can the key be opened."""
    from forkwright.trial import Trial, close_records

    trial = Trial(folder)
    missing = close_records(trial, by, reason)
    if as_json:
        print_json({"state": trial.state, "missing": list(missing), "warnings": list(trial.tampering())})
        return
    click.echo(f"Closed. {len(missing)} session(s) without a complete answer.")
    print_warnings(trial.tampering())


@command.command("open")
@_FOLDER
@_BY
@click.option("--commitment", default="", help="The commitment as printed at planning, if it is at hand.")
@click.option("--break-blind", is_flag=True, help="Open before closing, for safety; it stays on record.")
@click.option("--reason", default="", help="Why, when breaking the blind.")
@json_option
def open_command(
    folder: str, by: str, commitment: str, break_blind: bool, reason: str, as_json: bool
) -> None:
    """Open the key: verified against the commitment, logged, final."""
    from forkwright.trial import Trial, open_key

    trial = Trial(folder)
    opened = open_key(trial, by, printed_commitment=commitment, break_blind=break_blind, reason=reason)
    warnings = list(trial.tampering())
    if not opened.draw_repeats:
        warnings.append("seed and salt do not give this allocation again: it was not drawn by this program")
    if opened.broken_blind:
        warnings.append("the blind was broken before the records were closed: later answers do not count")
    if as_json:
        print_json(
            {
                "state": trial.state,
                "commitment": trial.plan.commitment,
                "draw_repeats": opened.draw_repeats,
                "broken_blind": opened.broken_blind,
                "allocation": opened.key.allocation,
                "options": [option.model_dump(mode="json") for option in opened.key.options],
                "salt": opened.key.salt,
                "warnings": warnings,
            }
        )
        return
    click.echo(f"The key fits its commitment {trial.plan.commitment}.")
    for code, label in opened.key.allocation.items():
        click.echo(f"{code} = {label}")
    print_warnings(warnings)


@command.command("analyse")
@_FOLDER
@click.option("--believe", is_flag=True, help="Add the Bayesian update.")
@click.option("--prior", default="1,1", help="Right and wrong answers believed in before, e.g. 1,1.")
@json_option
def analyse_command(folder: str, believe: bool, prior: str, as_json: bool) -> None:
    """Analyse an opened trial as planned, and say in plain words what it shows."""
    from forkwright.trial import Options, Trial, analyse_trial, analysis_content

    analysis = analyse_trial(Trial(folder), Options(believe, _prior(prior)))
    if as_json:
        print_json(analysis_content(analysis))
        return
    click.echo(analysis.verdict)
    click.echo(analysis.beside_p)
    _bullets([*analysis.explanation, *(trend.sentence for trend in analysis.trends)])
    print_warnings(analysis.warnings)


@command.command("report")
@_FOLDER
@click.option("--out", required=True, type=click.Path(), help="The report: .pdf, .html or .json.")
@click.option("--believe", is_flag=True, help="Add the Bayesian update.")
@click.option("--prior", default="1,1", help="Right and wrong answers believed in before, e.g. 1,1.")
@json_option
def report_command(folder: str, out: str, believe: bool, prior: str, as_json: bool) -> None:
    """Write the report of an opened trial: plan, commitment, raw data, analysis, verdict."""
    import json

    from forkwright.commands.output import plain
    from forkwright.trial import Options, Trial, report_content, report_page

    target = Path(out)
    if target.suffix not in (".pdf", ".html", ".json"):
        raise InputError("cannot be written", key="--out", value=out, allowed=".pdf, .html or .json")
    content = report_content(Trial(folder), Options(believe, _prior(prior)))
    if target.suffix == ".pdf":
        from forkwright.sheets.trial_report import trial_report_pdf

        written = trial_report_pdf(content)
    elif target.suffix == ".html":
        written = report_page(content).encode("utf-8")
    else:
        written = json.dumps(plain(content), ensure_ascii=False, indent=1, allow_nan=False).encode("utf-8")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(written)
    except OSError as fault:
        raise InputError(f"cannot be written ({fault.__class__.__name__})", file=out) from fault
    warnings = content["analysis"]["warnings"]
    if as_json:
        print_json({"file": out, "verdict": content["analysis"]["verdict"], "warnings": warnings})
        return
    click.echo(f"{out}: {content['analysis']['verdict']}")
    print_warnings(warnings)


def _with_units_from(request: Request, home: Path, folder: Path) -> Request:
    """Return the request with unit files named as seen from the trial's folder."""

    def seen(unit: str) -> str:
        if not unit:
            return ""
        place = (home / unit).resolve()
        try:
            return Path(os.path.relpath(place, folder.resolve())).as_posix()
        except ValueError:  # another drive
            return place.as_posix()

    options = tuple(option.model_copy(update={"unit": seen(option.unit)}) for option in request.options)
    return request.model_copy(update={"options": options})


def _size(size: Size) -> dict[str, Any]:
    return {
        "riders": size.riders,
        "repeats": size.repeats,
        "answers": size.answers,
        "power": size.power,
    }


def _prior(text: str) -> tuple[float, float]:
    try:
        right, wrong = (float(part) for part in text.split(","))
    except ValueError:
        right = wrong = -1.0
    if not (0 < right < 1e6 and 0 < wrong < 1e6):
        raise InputError("not a prior", key="--prior", value=text, allowed="two numbers above 0, as in 1,1")
    return right, wrong


def _bullets(lines: Iterable[str]) -> None:
    for line in lines:
        click.echo(f"- {line}")
