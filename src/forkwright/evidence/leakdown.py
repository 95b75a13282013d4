"""Leak-down: how fast a chamber loses gas, corrected for temperature and for the gauge, with its interval."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.fitting import Fit, fit_curve
from forkwright.evidence.leak_law import GAS_CONSTANT, half_life, leaked_pressure, undo_gauge_losses
from forkwright.physics.constants import P0, T0
from forkwright.physics.values import Array
from forkwright.units import InputError


@dataclass(frozen=True)
class LeakRate:
    """The leak of one chamber.

    Parameters
    ----------
    chamber : str
        Its name.
    rate, rate_std, rate_low, rate_high : float
        Pa/s of pressure lost at the start, at the reference temperature; its standard error and interval.
    flow, flow_std : float
        mol/s of gas lost, and its standard error; 0 when the volume is not given.
    volume : float
        m3 of the chamber; 0 when it is not given.
    start : float
        Pa, absolute, fitted pressure at the first reading, at the reference temperature.
    reference_temperature : float
        K.
    half_life : float
        s until half of the gauge pressure is gone; infinite when no leak can be shown.
    time, corrected, predicted : ndarray, shape (n,)
        s; Pa absolute at the reference temperature, as read and as fitted.
    shown : bool
        True when the interval lies clear of zero.
    level : float
        Coverage of the interval.
    warnings : tuple of str
        What to mind.
    """

    chamber: str
    rate: float
    rate_std: float
    rate_low: float
    rate_high: float
    flow: float
    flow_std: float
    volume: float
    start: float
    reference_temperature: float
    half_life: float
    time: Array
    corrected: Array
    predicted: Array
    shown: bool
    level: float
    warnings: tuple[str, ...]


def leak_rate(
    time: Array,
    pressure: Array,
    temperature: Array | None = None,
    *,
    chamber: str = "positive",
    volume: float = 0.0,
    ambient: float = P0,
    gauge_resolution: float = 0.0,
    hose_volume: float = 0.0,
    level: float = 0.95,
) -> LeakRate:
    """Find the leak rate of one sealed chamber from pressures over hours.

    Gas in a sealed chamber keeps ``p/T``; every reading is brought to the first one's temperature. What is
    then still lost has leaked, at a rate that a long narrow gap sets: ``dp/dt = -k (p^2 - p_amb^2)``, whose
    answer is ``(p - p_amb)/(p + p_amb) = c exp(-2 k p_amb t)``. A pressure that rises is fitted by a line.

    Parameters
    ----------
    time : ndarray, shape (n,)
        s from the first reading.
    pressure : ndarray, shape (n,)
        Pa, absolute, as read.
    temperature : ndarray, shape (n,), optional
        K of the gas; without it no correction is made, and a warning says what that may hide.
    chamber : str
        Its name, for the words.
    volume : float
        m3; gives the flow, and the gauge's own loss.
    ambient : float
        Pa, absolute, outside the chamber.
    gauge_resolution : float
        Pa; one step of the gauge. The noise is at least that of rounding to it, ``step/sqrt(12)``.
    hose_volume : float
        m3 of ambient air in a pump that is connected anew for each reading; 0 when the gauge stays on.
    level : float
        Coverage of the interval.

    Returns
    -------
    LeakRate

    Raises
    ------
    InputError
        If there are fewer than three readings, or a pressure is below a vacuum.

    Notes
    -----
    Source: ideal gas at constant volume; compressible laminar flow through a long gap (Poiseuille with
    ``p dp``, any text on gas flow); leak flow as ``V dp/dt`` after the pressure-change method of leak testing
    (EN 1779, from memory). The temperature's small effect on the gap's resistance is left out.

    Examples
    --------
    >>> import numpy as np
    >>> t = np.linspace(0, 86400, 13)
    >>> leak = leak_rate(t, 700e3 - 0.1 * t, np.full(13, 293.15))
    >>> bool(abs(leak.rate - 0.1) < 0.005)
    True
    """
    time, pressure = np.asarray(time, dtype=np.float64), np.asarray(pressure, dtype=np.float64)
    _check(time, pressure, temperature, ambient)
    warnings: list[str] = []
    if hose_volume and not volume:
        raise InputError("the gauge's own loss needs the chamber's volume", key="volume")
    if hose_volume:
        pressure = undo_gauge_losses(pressure, volume, hose_volume, ambient)
    reference = float(temperature[0]) if temperature is not None else T0
    corrected = pressure * reference / temperature if temperature is not None else pressure.copy()
    fit = _fitted(time, corrected, ambient, gauge_resolution, level)
    rate, std = float(fit.values[1]), float(fit.std[1])
    shown = fit.low[1] > 0.0
    warnings += _warnings(time, corrected, temperature, fit, ambient)
    per_pascal = volume / (GAS_CONSTANT * reference)
    lasting = half_life(float(fit.values[0]), rate, ambient) if shown else math.inf
    return LeakRate(
        chamber, rate, std, float(fit.low[1]), float(fit.high[1]), rate * per_pascal, std * per_pascal,
        volume, float(fit.values[0]), reference, lasting, time, corrected, fit.predicted, bool(shown),
        level, (*warnings, *fit.warnings),
    )  # fmt: skip


def _check(time: Array, pressure: Array, temperature: Array | None, ambient: float) -> None:
    if time.size < 3 or time.size != pressure.size:
        raise InputError("a leak rate needs three readings or more", value=str(time.size))
    if np.any(np.diff(time) <= 0):
        raise InputError("the times of the readings must rise", key="time")
    if np.any(pressure <= 0) or ambient <= 0:
        raise InputError("a pressure lies below a vacuum: gauge and absolute mixed up?", key="pressure")
    if pressure[0] <= ambient * 1.001:
        raise InputError(
            "the chamber holds no pressure to lose", key="pressure", value=f"{pressure[0]:.0f} Pa"
        )
    if temperature is not None and (np.any(temperature < 200) or np.any(temperature > 400)):
        raise InputError("a temperature is out of range", key="temperature", allowed="-73 °C to 127 °C")


def _fitted(time: Array, corrected: Array, ambient: float, resolution: float, level: float) -> Fit:
    span = float(time[-1] - time[0])
    time = time - time[0]
    slope = float(np.polyfit(time / span, corrected, 1)[0]) / span
    parameters = [
        Parameter("start", float(corrected[0]), low=ambient * 1.0001, dimension="pressure"),
        Parameter("rate", -slope, size=0.01 * float(corrected[0]) / span),
    ]

    def leaking(b: Array) -> Array:
        return leaked_pressure(time, float(b[0]), float(b[1]), ambient)

    def filling(b: Array) -> Array:
        return np.asarray(b[0] - b[1] * time, dtype=np.float64)

    # a chamber that gains gas is fed by another one, at a rate that its own pressure does not set
    model = leaking if slope < 0 else filling
    fit = fit_curve(model, corrected, parameters, level=level)
    rounding = resolution / math.sqrt(12.0)
    if fit.noise < rounding:
        fit = fit_curve(model, corrected, parameters, noise=rounding, level=level)
    return fit


def _warnings(
    time: Array, corrected: Array, temperature: Array | None, fit: Fit, ambient: float
) -> list[str]:
    words = []
    span = float(time[-1] - time[0])
    if temperature is None:
        hidden = float(corrected[0]) / T0 / span
        words.append(
            "no temperature was read: one kelvin between the first and the last reading would look like "
            f"a leak of {hidden * 3600:.0f} Pa/h"
        )
    elif np.ptp(temperature) > 5:
        words.append(
            "the temperature moved by more than 5 K: the gas may not have been as warm as the sensor"
        )
    if fit.values[1] < 0 and fit.high[1] < 0:
        words.append(
            "the pressure rises: gas comes in from another chamber, or the temperature is not the gas's"
        )
    if span < 3600:
        words.append("less than an hour of readings: small leaks need a night")
    if corrected[-1] <= ambient * 1.001:
        words.append("the chamber ran empty: the rate comes from what was left before")
    return words
