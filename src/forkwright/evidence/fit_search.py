"""The search for the most probable values: lmfit, Gauss-Newton polishing, and weights and noise in turn."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from forkwright.evidence.fit_problem import Problem
from forkwright.physics import Unphysical
from forkwright.physics.values import Array

_ROUNDS = 60


def search(problem: Problem, noise: float | None) -> tuple[Array, float, Array, bool]:
    """Alternate between the values, the noise and the weights until none of them moves.

    Parameters
    ----------
    problem : Problem
        What to fit.
    noise : float or None
        Standard deviation of a sample if it is known, in the measurement's unit.

    Returns
    -------
    z, scale, weights, converged
        Scaled values; standard deviation of a sample; weight of each; whether the search settled.
    """
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
        used, error = used_up(problem, new, weights, scale)
        new_scale = noise or max(problem.loss.scale(residual, used), _tiny(problem))
        # a median moves in steps, so a robust fit may circle closely for ever: late rounds ask for less
        small = 1e-7 if turn < 20 else 1e-3
        still = bool(np.all(np.abs(new - z) <= small * error)) and abs(new_scale - scale) <= small * scale
        z, scale = new, new_scale
        if still or (problem.loss.plain and (noise or not problem.pull.any())):
            converged = solved
            break
    return z, scale, problem.loss.weight(residual / scale), converged


def _tiny(problem: Problem) -> float:
    """A floor for the noise, so that a perfect fit does not divide by zero."""
    return 1e-12 * float(np.max(np.abs(problem.measured / problem.spread), initial=1e-300))


def used_up(problem: Problem, z: Array, weights: Array, scale: float) -> tuple[float, Array]:
    """Return the degrees of freedom the values took from the data, and the error of each z, shape (p,).

    A parameter held by its tolerance takes few.
    """
    jacobian = problem.jacobian(z) * np.sqrt(weights)[:, np.newaxis] / scale
    data = jacobian.T @ jacobian
    covariance, _ = inverse(data + np.diag(problem.pull**2))
    error = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    if not problem.pull.any():
        return float(z.size), error
    return float(np.trace(covariance @ data)), error


def _solve(problem: Problem, z: Array, weights: Array, scale: float) -> tuple[Array, bool]:
    """Minimise for fixed weights and noise with lmfit, then polish with a few Gauss-Newton steps."""
    import lmfit

    root = np.sqrt(weights) / scale
    low, high = problem.ends()
    box = lmfit.Parameters()
    for i, value in enumerate(z):
        box.add(f"z{i}", value=float(value), min=float(low[i]), max=float(high[i]))
    whole = _whole_residual(problem, root)

    def of_box(parameters: lmfit.Parameters) -> Array:
        return whole(np.array([parameters[f"z{i}"].value for i in range(z.size)]))

    answer = lmfit.minimize(
        of_box, box, method="leastsq", calc_covar=False, ftol=1e-12, xtol=1e-12, max_nfev=2000 * (z.size + 1)
    )
    best = np.array([answer.params[f"z{i}"].value for i in range(z.size)])
    return _polished(problem, best, whole, root), bool(answer.success)


def _near(problem: Problem, z: Array, weights: Array, scale: float) -> Array:
    """Minimise again after weights or noise moved a little: Gauss-Newton steps from where it was."""
    root = np.sqrt(weights) / scale
    return _polished(problem, z, _whole_residual(problem, root), root)


def _whole_residual(problem: Problem, root: Array) -> Callable[[Array], Array]:
    """Residuals of samples and tolerances in standard deviations; a step too far is made unattractive."""
    last = np.ones(problem.measured.size + problem.pull.size)

    def whole(at: Array) -> Array:
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


def _polished(problem: Problem, z: Array, whole: Callable[[Array], Array], root: Array) -> Array:
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


def inverse(information: Array) -> tuple[Array, bool]:
    """Invert the information; a direction it says nothing about gets a very large variance."""
    diagonal = np.diag(information)
    root = np.sqrt(np.where(diagonal > 1e-30 * max(float(diagonal.max()), 1e-300), diagonal, 1.0))
    values, vectors = np.linalg.eigh(information / np.outer(root, root))
    unknown = values <= 1e-13
    scaled = (vectors / np.where(unknown, 1e-12, values)) @ vectors.T
    return np.asarray(scaled / np.outer(root, root), dtype=np.float64), bool(unknown.any())
