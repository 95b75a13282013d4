"""Fitting a unit to its bench traces: the callipers' tolerances are the priors, a kept library of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from forkwright.evidence.fitting import Fit, Parameter, fit_curve
from forkwright.evidence.telling_apart import UNTOUCHED, Advice, advise
from forkwright.evidence.traces import Trace
from forkwright.hardware import Unit, measures, quantities
from forkwright.hardware.fields import Part
from forkwright.units import InputError, UnitChoice

Floats = NDArray[np.float64]
AnyPart = TypeVar("AnyPart", bound=Part)

# Which parts of a unit each kind of trace can speak about.
_PARTS = {
    "spring": ("chassis.", "lower_legs.", "air_spring.", "coil_spring.", "bumpers.", "damper.", "setting."),
    "pressure": ("lower_legs.", "air_spring.", "setting."),
    "damping": ("damper.",),
}
ZEROS = {"force_zero": "force", "travel_zero": "length"}
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

    def predicted(self) -> tuple[Floats, ...]:
        """Return each trace's prediction from the fitted values, in the trace's own unit."""
        everything = {p.name: float(v) for p, v in zip(self.fit.parameters, self.fit.values, strict=True)}
        return tuple(_predict(self.unit, trace, everything) for trace in self.traces)


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
    parameters = _parameters(unit, traces, names)
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

    def predict(values: Floats) -> Floats:
        looks.count()
        by_name = dict(zip((p.name for p in parameters), values.tolist(), strict=True))
        return np.concatenate([_predict(unit, trace, by_name) for trace in traces])

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


def _predict(unit: Unit, trace: Trace, by_name: dict[str, float]) -> Floats:
    own = {name: value for name, value in by_name.items() if name not in ZEROS}
    return trace.predict(swapped(unit, own), by_name.get("force_zero", 0.0), by_name.get("travel_zero", 0.0))


def swapped(part: AnyPart, values: Mapping[str, float]) -> AnyPart:
    """Return a copy with some measures holding other SI values, touching only the parts that hold them.

    The same as `hardware.replaced`, without walking the whole unit: a fit asks for thousands of copies.
    """
    inner: dict[str, dict[str, float]] = {}
    update: dict[str, Any] = {}
    for path, value in values.items():
        head, _, rest = path.partition(".")
        if rest:
            inner.setdefault(head, {})[rest] = value
        else:
            update[head] = getattr(part, head).at(value)
    for head, below in inner.items():
        held = getattr(part, head)
        update[head] = _swapped_in_list(held, below) if isinstance(held, tuple) else swapped(held, below)
    return part.model_copy(update=update)


def _swapped_in_list(items: tuple[Any, ...], values: Mapping[str, float]) -> tuple[Any, ...]:
    changed = list(items)
    for path, value in values.items():
        position, _, rest = path.partition(".")
        changed[int(position)] = swapped(changed[int(position)], {rest: value})
    return tuple(changed)


def candidates(unit: Unit, traces: Sequence[Trace]) -> list[str]:
    """Return the paths of every measure with a tolerance that these traces can speak about.

    Parameters
    ----------
    unit : Unit
        As measured.
    traces : sequence of Trace
        Of this unit.
    """
    parts = tuple({part for trace in traces for part in _PARTS[trace.kind]})
    return [
        path
        for path, m in measures(unit).items()
        if m.std and path.startswith(parts) and _matters(unit, traces, path)
    ]


def _parameters(unit: Unit, traces: Sequence[Trace], names: Sequence[str] | None) -> list[Parameter]:
    known, kinds = measures(unit), quantities(unit)
    names = candidates(unit, traces) if names is None else names
    parameters = []
    for name in names:
        if name not in known:
            raise InputError(
                "the unit has no such measure",
                key=name,
                allowed=", ".join(p for p, m in known.items() if m.std),
            )
        measure, kind = known[name], kinds[name]
        low, high = kind.limits()
        parameters.append(Parameter(name, measure.si, measure.std, low, high, kind.dimension))
    return parameters


def _matters(unit: Unit, traces: Sequence[Trace], path: str) -> bool:
    """Return True if one tolerance's change of this measure changes any prediction at all."""
    measure = measures(unit)[path]
    changed = swapped(unit, {path: measure.si + 0.1 * measure.std})
    return any(bool(np.any(t.predict(changed) != t.predict(unit))) for t in traces)


def _first_noises(residual: Floats, lengths: list[int]) -> Floats:
    """Noise of each trace before anything is fitted: from what neighbouring samples differ by."""
    parts = np.split(residual, np.cumsum(lengths)[:-1])
    rough = [float(np.std(np.diff(p))) / np.sqrt(2.0) for p in parts]
    return np.array([r or float(np.std(p)) or 1.0 for r, p in zip(rough, parts, strict=True)])


def _noises(fit: Fit, lengths: list[int]) -> Floats:
    parts = np.split(fit.residual * np.sqrt(fit.weights), np.cumsum(lengths)[:-1])
    return np.array([float(np.sqrt(np.mean(p**2))) or 1e-300 for p in parts])
