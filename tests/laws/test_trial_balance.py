"""Laws of blind trials: orders are balanced, draws repeat and are fair, p values behave."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare

from forkwright.trial.belief import Belief
from forkwright.trial.differences import difference_test, effect_interval
from forkwright.trial.draws import Draws
from forkwright.trial.forced_choice import choice_power, choice_test
from forkwright.trial.mixed import order_model
from forkwright.trial.orders import (
    DUO_TRIO_ORDERS,
    TRIANGLE_ORDERS,
    dealt_evenly,
    pair_orders,
    williams,
)
from forkwright.trial.ranks import friedman
from forkwright.trial.several import adjusted

OPTIONS = st.integers(2, 6)


def position_counts(orders: list[tuple[int, ...]], options: int) -> list[list[int]]:
    """How often each option (row) stands at each place of the order (column)."""
    places = range(len(orders[0]))
    return [
        [sum(order[place] == option for order in orders) for place in places] for option in range(options)
    ]


@given(OPTIONS)
def test_squares_are_latin(options: int) -> None:
    """In each square every option stands once in every row and once in every column."""
    for square in williams(options):
        assert all(sorted(row) == list(range(options)) for row in square)
        assert all(sorted(column) == list(range(options)) for column in zip(*square, strict=True))


@given(OPTIONS)
def test_each_option_follows_each_other_equally_often(options: int) -> None:
    """Over the whole design every option comes right after every other one the same number of times."""
    rows = [row for square in williams(options) for row in square]
    after = Counter(pair for row in rows for pair in pairwise(row))
    assert len(after) == options * (options - 1)
    assert len(set(after.values())) == 1


@given(OPTIONS, st.integers(1, 12), st.integers(1, 15), st.integers(0, 2**32))
def test_orders_are_dealt_evenly(options: int, riders: int, each: int, seed: int) -> None:
    """Any two orders, and any two options at one place, are used equally often or one time apart."""
    dealt = dealt_evenly(williams(options), riders, each, Draws(seed, "test"))
    flat = [order for hand in dealt for order in hand]
    assert [len(hand) for hand in dealt] == [each] * riders
    orders = [row for square in williams(options) for row in square]
    for group in (flat, *dealt):
        used = [group.count(order) for order in orders]
        assert max(used) - min(used) <= 1
    at_places = np.array(position_counts(flat, options))
    assert at_places.max() - at_places.min() <= 1


@given(
    st.sampled_from([TRIANGLE_ORDERS, DUO_TRIO_ORDERS, pair_orders(2)[0]]),
    st.integers(1, 8),
    st.integers(0, 99),
)
def test_choice_orders_are_balanced_over_full_rounds(
    orders: tuple[tuple[int, ...], ...], riders: int, seed: int
) -> None:
    """When each rider gets every order, both options stand at each place equally often."""
    dealt = dealt_evenly([list(orders)], riders, len(orders), Draws(seed, "test"))
    counts = position_counts([order for hand in dealt for order in hand], 2)
    assert counts[0] == counts[1]


@given(st.integers(0, 2**53 - 1), st.binary(min_size=32, max_size=32))
def test_draws_repeat_and_depend_on_the_salt(seed: int, salt: bytes) -> None:
    """The same seed, purpose and salt give the same draw; another purpose gives another."""
    first = Draws(seed, "a", salt).shuffled(range(40))
    assert first == Draws(seed, "a", salt).shuffled(range(40))
    assert first != Draws(seed, "b", salt).shuffled(range(40))
    assert sorted(first) == list(range(40))


def test_draws_are_fair() -> None:
    """Six thousand shuffles of three things use the six orders equally often (chi-square, fixed seed)."""
    draws = Draws(11, "fair")
    counts = Counter(tuple(draws.shuffled((0, 1, 2))) for _ in range(6000))
    assert chisquare(list(counts.values())).pvalue > 0.01
    assert len(counts) == 6


@given(st.lists(st.floats(0, 1), min_size=1, max_size=8))
def test_correction_never_lowers_a_p_value(p_values: list[float]) -> None:
    """Corrected p values are at least the raw ones, at most 1, in the same order; Holm's never below BH's."""
    holm, bh = adjusted(p_values), adjusted(p_values, "bh")
    order = np.argsort(p_values, kind="stable")
    for corrected in (holm, bh):
        assert all(raw - 1e-12 <= one <= 1 for raw, one in zip(p_values, corrected, strict=True))
        assert all(np.diff(np.array(corrected)[order]) >= -1e-12)
    assert all(strict >= mild - 1e-12 for strict, mild in zip(holm, bh, strict=True))


@given(st.lists(st.floats(-5, 5), min_size=2, max_size=9))
@settings(max_examples=60)
def test_difference_test_is_symmetric(differences: list[float]) -> None:
    """Swapping the two options turns the sign of the estimate and nothing else."""
    one, other = difference_test(differences), difference_test([-value for value in differences])
    assert one.p_value == other.p_value
    assert abs(one.mean + other.mean) < 1e-12
    assert abs(one.mean_low + other.mean_high) < 1e-9
    assert one.sign_p_value == other.sign_p_value
    assert 2.0 ** (1 - len(differences)) <= one.p_value <= 1


@given(st.integers(2, 40), st.data())
@settings(max_examples=60)
def test_more_right_answers_count_more(answers: int, data: st.DataObject) -> None:
    """One more right answer never raises the p value, the interval holds the share, power grows with it."""
    right = data.draw(st.integers(0, answers - 1))
    fewer, more = choice_test(right, answers, 1 / 3), choice_test(right + 1, answers, 1 / 3)
    assert more.p_value < fewer.p_value
    assert fewer.share_low <= fewer.share <= fewer.share_high
    assert choice_power(answers, 0.6, 1 / 3, 0.05) <= choice_power(answers, 0.7, 1 / 3, 0.05)
    assert choice_power(answers, 1 / 3, 1 / 3, 0.05) <= 0.05


@given(st.integers(0, 30), st.integers(0, 30), st.sampled_from([0.0, 1 / 3, 0.5]))
def test_belief_takes_answers_in_any_portions(right: int, wrong: int, floor: float) -> None:
    """Counting answers in on two days is the same as on one; the quantiles undo the chances."""
    at_once = Belief(floor=floor).after(right, wrong)
    assert at_once == Belief(floor=floor).after(right, 0).after(0, wrong)
    low, high = at_once.interval()
    assert floor <= low < high <= 1
    assert abs(at_once.chance_above(low) - 0.975) < 1e-6


@given(st.integers(1, 6), st.integers(2, 4), st.integers(0, 1000))
@settings(max_examples=40)
def test_friedman_depends_on_no_names(rankings: int, options: int, seed: int) -> None:
    """Renaming the options changes no p value, and full agreement is the least likely outcome."""
    generator = np.random.default_rng(seed)
    ranks = np.array([generator.permutation(options) + 1.0 for _ in range(rankings)])
    one = friedman(ranks)
    other = friedman(ranks[:, generator.permutation(options)])
    assert abs(one.p_value - other.p_value) < 1e-12
    same = friedman(np.tile(np.arange(1.0, options + 1), (rankings, 1)))
    assert same.agreement == 1.0 or abs(same.agreement - 1) < 1e-12
    assert same.p_value <= one.p_value + 1e-12


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e3), st.integers(2, 30), st.integers(0, 99))
@settings(max_examples=60)
def test_every_difference_gives_finite_numbers(middle: float, spread: float, units: int, seed: int) -> None:
    """However large or narrow the differences, intervals hold the estimate and nothing is infinite or NaN."""
    values = middle + spread * np.random.default_rng(seed).normal(size=units)
    test = difference_test([float(value) for value in values])
    assert test.mean_low <= test.mean <= test.mean_high
    assert np.isfinite([test.effect, test.effect_low, test.effect_high]).all()
    assert test.effect_low < test.effect < test.effect_high


@given(st.floats(0.5, 200), st.integers(2, 60))
@settings(max_examples=40)
def test_effect_interval_is_even_and_widens_with_confidence(seen: float, units: int) -> None:
    """Turning the effect's sign turns the interval, and more confidence makes it wider, at any size."""
    effect = seen / units**0.5
    low, high = effect_interval(effect, units)
    assert effect_interval(-effect, units) == (-high, -low)
    wide_low, wide_high = effect_interval(effect, units, 0.99)
    assert wide_low < low < high < wide_high


@given(st.floats(1e-6, 1e9), st.floats(-1e6, 1e6))
@settings(max_examples=15, deadline=None)
def test_model_follows_the_unit_of_the_measure(size: float, shift: float) -> None:
    """Seconds or milliseconds, from any zero: estimates scale, p values stay."""
    generator = np.random.default_rng(4)
    riders = [f"R{rider}" for rider in range(7) for _ in range(4)]
    values = generator.normal(size=28) + np.repeat(generator.normal(size=7), 4)
    shift *= size / 1e3
    models = [
        order_model(list(column), list("ABBA") * 7, [1, 2, 3, 4] * 7, riders, "AB")
        for column in (values, shift + size * values)
    ]
    assert models[0] is not None
    assert models[1] is not None
    assert np.isclose(models[1].options[0].value, size * models[0].options[0].value, rtol=1e-3)
    assert np.isclose(models[1].options[0].p_value, models[0].options[0].p_value, rtol=1e-2)
