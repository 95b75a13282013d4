"""`forkwright trial status`, `card`, `record`, `close` and `open`: a blind test from first run to key."""

from __future__ import annotations

import shlex
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import json_option
from forkwright.commands.output import print_bullets, print_json, print_warnings
from forkwright.commands.trial_records import folder_argument, record_from, records_of, refuse_if_set_aside
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.trial import Opened, Trial

by_option = click.option("--by", required=True, help="Who does it, by the name in the plan.")


@click.command("status")
@folder_argument
@click.option("--rider", default="", help="What this rider may see, instead of the leader's view.")
@json_option
def status(folder: str, rider: str, as_json: bool) -> None:
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


@click.command("card")
@folder_argument
@click.option("--mechanic", required=True, help="Your name, as in the plan. Nobody else may look.")
@click.option("--rider", default="", help="Whose next run; the next of all by default.")
@json_option
def card(folder: str, mechanic: str, rider: str, as_json: bool) -> None:
    """Show the mechanic the setting of the next code, after checking that it may be ridden."""
    from forkwright.trial import Trial, next_card
    from forkwright.tune.blind_limits import judge

    trial = Trial(folder)
    shown = next_card(trial, mechanic, judge(trial.plan.request.limits, Path(folder)), rider)
    if as_json:
        print_json({**asdict(shown), "warnings": []})
        return
    click.echo(
        f"Code {shown.code} for {shown.rider}, run {shown.place} of {shown.of} in session {shown.session}"
    )
    click.echo(f"Set: {shown.label}")
    for key, value in shown.setting.items():
        click.echo(f"  {key} = {value}")
    click.echo("Before the run must not be ridden without:")
    print_bullets(f"{key}: {words}" for key, words in shown.safety_checks.items())
    click.echo("Before the run counts as blind:")
    print_bullets(f"{key}: {words}" for key, words in shown.mask_checks.items())
    written = shlex.join(
        [folder, "--kind", "ready", "--by", mechanic, "--code", shown.code, "--check", "all"]
    )
    click.echo(f"Then: forkwright trial record {written}")


@click.command("record")
@folder_argument
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
def record(folder: str, file: str | None, as_json: bool, **given: Any) -> None:
    """Keep records: one from the options, or all of FILE (JSON lines, - for standard input)."""
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


@click.command("close")
@folder_argument
@by_option
@click.option("--reason", default="", help="Why, if answers are missing.")
@json_option
def close(folder: str, by: str, reason: str, as_json: bool) -> None:
    """Close the records for good; only then can the key be opened."""
    from forkwright.trial import Trial, close_records

    trial = Trial(folder)
    missing = close_records(trial, by, reason)
    if as_json:
        print_json({"state": trial.state, "missing": list(missing), "warnings": list(trial.tampering())})
        return
    click.echo(f"Closed. {len(missing)} session(s) without a complete answer.")
    print_warnings(trial.tampering())


@click.command("open")
@folder_argument
@by_option
@click.option("--commitment", default="", help="The commitment as printed at planning, if it is at hand.")
@click.option("--break-blind", is_flag=True, help="Open before closing, for safety; it stays on record.")
@click.option("--reason", default="", help="Why, when breaking the blind.")
@json_option
def open_trial(folder: str, by: str, commitment: str, break_blind: bool, reason: str, as_json: bool) -> None:
    """Open the key: verified against the commitment, logged, final."""
    from forkwright.trial import Trial, open_key

    trial = Trial(folder)
    opened = open_key(trial, by, printed_commitment=commitment, break_blind=break_blind, reason=reason)
    warnings = [*trial.tampering(), *_doubts(opened)]
    if as_json:
        print_json(_opened_answer(trial, opened) | {"warnings": warnings})
        return
    click.echo(f"The key fits its commitment {trial.plan.commitment}.")
    for code, label in opened.key.allocation.items():
        click.echo(f"{code} = {label}")
    print_warnings(warnings)


def _doubts(opened: Opened) -> list[str]:
    doubts = []
    if not opened.draw_repeats:
        doubts.append("seed and salt do not give this allocation again: it was not drawn by this program")
    if opened.broken_blind:
        doubts.append("the blind was broken before the records were closed: later answers do not count")
    return doubts


def _opened_answer(trial: Trial, opened: Opened) -> dict[str, Any]:
    return {
        "state": trial.state,
        "commitment": trial.plan.commitment,
        "draw_repeats": opened.draw_repeats,
        "broken_blind": opened.broken_blind,
        "allocation": opened.key.allocation,
        "options": [option.model_dump(mode="json") for option in opened.key.options],
        "salt": opened.key.salt,
    }
