"""Ratings and times in a model with option, run order and rider, beside the exact tests."""

from __future__ import annotations

import warnings as python_warnings
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: With fewer riders the spread between them cannot be estimated: each gets a level of their own instead.
_FEWEST_RIDERS = 5
#: A variance between riders below this share of that of a run is none, dimensionless.
_NO_SPREAD = 1e-4


@dataclass(frozen=True)
class Estimate:
    """One estimate with its interval; unit of the measure (points or seconds), or that per run."""

    name: str
    value: float
    low: float
    high: float
    error: float
    p_value: float
    """Dimensionless."""


@dataclass(frozen=True)
class OrderModel:
    """The fitted model: options against the first one, and the learning trend."""

    kind: str
    options: tuple[Estimate, ...]
    """Each other option's mean minus the first option's, unit of the measure."""
    trend: Estimate | None
    """Change from one run to the next of the same rider, unit of the measure per run; None for one run."""
    rider_spread: float
    """Standard deviation between riders, unit of the measure; 0 where riders have levels of their own."""
    run_spread: float
    """Standard deviation of a run, unit of the measure."""
    warnings: tuple[str, ...] = ()


def order_model(
    values: Sequence[float],
    options: Sequence[str],
    run_numbers: Sequence[int],
    riders: Sequence[str],
    labels: Sequence[str],
    confidence: float = 0.95,
) -> OrderModel | None:
    """Fit value = option + trend x run number + rider + error.

    Parameters
    ----------
    values : sequence of float, length n
        Ratings (points) or times (seconds).
    options, riders : sequences of str, length n
        The option ridden and the rider.
    run_numbers : sequence of int, length n
        The rider's running number of the run, from 1, dimensionless.
    labels : sequence of str
        All options; the first is what the others are compared with.
    confidence : float
        Confidence of the intervals, dimensionless.

    Returns
    -------
    OrderModel or None
        None where there are too few runs for the model.

    Source
    ------
    Laird, N. M. and Ware, J. H. (1982), "Random-effects models for longitudinal data", Biometrics 38,
    963-974; fitted by statsmodels (restricted likelihood). Intervals use Student's t with the runs left
    over after options, trend and riders, since the normal one is too narrow for few runs.

    Examples
    --------
    >>> model = order_model([5, 7, 5, 8, 4, 7], list("ABABAB"), [1, 2, 1, 2, 1, 2], list("xxyyzz"), "AB")
    >>> model is None  # order and option cannot be told apart here
    True
    """
    present = [label for label in labels if label in set(options)]
    columns = [np.array([option == label for option in options], dtype=np.float64) for label in present[1:]]
    runs = np.asarray(run_numbers, dtype=np.float64)
    if np.ptp(runs) > 0:
        columns.append(runs - runs.mean())
    names = [*present[1:], *(["run"] if np.ptp(runs) > 0 else [])]
    people = sorted(set(riders))
    design = np.column_stack([np.ones(len(values)), *columns])
    levels = np.array([[float(rider == person) for person in people[1:]] for rider in riders])
    freedom = len(values) - design.shape[1] - (len(people) - 1)
    if not names or freedom < 1 or not _separable(design, levels, len(values)):
        return None
    observed = np.asarray(values, dtype=np.float64)
    if len(people) < _FEWEST_RIDERS:
        return _fixed(observed, design, levels, names, freedom, confidence)
    return _random(observed, design, list(riders), names, freedom, confidence)


def _separable(design: NDArray[np.float64], levels: NDArray[np.float64], rows: int) -> bool:
    whole = np.column_stack([design, levels]) if levels.size else design
    return bool(rows > whole.shape[1] and np.linalg.matrix_rank(whole) == whole.shape[1])


def _fixed(
    observed: NDArray[np.float64],
    design: NDArray[np.float64],
    levels: NDArray[np.float64],
    names: list[str],
    freedom: int,
    confidence: float,
) -> OrderModel:
    from statsmodels.regression.linear_model import OLS

    whole = np.column_stack([design, levels]) if levels.size else design
    fit = OLS(observed, whole).fit()
    return _model(
        f"least squares, a level for each of {levels.shape[1] + 1 if levels.size else 1} riders",
        names,
        fit.params[1:],
        fit.bse[1:],
        freedom,
        confidence,
        rider_spread=0.0,
        run_spread=float(np.sqrt(fit.mse_resid)),
        notes=(),
    )


def _random(
    observed: NDArray[np.float64],
    design: NDArray[np.float64],
    riders: list[str],
    names: list[str],
    freedom: int,
    confidence: float,
) -> OrderModel:
    from statsmodels.regression.mixed_linear_model import MixedLM

    size = float(observed.std()) or 1.0  # the optimiser wants numbers near one
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")  # what matters is said in `notes`
        fit = MixedLM((observed - observed.mean()) / size, design, groups=np.asarray(riders)).fit(reml=True)
    between = float(np.asarray(fit.cov_re).ravel()[0])
    notes: tuple[str, ...] = ()
    if between <= _NO_SPREAD * float(fit.scale):  # the likelihood is highest at the edge, at no spread at all
        notes = ("riders differ by no more than chance, so the spread between them is put at zero",)
    elif not bool(fit.converged):
        notes = ("the mixed model did not converge: do not rely on it",)
    return _model(
        "mixed model, rider as a random effect",
        names,
        size * np.asarray(fit.fe_params)[1:],
        size * np.asarray(fit.bse_fe)[1:],
        freedom,
        confidence,
        rider_spread=size * float(np.sqrt(max(0.0, between))),
        run_spread=size * float(np.sqrt(fit.scale)),
        notes=notes,
    )


def _model(
    kind: str,
    names: list[str],
    values: NDArray[np.float64],
    errors: NDArray[np.float64],
    freedom: int,
    confidence: float,
    *,
    rider_spread: float,
    run_spread: float,
    notes: tuple[str, ...],
) -> OrderModel:
    from scipy.stats import t

    reach = float(t.ppf((1 + confidence) / 2, freedom))
    estimates = []
    for name, value, error in zip(names, values, errors, strict=False):
        sure = bool(np.isfinite(error)) and error > 0
        p_value = float(2 * t.sf(abs(value / error), freedom)) if sure else 1.0
        half = reach * float(error) if sure else 0.0
        estimates.append(
            Estimate(name, float(value), float(value - half), float(value + half), half / reach, p_value)
        )
    trend = next((estimate for estimate in estimates if estimate.name == "run"), None)
    others = tuple(estimate for estimate in estimates if estimate is not trend)
    return OrderModel(kind, others, trend, rider_spread, run_spread, notes)
