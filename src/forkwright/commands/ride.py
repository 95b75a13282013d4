"""`forkwright ride FILE --course C`: ride one setting over a course and score it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import (
    click_options,
    condition_options,
    conditions_from,
    json_option,
    setting_from,
    spring_setting_options,
)
from forkwright.commands.output import console, print_json, print_warnings, shown
from forkwright.commands.people_options import bike_from, rider_from
from forkwright.commands.progress import working
from forkwright.commands.ride_options import ride_options, ride_options_from
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.ride.simulate import RideResult


@click.command("ride")
@click.argument("file", type=click.Path())
@click.option("--course", "course_name", required=True, help="A course file, or the name of a demo stage.")
@click.option("--rider", required=True, help="A rider file, or a mass such as '82 kg'.")
@click.option("--bike", help="A bike file.")
@spring_setting_options
@click_options
@ride_options
@condition_options
@click.option("--check-step", is_flag=True, help="Ride again at half the step and tell the largest change.")
@click.option("--history", type=click.Path(), help="Write the time history to this CSV or Parquet file.")
@click.option("--history-rate", type=click.FloatRange(1.0, 5000.0), metavar="HZ", help="Its points a second.")
@json_option
def command(
    file: str,
    course_name: str,
    rider: str,
    bike: str | None,
    check_step: bool,
    history: str | None,
    history_rate: float | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Ride the unit in FILE over a course and score the ride."""
    from forkwright.hardware import load_unit
    from forkwright.ride.answers import ride_answer
    from forkwright.ride.course_file import find_course
    from forkwright.ride.simulate import half_step_change, simulate

    conditions = conditions_from(given)
    options = ride_options_from(given)
    unit, course = load_unit(file), find_course(course_name)
    found_bike, notes = bike_from(bike)
    who: dict[str, Any] = {
        "setting": setting_from(unit, **given),
        "rider": rider_from(rider),
        "bike": found_bike,
        "conditions": conditions,
        "options": options,
    }
    with working("Riding; the first ride after an installation compiles, some seconds"):
        ride = simulate(unit, course, **who)
        change = half_step_change(unit, course, ride, **who) if check_step else None
    if history is not None:
        write_history(ride, history, history_rate or 500.0)
    if as_json:
        answer = ride_answer(ride, course, history_rate or 0.0)
        answer["warnings"] = [*notes, *answer["warnings"]]
        print_json(answer if change is None else answer | {"half_step_change": change})
        return
    _print_scores(f"{unit.name} over {course.name}", ride)
    if change is not None:
        click.echo(f"At half the step no score of a ride changes by more than {change:.2%}.")
    print_warnings([*notes, *ride.warnings])


def write_history(ride: RideResult, path: str, rate: float) -> None:
    """Write a ride's history to a CSV or Parquet file, thinned to `rate` points a second."""
    import polars as pl

    from forkwright.ride.answers import history

    frame = pl.DataFrame(history(ride, rate))
    try:
        if path.endswith(".parquet"):
            frame.write_parquet(path)
        elif path.endswith(".csv"):
            frame.write_csv(path)
        else:
            raise InputError("unknown kind of file", key="--history", value=path, allowed=".csv, .parquet")
    except OSError as fault:
        raise InputError(f"cannot be written: {fault.strerror or fault}", file=path) from None


def _print_scores(title: str, ride: RideResult) -> None:
    from rich.table import Table

    s = ride.scores
    table = Table(title=title, show_header=False)
    rows = (
        ("time", f"{s.duration_s:.1f} s"),
        ("static sag", shown(s.static_sag_m, "length")),
        ("riding sag", shown(s.riding_sag_m, "length")),
        ("greatest travel", shown(s.greatest_travel_m, "length")),
        ("packing down", shown(s.pack_down_m, "length")),
        ("bumper touched, bottomed out", f"{s.bumper_hits}, {s.bottom_outs} times"),
        ("greatest force at the bottom", shown(s.bottom_out_peak_N, "force")),
        ("topped out", f"{s.top_outs} times"),
        ("contact lost", f"{s.contact_losses} times, {s.contact_lost_share:.1%} of the time"),
        ("tyre load variation", f"{s.tyre_load_variation:.2f}"),
        ("hand acceleration, weighted", f"{s.hand_acceleration_m_s2:.2f} m/s2"),
        (
            "fastest compression, rebound",
            f"{s.fastest_compression_m_s:.2f}, {s.fastest_rebound_m_s:.2f} m/s",
        ),
        ("heat of damper and friction", f"{s.mean_heating_W:.0f} W on average"),
        ("held by friction", f"{s.stuck_share:.1%} of the time"),
    )
    for name, value in rows:
        table.add_row(name, value)
    console().print(table)
