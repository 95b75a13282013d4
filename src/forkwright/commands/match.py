"""`forkwright match A B`: the settings of B that come nearest to A's feel, what remains and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.import_options import import_options, taken
from forkwright.commands.options import condition_options, conditions_from, json_option, quantity_option
from forkwright.commands.output import chosen_units, console, print_json, print_warnings
from forkwright.commands.people_options import bike_from, course_rider_options, rider_from
from forkwright.commands.progress import progress_bar
from forkwright.units import InputError, Measure

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.hardware import Unit
    from forkwright.tune.match import Match
    from forkwright.tune.revalve import RevalveAnswer
    from forkwright.tune.use import Use


@click.command("match")
@click.argument("a", type=click.Path())
@click.argument("b", type=click.Path())
@click.option(
    "--course", "courses", multiple=True, help="Use: A is ridden over this course; may be given again."
)
@course_rider_options
@click.option("--log", type=click.Path(), help="Use: a ride log of A.")
@quantity_option("--used-from", "length", "Use, stated: least travel used.")
@quantity_option("--used-to", "length", "Use, stated: most travel used.")
@quantity_option("--fastest", "speed", "Use, stated: fastest shaft speed.")
@quantity_option("--oil-temp", "temperature", "Oil temperature in both dampers.", default="20 °C")
@quantity_option("--pump-step", "pressure", "Smallest step of the shop's pump.", default="1 psi")
@quantity_option("--secondary-step", "pressure", "Smallest step at the secondary valve.", default="0.5 psi")
@click.option(
    "--draws", type=click.IntRange(0, 10_000),
    help="Pairs of springs drawn from the tolerances for the bands; 0 leaves the bands out.",
)  # fmt: skip
@click.option("--damper-draws", type=click.IntRange(1, 10_000), help="How many of the pairs with dampers.")
@click.option("--seed", type=int, default=1, show_default=True, help="Seed of the draws.")
@click.option("--drawer", type=click.Path(), help="Shims at hand: also propose stacks for B's valves.")
@click.option("--revalve", "own", is_flag=True, help="Also propose stacks from the shims that are in B now.")
@condition_options
@import_options
@json_option
def command(
    a: str,
    b: str,
    oil_temp: Measure,
    pump_step: Measure,
    secondary_step: Measure,
    draws: int | None,
    damper_draws: int | None,
    seed: int,
    drawer: str | None,
    own: bool,
    as_json: bool,
    **given: Any,
) -> None:
    """Carry the feel of A over to B, judged over the travel and the speeds really used.

    A and B may be the same unit before and after a service. Without --course, --log or a stated use all
    travel and speeds count alike.
    """
    from forkwright.hardware import load_unit
    from forkwright.hardware.drawer import load_drawer
    from forkwright.tune.match import match
    from forkwright.tune.match_answer import match_answer
    from forkwright.tune.match_bands import DAMPER_DRAWS, DRAWS
    from forkwright.tune.match_revalve import own_shims, revalve_for

    day = conditions_from(given)
    importing = taken(given)
    unit_a, unit_b = load_unit(a), load_unit(b)
    shims = load_drawer(drawer) if drawer else own_shims(unit_b) if own else None
    use, notes = _use(unit_a, unit_b, day, importing, **given)
    with progress_bar("Matching") as progress:
        found = match(
            unit_a, unit_b, use=use, conditions=day, oil_temperature=oil_temp.si, pump_step=pump_step.si,
            secondary_step=secondary_step.si, draws=DRAWS if draws is None else draws,
            damper_draws=damper_draws or DAMPER_DRAWS, seed=seed, progress=progress,
        )  # fmt: skip
    stacks: dict[str, RevalveAnswer] = {}
    if shims is not None:
        with progress_bar("Solving stacks") as progress:
            stacks = revalve_for(unit_b, found, shims, oil_temperature=oil_temp.si, progress=progress)
    if as_json:
        from forkwright.tune.revalve_answer import revalve_answer

        answer = match_answer(unit_a, unit_b, found)
        answer["revalve"] = {valve: revalve_answer(one) for valve, one in stacks.items()} if stacks else None
        print_json(answer | {"warnings": [*notes, *found.warnings]})
        return
    print_match(unit_a, unit_b, found)
    _print_stacks(stacks)
    print_warnings([*notes, *found.warnings])


def _use(
    a: Unit,
    b: Unit,
    day: Conditions,
    importing: dict[str, Any],
    *,
    courses: tuple[str, ...],
    rider: str | None,
    bike: str | None,
    log: str | None,
    used_from: Measure | None,
    used_to: Measure | None,
    fastest: Measure | None,
) -> tuple[Use, list[str]]:
    """Return the use that the options ask for, and notes."""
    from forkwright.tune.use import even_use, stated_use

    stated = any(value is not None for value in (used_from, used_to, fastest))
    if (bool(courses) + bool(log) + stated) > 1:
        raise InputError(
            "the use comes from courses, from a log, or is stated: only one of them", key="--log"
        )
    if courses:
        return _ridden(a, day, courses, rider, bike)
    if log is not None:
        return _logged(a, log, importing)
    full = min(float(a.travel.si), float(b.travel.si))
    if not stated:
        return even_use(full), []
    low = used_from.si if used_from is not None else 0.0
    high = used_to.si if used_to is not None else full
    return stated_use(full, low, high, fastest.si if fastest is not None else 2.0), []


def _ridden(
    a: Unit, day: Conditions, names: tuple[str, ...], rider: str | None, bike: str | None
) -> tuple[Use, list[str]]:
    from forkwright.ride.course_file import find_course
    from forkwright.ride.simulate import simulate
    from forkwright.tune.use import use_from_rides

    if rider is None:
        raise InputError("a simulated ride needs a rider", key="--rider")
    who, (what, notes) = rider_from(rider), bike_from(bike)
    courses = [find_course(name) for name in names]
    scores = []
    with progress_bar(f"Riding {a.name}") as progress:
        for number, course in enumerate(courses):
            scores.append(simulate(a, course, rider=who, bike=what, conditions=day).scores)
            progress((number + 1) / len(courses))
    told = ", ".join(course.name for course in courses)
    return use_from_rides(scores, float(a.travel.si), f"a simulated ride of {a.name} over {told}"), notes


def _logged(a: Unit, path: str, importing: dict[str, Any]) -> tuple[Use, list[str]]:
    from pathlib import Path

    from forkwright.commands.import_options import recording_from
    from forkwright.evidence.ride_log import read_ride
    from forkwright.tune.use import use_from

    log = read_ride(recording_from(path, importing), float(a.travel.si))
    minutes = log.whole.used.duration / 60.0
    return use_from(log.whole.used, f"{minutes:.1f} minutes of riding in {Path(path).name}"), [*log.warnings]


def print_match(a: Unit, b: Unit, found: Match) -> None:
    """Print the settings side by side, and the sentences."""
    from rich.table import Table

    from forkwright.tune.match_words import match_words
    from forkwright.tune.naming import ADJUSTERS, value_words

    units = chosen_units()
    table = Table(title=f"{b.name} with the feel of {a.name}")
    for heading in ("", f"{a.name} (A)", f"{b.name} (B) as it is", "B, nearest to A"):
        table.add_column(heading)
    for name, words in ADJUSTERS.items():
        sides = ((a, a.setting), (b, b.setting), (b, found.setting))
        values = [
            None if name == "spacers" and not _takes_spacers(unit) else getattr(setting, name)
            for unit, setting in sides
        ]
        if any(value for value in values):
            told = [
                "" if value is None else value_words(name, float(getattr(value, "si", value)), units)
                for value in values
            ]
            table.add_row(words, *told)
    console().print(table)
    for sentence in match_words(a, b, found, units).sentences:
        click.echo(sentence)


def _takes_spacers(unit: Unit) -> bool:
    return unit.air_spring is not None and unit.air_spring.spacers is not None


def _print_stacks(stacks: dict[str, RevalveAnswer]) -> None:
    from forkwright.tune.revalve_answer import disc_words

    for valve, answer in stacks.items():
        name = valve.replace("_", " ")
        click.echo(
            f"{name[:1].upper()}{name[1:]}: now off by {answer.present.error:.1%} of the wanted forces."
        )
        for one in answer.proposals[:3]:
            click.echo(f"  off by {one.error:.1%}: {', '.join(disc_words(disc) for disc in one.discs)}")
