"""What to change at one end so that it goes with the other: spring by sag, clicks by damping ratio."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.physics import Unphysical
from forkwright.physics.values import Array
from forkwright.ride.pitch_options import PitchOptions
from forkwright.tune.balance import Balance, Pair, pair_of
from forkwright.tune.balance_ends import End, EndBalance, damping_at
from forkwright.tune.nearest_coil import COIL_STEP, with_rate
from forkwright.tune.nearest_spring import PUMP_STEP
from forkwright.tune.spring_grid import highest_pressure
from forkwright.units import InputError

SAG_LEAD = 0.04
"""How much more of its travel the rear sags than the front, as a share; common practice, no source."""

_FAR_RATIO = 2.0  # a coil is looked for from half to double the present rate


@dataclass(frozen=True)
class Aims:
    """What balanced means; own definitions.

    `sag_lead` is the rear's share of sag less the front's. Damping ratios of both ends are to be alike.
    """

    sag_lead: float = SAG_LEAD


@dataclass(frozen=True)
class Change:
    """One adjuster of the end that is changed. Values are SI (gauge Pa, m, N/m) or clicks from closed."""

    adjuster: str  # pressure, coil_rate, rebound, low_speed
    before: float
    after: float
    aimed: float  # sag share, or damping ratio of the other end
    reached: float
    at_limit: bool  # the limit of the part stopped it


@dataclass(frozen=True)
class Advice:
    """The changes at one end, and both ends after them."""

    end: End
    aims: Aims
    setting: Setting
    coil_rate: float | None  # N/m, where another coil is advised
    changes: tuple[Change, ...]  # what stays is left out
    after: Pair
    frequency_ratio_pressure: float | None  # gauge Pa at which both frequencies would be alike; None: none is
    warnings: tuple[str, ...]


def advise(
    found: Balance,
    rider: Rider,
    bike: Bike,
    *,
    change: End = "rear",
    aims: Aims | None = None,
    conditions: Conditions | None = None,
    options: PitchOptions | None = None,
    pump_step: float = PUMP_STEP,
) -> Advice:
    """Return what to change at one end so that it goes with the other.

    Parameters
    ----------
    found : Balance
    rider, bike : Rider, Bike
    change : {"rear", "front"}
        The end that is changed; the other is kept.
    aims : Aims, optional
    conditions, options
        As in `balance`.
    pump_step : float
        Pa.

    Returns
    -------
    Advice

    Raises
    ------
    InputError
        If the aim is out of range.

    Notes
    -----
    Own method. The spring first: the whole pump step (or coil) whose sag comes nearest to the aim, within
    the stated limits. Then the clicks of rebound and of low-speed compression whose damping ratio comes
    nearest to that of the other end, at the new sag.
    """
    aims, conditions, options = aims or Aims(), conditions or Conditions(), options or PitchOptions()
    if not -0.3 <= aims.sag_lead <= 0.3:
        raise InputError("out of range", key="sag_lead", value=f"{aims.sag_lead:g}", allowed="-0.3 to 0.3")
    work = _Work(found.pair, change, rider, bike, conditions, options)
    other = found.pair.front if change == "rear" else found.pair.rear
    wanted = other.share + aims.sag_lead if change == "rear" else other.share - aims.sag_lead
    spring = work.spring_for_sag(wanted, pump_step)
    alike = work.pressure_for_frequency(other.frequency, pump_step)
    clicks = [work.clicks_for(name, getattr(other, f"{way}_ratio"), way) for name, way in _WAYS]
    changes = [one for one in (spring, *clicks) if one is not None and one.after != one.before]
    notes = [
        f"{one.adjuster.replace('_', ' ')}: the part's limit stops it before the aim is reached"
        for one in (spring, *clicks)
        if one is not None and one.at_limit
    ]
    other_coil = spring is not None and spring.adjuster == "coil_rate" and spring.after != spring.before
    rate = spring.after if spring is not None and other_coil else None
    return Advice(change, aims, work.unit.setting, rate, tuple(changes), work.pair(), alike, tuple(notes))


_WAYS = (("rebound", "rebound"), ("low_speed", "compression"))


class _Work:
    """The end that is changed, step by step."""

    def __init__(
        self, pair: Pair, change: End, rider: Rider, bike: Bike, conditions: Conditions, options: PitchOptions
    ) -> None:
        self._end, self._rider, self._bike = change, rider, bike
        self._conditions, self._options = conditions, options
        self._kept = pair.front.unit if change == "rear" else pair.rear.unit
        self.unit = pair.rear.unit if change == "rear" else pair.front.unit

    def pair(self, unit: Unit | None = None) -> Pair:
        """Both ends, the changed one as it is now or as `unit`."""
        changed = unit or self.unit
        fork, shock = (self._kept, changed) if self._end == "rear" else (changed, self._kept)
        return pair_of(fork, shock, self._rider, self._bike, self._conditions, self._options)

    def own(self, unit: Unit | None = None) -> EndBalance:
        """The changed end."""
        both = self.pair(unit)
        return both.rear if self._end == "rear" else both.front

    def spring_for_sag(self, wanted: float, pump_step: float) -> Change | None:
        """Change the spring; keep it in `unit`."""
        made: Callable[[Unit, float], Unit]
        if self.unit.air_spring is not None and self.unit.setting.pressure is not None:
            steps = _pressures(self.unit, pump_step)
            before, name, made = float(self.unit.setting.pressure.si), "pressure", _with_pressure
        elif self.unit.coil_spring is not None:
            before, name, made = float(self.unit.coil_spring.rate.si), "coil_rate", with_rate
            sold = np.asarray(COIL_STEP * np.arange(1, 200), np.float64)
            steps = sold[(sold >= before / _FAR_RATIO) & (sold <= before * _FAR_RATIO)]
        else:
            return None
        place = _nearest_falling(
            lambda i: self.own(made(self.unit, float(steps[i]))).share, steps.size, wanted
        )
        after = float(steps[place])
        if abs(after - before) < 0.5 * abs(steps[1] - steps[0]):
            after = before
        self.unit = made(self.unit, after)
        reached = self.own().share
        at_limit = place in (0, steps.size - 1) and abs(reached - wanted) > 0.005
        return Change(name, before, after, wanted, reached, at_limit)

    def pressure_for_frequency(self, wanted: float, pump_step: float) -> float | None:
        """The pressure that gives this end the frequency `wanted`; None where none does."""
        if self.unit.air_spring is None or self.unit.setting.pressure is None:
            return None
        steps = _pressures(self.unit, pump_step)

        def frequency(pressure: float) -> float:
            try:
                return self.own(_with_pressure(self.unit, pressure)).frequency
            except Unphysical:
                return np.inf

        rough = steps[:: max(1, steps.size // 24)]
        values = np.array([frequency(float(step)) for step in rough])
        best = int(np.argmin(np.abs(values - wanted)))
        return float(rough[best]) if abs(values[best] - wanted) < 0.05 * wanted else None

    def clicks_for(self, name: str, wanted: float, way: str) -> Change | None:
        """Change one adjuster's clicks; keep them in `unit`."""
        most = self.unit.damper.click_ranges().get(name, 0) if self.unit.damper is not None else 0
        if most == 0:
            return None
        now = self.own()
        critical = now.compression / now.compression_ratio if now.compression_ratio > 0.0 else 0.0
        if critical <= 0.0:
            return None
        lever = now.lever
        place = 0 if way == "compression" else 1
        ratios = [
            damping_at(_with_clicks(self.unit, name, count), lever, self._conditions)[place] / critical
            for count in range(most + 1)
        ]
        best = int(np.argmin(np.abs(np.array(ratios) - wanted)))
        given = getattr(self.unit.setting, name)
        before = most // 2 if given is None else int(given)
        at_limit = best in (0, most) and abs(ratios[best] - wanted) > 0.1 * wanted
        self.unit = _with_clicks(self.unit, name, best)
        return Change(name, float(before), float(best), wanted, ratios[best], at_limit)


def _nearest_falling(value: Callable[[int], float], count: int, wanted: float) -> int:
    """The place of a falling sequence that comes nearest to `wanted`, by bisection."""
    low, high = 0, count - 1
    if value(low) <= wanted:
        return low
    if value(high) >= wanted:
        return high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if value(middle) > wanted else (low, middle)
    return min((low, high), key=lambda place: abs(value(place) - wanted))


def _pressures(unit: Unit, pump_step: float) -> Array:
    count = int(np.floor(highest_pressure(unit) / pump_step * (1 + 1e-9)))
    return np.asarray(pump_step * np.arange(1, count + 1), np.float64)


def _with_pressure(unit: Unit, pressure: float) -> Unit:
    return unit.model_copy(update={"setting": unit.setting.changed(pressure=pressure)})


def _with_clicks(unit: Unit, name: str, count: int) -> Unit:
    return unit.model_copy(update={"setting": unit.setting.changed(**{name: count})})
