"""Blind trials against published tables and against SciPy and statsmodels."""

from __future__ import annotations

from collections.abc import Callable
from itertools import permutations, product

import numpy as np
import pytest
from scipy import integrate, stats

from forkwright.trial.belief import Belief
from forkwright.trial.differences import difference_test, effect_interval
from forkwright.trial.forced_choice import answers_needed, choice_power, choice_test, minimum_right
from forkwright.trial.mixed import order_model
from forkwright.trial.power import t_power
from forkwright.trial.ranks import friedman, page
from forkwright.trial.several import adjusted

pytestmark = pytest.mark.outside
Check = Callable[..., None]

# Minimum numbers of right answers at risks 0.05, 0.01, 0.001: FAO document V7180E, Appendix A, where every
# row below stands; ISO 4120 has the same test.
TRIANGLE = {
    6: (5, 6, None),
    12: (8, 9, 10),
    18: (10, 12, 13),
    24: (13, 15, 16),
    30: (15, 17, 19),
    36: (18, 20, 22),
    42: (20, 22, 25),
    48: (22, 25, 27),
    60: (27, 30, 33),
}
# ISO 5495, one-sided, risks 0.05 and 0.01 (from memory: the standard was not in sight).
PAIRED = {
    10: (9, 10),
    15: (12, 13),
    20: (15, 16),
    24: (17, 19),
    30: (20, 22),
    40: (26, 28),
    50: (32, 34),
    60: (37, 40),
}


@pytest.mark.parametrize("answers", TRIANGLE)
def test_triangle_minima_are_those_published(answers: int, check: Check) -> None:
    """The fewest right answers in a triangle test agree with the published table."""
    for alpha, expected in zip((0.05, 0.01, 0.001), TRIANGLE[answers], strict=True):
        got = minimum_right(answers, 1 / 3, alpha)
        if expected is None:
            assert got is None
            continue
        assert got is not None
        check(
            formula=f"triangle test, fewest right of {answers} at risk {alpha}",
            source="FAO V7180E, Appendix A",
            expected=expected,
            got=got,
            tolerance=0,
        )


@pytest.mark.parametrize("answers", PAIRED)
def test_paired_minima_are_those_of_the_standard(answers: int, check: Check) -> None:
    """The fewest preferring answers in a one-sided paired test agree with ISO 5495."""
    for alpha, expected in zip((0.05, 0.01), PAIRED[answers], strict=True):
        got = minimum_right(answers, 0.5, alpha)
        assert got is not None
        check(
            formula=f"paired comparison, fewest of {answers} at risk {alpha}",
            source="ISO 5495 (from memory)",
            expected=expected,
            got=got,
            tolerance=0,
        )


@pytest.mark.parametrize(("able", "expected"), [(0.5, 20), (0.4, 30), (0.3, 53), (0.2, 117)])
def test_triangle_sizes_are_those_published(able: float, expected: int, check: Check) -> None:
    """The number of answers for risk 0.05 and power 0.90 agrees with the published table."""
    check(
        formula=f"triangle test, answers needed when {able:.0%} can tell, risk 0.05, power 0.90",
        source="ISO 4120:2004, table A.3 (from memory)",
        expected=expected,
        got=answers_needed(able + (1 - able) / 3, 1 / 3, 0.05, 0.90),
        tolerance=0,
    )


@pytest.mark.parametrize(("answers", "share", "guess"), [(30, 0.6, 1 / 3), (42, 0.75, 0.5), (11, 0.9, 0.5)])
def test_power_is_the_summed_binomial(answers: int, share: float, guess: float, check: Check) -> None:
    """Power equals a plain sum of binomial terms over all outcomes that the test calls significant."""
    for alternative in ("greater", "two-sided"):
        expected = sum(
            stats.binom.pmf(right, answers, share)
            for right in range(answers + 1)
            if stats.binomtest(right, answers, guess, alternative=alternative).pvalue <= 0.05
        )
        if alternative == "two-sided" and guess != 0.5:
            continue  # only even chances are tested two-sided here
        check(
            formula=f"power of {answers} answers, true share {share}, {alternative}",
            source="SciPy binomtest, summed over all outcomes",
            expected=expected,
            got=choice_power(answers, share, guess, 0.05, alternative),
            tolerance=1e-12,
        )


def test_interval_of_a_share_agrees_with_statsmodels(check: Check) -> None:
    """The Clopper-Pearson interval agrees with statsmodels."""
    from statsmodels.stats.proportion import proportion_confint

    test = choice_test(17, 30, 1 / 3)
    low, high = proportion_confint(17, 30, alpha=0.05, method="beta")
    source = "statsmodels proportion_confint, method beta"
    check(
        formula="interval of 17 of 30, low", source=source, expected=low, got=test.share_low, tolerance=1e-9
    )
    check(
        formula="interval of 17 of 30, high",
        source=source,
        expected=high,
        got=test.share_high,
        tolerance=1e-9,
    )


@pytest.mark.parametrize(("control", "name"), [("holm", "holm"), ("bh", "fdr_bh")])
def test_corrected_p_values_agree_with_statsmodels(control: str, name: str, check: Check) -> None:
    """Holm's and Benjamini and Hochberg's corrections agree with statsmodels, in any order, with ties."""
    from statsmodels.stats.multitest import multipletests

    raw = [0.04, 0.001, 0.03, 0.03, 0.6, 0.012, 0.049]
    expected = multipletests(raw, method=name)[1]
    for place, value in enumerate(adjusted(raw, control)):  # type: ignore[arg-type]
        check(
            formula=f"corrected p value {place + 1} ({control})",
            source=f"statsmodels multipletests, {name}",
            expected=expected[place],
            got=value,
            tolerance=1e-12,
        )


@pytest.mark.parametrize(("effect", "units", "alpha"), [(1.0, 12, 0.05), (0.5, 20, 0.01), (0.2, 8, 0.05)])
def test_power_of_paired_means_agrees_with_statsmodels(
    effect: float, units: int, alpha: float, check: Check
) -> None:
    """The power of a paired t test agrees with statsmodels."""
    from statsmodels.stats.power import TTestPower

    check(
        formula=f"power, paired t test, effect {effect}, {units} differences, risk {alpha}",
        source="statsmodels TTestPower",
        expected=TTestPower().power(effect, units, alpha),
        got=t_power(effect, units, alpha),
        tolerance=1e-6,
    )


def test_sign_changes_and_signs_agree_with_scipy_and_statsmodels(check: Check) -> None:
    """The exact sign-change test and the mean's interval agree with SciPy, the sign test with statsmodels."""
    differences = [0.4, -0.1, 1.2, 0.0, 0.9, 0.3, -0.7, 1.1, 0.8]
    test = difference_test(differences)
    scipy_test = stats.permutation_test(
        (np.array(differences),), np.mean, permutation_type="samples", n_resamples=np.inf
    )
    check(
        formula="sign-change test of nine differences",
        source="SciPy permutation_test, all sign changes",
        expected=float(scipy_test.pvalue),
        got=test.p_value,
        tolerance=1e-12,
    )
    check(
        formula="sign test, six ahead, two behind",
        source="statsmodels sign_test",
        expected=_statsmodels_sign_test(differences),
        got=test.sign_p_value,
        tolerance=1e-12,
    )
    low, high = stats.ttest_1samp(differences, 0.0).confidence_interval(0.95)
    check(formula="mean, low", source="SciPy ttest_1samp", expected=low, got=test.mean_low, tolerance=1e-9)
    check(formula="mean, high", source="SciPy ttest_1samp", expected=high, got=test.mean_high, tolerance=1e-9)


def _statsmodels_sign_test(differences: list[float]) -> float:
    from statsmodels.stats.descriptivestats import sign_test

    return float(sign_test(differences, 0.0)[1])


def test_effect_interval_has_the_effect_seen_in_its_tails(check: Check) -> None:
    """At the ends of the effect's interval, the t value seen lies just in a tail of 2.5 %."""
    low, high = effect_interval(0.8, 12)
    seen = 0.8 * 12**0.5
    source = "SciPy nct distribution"
    check(
        formula="upper tail at the low end",
        source=source,
        expected=0.025,
        got=stats.nct.sf(seen, 11, low * 12**0.5),
        tolerance=1e-6,
    )
    check(
        formula="lower tail at the high end",
        source=source,
        expected=0.025,
        got=stats.nct.cdf(seen, 11, high * 12**0.5),
        tolerance=1e-6,
    )


@pytest.mark.parametrize(
    "ranks",
    [
        [[1, 2, 3], [1, 3, 2], [2, 1, 3], [1, 2, 3]],
        [[1.5, 1.5, 3], [1, 3, 2], [2, 1, 3], [1, 2.5, 2.5]],
        [[1, 2, 3, 4], [2, 1, 4, 3], [1, 3, 2, 4]],
    ],
)
def test_friedman_agrees_with_scipy(ranks: list[list[float]], check: Check) -> None:
    """Friedman's statistic, ties and all, and its exact p value agree with SciPy's."""
    table = np.array(ranks, dtype=float)
    result = friedman(table)
    check(
        formula=f"Friedman's statistic, {table.shape[0]} rankings of {table.shape[1]}",
        source="SciPy friedmanchisquare",
        expected=stats.friedmanchisquare(*table.T).statistic,
        got=result.statistic,
        tolerance=1e-9,
    )
    middle = table.sum() / table.shape[1]

    def spread(*columns: np.ndarray) -> float:
        return round(float(sum((column.sum() - middle) ** 2 for column in columns)), 9)

    permuted = stats.permutation_test(
        tuple(table.T),
        spread,
        permutation_type="samples",
        alternative="greater",
        n_resamples=np.inf,
        vectorized=False,
    )
    assert result.method == "exact"
    check(
        formula=f"Friedman's test, exact, {table.shape[0]} rankings of {table.shape[1]}",
        source="SciPy permutation_test, all rearrangements",
        expected=float(permuted.pvalue),
        got=result.p_value,
        tolerance=1e-9,
    )


@pytest.mark.parametrize(
    ("order", "statistic", "p_value"),
    [
        ([[1, 2, 3]] * 3, 6.0, 0.028),
        ([[1, 2, 3]] * 3 + [[2, 1, 3]], 6.5, 0.042),
        ([[1, 2, 3]] * 4, 8.0, 0.0046),
    ],
)
def test_friedman_table(order: list[list[int]], statistic: float, p_value: float, check: Check) -> None:
    """Small exact probabilities agree with Friedman's table, and with counting every rearrangement.

    The table is from memory, at its rounding; the count needs no table.
    """
    result = friedman(np.array(order, dtype=float))
    check(
        formula="Friedman's statistic",
        source="Friedman (1937), table V (memory)",
        expected=statistic,
        got=result.statistic,
        tolerance=1e-9,
    )
    check(
        formula=f"Friedman's test, exact, statistic {statistic}",
        source="Friedman (1937), table V (memory)",
        expected=p_value,
        got=result.p_value,
        tolerance=0.0005 if p_value > 0.01 else 0.00005,
        relative=False,
    )
    sums = np.array([np.sum(rows, axis=0) for rows in product(permutations((1, 2, 3)), repeat=len(order))])
    spread = ((sums - 2 * len(order)) ** 2).sum(axis=1)
    seen = ((np.sum(order, axis=0) - 2 * len(order)) ** 2).sum()
    assert result.p_value == pytest.approx(np.mean(spread >= seen), rel=1e-12)


def test_page_agrees_with_counting_all_rearrangements(check: Check) -> None:
    """Page's exact p value agrees with counting every rearrangement of three rankings of three."""
    ranks = np.array([[1, 2, 3], [1, 3, 2], [2, 1, 3]], dtype=float)
    weights = np.array([1, 2, 3])
    seen = float((ranks.sum(axis=0) * weights).sum())
    orders = list(permutations((1, 2, 3)))
    all_sums = [(np.sum(rows, axis=0) * weights).sum() for rows in product(orders, repeat=3)]
    check(
        formula="Page's test, three rankings of three",
        source="all 216 rearrangements counted",
        expected=float(np.mean([value >= seen for value in all_sums])),
        got=page(ranks).p_value,
        tolerance=1e-12,
    )


def test_model_on_balanced_runs_gives_the_plain_means(check: Check) -> None:
    """On balanced data the mixed model gives the difference of means with the paired standard error.

    A run's spread is that left over by least squares with a level for each rider, which balanced data share.
    """
    generator = np.random.default_rng(5)
    riders = [f"R{rider}" for rider in range(10) for _ in range(4)]
    options = list("ABBA") * 10
    runs = [1, 2, 3, 4] * 10
    level = dict(zip(sorted(set(riders)), generator.normal(0, 2, 10), strict=True))
    values = [level[r] + 1.0 * (o == "B") + generator.normal() for r, o in zip(riders, options, strict=True)]
    model = order_model(values, options, runs, riders, "AB")
    assert model is not None
    means = [np.mean([v for v, o in zip(values, options, strict=True) if o == label]) for label in "AB"]
    check(
        formula="mixed model, option effect on balanced runs",
        source="difference of plain means (derived)",
        expected=means[1] - means[0],
        got=model.options[0].value,
        tolerance=1e-6,
    )
    columns = np.column_stack(
        [[label == "B" for label in options], runs, *([r == one for r in riders] for one in level)]
    ).astype(float)
    left_over = np.linalg.lstsq(columns, np.array(values), rcond=None)[1][0]
    spread = (left_over / (len(values) - columns.shape[1])) ** 0.5
    assert model.run_spread == pytest.approx(spread, rel=1e-4)
    check(
        formula="mixed model, standard error on balanced runs",
        source="numpy.linalg.lstsq, what is left over * sqrt(2/20)",
        expected=spread * (2 / 20) ** 0.5,
        got=model.options[0].error,
        tolerance=1e-4,
    )


def test_model_with_few_riders_agrees_with_normal_equations(check: Check) -> None:
    """With few riders the model agrees with NumPy's least squares on the same columns."""
    generator = np.random.default_rng(6)
    riders = [f"R{rider}" for rider in range(3) for _ in range(6)]
    options = [label for hand in ("ABBABA", "BAABBA", "ABABBA") for label in hand]
    runs = [run for _ in range(3) for run in range(1, 7)]
    values = generator.normal(size=18)
    model = order_model(list(values), options, runs, riders, "AB")
    columns = np.column_stack(
        [
            np.ones(18),
            [label == "B" for label in options],
            runs,
            [rider == "R1" for rider in riders],
            [rider == "R2" for rider in riders],
        ]
    ).astype(float)
    expected = np.linalg.lstsq(columns, values, rcond=None)[0]
    assert model is not None
    assert model.trend is not None
    source = "numpy.linalg.lstsq"
    check(
        formula="option effect",
        source=source,
        expected=expected[1],
        got=model.options[0].value,
        tolerance=1e-9,
    )
    check(
        formula="learning trend", source=source, expected=expected[2], got=model.trend.value, tolerance=1e-9
    )


def test_belief_agrees_with_numerical_integration(check: Check) -> None:
    """The belief after 14 right of 24, cut off at guessing, agrees with integrating the likelihood."""
    belief = Belief(floor=1 / 3).after(14, 10)

    def likelihood(share: float) -> float:
        return float(share**14 * (1 - share) ** 10)

    whole = integrate.quad(likelihood, 1 / 3, 1)[0]
    check(
        formula="belief that the share of right answers is above 0.6",
        source="SciPy quad over the likelihood",
        expected=integrate.quad(likelihood, 0.6, 1)[0] / whole,
        got=belief.chance_above(0.6),
        tolerance=1e-8,
    )
    low, high = belief.interval()
    check(
        formula="belief inside its 95 % interval",
        source="SciPy quad over the likelihood",
        expected=0.95,
        got=integrate.quad(likelihood, low, high)[0] / whole,
        tolerance=1e-8,
    )
