"""`forkwright trial analyse` and `report`: what an opened blind test shows."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from forkwright.commands.options import Command, json_option
from forkwright.commands.output import print_bullets, print_json, print_warnings
from forkwright.commands.trial_records import folder_argument
from forkwright.plain import plain
from forkwright.units import InputError


def _belief_options(command: Command) -> Command:
    """Add the options of the Bayesian update."""
    for option in reversed(
        (
            click.option("--believe", is_flag=True, help="Add the Bayesian update."),
            click.option(
                "--prior", default="1,1", help="Right and wrong answers believed in before, e.g. 1,1."
            ),
        )
    ):
        command = option(command)
    return command


@click.command("analyse")
@folder_argument
@_belief_options
@json_option
def analyse(folder: str, believe: bool, prior: str, as_json: bool) -> None:
    """Analyse an opened trial as planned, and say in plain words what it shows."""
    from forkwright.trial import Options, Trial, analyse_trial, analysis_content

    analysis = analyse_trial(Trial(folder), Options(believe, _prior(prior)))
    if as_json:
        print_json(analysis_content(analysis))
        return
    click.echo(analysis.verdict)
    click.echo(analysis.beside_p)
    print_bullets([*analysis.explanation, *(trend.sentence for trend in analysis.trends)])
    print_warnings(analysis.warnings)


@click.command("report")
@folder_argument
@click.option("--out", required=True, type=click.Path(), help="The report: .pdf, .html or .json.")
@_belief_options
@json_option
def report(folder: str, out: str, believe: bool, prior: str, as_json: bool) -> None:
    """Write the report of an opened trial: plan, commitment, raw data, analysis, verdict."""
    from forkwright.trial import Options, Trial, report_content

    target = Path(out)
    if target.suffix not in (".pdf", ".html", ".json"):
        raise InputError("cannot be written", key="--out", value=out, allowed=".pdf, .html or .json")
    content = report_content(Trial(folder), Options(believe, _prior(prior)))
    written = _written(content, target.suffix)
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


def _written(content: dict[str, Any], ending: str) -> bytes:
    """Return the report as the file's ending asks for it."""
    if ending == ".pdf":
        from forkwright.sheets.trial_report import trial_report_pdf

        return trial_report_pdf(content)
    if ending == ".html":
        from forkwright.trial import report_page

        return report_page(content).encode("utf-8")
    return json.dumps(plain(content), ensure_ascii=False, indent=1, allow_nan=False).encode("utf-8")


def _prior(text: str) -> tuple[float, float]:
    try:
        right, wrong = (float(part) for part in text.split(","))
    except ValueError:
        right = wrong = -1.0
    if not (0 < right < 1e6 and 0 < wrong < 1e6):
        raise InputError("not a prior", key="--prior", value=text, allowed="two numbers above 0, as in 1,1")
    return right, wrong
