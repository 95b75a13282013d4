"""A run on the virtual dynamometer for its page: the question read, its length checked, the loops told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from forkwright.app.damper_questions import DynoQuestion
from forkwright.app.question import ambient_pressure, oil_temperature
from forkwright.app.wire import plain
from forkwright.bench.damper_setup import check_oil_temperature
from forkwright.bench.dyno import MOST_STEPS as MOST_OF_ALL
from forkwright.bench.dyno import check_length, sine_cycles, sine_test, step_strokes, step_test
from forkwright.bench.dyno_answer import cycle_answer, totals
from forkwright.bench.dyno_result import DynoRun
from forkwright.hardware import Unit
from forkwright.units import InputError
from forkwright.units.typed_in import read_quantity

Tell = Callable[[float, str], None]
Run = Callable[[Callable[[float], None]], DynoRun]

MOST_STEPS = 2_000_000
"""Time steps of one run: some 400 s of a sine."""

_KINDS = {
    "sine": {"amplitude": "length", "frequency": "frequency", "duration": "time"},
    "step": {"stroke": "length", "speed": "speed", "hold": "time"},
}
_ONLY_OF = {"sine": tuple(_KINDS["sine"]), "step": (*_KINDS["step"], "cycles")}


def dyno_work(unit: Unit, asked: DynoQuestion) -> Callable[[Tell], dict[str, Any]]:
    """Return the work that runs a test and tells it.

    What is asked is checked at once, before the work waits for its turn.

    Raises
    ------
    InputError
        For a value of the other test, out of range, or a run too long for a page.
    """
    run = _read(unit, asked)

    def work(tell: Tell) -> dict[str, Any]:
        done = run(lambda share: tell(0.95 * share, "on the dynamometer"))
        cycles = done.cycle_energy.size
        answer: dict[str, Any] = plain(
            {
                "name": unit.name,
                "test": asked.test,
                "loops": [
                    cycle_answer(done, cycle, asked.points) for cycle in sorted({1, min(2, cycles), cycles})
                ],
                "cycle_s": float(done.time[done.steps_per_cycle - 1]),
                "margin_lowest_Pa": float(done.cavitation_margin.min()),
            }
            | totals(done)
        )
        return answer

    return work


def _read(unit: Unit, asked: DynoQuestion) -> Run:
    _refuse_of_other_test(asked)
    amounts: dict[str, Any] = {
        name: read_quantity(getattr(asked, name), kind, name) for name, kind in _KINDS[asked.test].items()
    }
    centre = read_quantity(asked.centre, "length", "centre") if asked.centre is not None else None
    around: dict[str, Any] = {
        "oil_temperature": oil_temperature(asked.oil_temperature),
        "ambient_temperature": read_quantity(asked.air_temperature, "temperature", "air temperature"),
        "ambient_pressure": ambient_pressure(asked.altitude),
    }
    check_oil_temperature(around["oil_temperature"])
    if asked.test == "sine":
        cycles, per_cycle = sine_cycles(unit, **amounts, centre=centre)
        _check_length("duration", amounts["duration"], "s", cycles * per_cycle)
        return lambda told: sine_test(unit, **amounts, centre=centre, **around, progress=told)
    stroke, rest = step_strokes(unit, **amounts, cycles=asked.cycles, centre=centre)
    _check_length("cycles", asked.cycles, "", 2 * asked.cycles * (stroke + rest))
    return lambda told: step_test(
        unit, **amounts, cycles=asked.cycles, centre=centre, **around, progress=told
    )


def _refuse_of_other_test(asked: DynoQuestion) -> None:
    """Refuse a value that this test would pass over in silence."""
    other = "step" if asked.test == "sine" else "sine"
    for name in _ONLY_OF[other]:
        if name in asked.model_fields_set:
            raise InputError(f"has no meaning in a {asked.test} test, only in a {other} test", key=name)


def _check_length(key: str, value: float, unit: str, steps: int) -> None:
    elsewhere = "; the command line takes it" if steps <= MOST_OF_ALL else ""
    check_length(key, value, unit, steps, MOST_STEPS, f"too long a run for a page{elsewhere}")
