"""Fitting a unit to its bench traces: the callipers' tolerances are the priors, a kept library of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.fit_choice import ZEROS, parameters_of, predicted_by
from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.fitting import Fit, fit_curve
from forkwright.evidence.telling_apart import UNTOUCHED, Advice, advise
from forkwright.evidence.traces import Trace
from forkwright.hardware import Unit
from forkwright.physics.values import Array
from forkwright.units import InputError, UnitChoice

_ROUNDS = 4
_USUAL_TURNS = 8  # looks at every slope that a search usually takes


@dataclass(frozen=True)
class UnitFit:
    """A unit fitted to traces.

    Parameters
    ----------
    unit : Unit
        As measured, before the fit.
    traces : tuple of Trace
        What it was fitted to.
    fit : Fit
        Values, intervals and residuals; the residuals of all traces stand one behind the other, each in its
        trace's own unit. With several traces its `noise` is a share of each trace's own.
    noises : tuple of float
        Standard deviation of a sample of each trace, in the trace's own unit.
    advice : Advice
        What the traces could not tell, and what to measure.
    """

    unit: Unit
    traces: tuple[Trace, ...]
    fit: Fit
    noises: tuple[float, ...]
    advice: Advice

    def fitted(self) -> dict[str, float]:
        """Return the fitted values of the unit's own measures that the traces support, SI, by path."""
        return {
            p.name: float(v)
            for p, v, share in zip(self.fit.parameters, self.fit.values, self.fit.learned, strict=True)
            if p.name not in ZEROS and share >= UNTOUCHED
        }

    def zeros(self) -> dict[str, float]:
        """Return the fitted sensor zeros, SI."""
        return {
            p.name: float(v)
            for p, v in zip(self.fit.parameters, self.fit.values, strict=True)
            if p.name in ZEROS
        }

    def predicted(self) -> tuple[Array, ...]:
        """Return each trace's prediction from the fitted values, in the trace's own unit."""
        everything = {p.name: float(v) for p, v in zip(self.fit.parameters, self.fit.values, strict=True)}
        return tuple(predicted_by(self.unit, trace, everything) for trace in self.traces)


def fit_unit(
    unit: Unit,
    traces: Sequence[Trace],
    names: Sequence[str] | None = None,
    *,
    force_zero: float = 0.0,
    travel_zero: float = 0.0,
    loss: str = "plain",
    level: float = 0.95,
    units: UnitChoice | None = None,
    progress: Callable[[float, str], None] | None = None,
) -> UnitFit:
    """Fit a unit's measures to bench traces.

    Parameters
    ----------
    unit : Unit
        As measured; its values and tolerances are the priors.
    traces : sequence of Trace
        Slow pulls, pressures over the travel, force against speed; together if there are several.
    names : sequence of str, optional
        Dotted paths to fit; by default every measure with a tolerance that these traces can speak about.
        A path without a tolerance may be named: it is then free within its allowed range.
    force_zero, travel_zero : float
        Tolerance of the load cell's and the travel sensor's zero, N and m; 0 takes them as exact.
    loss : str
        "plain", "huber" or "bisquare".
    level : float
        Coverage of the intervals.
    units : UnitChoice, optional
        For the numbers in the advice.
    progress : callable, optional
        Told the share done (0 to 1, a guess: nobody knows how long a search lasts) and what is being done;
        may raise to stop.

    Returns
    -------
    UnitFit

    Raises
    ------
    InputError
        If a path is unknown, or nothing can be fitted.
    """
    if not traces:
        raise InputError("there is no trace to fit to")
    parameters = parameters_of(unit, traces, names)
    if force_zero:
        parameters.append(Parameter("force_zero", 0.0, force_zero, dimension="force"))
    if travel_zero:
        parameters.append(Parameter("travel_zero", 0.0, travel_zero, dimension="length"))
    if not parameters:
        raise InputError("nothing to fit: no measure these traces speak about has a tolerance")
    noises = np.ones(len(traces))
    measured = np.concatenate([t.measured for t in traces])
    lengths = [t.measured.size for t in traces]

    looks = _Looks(progress, parameters, measured.size, _ROUNDS if len(traces) > 1 else 1)

    def predict(values: Array) -> Array:
        looks.count()
        by_name = dict(zip((p.name for p in parameters), values.tolist(), strict=True))
        return np.concatenate([predicted_by(unit, trace, by_name) for trace in traces])

    if len(traces) > 1:
        noises = _first_noises(measured - predict(np.array([p.start for p in parameters])), lengths)
    for turn in range(_ROUNDS if len(traces) > 1 else 1):
        looks.begin(turn)
        fit = fit_curve(
            predict, measured, parameters, spread=np.repeat(noises, lengths), loss=loss, level=level
        )
        noises = _noises(fit, lengths) if len(traces) > 1 else np.array([fit.noise])
    return UnitFit(unit, tuple(traces), fit, tuple(noises.tolist()), advise(fit, units))


class _Looks:
    """Tells how far a fit is by counting how often it has looked at the model."""

    def __init__(
        self,
        progress: Callable[[float, str], None] | None,
        parameters: Sequence[Parameter],
        samples: int,
        rounds: int,
    ) -> None:
        self._progress = progress
        self._what = f"fitting {len(parameters)} values to {samples} samples"
        self._usual = _USUAL_TURNS * (2 * len(parameters) + 1)
        self._rounds, self._turn, self._seen = rounds, 0, 0

    def begin(self, turn: int) -> None:
        """Begin a round."""
        self._turn, self._seen = turn, 0

    def count(self) -> None:
        """Count one look; the share nears the end of the round and never reaches it."""
        self._seen += 1
        if self._progress is not None:
            share = (self._turn + self._seen / (self._seen + self._usual)) / self._rounds
            turn = f", round {self._turn + 1} of {self._rounds}" if self._rounds > 1 else ""
            self._progress(share, f"{self._what}{turn}")


def _first_noises(residual: Array, lengths: list[int]) -> Array:
    """Noise of each trace before anything is fitted: from what neighbouring samples differ by."""
    parts = np.split(residual, np.cumsum(lengths)[:-1])
    rough = [float(np.std(np.diff(p))) / np.sqrt(2.0) for p in parts]
    return np.array([r or float(np.std(p)) or 1.0 for r, p in zip(rough, parts, strict=True)])


def _noises(fit: Fit, lengths: list[int]) -> Array:
    parts = np.split(fit.residual * np.sqrt(fit.weights), np.cumsum(lengths)[:-1])
    return np.array([float(np.sqrt(np.mean(p**2))) or 1e-300 for p in parts])
