"""The fitting path against NIST's certified nonlinear regression problems, from NIST's own starting values.

Source: NIST/ITL Statistical Reference Datasets, nonlinear regression; the files lie in ``nist_strd``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.fitting import fit_curve

Floats = NDArray[np.float64]
FOLDER = Path(__file__).parent / "nist_strd"

MODELS: dict[str, Callable[[Floats, Floats], Floats]] = {
    "Misra1a": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "Roszman1": lambda b, x: b[0] - b[1] * x - np.arctan(b[2] / (x - b[3])) / np.pi,
    "Eckerle4": lambda b, x: b[0] / b[1] * np.exp(-0.5 * ((x - b[2]) / b[1]) ** 2),
    "MGH10": lambda b, x: b[0] * np.exp(b[1] / (x + b[2])),
    "Thurber": lambda b, x: (
        (b[0] + b[1] * x + b[2] * x**2 + b[3] * x**3) / (1 + b[4] * x + b[5] * x**2 + b[6] * x**3)
    ),
}


@dataclass(frozen=True)
class Certified:
    starts: Floats
    values: Floats
    std: Floats
    squares: float
    spread: float
    y: Floats
    x: Floats


def certified(name: str) -> Certified:
    text = (FOLDER / f"{name}.dat").read_text()
    rows = np.array([[float(n) for n in r.split()] for r in re.findall(r"b\d = +(.*)", text)])
    data = np.array([[float(n) for n in r.split()] for r in text.split("Data: ")[-1].splitlines()[1:]])

    def number(label: str) -> float:
        found = re.search(label + r": +(\S+)", text)
        assert found is not None
        return float(found[1])

    assert len(data) == number("Number of Observations")
    return Certified(
        rows[:, :2].T, rows[:, 2], rows[:, 3], number("Residual Sum of Squares"),
        number("Residual Standard Deviation"), data[:, 0], data[:, 1],
    )  # fmt: skip


@pytest.mark.outside
@pytest.mark.parametrize("name", MODELS)
def test_the_data_file_reproduces_its_certified_residual(name: str, check: Callable[..., None]) -> None:
    """With the certified values, the residual sum of squares is the certified one, to ten digits."""
    problem = certified(name)
    residual = problem.y - MODELS[name](problem.values, problem.x)
    check(
        formula="residual sum of squares of the data file", source=f"NIST StRD {name}, certified",
        expected=problem.squares, got=float(residual @ residual), tolerance=1e-10,
    )  # fmt: skip


@pytest.mark.outside
@pytest.mark.parametrize("start", [0, 1], ids=["start 1", "start 2"])
@pytest.mark.parametrize("name", MODELS)
def test_certified_values_and_errors_are_found(name: str, start: int, check: Callable[..., None]) -> None:
    """Values agree with NIST's to seven digits, standard errors to six, the residual's spread to nine."""
    problem = certified(name)
    parameters = [Parameter(f"b{i + 1}", float(s)) for i, s in enumerate(problem.starts[start])]
    with np.errstate(all="ignore"):  # NIST's far starts overflow on purpose
        fit = fit_curve(lambda b: MODELS[name](b, problem.x), problem.y, parameters, neighbours=False)
    source = f"NIST StRD {name}, certified"
    assert fit.converged
    for i, parameter in enumerate(parameters):
        check(
            formula=f"nonlinear least squares, {parameter.name}", source=source,
            expected=problem.values[i], got=fit.values[i], tolerance=3e-8,
        )  # fmt: skip
        check(
            formula=f"standard error of {parameter.name}", source=source,
            expected=problem.std[i], got=fit.std[i], tolerance=1e-6,
        )  # fmt: skip
    check(
        formula="residual standard deviation", source=source,
        expected=problem.spread, got=fit.noise, tolerance=1e-9,
    )  # fmt: skip
