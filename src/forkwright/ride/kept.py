"""What a process of a sweep keeps from one setting to the next: roads, and the bench's damping tables."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.hardware import Setting, Unit
from forkwright.ride.course import Course, Road
from forkwright.ride.damping import bench_table
from forkwright.ride.options import DampingTable, RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.ride.step import step_on_ladder
from forkwright.ride.wheel_road import road_with_slopes, with_weight_shift

MOST_ROADS = 12
"""Roads a process keeps, newest first; each is some megabytes. Never fewer than three a course."""

MOST_DAMPERS = 4000
"""Damping tables a process keeps, newest first; each is under a kilobyte."""


class Kept:
    """The roads and damping tables a process has made, kept for the next setting that needs the same."""

    def __init__(self) -> None:
        self._roads: OrderedDict[tuple[int, float], _KeptRoad] = OrderedDict()
        self._dampers: OrderedDict[tuple[int | None, ...], tuple[DampingTable, tuple[str, ...]]] = (
            OrderedDict()
        )

    def road(self, place: int, courses: Sequence[Course], p: RideParameters, options: RideOptions) -> Road:
        """Return the road over the course at a place of the sweep's `courses`, made now or before."""
        key = place, options.step or step_on_ladder(p)
        if key not in self._roads:
            sloping = road_with_slopes(courses[place], p, options)
            self._roads[key] = _KeptRoad(sloping, 1.0, sloping.values[:, 3].copy())
            if len(self._roads) > max(MOST_ROADS, 3 * len(courses)):
                self._roads.popitem(last=False)
        self._roads[key] = self._roads[key].for_weight(p.slope_shift)
        self._roads.move_to_end(key)
        return self._roads[key].road

    def damping(
        self, unit: Unit, setting: Setting, day: int, conditions: Conditions, options: RideOptions
    ) -> tuple[DampingTable, tuple[str, ...]]:
        """Return the bench's damping table at a setting's clicks, which no other entry touches."""
        key = setting.low_speed, setting.high_speed, setting.rebound, day
        if key not in self._dampers:
            self._dampers[key] = bench_table(
                unit, setting, conditions, options.oil_temperature, options.stiffening
            )
            if len(self._dampers) > MOST_DAMPERS:
                self._dampers.popitem(last=False)
        self._dampers.move_to_end(key)
        return self._dampers[key]

    def with_another_damper(self) -> Kept:
        """Return the same roads for a unit whose damper is another one."""
        other = Kept()
        other._roads = self._roads
        return other


@dataclass(frozen=True)
class _KeptRoad:
    """A road with the weight shift (N) of the last bike that rode it, and the slope's sine for the next.

    The shift follows from the masses of bike and rider: another rider on the same trail has another one.
    """

    road: Road
    slope_shift: float
    slope_sine: NDArray[np.float64]

    def for_weight(self, slope_shift: float) -> _KeptRoad:
        """Return the road for another bike's weight."""
        if slope_shift == self.slope_shift:
            return self
        values = self.road.values.copy()
        values[:, 3] = self.slope_sine
        road = with_weight_shift(replace(self.road, values=values), slope_shift)
        return _KeptRoad(road, slope_shift, self.slope_sine)
