"""Fitting a model to a measurement: weighted least squares with tolerances as priors, plain or robust."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from forkwright.evidence.fit_problem import Parameter, Predict, Problem
from forkwright.evidence.fit_search import inverse, search, used_up
from forkwright.physics.values import Array

_NEAR = 1e-6  # share of the allowed range that counts as "on the limit"


@dataclass(frozen=True)
class Fit:
    """Fitted values with their intervals, and everything needed to judge them.

    Parameters
    ----------
    parameters : tuple of Parameter
        As asked for.
    values, std, low, high : ndarray, shape (p,)
        Fitted values, standard errors, ends of the interval at `level`; SI, in the order of `parameters`.
    covariance : ndarray, shape (p, p)
        Of the values; products of SI units.
    information : ndarray, shape (p, p)
        What the trace alone says: inverse of the covariance without the tolerances.
    learned : ndarray, shape (p,)
        Share of the callipers' variance that the trace removed: 0 nothing, 1 everything (also 1 where no
        tolerance was given).
    residual, predicted : ndarray, shape (n,)
        Measured less predicted, and predicted, in the measurement's unit.
    weights : ndarray, shape (n,)
        Weight each sample kept (1 unless a robust loss turned it down).
    noise : float
        Standard deviation of one sample, in the measurement's unit.
    freedom : float
        Degrees of freedom of `noise`; infinite when the noise was given.
    correlated : float
        Factor by which neighbouring residuals that agree widened the variances; 1 when they do not.
    loss : str
        Name of the loss used.
    level : float
        Coverage of the interval, 0 to 1.
    converged : bool
        False when the search stopped early; the values are then not to be trusted.
    warnings : tuple of str
        What to mind.
    """

    parameters: tuple[Parameter, ...]
    values: Array
    std: Array
    low: Array
    high: Array
    covariance: Array
    information: Array
    learned: Array
    residual: Array
    predicted: Array
    weights: Array
    noise: float
    freedom: float
    correlated: float
    loss: str
    level: float
    converged: bool
    warnings: tuple[str, ...] = field(default=())

    @property
    def correlation(self) -> Array:
        """Correlation of the fitted values, shape (p, p)."""
        return correlation_of(self.covariance)

    def __getitem__(self, name: str) -> float:
        """Return the fitted value of one parameter, SI."""
        return float(self.values[[p.name for p in self.parameters].index(name)])


def fit_curve(
    predict: Predict,
    measured: Array,
    parameters: Sequence[Parameter],
    *,
    noise: float | None = None,
    spread: Array | None = None,
    loss: str = "plain",
    level: float = 0.95,
    neighbours: bool = True,
) -> Fit:
    """Find the parameters that bring `predict` nearest to what was measured.

    Minimises ``sum rho((measured - predicted)/noise) + sum ((value - start)/tolerance)^2 / 2``, the most
    probable values when samples scatter normally and tolerances are standard deviations.

    Parameters
    ----------
    predict : callable
        Takes the values, shape (p,), SI, and returns predictions, shape (n,), in the measurement's unit.
    measured : ndarray, shape (n,)
        The measurement, finite.
    parameters : sequence of Parameter
        What to find.
    noise : float, optional
        Standard deviation of a sample, in the measurement's unit, if it is known; found from the scatter
        otherwise.
    spread : ndarray, shape (n,), optional
        Relative standard deviation of each sample (plain numbers); all alike by default.
    loss : str
        "plain", or "huber" or "bisquare" against outliers.
    level : float
        Coverage of the intervals, 0 to 1.
    neighbours : bool
        Widen the intervals when neighbouring residuals agree, as they do when the model misses something.

    Returns
    -------
    Fit

    Raises
    ------
    InputError
        If there are too few samples, or the loss is unknown.
    Unphysical
        If the model has no answer at the start.

    Notes
    -----
    Source: least squares and its covariance: any text on regression, for example Seber & Wild, *Nonlinear
    Regression*, 1989, ch. 2; robust losses and their covariance: Huber, *Robust Statistics*, 1981, ch. 7
    (both from memory). Checked against the NIST StRD certified values and statsmodels.

    Examples
    --------
    >>> import numpy as np
    >>> x = np.linspace(0.0, 1.0, 50)
    >>> line = fit_curve(lambda b: b[0] + b[1] * x, 2 + 3 * x, [Parameter("a", 0.0), Parameter("b", 1.0)])
    >>> bool(np.allclose(line.values, [2, 3]))
    True
    """
    problem = Problem.of(predict, measured, parameters, spread, loss)
    z, scale, weights, converged = search(problem, noise)
    return _report(problem, z, scale, weights, noise, converged, level, neighbours)


def _report(
    problem: Problem,
    z: Array,
    scale: float,
    weights: Array,
    noise: float | None,
    converged: bool,
    level: float,
    neighbours: bool,
) -> Fit:
    from scipy import stats

    residual = problem.residual(z)
    used, _ = used_up(problem, z, weights, scale)
    jacobian = problem.jacobian(z)
    widened = correlation_factor(residual) if neighbours else 1.0
    one_sample = problem.loss.variance(residual / scale, used) * scale**2 * widened
    data = jacobian.T @ jacobian / one_sample
    prior = np.diag(problem.pull**2)
    covariance, singular = inverse(data + prior)
    spread_z = np.sqrt(np.diag(covariance))
    freedom = math.inf if noise else max((residual.size - used) / widened, 1.0)
    reach = float(
        stats.t.ppf(0.5 + level / 2, freedom) if math.isfinite(freedom) else stats.norm.ppf(0.5 + level / 2)
    )
    values, std = problem.values(z), problem.size * spread_z
    learned = np.where(problem.pull > 0, 1.0 - (spread_z * problem.pull) ** 2, 1.0)
    size = np.outer(problem.size, problem.size)
    return Fit(
        problem.parameters, values, std, values - reach * std, values + reach * std,
        covariance * size, data / size, np.clip(learned, 0.0, 1.0),
        residual * problem.spread, problem.measured - residual * problem.spread,
        weights, scale, freedom, widened, problem.loss.name, level, converged,
        _warnings(problem, values, weights, widened, converged, singular),
    )  # fmt: skip


def correlation_of(covariance: Array) -> Array:
    """Return the correlation matrix of a covariance matrix, shape (p, p)."""
    std = np.sqrt(np.diag(covariance))
    std = np.where(std > 0, std, 1.0)
    return np.asarray(np.clip(covariance / np.outer(std, std), -1.0, 1.0), dtype=np.float64)


def correlation_factor(residual: Array) -> float:
    """Return by how much agreeing neighbours widen a variance: ``(1 + r)/(1 - r)``, r at lag one.

    One where r is within three standard errors of nothing (``3/sqrt(n)``). Exact for a first-order process.

    Notes
    -----
    Source: variance of the mean of a first-order autoregressive series, any text on time series.
    """
    centred = residual - residual.mean()
    power = float(centred @ centred)
    if power <= 0 or residual.size < 10:
        return 1.0
    r = float(centred[1:] @ centred[:-1]) / power
    if r <= 3.0 / math.sqrt(residual.size):
        return 1.0
    r = min(r, 0.99)
    return (1.0 + r) / (1.0 - r)


def _warnings(
    problem: Problem, values: Array, weights: Array, widened: float, converged: bool, singular: bool
) -> tuple[str, ...]:
    words = []
    if not converged:
        words.append("the search stopped before it settled: do not trust these values")
    if singular:
        words.append("the trace cannot fix all of these values at once: some of the errors are only a floor")
    if widened > 1.5:
        words.append(
            f"neighbouring residuals agree: the model misses something the trace shows; "
            f"the intervals were widened {math.sqrt(widened):.1f} times"
        )
    down = int(np.count_nonzero(weights < 0.5))
    if down:
        words.append(f"{down} of {weights.size} samples were counted less than half, as outliers")
    for p, value in zip(problem.parameters, values, strict=True):
        reach = p.high - p.low if math.isfinite(p.high - p.low) else abs(value) or 1.0
        if min(value - p.low, p.high - value) < _NEAR * reach:
            words.append(f"{p.name} sits on the end of its allowed range: its interval is not to be trusted")
    return tuple(words)
