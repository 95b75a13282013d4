"""Bench traces for their page: what a trace shows, what fits it, and what to change on the unit's file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from forkwright.app.evidence.questions import FitQuestion, LeakQuestion, TraceQuestion
from forkwright.app.evidence.reading import recording_of, table_of
from forkwright.app.evidence.shelf import Held, Shelf, part_of
from forkwright.app.jobs import Tell
from forkwright.app.question import chosen_units
from forkwright.app.tuning.questions import read_field
from forkwright.app.wire import plain

if TYPE_CHECKING:
    from forkwright.bench import Conditions
    from forkwright.evidence.recording import Recording
    from forkwright.evidence.traces import Trace
    from forkwright.evidence.unit_fit import UnitFit
    from forkwright.hardware import Unit

_COLDEST, _WARMEST = 173.15, 423.15


def traces_job(
    held: Sequence[Held], shelf: Shelf, unit: Unit, asked: TraceQuestion, tell: Tell
) -> dict[str, Any]:
    """Return the traces beside what the virtual bench reads for the unit as it is, before any fit."""
    from forkwright.evidence.fit_answers import loop_answer, trace_answer, trace_warnings
    from forkwright.evidence.friction_loop import loop_of

    recordings, traces = _traces(held, shelf, unit, asked, tell)
    tell(0.9, "reading the virtual bench")
    loop = loop_of(recordings)
    told: dict[str, Any] = plain(
        {
            "unit": unit.name,
            "traces": [trace_answer(trace, trace.predict(unit)) for trace in traces],
            "loop": loop_answer(loop) if loop is not None else None,
            "parameters": _described(unit, traces),
            "warnings": trace_warnings(recordings, loop),
        }
    )
    return told


def fit_job(held: Sequence[Held], shelf: Shelf, unit: Unit, asked: FitQuestion, tell: Tell) -> dict[str, Any]:
    """Return the fit as `forkwright fit --json` does, and each fitted value as a change to the file."""
    from forkwright.evidence.fit_answers import fit_report
    from forkwright.evidence.unit_fit import fit_unit

    recordings, traces = _traces(held, shelf, unit, asked, part_of(tell, 0.0, 0.2))
    result = fit_unit(
        unit,
        traces,
        asked.parameters or None,
        force_zero=read_field(asked.force_zero, "force", "load cell's zero", 0.0),
        travel_zero=read_field(asked.travel_zero, "length", "travel sensor's zero", 0.0),
        loss=asked.loss,
        level=asked.level,
        units=chosen_units(asked.units),
        progress=part_of(tell, 0.2, 0.95),
    )
    answer = fit_report(result, recordings)
    answer["proposal"] = _proposal(result, asked)
    answer["lists"] = _lists(unit, answer["proposal"])
    told: dict[str, Any] = plain(answer | {"unit": unit.name})
    return told


def leak_job(held: Held, shelf: Shelf, unit: Unit | None, asked: LeakQuestion, tell: Tell) -> dict[str, Any]:
    """Return a leak-down, or air drawn in over rides, as `forkwright leakdown --json` does."""
    from forkwright.evidence.leak_answers import ingress_answer, leak_down_answer
    from forkwright.evidence.leak_files import RIDES, chamber_volumes, ingress_from, read_leak_down
    from forkwright.physics.atmosphere import standard_pressure

    volumes = chamber_volumes(unit) if unit is not None else {}
    ambient = standard_pressure(read_field(asked.altitude, "length", "altitude", 0.0))
    mapping = held.mapping
    if mapping is not None and mapping.find(RIDES) is not None:
        table = table_of(held, held.sheet, tell)
        drawn_in = ingress_from(
            table, mapping, volumes.get("lower_leg", 0.0), ambient=ambient, level=asked.level
        )
        answer = ingress_answer(drawn_in)
    else:
        found = read_leak_down(
            recording_of(held, shelf, tell),
            volumes,
            ambient=ambient,
            gauge_resolution=read_field(asked.gauge_step, "pressure", "gauge step", 0.0),
            hose_volume=read_field(asked.hose, "volume", "hose", 0.0),
            level=asked.level,
        )
        answer = leak_down_answer(found)
    told: dict[str, Any] = plain(answer | {"name": held.name, "ambient_Pa": ambient})
    return told


def _traces(
    held: Sequence[Held], shelf: Shelf, unit: Unit, asked: TraceQuestion, tell: Tell
) -> tuple[list[Recording], list[Trace]]:
    from forkwright.evidence.trace_reading import trace_of

    day = _conditions(asked)
    oil = read_field(asked.oil_temperature, "temperature", "oil temperature")
    recordings = [
        recording_of(one, shelf, part_of(tell, 0.9 * number / len(held), 0.9 * (number + 1) / len(held)))
        for number, one in enumerate(held)
    ]
    return recordings, [trace_of(recording, unit, day, None, oil) for recording in recordings]


def _conditions(asked: TraceQuestion) -> Conditions:
    from forkwright.bench.conditions import Conditions
    from forkwright.units import InputError

    temperature = read_field(asked.temperature, "temperature", "room temperature")
    if not _COLDEST <= temperature <= _WARMEST:
        raise InputError(
            "out of range", key="room temperature", value=asked.temperature, allowed="-100 °C to 150 °C"
        )
    altitude = read_field(asked.altitude, "length", "altitude", 0.0)
    return Conditions.at(altitude, temperature, altitude, temperature)


def _described(unit: Unit, traces: Sequence[Trace]) -> list[dict[str, Any]]:
    """Return what may be fitted, with the words for it and what the file says; `on` is what usually is.

    A pressure of the setting has no tolerance, and is found freely where it is asked for.
    """
    from forkwright.evidence.fit_choice import candidates
    from forkwright.hardware import measures, quantities
    from forkwright.tune.naming import PRESSURES
    from forkwright.units import show_measure

    known, kinds = measures(unit), quantities(unit)
    usual = candidates(unit, traces)
    gas = any(trace.kind in ("spring", "pressure") for trace in traces)
    free = [
        path
        for path in (f"setting.{name}" for name in PRESSURES)
        if gas and path in known and path not in usual
    ]
    return [
        {
            "path": path,
            "words": _full_words(path),
            "measured": show_measure(known[path], kinds[path].dimension),
            "on": path in usual,
        }
        for path in (*usual, *free)
    ]


def _full_words(path: str) -> str:
    """Return what a measure is called, with its valve and its place in a list where there are several alike.

    Examples
    --------
    >>> _full_words("damper.rebound_valve.shims.1.thickness"), _full_words("damper.oil.points.0.viscosity")
    ('rebound valve, shim 2: thickness', 'oil, point 1: viscosity')
    """
    from forkwright.tune.naming import measure_words

    part, *rest = path.split(".")
    if part != "damper" or len(rest) < 3:
        return measure_words(path)
    owner, *inner, last = (word.replace("_", " ") for word in rest)
    if inner[-1].isdigit():
        return f"{owner}, {inner[0].removesuffix('s')} {int(inner[-1]) + 1}: {last}"
    return f"{owner}, {' '.join(inner)}: {last}"


def _proposal(result: UnitFit, asked: FitQuestion) -> list[dict[str, Any]]:
    """Return a row for each fitted value: measured and fitted in words, and its entry for the file."""
    from forkwright.evidence.write_back import fitted_entries, fitted_unit
    from forkwright.units import Measure, show_measure

    units = chosen_units(asked.units)
    entries, fit = fitted_entries(result), result.fit
    fitted = fitted_unit(result).model_dump(mode="json", exclude_none=True)
    rows = []
    for i, p in enumerate(fit.parameters):
        value = float(fit.values[i])
        reach = show_measure(Measure(value, float(fit.high[i]) - value), p.dimension, units)
        rows.append(
            {
                "path": p.name,
                "words": _full_words(p.name),
                "measured": show_measure(Measure(p.start, p.tolerance), p.dimension, units),
                "fitted": show_measure(Measure(value, float(fit.std[i])), p.dimension, units),
                "interval": reach.split("±")[-1].strip(),
                "learned": float(fit.learned[i]),
                **_change(p.name, entries.get(p.name), fitted),
            }
        )
    return rows


def _change(path: str, entry: dict[str, str] | None, fitted: dict[str, Any]) -> dict[str, Any]:
    """Return what to change for one fitted value: an entry of its own, or an item of a list of the file."""
    parts = path.split(".")
    at = next((i for i, part in enumerate(parts) if part.isdigit()), None)
    if entry is None or at is None:
        return {"entry": entry, "list": None, "index": None}
    found: Any = fitted
    for part in parts[:at]:
        found = found[part]
    return {"entry": found[int(parts[at])], "list": ".".join(parts[:at]), "index": int(parts[at])}


def _lists(unit: Unit, rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return the lists of the file that fitted values stand in, as they are."""
    table = unit.model_dump(mode="json", exclude_none=True)
    found: dict[str, Any] = {}
    for path in {row["list"] for row in rows if row["list"]}:
        held: Any = table
        for part in path.split("."):
            held = held[part]
        found[path] = held
    return found
