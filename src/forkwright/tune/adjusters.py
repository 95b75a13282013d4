"""The steps there are: every adjuster of a unit with the values it can take, in order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.bench.conditions import Conditions
from forkwright.bench.sag import Load, sag
from forkwright.bench.standing import standing_load
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.physics import Unphysical
from forkwright.physics.values import Array
from forkwright.tune.nearest_coil import COIL_STEP, MOST_PRELOAD, PRELOAD_STEP
from forkwright.tune.nearest_spring import PUMP_STEP
from forkwright.tune.pump_steps import check_pump_steps
from forkwright.tune.spring_grid import HIGHEST, at_many, spacer_counts
from forkwright.units import InputError, Measure, show

LEAST_SAG, MOST_SAG = 0.12, 0.38  # of the travel; own limits of what is searched


@dataclass(frozen=True)
class Adjuster:
    """One thing that can be set.

    `values` are SI (gauge Pa, counts), ascending, every one of them admissible by itself.
    """

    name: str
    values: Array


def value_in(setting: Setting, name: str) -> float:
    """Return what an adjuster is set to, SI (gauge Pa, m, counts); it must be set."""
    held = getattr(setting, name)
    return float(getattr(held, "si", held))


def adjusters_of(
    unit: Unit,
    setting: Setting,
    load: Load,
    *,
    side_load: float = 0.0,
    conditions: Conditions | None = None,
    pump_step: float,
    secondary_step: float,
    clicks: bool = True,
) -> tuple[Adjuster, ...]:
    """Return the adjusters of a unit for a rider; pressures are those whose sag a rider can ride.

    Clicks are left out where a table stands in for the damper, for then they change nothing.

    Raises
    ------
    Unphysical
        If no pressure within the limits gives a sag between 12 % and 38 % of the travel; the part that
        stops it is named.
    """
    found = []
    air = unit.air_spring
    if air is not None and setting.pressure is not None:
        found.append(Adjuster("pressure", _rideable(unit, setting, load, side_load, conditions, pump_step)))
        if air.spacers is not None and air.spacers.max_count:
            found.append(Adjuster("spacers", np.array(spacer_counts(unit, setting), np.float64)))
        if air.floating is not None and setting.floating is not None:
            limit = air.floating.pressure_limit.si if air.floating.pressure_limit is not None else HIGHEST
            low = max(setting.pressure.si * 0.8, secondary_step)
            found.append(Adjuster("floating", _multiples(secondary_step, low, limit)))
        if air.negative == "valve" and setting.negative_pressure is not None:
            found.append(Adjuster("negative_pressure", _negative(unit, found[0].values, pump_step)))
    if unit.coil_spring is not None:
        check_coil(unit, setting, load, side_load, conditions)
        found.append(Adjuster("preload", _multiples(PRELOAD_STEP, 0.0, MOST_PRELOAD)))
    if unit.damper is not None and clicks:
        found += [
            Adjuster(name, np.arange(most + 1, dtype=np.float64))
            for name, most in unit.damper.click_ranges().items()
            if most > 0
        ]
    return tuple(found)


def adjusters_for(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    conditions: Conditions | None,
    pump_step: float | None,
    secondary_step: float,
    *,
    clicks: bool = True,
) -> tuple[Adjuster, ...]:
    """Return what can be set on a unit for a rider on a bike; `clicks` as in `adjusters_of`.

    Raises
    ------
    Unphysical
        If no pressure carries the rider.
    InputError
        If the unit has nothing to set, or a step of the pump is out of range.
    """
    load = standing_load(unit, rider, bike, conditions)
    check_pump_steps(pump_step, secondary_step)
    step = pump_step or (bike.pump_step.si if bike.pump_step is not None else PUMP_STEP)
    found = adjusters_of(
        unit, unit.setting, load.axial, side_load=load.side, conditions=conditions,
        pump_step=step, secondary_step=secondary_step, clicks=clicks,
    )  # fmt: skip
    if not found:
        without = "no clicks" if clicks else "the damping is a table's"
        raise InputError(
            f"there is nothing to set: no air spring, and {without}", key="unit", value=unit.name
        )
    return found


def _rideable(
    unit: Unit, setting: Setting, load: Load, side_load: float, conditions: Conditions | None, step: float
) -> Array:
    air = unit.air_spring
    assert air is not None
    limit = air.pressure_limit.si if air.pressure_limit is not None else HIGHEST
    pressures = _multiples(step, step, limit)
    full = unit.travel.si

    def share(index: int) -> float:
        changed = setting.changed(pressure=float(pressures[index]))
        return float(sag(unit, load, changed, conditions, side_load=side_load, points=321).middle) / full

    def first_below(level: float) -> int:
        low, high = 0, pressures.size
        while low < high:
            middle = (low + high) // 2
            low, high = (low, middle) if share(middle) <= level else (middle + 1, high)
        return low

    begin, end = first_below(MOST_SAG), first_below(LEAST_SAG)
    if begin >= pressures.size:
        raise Unphysical(
            f"the pressure limit of {show(limit, 'pressure')} stops it: even there {unit.name} sags "
            f"{share(pressures.size - 1):.0%} under this rider (ridden: up to {MOST_SAG:.0%})"
        )
    if end == begin:
        raise Unphysical(
            f"the air spring stops it: no pressure gives {unit.name} between {LEAST_SAG:.0%} and "
            f"{MOST_SAG:.0%} sag under this rider"
        )
    return pressures[begin:end]


def _negative(unit: Unit, main: Array, step: float) -> Array:
    """Pressures of a negative chamber's own valve, from half the least main one to half above the most."""
    air = unit.air_spring
    assert air is not None
    limit = air.negative_pressure_limit or air.pressure_limit
    most = min(1.5 * float(main[-1]), limit.si if limit is not None else HIGHEST)
    return _multiples(step, max(step, min(0.5 * float(main[0]), most)), most)


def rideable_by(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    conditions: Conditions | None,
    adjusters: Sequence[Adjuster],
) -> Callable[[Array], NDArray[np.bool_]] | None:
    """Return what tells the settings with which a rider sags within what is ridden.

    None where the main pressure alone decides that, whose values are then all within.
    """
    names = [adjuster.name for adjuster in adjusters]
    if "negative_pressure" not in names:
        return None
    load = standing_load(unit, rider, bike, conditions)
    places = [names.index(name) for name in ("pressure", "negative_pressure")]

    def tell(values: Array) -> NDArray[np.bool_]:
        columns = {names[place]: values[:, place, np.newaxis] for place in places}
        many = at_many(unit, unit.setting, **columns)
        rests = sag(many, load.axial, None, conditions, side_load=load.side, points=321).middle
        share = np.broadcast_to(np.asarray(rests) / unit.travel.si, (len(values),))
        return np.asarray((share >= LEAST_SAG) & (share <= MOST_SAG), np.bool_)

    return tell


def check_coil(
    unit: Unit, setting: Setting, load: Load, side_load: float, conditions: Conditions | None
) -> None:
    """Refuse a coil with which the rider cannot ride.

    Raises
    ------
    Unphysical
        If it sags less than 12 % or more than 38 % of the travel without preload; the coils that would carry
        the rider are named.
    """
    assert unit.coil_spring is not None
    rate = float(unit.coil_spring.rate.si)

    def share(rates: Array) -> Array:
        coil = unit.coil_spring
        assert coil is not None
        many: Any = Measure(rates[:, np.newaxis], text="many")  # type: ignore[arg-type]
        held = unit.model_copy(update={"coil_spring": coil.model_copy(update={"rate": many})})
        bare = setting.changed(preload=0.0)
        held = held.model_copy(update={"setting": bare})
        rests = sag(held, load, None, conditions, side_load=side_load, points=321).middle
        return np.broadcast_to(np.asarray(rests) / unit.travel.si, rates.shape)

    now = float(share(np.array([rate]))[0])
    if LEAST_SAG <= now <= MOST_SAG:
        return
    rates = np.asarray(COIL_STEP * np.arange(1, int(4.0 * rate / COIL_STEP) + 8), np.float64)
    shares = share(rates)
    good = rates[(shares >= LEAST_SAG) & (shares <= MOST_SAG)]
    way = "stiff" if now < LEAST_SAG else "soft"
    ends = [show(float(end), "stiffness") for end in (good[0], good[-1])] if good.size else ["none"]
    raise Unphysical(
        f"the coil of {show(rate, 'stiffness')} is too {way}: {unit.name} sags {now:.0%} under this rider "
        f"(ridden: {LEAST_SAG:.0%} to {MOST_SAG:.0%}); coils that would carry the rider: {' to '.join(ends)}"
    )


def _multiples(step: float, low: float, high: float) -> Array:
    first, last = int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9))
    return np.asarray(step * np.arange(first, last + 1), np.float64)
