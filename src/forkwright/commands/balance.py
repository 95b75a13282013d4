"""`forkwright balance FORK SHOCK --rider … --bike …`: front and rear together, and what to change."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import condition_options, conditions_from, json_option, quantity_option
from forkwright.commands.output import chosen_units, console, print_json, print_warnings, shown
from forkwright.commands.people_options import bike_from, rider_from, rider_option
from forkwright.commands.progress import working
from forkwright.commands.tune_options import share_from
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.tune.balance import Balance
    from forkwright.tune.balance_advice import Advice
    from forkwright.tune.balance_ends import EndBalance


@click.command("balance")
@click.argument("fork", type=click.Path())
@click.argument("shock", type=click.Path())
@rider_option
@click.option("--bike", required=True, metavar="FILE", help="Bike file with the leverage curve.")
@click.option(
    "--course", "course_name", help="A course file, or the name of a demo stage: both ends ride it."
)
@click.option(
    "--change", type=click.Choice(["rear", "front"]), default="rear", show_default=True,
    help="The end that is brought to the other.",
)  # fmt: skip
@click.option(
    "--sag-lead", default="4 %", show_default=True, metavar="SHARE",
    help="How much more of its travel the rear is to sag than the front.",
)  # fmt: skip
@click.option(
    "--front-brake", default="70 %", show_default=True, metavar="SHARE", help="Front's share of braking."
)
@quantity_option(
    "--rider-shift", "length", "How far the rider stands ahead of the usual place.", default="0 mm"
)
@click.option(
    "--gradient",
    default="0 %",
    show_default=True,
    metavar="SHARE",
    help="A slope the bike stands on: rise over distance, uphill above zero.",
)
@quantity_option(
    "--speed-change", "acceleration", "A change of speed that is held; braking below zero.", default="0 m/s2"
)
@quantity_option("--tyre-pressure", "pressure", "Tyre pressure, gauge.", default="24 psi")
@condition_options
@json_option
def command(
    fork: str,
    shock: str,
    rider: str,
    bike: str,
    course_name: str | None,
    change: str,
    sag_lead: str,
    front_brake: str,
    rider_shift: Measure,
    gradient: str,
    speed_change: Measure,
    tyre_pressure: Measure,
    as_json: bool,
    **day: Any,
) -> None:
    """Say how FORK and SHOCK go together on one bike, and what to change at one end.

    Sag, natural frequencies, damping ratios, and over a course how the ride heights drift.
    """
    from forkwright.hardware import load_unit
    from forkwright.ride.attitude import Stance
    from forkwright.ride.course_file import find_course
    from forkwright.ride.options import Tyre
    from forkwright.ride.pitch_options import PitchOptions, check_options
    from forkwright.tune.balance import balance
    from forkwright.tune.balance_advice import Aims, advise
    from forkwright.tune.balance_answer import balance_answer
    from forkwright.tune.nearest_spring import PUMP_STEP

    who, what = rider_from(rider), bike_from(bike)[0]
    conditions = conditions_from(day)
    options = PitchOptions(
        tyre=Tyre(pressure=tyre_pressure.si),
        front_brake=share_from(front_brake, "--front-brake"),
        rider_shift=rider_shift.si,
    )
    check_options(options)
    course = find_course(course_name) if course_name is not None else None
    with working("Balancing both ends"):
        found = balance(
            load_unit(fork), load_unit(shock), who, what, conditions=conditions, course=course,
            options=options,
            stance=Stance(share_from(gradient, "--gradient"), speed_change.si),
        )  # fmt: skip
        advice = advise(
            found, who, what, change="front" if change == "front" else "rear",
            aims=Aims(share_from(sag_lead, "--sag-lead")), conditions=conditions, options=options,
            pump_step=what.pump_step.si if what.pump_step is not None else PUMP_STEP,
        )  # fmt: skip
    if as_json:
        print_json(balance_answer(found, advice))
        return
    print_balance(found, advice)
    print_warnings(list(dict.fromkeys((*found.warnings, *advice.warnings))))


def print_balance(found: Balance, advice: Advice) -> None:
    """Print both ends side by side, and the sentences."""
    from rich.table import Table

    from forkwright.tune.balance_words import advice_sentences, balance_sentences

    out, units = console(), chosen_units()
    front, rear = found.pair.front, found.pair.rear
    changed = advice.after.rear if advice.end == "rear" else advice.after.front
    table = Table(title=f"{front.unit.name} and {rear.unit.name} together")
    for heading in ("", front.unit.name, rear.unit.name, f"{changed.unit.name}, changed"):
        table.add_column(heading, justify="right")
    for label, *values in zip(_LABELS, *(_column(end) for end in (front, rear, changed)), strict=True):
        table.add_row(label, *values)
    out.print(table)
    for sentence in (*balance_sentences(found, units), *advice_sentences(advice, units)):
        out.print(sentence)


_LABELS = (
    "sag of the unit",
    "sag at the wheel",
    "carries",
    "rate at the wheel",
    "frequency alone",
    "compression, of critical",
    "rebound, of critical",
)


def _column(end: EndBalance) -> tuple[str, ...]:

    return (
        shown(end.sag, "length"),
        f"{shown(end.wheel_sag, 'length')} ({end.share:.0%})",
        shown(end.mass, "mass"),
        shown(end.rate, "stiffness"),
        f"{end.frequency:.2f} Hz",
        f"{end.compression_ratio:.2f}",
        f"{end.rebound_ratio:.2f}",
    )
