"""Ride logs for their page: reading one, drawing a stretch, comparing two, a simulated ride beside one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal

from forkwright.app.drafts import DraftReader
from forkwright.app.evidence.questions import RideLogQuestion, WindowQuestion
from forkwright.app.evidence.reading import recording_of
from forkwright.app.evidence.shelf import Held, Shelf, part_of, remember_ride
from forkwright.app.jobs import Tell
from forkwright.app.tuning.courses import CourseChoice, chosen
from forkwright.app.tuning.ride_fields import read_if_given
from forkwright.app.wire import SPREADSHEET, download, plain

if TYPE_CHECKING:
    from forkwright.evidence.ride_log import RideLog, Section
    from forkwright.hardware import Bike, Rider, Unit

AskedLog = tuple[Held, "Unit", RideLogQuestion]
"""A file, the unit it was logged on, and what is asked about it."""

_MEDIA_TYPES = {"csv": "text/csv", "xlsx": SPREADSHEET}
_UNIT_ENDINGS = {"travel": "travel_m", "speed": "speed_m_s", "simulated": "simulated_m"}


def ride_job(held: Held, shelf: Shelf, unit: Unit, asked: RideLogQuestion, tell: Tell) -> dict[str, Any]:
    """Return what `forkwright log --json` says of one log, and where its riding pauses."""
    from forkwright.evidence.ride_answers import log_answer
    from forkwright.evidence.spectra import spectrum

    ride = ride_of(held, shelf, unit, asked, tell)
    tell(0.97, "finding the spectrum")
    answer = log_answer(ride, spectrum(ride.motion.travel, ride.motion.rate, ride.motion.pieces))
    answer["begin_s"], answer["end_s"] = ride.motion.time[0], ride.motion.time[-1]
    told: dict[str, Any] = plain(answer | {"file": held.key})
    return told


def ride_of(held: Held, shelf: Shelf, unit: Unit, asked: RideLogQuestion, tell: Tell) -> RideLog:
    """Return a log read as a ride, from memory or anew."""
    from forkwright.evidence.ride_log import read_ride

    full = read_if_given(asked.travel, "length", "travel")
    if full is None:
        full = float(unit.travel.si)
    key = (full, asked.channel, asked.cutoff, tuple(_sections(asked)))
    with held.lock:
        found = held.rides.get(key)
        if found is None:
            recording = recording_of(held, shelf, tell)
            tell(0.92, "filtering travel and speed")
            found = read_ride(
                recording,
                full,
                channel=asked.channel,
                cutoff=read_if_given(asked.cutoff, "frequency", "cutoff"),
                sections=_sections(asked),
            )
            remember_ride(held, key, found)
            shelf.make_room(held)
        return found


def window_answer_of(held: Held, shelf: Shelf, drafts: DraftReader, asked: WindowQuestion) -> dict[str, Any]:
    """Return the lowest and highest of every column of the drawing, for each channel asked for."""
    from forkwright.evidence.ride_answers import window_answer
    from forkwright.evidence.windows import window_of

    ride = ride_of(held, shelf, drafts.unit(asked.ride.fork), asked.ride, lambda _share, _words: None)
    motion = ride.motion
    shown: dict[str, Any] = {}
    for name in asked.shown:
        if name == "simulated":
            laid = held.overlay
            if laid is None or asked.stop < laid.time[0] or asked.start > laid.time[-1]:
                continue
            whole = ((0, laid.time.size),)
            window = window_of(laid.time, laid.simulated, whole, asked.start, asked.stop, asked.columns)
        else:
            values = motion.travel if name == "travel" else motion.speed
            window = window_of(motion.time, values, motion.pieces, asked.start, asked.stop, asked.columns)
        shown[name] = window_answer(window, _UNIT_ENDINGS[name])
    return {"start_s": asked.start, "stop_s": asked.stop, "shown": shown}


def use_table(logs: Sequence[AskedLog], shelf: Shelf, kind: Literal["csv", "xlsx"]) -> dict[str, Any]:
    """Return the use of each log, whole and by stretch, as the file that `forkwright log --export` writes."""
    from forkwright.evidence.export import table_bytes
    from forkwright.evidence.ride_answers import use_columns

    rides = [ride_of(held, shelf, unit, asked, lambda _share, _words: None) for held, unit, asked in logs]
    content = table_bytes(use_columns(rides), f".{kind}")
    return download(f"use-by-section.{kind}", _MEDIA_TYPES[kind], content) | {"warnings": []}


def compare_job(pairs: tuple[AskedLog, AskedLog], shelf: Shelf, tell: Tell) -> dict[str, Any]:
    """Return what differs between two runs, as `forkwright log A B --json` does."""
    from forkwright.evidence.compare_runs import compare_runs
    from forkwright.evidence.ride_answers import comparison_answer

    rides = [
        ride_of(held, shelf, unit, asked, part_of(tell, 0.3 * number, 0.3 * (number + 1)))
        for number, (held, unit, asked) in enumerate(pairs)
    ]
    found = compare_runs(
        rides[0],
        rides[1],
        progress=lambda share: tell(0.6 + 0.4 * share, "drawing stretches of both runs anew"),
    )
    told: dict[str, Any] = plain(
        comparison_answer(found) | {"first": pairs[0][0].name, "second": pairs[1][0].name}
    )
    return told


def overlay_job(
    log: AskedLog, shelf: Shelf, rider: Rider, bike: Bike, course: CourseChoice, tell: Tell
) -> dict[str, Any]:
    """Ride the unit over a course and lay the ride over the log, as `forkwright log --course` does."""
    from forkwright.evidence.overlay import overlay
    from forkwright.evidence.ride_answers import overlay_answer
    from forkwright.ride.simulate import simulate

    held, unit, asked = log
    laid_out = chosen(course)
    ride = ride_of(held, shelf, unit, asked, part_of(tell, 0.0, 0.4))
    tell(0.4, f"riding {unit.name} over {laid_out.name}")
    result = simulate(unit, laid_out, rider=rider, bike=bike)
    tell(0.9, "laying it over the log")
    laid = overlay(ride, result.time, result.travel)
    held.overlay = laid
    answer = overlay_answer(laid) | {"course": laid_out.name, "unit": unit.name}
    answer["warnings"] = [*result.warnings, *laid.warnings]
    told: dict[str, Any] = plain(answer)
    return told


def _sections(asked: RideLogQuestion) -> list[Section]:
    from forkwright.evidence.ride_log import Section

    return [Section(one.name.strip() or "stretch", one.start, one.stop) for one in asked.sections]
