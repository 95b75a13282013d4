"""How sure an answer is, and which measurement to repeat: bands and variance shares from the tolerances."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from forkwright.bench.bands import Band, band_of
from forkwright.bench.conditions import Conditions
from forkwright.bench.sag import Load, sag
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Setting, Unit, measures, quantities, replaced, with_setting
from forkwright.physics.values import Array
from forkwright.tune.variance import Shares, variance_shares

SAMPLES = 512
"""Base samples of the variance shares; (measures + 2) times as many answers are computed."""

ANSWERS: dict[str, str] = {
    "sag": "length",
    "force at 30 % of travel": "force",
    "force at 50 % of travel": "force",
    "force at full travel": "force",
    "end pressure": "pressure",
    "energy to bottom-out": "energy",
    "midstroke support": "dimensionless",
}
"""The answers examined, with their kind of quantity."""


@dataclass(frozen=True)
class AnswerUncertainty:
    """One answer with its band and the share of its variance that each measurement brings.

    Parameters
    ----------
    name, dimension : str
        What it is, and its kind of quantity.
    nominal : float
        From the values as measured, SI (pressures absolute).
    band : Band
        5 %, 50 %, 95 % of the draws, SI; arrays of shape (1,).
    shares : Shares
        By measure.
    repeat : str or None
        Path of the measurement that brings most; None where no tolerance touches the answer.
    band_width_without : float
        Width the band would have (to first order) if that measurement were exact, SI.
    """

    name: str
    dimension: str
    nominal: float
    band: Band
    shares: Shares
    repeat: str | None
    band_width_without: float


@dataclass(frozen=True)
class Uncertainty:
    """Every answer's uncertainty, and the measurement worth repeating first."""

    answers: tuple[AnswerUncertainty, ...]
    repeat_first: str | None  # the measure with the largest share, averaged over the answers
    samples: int  # answers computed for the variance shares
    warnings: tuple[str, ...]


def uncertainty(
    unit: Unit,
    load: Load,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
    *,
    side_load: float = 0.0,
    samples: int = SAMPLES,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> Uncertainty:
    """Return bands on the spring's answers and which measurement matters for each.

    Parameters
    ----------
    unit : Unit
    load, side_load : float
        Static load along and across the leg axis, N.
    setting, conditions
        As in `spring_curve`.
    samples : int
        Base samples, a power of two.
    seed : int
        Of the quasi-random samples.
    progress : callable, optional
        Called with the share done, 0 to 1; may raise to stop.

    Returns
    -------
    Uncertainty

    Notes
    -----
    Source: bands JCGM 101:2008, clause 7; variance shares (Sobol) Saltelli et al., *Global Sensitivity
    Analysis*, by the SALib library (see `variance_shares`).
    """
    unit = with_setting(unit, setting)
    toleranced = _toleranced(unit)

    def answer(values: Mapping[str, Array]) -> dict[str, Array]:
        many = replaced(unit, {path: column[:, np.newaxis] for path, column in values.items()})  # type: ignore[misc]
        return spring_answers(many, load, side_load, conditions)

    nominal = {
        name: float(value) for name, value in spring_answers(unit, load, side_load, conditions).items()
    }
    if not toleranced:
        return Uncertainty((), None, 0, ("no measure has a tolerance: nothing can be said about the error",))
    shares, draws = variance_shares(toleranced, answer, samples=samples, seed=seed, progress=progress)
    answers = tuple(
        _described(name, nominal[name], draws[name], shares[name]) for name in ANSWERS if name in shares
    )
    totals = np.mean([entry.shares.total for entry in answers], axis=0)
    first = list(toleranced)[int(np.argmax(totals))]
    return Uncertainty(answers, first, samples * (len(toleranced) + 2), ())


def spring_answers(
    unit: Unit, load: Load, side_load: float, conditions: Conditions | None
) -> dict[str, Array]:
    """Return every answer of a unit (one number each) or of a drawn unit (one per draw), SI."""
    curve = spring_curve(unit, None, conditions, points=161, side_load=side_load)
    rests = sag(unit, load, None, conditions, side_load=side_load, points=161)
    third, half = curve.force[..., 48], curve.force[..., 80]
    answers = {
        "sag": np.asarray(rests.middle),
        "force at 30 % of travel": third,
        "force at 50 % of travel": half,
        "force at full travel": curve.force[..., -1],
        "end pressure": curve.positive[..., -1],
        "energy to bottom-out": np.asarray(np.trapezoid(curve.force, curve.travel, axis=-1)),
        "midstroke support": half / third,
    }
    if unit.air_spring is None:
        del answers["end pressure"]
    return answers


def _toleranced(unit: Unit) -> dict[str, tuple[float, float, float, float]]:
    """Mean, deviation and allowed range of every toleranced measure that the spring bench feels."""
    kinds = quantities(unit)
    return {
        path: (measure.si, measure.std, *kinds[path].limits())
        for path, measure in measures(unit).items()
        if measure.std and (not path.startswith("damper.") or path == "damper.shaft")
    }


def _described(name: str, nominal: float, draws: Array, shares: Shares) -> AnswerUncertainty:
    band = band_of(draws[np.newaxis, :].copy())
    largest = int(np.argmax(shares.total)) if shares.total.size else 0
    width = float(band.high[0] - band.low[0])
    repeat = shares.names[largest] if shares.total.size and shares.total[largest] > 0.01 else None
    left = np.sqrt(max(0.0, 1.0 - float(shares.total[largest]))) if repeat else 1.0
    return AnswerUncertainty(name, ANSWERS[name], nominal, band, shares, repeat, float(width * left))
