"""A small sweep for the Ride page: a table of settings over one course, its scores, and files of them."""

from __future__ import annotations

import io
import tempfile
from typing import TYPE_CHECKING, Any

from forkwright.app.jobs import Tell
from forkwright.app.question import conditions_of
from forkwright.app.ride.questions import MOST_SETTINGS, SweepQuestion
from forkwright.app.setting_edits import edits_to
from forkwright.app.tuning.ride_fields import ride_options
from forkwright.app.wire import plain
from forkwright.hardware import Bike, Rider, Unit, check_setting
from forkwright.units import InputError, UnitChoice

if TYPE_CHECKING:
    from forkwright.ride.course import Course
    from forkwright.ride.settings_table import SettingsTable

LITTLE = 9_000.0
"""s of riding, all settings together, that are done in the server itself: other processes would still be
starting."""

MOST_RIDING = 60_000.0
"""s of riding in one sweep of the page, all settings together."""

NESTED = ("travel_share", "speed_share")
"""Columns that hold a list in each row; a CSV has no place for them."""


def settings_of(unit: Unit, course: Course, asked: SweepQuestion) -> SettingsTable:
    """Return the table of settings that is asked for over a course.

    Raises
    ------
    InputError
        As `forkwright sweep --vary`, and for more settings or more riding than the page takes.
    """
    from forkwright.ride.settings_table import check_moved, check_table, spread
    from forkwright.ride.settings_text import read_ranges

    table = spread(read_ranges(asked.vary), asked.count, asked.seed)
    if len(table) > MOST_SETTINGS:
        raise InputError(
            "too many settings for this page",
            key="vary",
            value=str(len(table)),
            allowed=f"up to {MOST_SETTINGS}; `forkwright sweep` takes more",
        )
    if len(table) * course.duration > MOST_RIDING:
        raise InputError(
            "too much riding for this page",
            key="vary",
            value=f"{len(table)} rides of {course.duration:.0f} s",
            allowed=f"up to {MOST_RIDING:.0f} s together; `forkwright sweep` takes more",
        )
    check_table(unit, table)
    check_moved(table, ride_options(asked))
    return table


def sweep_job(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    course: Course,
    asked: SweepQuestion,
    units: UnitChoice,
    tell: Tell,
) -> dict[str, Any]:
    """Ride every setting, as `forkwright sweep` does, and return the rows by column.

    Parameters
    ----------
    unit, rider, bike, course
        Who rides what, over which ground.
    asked : SweepQuestion
    units : UnitChoice
        Of the settings' words.
    tell : callable
        Told the share done and what is being done; may raise to stop.
    """
    from forkwright.ride.sweep import sweep

    table = settings_of(unit, course, asked)
    tell(0.01, f"{len(table)} settings over {course.name}")
    with tempfile.TemporaryDirectory() as place:
        found = sweep(
            unit,
            [course],
            table,
            f"{place}/sweep",
            rider=rider,
            bike=bike,
            conditions=conditions_of(asked.day),
            options=ride_options(asked),
            workers=1 if len(table) * course.duration <= LITTLE else None,
            progress=lambda done, total: tell(done / total, f"{done} of {total} settings ridden"),
        ).table()
    settings = [table.setting(unit.setting, row) for row in range(len(table))]
    for setting in settings:
        check_setting(unit, setting)
    columns = {name: found[name].to_list() for name in found.columns}
    result: dict[str, Any] = plain(
        {
            "name": unit.name,
            "course": course.name,
            "varied": list(table.names),
            "columns": columns,
            "words": [_varied(table, row, units) for row in range(len(table))],
            "edits": [edits_to(one, None, units) for one in settings],
            "warnings": _each_once(columns["warnings"]),
        }
    )
    return result


def _varied(table: SettingsTable, row: int, units: UnitChoice) -> str:
    """Return what is varied in a row, in words."""
    from forkwright.tune.naming import ADJUSTERS, value_words

    return ", ".join(
        f"{ADJUSTERS[name]} {value_words(name, float(value), units)}"
        for name, value in zip(table.names, table.values[row], strict=True)
    )


def _each_once(warnings: list[str | None]) -> list[str]:
    """Return every warning of any row, once."""
    return sorted({words for words in warnings if words})


def as_file(columns: dict[str, list[Any]], kind: str) -> bytes:
    """Return the rows as a CSV (without the histograms) or as Parquet."""
    import polars as pl

    target = io.BytesIO()
    frame = pl.DataFrame(columns)
    if kind == "parquet":
        frame.write_parquet(target)
    else:
        frame.drop(NESTED, strict=False).write_csv(target)
    return target.getvalue()
