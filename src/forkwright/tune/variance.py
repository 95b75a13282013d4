"""Shares of an answer's variance by input (Sobol), with a kept library for samples and estimators."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array

_BATCH = 2048  # answers computed at a time, so that memory stays flat and progress is seen


@dataclass(frozen=True)
class Shares:
    """Shares of variance by input, in the order of `names`; each with its 95 % confidence half-width."""

    names: tuple[str, ...]
    first: Array  # alone
    first_confidence: Array
    total: Array  # alone and together with others
    total_confidence: Array


Normal = tuple[float, float, float, float]  # mean, standard deviation, lowest, highest


def variance_shares(
    inputs: Mapping[str, Normal],
    answer: Callable[[Mapping[str, Array]], Mapping[str, Array]],
    *,
    samples: int,
    seed: int,
    progress: Callable[[float], None] | None = None,
) -> tuple[dict[str, Shares], dict[str, Array]]:
    """Return each answer's variance shares, and its values at the base samples.

    Parameters
    ----------
    inputs : mapping of str to (mean, standard deviation, lowest, highest)
        Independent normal inputs; a sample outside the range is put on its end.
    answer : callable
        Takes a mapping of input name to an array of shape (n,) and returns answers of shape (n,).
    samples : int
        Base samples, a power of two.
    seed : int
        Of the scrambled Sobol sequence and of the resampling for confidence.
    progress : callable, optional
        Called with the share done; may raise to stop.

    Returns
    -------
    shares : dict of str to Shares
        By answer.
    draws : dict of str to array
        Each answer at the base samples (the inputs drawn from their tolerances), shape (samples,).

    Raises
    ------
    ValueError
        If `samples` is no power of two.

    Notes
    -----
    Source: Sobol' indices, estimators of Saltelli et al. 2010 and Jansen 1999, by SALib.
    """
    from SALib.analyze import sobol as estimate
    from SALib.sample import sobol as sequence

    if samples < 8 or samples & (samples - 1):
        raise ValueError("the number of base samples must be a power of two, at least 8")
    names = tuple(inputs)
    problem = {
        "num_vars": len(names),
        "names": list(names),
        "bounds": [[inputs[name][0], inputs[name][1]] for name in names],
        "dists": ["norm"] * len(names),
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        table = sequence.sample(problem, samples, calc_second_order=False, seed=seed)
    low, high = (np.array([inputs[name][side] for name in names]) for side in (2, 3))
    table = np.clip(table, low, high)
    answers = _evaluate(names, table, answer, progress)
    shares = {}
    for name, values in answers.items():
        spread = float(np.std(values))
        if spread <= 1e-12 * max(1.0, abs(float(np.mean(values)))):
            nothing = np.zeros(len(names))
            shares[name] = Shares(names, nothing, nothing, nothing, nothing)
            continue
        found = estimate.analyze(
            problem, (values - values.mean()) / spread, calc_second_order=False, seed=seed, num_resamples=100
        )
        shares[name] = Shares(
            names,
            *(np.asarray(found[key], np.float64) for key in ("S1", "S1_conf", "ST", "ST_conf")),
        )
    base = slice(0, None, len(names) + 2)
    return shares, {name: values[base] for name, values in answers.items()}


def _evaluate(
    names: tuple[str, ...],
    table: Array,
    answer: Callable[[Mapping[str, Array]], Mapping[str, Array]],
    progress: Callable[[float], None] | None,
) -> dict[str, Array]:
    parts: dict[str, list[Array]] = {}
    for start in range(0, len(table), _BATCH):
        block = table[start : start + _BATCH]
        found = answer({name: block[:, column] for column, name in enumerate(names)})
        for name, values in found.items():
            parts.setdefault(name, []).append(np.broadcast_to(values, (len(block),)))
        if progress is not None:
            progress(min(1.0, (start + _BATCH) / len(table)))
    return {name: np.concatenate(values) for name, values in parts.items()}
