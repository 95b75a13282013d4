"""A search for shim stacks for its page: the question read and checked, the tune room's answer told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from forkwright.app.api.revalve_api import StacksWanted
from forkwright.app.jobs import Tell
from forkwright.app.question import oil_temperature
from forkwright.app.tuning.drawer import drawer_from
from forkwright.app.wire import plain
from forkwright.hardware import Unit
from forkwright.tune.revalve import revalve
from forkwright.tune.revalve_answer import revalve_answer
from forkwright.tune.revalve_targets import read_target
from forkwright.tune.valve_bench import ValveBench


def revalve_work(unit: Unit, asked: StacksWanted) -> Callable[[Tell], dict[str, Any]]:
    """Return the work that searches; what is asked is checked at once, before the work waits for its turn.

    Raises
    ------
    InputError
        For a target, a valve, a temperature or a shim that cannot be.
    """
    valve = f"{asked.valve}_valve"
    targets = tuple(
        read_target(f"{one.speed}: {one.force}", valve, f"target {number}")
        for number, one in enumerate(asked.targets, start=1)
    )
    drawer, oil = drawer_from(asked.shims), oil_temperature(asked.oil_temperature)
    ValveBench(unit, valve, targets, unit.setting, oil)

    def work(tell: Tell) -> dict[str, Any]:
        found = revalve(
            unit, valve, targets, drawer, oil_temperature=oil, most_discs=asked.most_discs,
            budget=asked.budget, keep=asked.keep, progress=lambda share: tell(share, "solving stacks"),
        )  # fmt: skip
        answer: dict[str, Any] = plain(revalve_answer(found))
        return answer

    return work
