"""Turns rows of a search over stages into what is said about each stage."""

from __future__ import annotations

import numpy as np

from forkwright.hardware import Setting, Unit, check_setting
from forkwright.physics.values import Array
from forkwright.ride.settings_table import SettingsTable
from forkwright.tune.race_plan import StageSetting
from forkwright.tune.recommendation import StepChange
from forkwright.tune.search import SettingSearch
from forkwright.tune.stage_days import Stage
from forkwright.tune.stage_search import StageGoal


class StageTeller:
    """Turns rows of the search into what is said about a stage."""

    def __init__(
        self, unit: Unit, search: SettingSearch, goal: StageGoal, single: int, shared: list[int]
    ) -> None:
        self._unit, self._search, self._goal, self._single = unit, search, goal, single
        self._shared = shared
        self._table = SettingsTable(tuple(a.name for a in search.adjusters), search.judged.values)
        self._single_allowed = bool(goal.goal.fits(search.judged)[single])

    def setting(self, row: int) -> Setting:
        """Return a row as a setting, checked against the unit's limits once more."""
        setting = self._table.setting(self._unit.setting, row)
        check_setting(self._unit, setting)
        return setting

    def stage(self, number: int, stage: Stage, row: int, steps: tuple[StepChange, ...]) -> StageSetting:
        """Return one stage's setting with everything it is compared with."""
        judged = self._search.judged.on(self._goal.places(number))
        costs, aims = self._goal.goal.costs(judged), judged.aims
        single = self._single if self._single_allowed else None
        return StageSetting(
            stage=stage,
            setting=self.setting(row),
            aims=aims[row],
            by_case=judged.by_course[row],
            cost=float(costs[row]),
            shared_aims=None if single is None else aims[single],
            shared_cost=None if single is None else float(costs[single]),
            regret=self._regret(number, row),
            steps=steps,
        )

    def _regret(self, number: int, row: int) -> Array:
        """Per case, the cost above that of the best setting seen with the same build.

        Only settings allowed in every case of the stage are compared, and the aims of each case are measured
        on the trade-off of those.
        """
        places = self._goal.places(number)
        allowed = np.flatnonzero(self._goal.goal.fits(self._search.judged.on(places)))
        build = self._search.steps[allowed][:, self._shared]
        same = (build == self._search.steps[row, self._shared]).all(axis=1)
        here = int(np.searchsorted(allowed, row))
        lost = []
        for place in places:
            costs = self._goal.goal.costs(self._search.judged.only(allowed).on([place]))
            lost.append(costs[here] - costs[same].min())
        return np.array(lost)
