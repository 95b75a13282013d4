"""Bench traces for their page: what a trace shows, what fits it, and what to change on the unit's file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from forkwright.app.evidence.fit_changes import lists_changed, may_be_fitted, proposed
from forkwright.app.evidence.questions import FitQuestion, LeakQuestion, TraceQuestion, TraceSetting
from forkwright.app.evidence.reading import recording_of, table_of
from forkwright.app.evidence.shelf import Held, Shelf, part_of
from forkwright.app.jobs import Tell
from forkwright.app.question import chosen_units, conditions_of, read_measure
from forkwright.app.tuning.questions import read_field
from forkwright.app.wire import plain

if TYPE_CHECKING:
    from forkwright.bench import Conditions
    from forkwright.evidence.recording import Recording
    from forkwright.evidence.traces import Trace
    from forkwright.hardware import Setting, Unit
    from forkwright.units import Measure


class OnTheBench(NamedTuple):
    """What was typed of the trace's day, the unit's setting (None for its own) and the oil (K)."""

    day: Conditions
    setting: Setting | None
    oil_temperature: float


def on_the_bench(unit: Unit, asked: TraceQuestion) -> OnTheBench:
    """Return the day, setting and oil of a trace; `InputError` names what is wrong, before any wait."""
    oil = read_field(asked.oil_temperature, "temperature", "oil temperature")
    return OnTheBench(conditions_of(asked.day), _setting(unit, asked.setting), oil)


def traces_job(
    held: Sequence[Held], shelf: Shelf, unit: Unit, bench: OnTheBench, tell: Tell
) -> dict[str, Any]:
    """Return the traces beside what the virtual bench reads for the unit as it is, before any fit."""
    from forkwright.evidence.fit_answers import loop_answer, trace_answer, trace_warnings
    from forkwright.evidence.friction_loop import loop_of

    recordings, traces = _traces(held, shelf, unit, bench, tell)
    tell(0.9, "reading the virtual bench")
    loop = loop_of(recordings)
    told: dict[str, Any] = plain(
        {
            "unit": unit.name,
            "traces": [trace_answer(trace, trace.predict(unit)) for trace in traces],
            "loop": loop_answer(loop) if loop is not None else None,
            "parameters": may_be_fitted(unit, traces),
            "warnings": trace_warnings(recordings, loop),
        }
    )
    return told


def fit_job(
    held: Sequence[Held], shelf: Shelf, unit: Unit, bench: OnTheBench, asked: FitQuestion, tell: Tell
) -> dict[str, Any]:
    """Return the fit as `forkwright fit --json` does, and each fitted value as a change to the file."""
    from forkwright.evidence.fit_answers import fit_report
    from forkwright.evidence.unit_fit import fit_unit

    recordings, traces = _traces(held, shelf, unit, bench, part_of(tell, 0.0, 0.2))
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
    answer["proposal"] = proposed(result, asked)
    answer["lists"] = lists_changed(unit, answer["proposal"])
    told: dict[str, Any] = plain(answer | {"unit": unit.name})
    return told


def ambient_of(asked: LeakQuestion) -> float:
    """Return the pressure outside (Pa) where a leak-down was read; `InputError` before any wait."""
    from forkwright.physics.atmosphere import standard_pressure

    return standard_pressure(read_field(asked.altitude, "length", "altitude", 0.0))


def leak_job(
    held: Held, shelf: Shelf, unit: Unit | None, ambient: float, asked: LeakQuestion, tell: Tell
) -> dict[str, Any]:
    """Return a leak-down, or air drawn in over rides, as `forkwright leakdown --json` does."""
    from forkwright.evidence.leak_answers import ingress_answer, leak_down_answer
    from forkwright.evidence.leak_files import RIDES, chamber_volumes, ingress_from, read_leak_down

    volumes = chamber_volumes(unit) if unit is not None else {}
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
    held: Sequence[Held], shelf: Shelf, unit: Unit, bench: OnTheBench, tell: Tell
) -> tuple[list[Recording], list[Trace]]:
    from forkwright.evidence.trace_reading import trace_of

    recordings = [
        recording_of(one, shelf, part_of(tell, 0.9 * number / len(held), 0.9 * (number + 1) / len(held)))
        for number, one in enumerate(held)
    ]
    return recordings, [trace_of(recording, unit, *bench) for recording in recordings]


def _setting(unit: Unit, asked: TraceSetting) -> Setting | None:
    """Return the setting that was typed, as `forkwright fit` takes its options; None for the unit's own."""
    from forkwright.hardware import stated_setting

    stated: dict[str, Measure | str] = {}
    for name, text in asked.model_dump().items():
        if not text.strip():
            continue
        kind = {"spacers": None, "preload": "length"}.get(name, "pressure")
        stated[name] = text.strip() if kind is None else read_measure(text, kind, name)
    return stated_setting(unit, **stated)
