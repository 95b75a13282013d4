"""Turns rows of a search into settings that can be told, each checked against the unit's limits once more."""

from __future__ import annotations

import numpy as np

from forkwright.hardware import Unit, check_setting
from forkwright.ride.settings_table import SettingsTable
from forkwright.tune.goal import Goal
from forkwright.tune.recommendation import Option
from forkwright.tune.search import SettingSearch

MOST_TOLD = 40
"""Settings of the trade-off that are told, the best by the wishes first, with those best in one aim."""


class OptionTeller:
    """Turns rows of a search into options."""

    def __init__(self, unit: Unit, search: SettingSearch, goal: Goal) -> None:
        self._unit, self._goal, self._judged = unit, goal, search.judged
        self._table = SettingsTable(tuple(a.name for a in search.adjusters), search.judged.values)
        self._costs, self._aims = goal.costs(search.judged), search.judged.aims

    def option(self, row: int) -> Option:
        """Return one setting, checked against the unit's limits once more."""
        setting = self._table.setting(self._unit.setting, row)
        check_setting(self._unit, setting)
        return Option(
            setting, self._aims[row], self._judged.by_course[row], float(self._judged.metal[row]),
            float(self._costs[row]),
        )  # fmt: skip

    def trade_off(self) -> tuple[Option, ...]:
        """Return the allowed settings that no other beats in everything, the best by the wishes first."""
        edge = self._goal.edge(self._judged)
        if edge.size == 0:
            return ()
        by_cost = edge[np.argsort(self._costs[edge])]
        ends = edge[np.argmin(self._aims[edge], axis=0)]
        told = list(dict.fromkeys([*by_cost[: MOST_TOLD - len(ends)].tolist(), *ends.tolist()]))
        return tuple(self.option(row) for row in sorted(told, key=lambda row: float(self._costs[row])))
