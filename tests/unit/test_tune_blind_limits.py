"""A blind setting's sag is the one with a rider on it, the push of the damper's gas counted."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import pytest

from forkwright.bench.gas_push import gas_push
from forkwright.bench.sag import sag
from forkwright.hardware import load_unit
from forkwright.tune.blind_limits import judge


@dataclass(frozen=True)
class Option:
    """A setting of a unit's file."""

    unit: str
    setting: dict[str, object] = field(default_factory=dict)
    checked_by_hand: str = ""


@pytest.mark.parametrize("name", ["dunlin-160", "linnet-65"])
def test_the_damper_gas_carries_its_part(demo_dir: Path, name: str) -> None:
    """A limit between the sag with and without the push is kept; one below both is not."""
    unit = load_unit(demo_dir / f"{name}.toml")
    load = 400.0 if unit.kind == "fork" else 1500.0
    alone = float(sag(unit, load).middle) / unit.travel.si
    held = float(sag(unit, load, push=gas_push(unit)).middle) / unit.travel.si
    assert held < alone - 0.01
    for most, refused in ((0.5 * (held + alone), False), (held - 0.005, True)):
        limits = {"load": f"{load} N", "full_travel_force": "100 N", "sag_high": most}
        told = judge(limits, demo_dir)(Option(f"{name}.toml"))
        assert any("sag would be" in words for words in told) is refused
