"""`forkwright trial plan`: drawing a plan of a blind test and sealing its key."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import json_option
from forkwright.commands.output import print_bullets, print_json, print_warnings
from forkwright.commands.progress import told_progress

if TYPE_CHECKING:
    from forkwright.trial import Request, Size


@click.command("plan")
@click.argument("request_file", metavar="REQUEST", type=click.Path())
@click.option("--out", required=True, type=click.Path(), help="The folder the trial is laid into.")
@click.option("--seed", type=int, help="Seed of codes and turns; drawn and printed if not given.")
@json_option
def plan(request_file: str, out: str, seed: int | None, as_json: bool) -> None:
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
    _print_plan(content)


def _print_plan(content: dict[str, Any]) -> None:
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
        print_bullets(content[heading])
    print_warnings(content["warnings"])


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
