"""Air drawn into the lower legs by riding: how much a ride, and when to open the ports."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.fitting import fit_curve
from forkwright.physics.values import Array
from forkwright.units import InputError


@dataclass(frozen=True)
class Ingress:
    """Air drawn into the lower legs by riding.

    Parameters
    ----------
    per_ride, low, high : float
        Pa of gauge pressure gained a ride, and its interval.
    start : float
        Pa, gauge, when the ports were last opened (fitted).
    volume_per_ride : float
        m3 of air at ambient pressure drawn in a ride; 0 when the leg's volume is not given.
    rides_to : float
        Rides until `limit` is reached; infinite when no gain can be shown.
    rides : ndarray, shape (n,)
        Rides so far at each reading (plain numbers).
    gauge, predicted : ndarray, shape (n,)
        Pa, gauge, at the first reading's temperature: as read, and as fitted.
    warnings : tuple of str
        What to mind.
    """

    per_ride: float
    low: float
    high: float
    start: float
    volume_per_ride: float
    rides_to: float
    rides: Array
    gauge: Array
    predicted: Array
    warnings: tuple[str, ...]


def ingress(
    rides: Array,
    pressure: Array,
    temperature: Array | None = None,
    *,
    volume: float = 0.0,
    ambient: float = 101325.0,
    limit: float = 20e3,
    level: float = 0.95,
) -> Ingress:
    """Find how much air the lower legs draw in a ride.

    Parameters
    ----------
    rides : ndarray, shape (n,)
        Rides since the vent ports were last opened (plain numbers).
    pressure : ndarray, shape (n,)
        Pa, gauge, in the lower leg at full extension.
    temperature : ndarray, shape (n,), optional
        K; readings are brought to the first one's.
    volume : float
        m3 of the leg's air at full extension.
    ambient : float
        Pa, absolute.
    limit : float
        Pa, gauge; when to open the ports (common practice, no source; the default is 0.2 bar).
    level : float
        Coverage of the interval.

    Raises
    ------
    InputError
        If there are fewer than three readings.

    Notes
    -----
    Source: the same air is taken to be drawn in on every ride (assumed); ideal gas.
    """
    rides, pressure = np.asarray(rides, dtype=np.float64), np.asarray(pressure, dtype=np.float64)
    if rides.size < 3 or np.ptp(rides) <= 0:
        raise InputError("ingress needs readings after three rides or more", value=str(rides.size))
    absolute = pressure + ambient
    if temperature is not None:
        absolute = absolute * temperature[0] / temperature
    gauge = absolute - ambient
    slope = float(np.ptp(gauge) / np.ptp(rides)) or 1.0
    fit = fit_curve(
        lambda b: b[0] + b[1] * rides,
        gauge,
        [Parameter("start", 0.0), Parameter("per_ride", slope)],
        level=level,
    )
    start, per_ride = float(fit.values[0]), float(fit.values[1])
    shown = fit.low[1] > 0
    return Ingress(
        per_ride,
        float(fit.low[1]),
        float(fit.high[1]),
        start,
        per_ride * volume / ambient,
        max((limit - start) / per_ride, 0.0) if shown else float("inf"),
        rides,
        gauge,
        fit.predicted,
        (*fit.warnings, *(() if shown else ("no gain can be shown yet: read again after more rides",))),
    )
