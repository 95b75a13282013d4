"""The fitting engine: values, intervals, priors, outliers, and what it says when a trace cannot tell."""

from __future__ import annotations

import numpy as np
import pytest

from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.fitting import Fit, correlation_factor, fit_curve
from forkwright.evidence.telling_apart import advise
from forkwright.physics import Unphysical
from forkwright.units import InputError

X = np.linspace(0.0, 1.0, 80)


def line(b: np.ndarray) -> np.ndarray:
    return np.asarray(b[0] + b[1] * X)


def two(a: float = 0.0, b: float = 0.0, **more: float) -> list[Parameter]:
    return [Parameter("intercept", 1.0, a, **more), Parameter("slope", 1.0, b)]


def test_tolerances_and_data_meet_as_two_weighted_measurements_of_the_same_number() -> None:
    """A constant seen n times with noise s and known to t beforehand: the closed form of two weights."""
    data = np.full(25, 2.0)
    fit = fit_curve(lambda b: np.full(25, b[0]), data, [Parameter("level", 1.0, 0.1)], noise=0.5)
    weight_data, weight_prior = 25 / 0.25, 1 / 0.01
    expected = (weight_data * 2.0 + weight_prior * 1.0) / (weight_data + weight_prior)
    assert fit["level"] == pytest.approx(expected, rel=1e-9)
    assert fit.std[0] == pytest.approx((weight_data + weight_prior) ** -0.5, rel=1e-7)
    assert fit.learned[0] == pytest.approx(weight_data / (weight_data + weight_prior), rel=1e-6)
    assert fit.high[0] - fit.values[0] == pytest.approx(1.959964 * fit.std[0], rel=1e-5)


def test_a_perfect_trace_gives_the_exact_values_and_no_error() -> None:
    fit = fit_curve(line, 2 + 3 * X, two())
    assert fit.values == pytest.approx([2, 3], abs=1e-9)
    assert np.all(fit.std < 1e-8)
    assert fit.converged


@pytest.mark.parametrize("loss", ["huber", "bisquare"])
def test_robust_losses_shrug_off_outliers_that_bend_the_plain_fit(loss: str) -> None:
    rng = np.random.default_rng(3)
    data = 2 + 3 * X + rng.normal(0, 0.05, X.size)
    data[::9] += 4.0
    plain, robust = (fit_curve(line, data, two(), loss=name) for name in ("plain", loss))
    assert abs(plain.values[0] - 2) > 0.3
    assert robust.values == pytest.approx([2, 3], abs=0.06)
    assert any("outliers" in w for w in robust.warnings)


def test_residuals_with_a_pattern_widen_the_intervals_and_say_so() -> None:
    fit = fit_curve(line, 2 + 3 * X + 0.1 * np.sin(9 * X), two())
    assert fit.correlated > 1.5
    assert any("misses something" in w for w in fit.warnings)
    rng = np.random.default_rng(4)
    assert correlation_factor(rng.normal(size=400)) == 1.0


def test_two_values_that_only_ever_appear_as_a_product_are_named_with_what_to_measure() -> None:
    rng = np.random.default_rng(5)
    data = 6.0 * X + rng.normal(0, 0.01, X.size)
    parameters = [
        Parameter("air_spring.bore", 0.030, 0.003, dimension="length"),
        Parameter("air_spring.positive_volume", 200e-6, 30e-6, dimension="volume"),
    ]
    fit = fit_curve(lambda b: b[0] * b[1] / 6e-6 * 6 * X, data, parameters)
    advice = advise(fit)
    assert [(a, b) for a, b, _ in advice.alike] == [("air_spring.bore", "air_spring.positive_volume")]
    assert "cannot be told apart" in advice.sentences[0]
    assert "bore gauge" in advice.sentences[0] or "syringe" in advice.sentences[0]
    assert "instead of" in advice.sentences[0]


def test_a_value_the_trace_never_touches_is_said_to_be_the_callipers() -> None:
    fit = fit_curve(line, 2 + 3 * X + np.sin(50 * X), [*two(), Parameter("air_spring.shaft", 0.01, 0.001)])
    advice = advise(fit)
    assert advice.untouched == ("air_spring.shaft",)
    assert fit["air_spring.shaft"] == pytest.approx(0.01)
    assert "micrometer" in advice.sentences[0]


def test_a_free_value_the_trace_never_touches_is_not_passed_off_as_found() -> None:
    fit = fit_curve(line, 2 + 3 * X, [*two(), Parameter("shaft", 0.01)])
    assert any("cannot fix all" in w for w in fit.warnings)
    assert any("hardly found" in s for s in advise(fit).sentences)


def test_a_value_on_the_end_of_its_range_is_named() -> None:
    fit = fit_curve(line, 2 + 3 * X, [Parameter("intercept", 1.0), Parameter("slope", 1.0, high=2.0)])
    assert fit["slope"] == pytest.approx(2.0, abs=1e-6)
    assert any("end of its allowed range" in w for w in fit.warnings)


def test_what_cannot_be_fitted_is_refused() -> None:
    with pytest.raises(InputError, match="too few samples"):
        fit_curve(lambda b: b, np.ones(2), two())
    with pytest.raises(InputError, match="unknown loss"):
        fit_curve(line, X, two(), loss="cubic")
    with pytest.raises(InputError, match="not numbers"):
        fit_curve(line, np.full(80, np.nan), two())
    with pytest.raises(Unphysical, match="no finite answer"):
        fit_curve(lambda b: X * np.nan + b[0], X, two())


def test_a_model_that_has_no_answer_far_out_does_not_stop_the_search() -> None:
    def fussy(b: np.ndarray) -> np.ndarray:
        if b[1] > 3.5:
            raise Unphysical("too far")
        return line(b)

    fit: Fit = fit_curve(fussy, 2 + 3 * X, [Parameter("intercept", 0.0), Parameter("slope", 0.1)])
    assert fit.values == pytest.approx([2, 3], abs=1e-6)
