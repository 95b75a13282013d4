"""Robust fits against statsmodels' RLM, and a linear fit against its OLS."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import statsmodels.api as sm

from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.fitting import fit_curve

RNG = np.random.default_rng(11)
X = np.linspace(0.0, 2.0, 60)
Y = 1.5 - 0.7 * X + RNG.standard_t(2.5, X.size) * 0.2
DESIGN = np.column_stack([np.ones_like(X), X])


@pytest.mark.outside
@pytest.mark.parametrize(
    ("loss", "norm"),
    [("huber", sm.robust.norms.HuberT(1.345)), ("bisquare", sm.robust.norms.TukeyBiweight(4.685))],
)
def test_robust_values_and_errors_are_those_of_statsmodels(
    loss: str, norm: object, check: Callable[..., None]
) -> None:
    """The same line, loss, tuning and median scale about zero: values and standard errors agree."""
    ours = fit_curve(
        lambda b: DESIGN @ b, Y, [Parameter("a", 1.0), Parameter("b", -1.0)], loss=loss, neighbours=False
    )
    reference = sm.RLM(Y, DESIGN, M=norm).fit(cov="H1", maxiter=500, tol=1e-12)
    for i, name in enumerate(("intercept", "slope")):
        source = f"statsmodels RLM, {loss}"
        check(
            formula=f"robust line, {name}", source=source, expected=reference.params[i], got=ours.values[i],
            tolerance=1e-5,
        )  # fmt: skip
        check(
            formula=f"robust line, error of {name}", source=source, expected=reference.bse[i],
            got=ours.std[i], tolerance=1e-4,
        )  # fmt: skip


@pytest.mark.outside
def test_a_linear_fit_has_the_intervals_of_ordinary_least_squares(check: Callable[..., None]) -> None:
    """Plain loss, no tolerances: value, error and 95 % interval of the textbook line."""
    ours = fit_curve(lambda b: DESIGN @ b, Y, [Parameter("a", 1.0), Parameter("b", -1.0)], neighbours=False)
    reference = sm.OLS(Y, DESIGN).fit()
    interval = reference.conf_int(alpha=0.05)
    for i in range(2):
        for what, expected, got in (
            ("value", reference.params[i], ours.values[i]),
            ("error", reference.bse[i], ours.std[i]),
            ("low end", interval[i, 0], ours.low[i]),
            ("high end", interval[i, 1], ours.high[i]),
        ):
            check(
                formula=f"line by least squares, {what}", source="statsmodels OLS", expected=expected,
                got=got, tolerance=1e-7,
            )  # fmt: skip
