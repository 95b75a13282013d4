"""Fitting a model to a measurement: weighted least squares with tolerances as priors, plain or robust."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from forkwright.evidence.losses import LOSSES, Loss
from forkwright.physics import Unphysical
from forkwright.units import InputError

Floats = NDArray[np.float64]
Predict = Callable[[Floats], Floats]

_ROUNDS = 60
_NEAR = 1e-6  # share of the allowed range that counts as "on the limit"


@dataclass(frozen=True)
class Parameter:
    """One number to find.

    Parameters
    ----------
    name : str
        For a unit the dotted path, for example "air_spring.bore".
    start : float
        First guess, SI; with a tolerance also the middle of what the callipers allow.
    tolerance : float
        One standard deviation of what is already known, same unit as `start`; 0 when nothing is known.
    low, high : float
        Values outside are not tried, same unit as `start`.
    dimension : str
        Kind of quantity, for words.
    size : float
        How far it may plausibly move, same unit as `start`; 0 takes the tolerance, or `start` itself.
    """

    name: str
    start: float
    tolerance: float = 0.0
    low: float = -math.inf
    high: float = math.inf
    dimension: str = "dimensionless"
    size: float = 0.0


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
    values: Floats
    std: Floats
    low: Floats
    high: Floats
    covariance: Floats
    information: Floats
    learned: Floats
    residual: Floats
    predicted: Floats
    weights: Floats
    noise: float
    freedom: float
    correlated: float
    loss: str
    level: float
    converged: bool
    warnings: tuple[str, ...] = field(default=())

    @property
    def correlation(self) -> Floats:
        """Correlation of the fitted values, shape (p, p)."""
        return correlation_of(self.covariance)

    def __getitem__(self, name: str) -> float:
        """Return the fitted value of one parameter, SI."""
        return float(self.values[[p.name for p in self.parameters].index(name)])


def fit_curve(
    predict: Predict,
    measured: Floats,
    parameters: Sequence[Parameter],
    *,
    noise: float | None = None,
    spread: Floats | None = None,
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
    problem = _Problem.of(predict, measured, parameters, spread, loss)
    z, scale, weights, converged = _search(problem, noise)
    return _report(problem, z, scale, weights, noise, converged, level, neighbours)


@dataclass(frozen=True)
class _Problem:
    """The fit in scaled numbers: every parameter is start + size * z."""

    predict: Predict
    measured: Floats
    parameters: tuple[Parameter, ...]
    spread: Floats
    loss: Loss
    start: Floats
    size: Floats
    pull: Floats  # size/tolerance: the prior's residual per unit of z; 0 without a tolerance

    @classmethod
    def of(
        cls,
        predict: Predict,
        measured: Floats,
        parameters: Sequence[Parameter],
        spread: Floats | None,
        loss: str,
    ) -> _Problem:
        measured = np.asarray(measured, dtype=np.float64)
        if loss not in LOSSES:
            raise InputError("unknown loss", value=loss, allowed=", ".join(LOSSES))
        if not np.isfinite(measured).all():
            raise InputError("the measurement holds values that are not numbers")
        free = sum(1 for p in parameters if not p.tolerance)
        if measured.size <= max(free, 2) or not parameters:
            raise InputError(
                "too few samples for this many parameters",
                value=f"{measured.size} samples, {len(parameters)} parameters",
            )
        size = np.array([p.tolerance or p.size or abs(p.start) or 1.0 for p in parameters])
        pull = np.array(
            [s / p.tolerance if p.tolerance else 0.0 for s, p in zip(size, parameters, strict=True)]
        )
        start = np.array([p.start for p in parameters])
        spread = np.ones_like(measured) if spread is None else np.asarray(spread, dtype=np.float64)
        return cls(predict, measured, tuple(parameters), spread, LOSSES[loss], start, size, pull)

    def values(self, z: Floats) -> Floats:
        return self.start + self.size * z

    def residual(self, z: Floats) -> Floats:
        """Measured less predicted, over the relative spread."""
        predicted = np.asarray(self.predict(self.values(z)), dtype=np.float64)
        return np.asarray((self.measured - predicted) / self.spread, dtype=np.float64)

    def ends(self) -> tuple[Floats, Floats]:
        low = np.array([(p.low - p.start) / s for p, s in zip(self.parameters, self.size, strict=True)])
        high = np.array([(p.high - p.start) / s for p, s in zip(self.parameters, self.size, strict=True)])
        return low, high

    def jacobian(self, z: Floats) -> Floats:
        """Change of the residual with each z, by central differences, shape (n, p)."""
        low, high = self.ends()
        columns = []
        for i in range(z.size):
            known_size = self.parameters[i].tolerance or self.parameters[i].size
            least = 1.0 if known_size else 1e-3 * max(1.0, abs(z[i]))
            h = 6e-6 * max(abs(z[i] + self.start[i] / self.size[i]), least)
            up, down = z.copy(), z.copy()
            up[i], down[i] = min(z[i] + h, high[i]), max(z[i] - h, low[i])
            columns.append((self.residual(up) - self.residual(down)) / (up[i] - down[i]))
        return np.column_stack(columns)


def _search(problem: _Problem, noise: float | None) -> tuple[Floats, float, Floats, bool]:
    """Alternate between the values, the noise and the weights until none of them moves."""
    z = np.zeros(problem.start.size)
    residual = problem.residual(z)
    if not np.isfinite(residual).all():
        raise Unphysical("the model gives no finite answer at the values to start from")
    weights = np.ones_like(residual)
    scale = noise or problem.loss.scale(residual, 0.0)
    converged = False
    solved = False
    for turn in range(_ROUNDS):
        weights = problem.loss.weight(residual / scale)
        new, solved = (
            _solve(problem, z, weights, scale) if turn < 2 else (_near(problem, z, weights, scale), solved)
        )
        residual = problem.residual(new)
        used, error = _used_up(problem, new, weights, scale)
        new_scale = noise or max(problem.loss.scale(residual, used), _tiny(problem))
        # a median moves in steps, so a robust fit may circle closely for ever: late rounds ask for less
        small = 1e-7 if turn < 20 else 1e-3
        still = bool(np.all(np.abs(new - z) <= small * error)) and abs(new_scale - scale) <= small * scale
        z, scale = new, new_scale
        if still or (problem.loss.plain and (noise or not problem.pull.any())):
            converged = solved
            break
    return z, scale, problem.loss.weight(residual / scale), converged


def _tiny(problem: _Problem) -> float:
    """A floor for the noise, so that a perfect fit does not divide by zero."""
    return 1e-12 * float(np.max(np.abs(problem.measured / problem.spread), initial=1e-300))


def _used_up(problem: _Problem, z: Floats, weights: Floats, scale: float) -> tuple[float, Floats]:
    """Return the degrees of freedom the values took from the data, and the error of each z, shape (p,).

    A parameter held by its tolerance takes few.
    """
    jacobian = problem.jacobian(z) * np.sqrt(weights)[:, np.newaxis] / scale
    data = jacobian.T @ jacobian
    covariance, _ = _inverse(data + np.diag(problem.pull**2))
    error = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    if not problem.pull.any():
        return float(z.size), error
    return float(np.trace(covariance @ data)), error


def _solve(problem: _Problem, z: Floats, weights: Floats, scale: float) -> tuple[Floats, bool]:
    """Minimise for fixed weights and noise with lmfit, then polish with a few Gauss-Newton steps."""
    import lmfit

    root = np.sqrt(weights) / scale
    low, high = problem.ends()
    box = lmfit.Parameters()
    for i, value in enumerate(z):
        box.add(f"z{i}", value=float(value), min=float(low[i]), max=float(high[i]))
    whole = _whole_residual(problem, root)

    def of_box(parameters: lmfit.Parameters) -> Floats:
        return whole(np.array([parameters[f"z{i}"].value for i in range(z.size)]))

    answer = lmfit.minimize(
        of_box, box, method="leastsq", calc_covar=False, ftol=1e-12, xtol=1e-12, max_nfev=2000 * (z.size + 1)
    )
    best = np.array([answer.params[f"z{i}"].value for i in range(z.size)])
    return _polished(problem, best, whole, root), bool(answer.success)


def _near(problem: _Problem, z: Floats, weights: Floats, scale: float) -> Floats:
    """Minimise again after weights or noise moved a little: Gauss-Newton steps from where it was."""
    root = np.sqrt(weights) / scale
    return _polished(problem, z, _whole_residual(problem, root), root)


def _whole_residual(problem: _Problem, root: Floats) -> Callable[[Floats], Floats]:
    """Residuals of samples and tolerances in standard deviations; a step too far is made unattractive."""
    last = np.ones(problem.measured.size + problem.pull.size)

    def whole(at: Floats) -> Floats:
        nonlocal last
        try:
            found = np.concatenate([problem.residual(at) * root, problem.pull * at])
        except Unphysical:
            return 10.0 * np.abs(last) + 1.0  # the search backs off
        if not np.isfinite(found).all():
            return 10.0 * np.abs(last) + 1.0
        last = found
        return found

    return whole


def _polished(problem: _Problem, z: Floats, whole: Callable[[Floats], Floats], root: Floats) -> Floats:
    low, high = problem.ends()
    residual = whole(z)
    before = math.inf
    for _ in range(25):
        jacobian = np.vstack([problem.jacobian(z) * root[:, np.newaxis], np.diag(problem.pull)])
        step = np.linalg.lstsq(jacobian, -residual, rcond=1e-13)[0]
        trial = np.clip(z + step, low, high)
        new = whole(trial)
        if not float(new @ new) <= (1 + 1e-9) * float(residual @ residual):
            break  # a step that does not help; equal sums still may bring the values nearer
        z, residual = trial, new
        moved = float(np.max(np.abs(step)))
        if moved < 1e-12 * (1 + float(np.max(np.abs(z)))) or (moved < 1e-8 and moved > 0.5 * before):
            break  # arrived, or only rounding is left
        before = moved
    return z


def _report(
    problem: _Problem,
    z: Floats,
    scale: float,
    weights: Floats,
    noise: float | None,
    converged: bool,
    level: float,
    neighbours: bool,
) -> Fit:
    from scipy import stats

    residual = problem.residual(z)
    used, _ = _used_up(problem, z, weights, scale)
    jacobian = problem.jacobian(z)
    widened = correlation_factor(residual) if neighbours else 1.0
    one_sample = problem.loss.variance(residual / scale, used) * scale**2 * widened
    data = jacobian.T @ jacobian / one_sample
    prior = np.diag(problem.pull**2)
    covariance, singular = _inverse(data + prior)
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


def _inverse(information: Floats) -> tuple[Floats, bool]:
    """Invert the information; a direction it says nothing about gets a very large variance."""
    diagonal = np.diag(information)
    root = np.sqrt(np.where(diagonal > 1e-30 * max(float(diagonal.max()), 1e-300), diagonal, 1.0))
    values, vectors = np.linalg.eigh(information / np.outer(root, root))
    unknown = values <= 1e-13
    scaled = (vectors / np.where(unknown, 1e-12, values)) @ vectors.T
    return np.asarray(scaled / np.outer(root, root), dtype=np.float64), bool(unknown.any())


def correlation_of(covariance: Floats) -> Floats:
    """Return the correlation matrix of a covariance matrix, shape (p, p)."""
    std = np.sqrt(np.diag(covariance))
    std = np.where(std > 0, std, 1.0)
    return np.asarray(np.clip(covariance / np.outer(std, std), -1.0, 1.0), dtype=np.float64)


def correlation_factor(residual: Floats) -> float:
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
    problem: _Problem, values: Floats, weights: Floats, widened: float, converged: bool, singular: bool
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
