"""Whatever rider, setting, leverage and stance: both ends give finite numbers, or say why not."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import forkwright as fw
from forkwright.hardware import Bike, Rider, Unit
from forkwright.hardware.leverage_table import leverage_from_csv
from forkwright.physics import Unphysical
from forkwright.tune.balance_answer import attitude_answer, pair_answer
from forkwright.units import InputError, Measure

FORK, AIR, COIL, BIKE = (fw.load(fw.demo_file(n)) for n in ("dunlin-160", "linnet-65", "pipit-65", "bike"))


@st.composite
def linkages(draw: st.DrawFn) -> str:
    """A rising table of two to seven steps, from gentle to absurd."""
    steps = draw(st.lists(st.tuples(st.floats(0.5, 80.0), st.floats(0.2, 40.0)), min_size=2, max_size=7))
    rows, wheel, stroke = ["0,0"], 0.0, 0.0
    for further, deeper in steps:
        wheel, stroke = wheel + further, stroke + deeper
        rows.append(f"{wheel:.3f},{stroke:.3f}")
    return "\n".join(rows)


def numbers(thing: Any) -> list[float]:
    """Every number in an answer."""
    if isinstance(thing, dict):
        return [number for inner in thing.values() for number in numbers(inner)]
    if isinstance(thing, list):
        return [number for inner in thing for number in numbers(inner)]
    return [thing] if isinstance(thing, float) else []


@settings(max_examples=40, deadline=None)
@given(
    table=linkages(), mass=st.floats(15.0, 250.0), pressure=st.floats(0.0, 350.0), coil=st.booleans(),
    gradient=st.floats(-1.2, 1.2), change=st.floats(-13.0, 13.0), shift=st.floats(-0.7, 0.7),
)  # fmt: skip
def test_no_leverage_or_stance_breaks_the_balance(
    table: str, mass: float, pressure: float, coil: bool, gradient: float, change: float, shift: float
) -> None:
    """A balance is finite, shares and ratios are never below zero, or the fault is told in words."""
    shock: Unit = COIL if coil else _pumped(AIR, pressure)
    bike: Bike = BIKE.model_copy(update={"leverage": leverage_from_csv(table)})
    try:
        found = fw.balance(
            FORK, shock, Rider(mass=Measure(mass)), bike, stance=fw.Stance(gradient, change),
            options=fw.PitchOptions(rider_shift=shift),
        )  # fmt: skip
    except (InputError, Unphysical):
        return
    answer = pair_answer(found.pair) | {"level": attitude_answer(found.level)}
    assert all(math.isfinite(number) for number in numbers(json.loads(json.dumps(answer))))
    for end in (found.pair.front, found.pair.rear):
        assert end.share >= 0.0
        assert end.rate > 0.0
        assert end.compression_ratio >= 0.0
        assert end.rebound_ratio >= 0.0


def _pumped(unit: Unit, pressure: float) -> Unit:
    return unit.model_copy(update={"setting": unit.setting.changed(pressure=pressure * 6894.757)})


def test_a_lever_that_carries_nothing_is_named() -> None:
    """A linkage that all but stops moving the shock is refused with what to check."""
    bike = BIKE.model_copy(update={"leverage": leverage_from_csv("0,0\n1,30\n160,65\n")})
    with pytest.raises(Unphysical, match="check the leverage"):
        fw.balance(FORK, AIR, Rider(mass=Measure(82.0)), bike)
