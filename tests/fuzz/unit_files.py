"""What must hold of any text handed in as a unit file, and of every curve of a unit that is read from it."""

from __future__ import annotations

import dataclasses
import warnings
from collections import Counter
from collections.abc import Callable

import numpy as np

from forkwright.bench.damping import damping_curve
from forkwright.bench.sag import sag
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Unit, measures, quantities
from forkwright.hardware.files import examine
from forkwright.physics import Unphysical
from forkwright.units import InputError, parse

LOADS = (0.0, 150.0, 420.0)  # N
SPEEDS = np.array([-3.0, -0.3, -0.01, 0.0, 0.01, 0.3, 3.0])  # m/s
TOLD = (InputError, Unphysical)


def judge(text: str) -> Counter[str]:
    """Take a text through the readers and the bench; anything but an answer or words is raised.

    Returns
    -------
    Counter
        What came of it: "refused", "read", and for each curve "answered" or "refused".
    """
    count: Counter[str] = Counter()
    with warnings.catch_warnings(), np.errstate(invalid="raise", over="raise", divide="raise"):
        warnings.simplefilter("error")
        errors, found = examine(text, "spoiled.toml")
        if errors:
            assert found is None
            for error in errors:
                assert str(error).strip()
                assert "\n" not in str(error), f"an error of several lines: {error!s:.200}"
            count["refused"] += 1
            return count
        count["read"] += 1
        if isinstance(found, Unit):
            _nothing_clipped(found)
            _bench(found, count)
    assert not any("without a word" in came for came in count)
    return count


def _nothing_clipped(unit: Unit) -> None:
    """Every value is the one that its own text says, and lies in its range."""
    kinds = quantities(unit)
    for path, measure in measures(unit).items():
        assert np.isfinite(measure.si), path
        assert np.isfinite(measure.std), path
        assert measure.std >= 0.0, path
        low, high = kinds[path].limits()
        assert low <= measure.si <= high, f"{path} is out of its range"
        if measure.text:
            said = parse(measure.text, kinds[path].dimension)
            assert (said.si, said.std) == (measure.si, measure.std), f"{path} is not what its text says"


def _bench(unit: Unit, count: Counter[str]) -> None:
    count[f"spring {_asked(lambda: _spring(unit))}"] += 1
    for load in LOADS:
        count[f"sag {_asked(lambda load=load: _sag(unit, load))}"] += 1
    if unit.damper is not None:
        count[f"damping {_asked(lambda: _damping(unit))}"] += 1


def _asked(question: Callable[[], None]) -> str:
    try:
        question()
    except TOLD as fault:
        return "refused" if str(fault).strip() else "refused without a word"
    return "answered"


def _spring(unit: Unit) -> None:
    for exponent in (1.0, 1.4):
        curve = spring_curve(unit, exponent=exponent)
        _finite(curve)
        assert curve.travel[-1] == unit.travel.si or curve.warnings, "the travel was cut in silence"
        assert np.all(np.diff(curve.travel) > 0.0)
        for pressure in (
            curve.positive,
            curve.negative,
            curve.lower_leg,
            curve.lower_leg_damper,
            curve.secondary,
        ):
            assert np.all(pressure > 0.0), "a pressure below nothing"
        assert np.all(curve.friction >= 0.0)


def _sag(unit: Unit, load: float) -> None:
    band = sag(unit, load)
    _finite(band)
    assert band.low <= band.middle <= band.high
    assert band.low >= 0.0
    assert band.high <= unit.travel.si * (1 + 1e-12)
    if band.low <= 0.0 or band.high >= unit.travel.si:
        assert band.warnings, "an end of the travel was reached in silence"


def _damping(unit: Unit) -> None:
    curve = damping_curve(unit, speeds=SPEEDS)
    _finite(curve)
    assert np.all(np.diff(curve.force) >= -1e-6 * np.max(np.abs(curve.force))), "less force at more speed"
    total = sum(curve.by_path.values())
    assert np.allclose(total, curve.force, rtol=1e-6, atol=1e-6), "the shares do not add up"
    assert np.all(curve.cavitation_margin[1:] < np.inf)
    if np.any(curve.cavitation_margin < 0.0):
        assert curve.warnings, "cavitation in silence"


def _finite(result: object) -> None:
    for field in dataclasses.fields(result):  # type: ignore[arg-type]
        value = getattr(result, field.name)
        if isinstance(value, float | np.ndarray):
            assert np.all(np.isfinite(value)), f"{field.name} is no number"
