"""A rear unit's stroke over its wheel's travel: the table that a ride steps through, made and read."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.bench.rear_linkage import full_wheel_travel, linkage_of
from forkwright.hardware import Bike, Unit
from forkwright.hardware.leverage import Leverage, LeveragePoint
from forkwright.ride.options import RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.units import InputError, Measure

Array = NDArray[np.float64]

LEVERAGE_POINTS = 401
NO_LEVERAGE = "a fork has no leverage curve"


def with_leverage(unit: Unit, bike: Bike, options: RideOptions) -> RideOptions:
    """Return the options with the bike's own leverage curve for a shock, where none is stated."""
    if unit.kind != "shock" or options.leverage or bike.leverage is None:
        return options
    link = linkage_of(bike)
    wheel = np.linspace(0.0, full_wheel_travel(unit, link), LEVERAGE_POINTS)
    points = tuple((float(w), float(s)) for w, s in zip(wheel, link.stroke_at(wheel), strict=True))
    return replace(options, leverage=points)


def on_the_bike(unit: Unit, bike: Bike, options: RideOptions) -> tuple[Bike, RideOptions]:
    """Return the bike with the leverage curve that the options state, and the options without it.

    What is worked out beside the rides, such as the sag, then goes through the same curve as they do.

    Raises
    ------
    InputError
        For a fork, which has none, and for points that are no leverage curve.
    """
    if not options.leverage:
        return bike, options
    if unit.kind == "fork":
        raise InputError(NO_LEVERAGE, key="leverage")
    leverage_fields(options.leverage)
    stated = list(options.leverage)
    if len(stated) == 2:  # a straight line, of which a file asks for three points
        stated.insert(1, (0.5 * stated[1][0], 0.5 * stated[1][1]))
    points = tuple(
        LeveragePoint.model_construct(wheel=Measure(wheel), stroke=Measure(stroke))
        for wheel, stroke in stated
    )
    leverage = Leverage.model_construct(points=points, smoothing=None)
    return bike.model_copy(update={"leverage": leverage}), replace(options, leverage=())


def leverage_fields(points: tuple[tuple[float, float], ...]) -> dict[str, Any]:
    """Return the leverage fields of `RideParameters`: stroke at even wheel travels, by a curve that keeps the
    points' rise."""
    from scipy.interpolate import PchipInterpolator

    table = np.array(points, dtype=np.float64)
    if (
        table.ndim != 2
        or table.shape[0] < 2
        or np.any(table[0] != 0.0)
        or np.any(np.diff(table, axis=0) <= 0.0)
    ):
        raise InputError(
            "a leverage curve needs two or more points (wheel travel, stroke), both growing, from (0, 0)",
            key="leverage",
        )
    travel = np.linspace(0.0, table[-1, 0], LEVERAGE_POINTS)
    stroke = np.asarray(PchipInterpolator(table[:, 0], table[:, 1])(travel))
    return {"leverage_step": float(travel[1]), "leverage_stroke": stroke}


def stroke_of(p: RideParameters, travel: Array) -> tuple[Array, Array | float]:
    """Unit stroke and its slope over wheel travel.

    Parameters
    ----------
    p : RideParameters
    travel : array
        Wheel travel, m, shape (n,).

    Returns
    -------
    Stroke, m, and stroke per travel, dimensionless (1 without leverage).

    Notes
    -----
    Source: the leverage points given; straight lines between the evenly spaced ones, as in the kernel.
    """
    if p.leverage_stroke.size < 2:
        return travel, 1.0
    place = np.clip((travel / p.leverage_step).astype(np.int64), 0, p.leverage_stroke.size - 2)
    rise = p.leverage_stroke[place + 1] - p.leverage_stroke[place]
    return p.leverage_stroke[place] + (travel / p.leverage_step - place) * rise, rise / p.leverage_step


def stroke_at(p: RideParameters, travel: float) -> float:
    """Return the unit's stroke at one wheel travel, m."""
    return float(stroke_of(p, np.array([travel]))[0][0])
