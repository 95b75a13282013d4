"""How settings are judged: use, aims, trade-off, wishes, limits and the day's cases."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from forkwright.evidence.ride_use import UsedRange
from forkwright.ride.course import Course
from forkwright.ride.options import RideOptions
from forkwright.ride.scores import SPEED_EDGES, TRAVEL_EDGES
from forkwright.tune.aims import AIMS, WISHES, cost, front, weights_of
from forkwright.tune.goal import FORBIDDEN, Goal, deepest_for
from forkwright.tune.judged import Judged
from forkwright.tune.stage_days import Stage, Weather, at_speed, cases_of, laid_out
from forkwright.tune.use import even_use, stated_use, use_from
from forkwright.units import InputError


def course(name: str = "flat", speed: float = 5.0, load: float = 1.0) -> Course:
    along = np.linspace(0.0, 20.0, 2001)
    ones = np.ones_like(along)
    return Course(name, along, 0.0 * ones, speed * ones, load * ones, 0.0 * ones)


def judged(aims: list[list[float]], hits: list[float] | None = None) -> Judged:
    """One course; rows of grip, comfort, support, margin."""
    rows = np.array(aims, dtype=np.float64)[:, np.newaxis, :]
    metal = np.zeros((len(rows), 1)) if hits is None else np.array(hits)[:, np.newaxis]
    return Judged(np.zeros((len(rows), 1)), rows, metal, ("",) * len(rows))


@given(arrays(np.float64, st.tuples(st.integers(1, 25), st.just(3)), elements=st.sampled_from([0, 1, 2, 3])))
@settings(max_examples=60, deadline=None)
def test_front_is_what_the_definition_says(aims: np.ndarray) -> None:
    """A row is on the front exactly if no other row is no worse in all and better in one."""
    wanted = [
        i
        for i, row in enumerate(aims)
        if not any((other <= row).all() and (other < row).any() for other in aims)
    ]
    assert front(aims).tolist() == wanted


def test_a_refused_ride_is_never_on_the_front() -> None:
    """Infinite aims stay off the trade-off, even when nothing else is there."""
    assert front(np.array([[np.inf, 0.0], [1.0, 1.0]])).tolist() == [1]
    assert front(np.array([[np.inf, 0.0]])).size == 0


def test_each_wish_weighs_its_own_aim() -> None:
    """More of an aim raises its weight alone, less lowers it, and both together cancel."""
    for wish, (aim, factor) in WISHES.items():
        weights = dict(zip(AIMS, weights_of([wish]), strict=True))
        assert weights.pop(aim) == pytest.approx(factor)
        assert set(weights.values()) == {1.0}
    assert weights_of(["more grip", "less grip"]) == pytest.approx(np.ones(4))
    with pytest.raises(InputError, match="more comfort"):
        weights_of(["more plush"])


def test_cost_falls_with_every_aim() -> None:
    """Bettering any aim, the others kept, never raises the cost and lowers it somewhere."""
    ideal, nadir = np.zeros(4), np.ones(4)
    base = np.array([0.5, 0.4, 0.3, 0.6])
    for place in range(4):
        better = base.copy()
        better[place] -= 0.1
        assert cost(better, np.ones(4), ideal, nadir) < cost(base, np.ones(4), ideal, nadir)


def test_forbidden_settings_stand_behind_every_allowed_one() -> None:
    """Metal, too deep, or refused: none can be chosen while an allowed setting exists."""
    some = judged(
        [[0.1, 1.0, 0.1, 0.5], [0.9, 9.0, 0.4, 0.8], [0.1, 1.0, 0.1, 0.95], [np.inf] * 4],
        hits=[1.0, 0.0, 0.0, np.inf],
    )
    goal = Goal(np.ones(4), 0.9)
    assert goal.fits(some).tolist() == [False, True, False, False]
    costs = goal.costs(some)
    assert int(np.argmin(costs)) == 1
    assert costs[[0, 2, 3]].min() >= FORBIDDEN
    assert goal.edge(some).tolist() == [1]


def test_nothing_ridden_leaves_nothing_to_choose() -> None:
    """Where every ride was refused the costs are infinite, not an error and not a number in between."""
    assert np.all(np.isinf(Goal(np.ones(4), 1.0).costs(judged([[np.inf] * 4, [np.inf] * 4]))))


@pytest.mark.parametrize("margin", [-0.01, 0.51, float("nan")])
def test_margin_out_of_range_is_refused(margin: float) -> None:
    """A margin must be a share of the travel between nothing and a half."""
    with pytest.raises(InputError, match="margin"):
        deepest_for(margin)


def test_stated_use_weighs_the_stretch_alone() -> None:
    """Travel outside the stated stretch has no weight; weights add up to one."""
    use = stated_use(0.16, 0.02, 0.1, 1.5)
    assert use.travel_weight.sum() == pytest.approx(1.0)
    assert use.travel[use.travel_weight > 0.0].min() == pytest.approx(0.02)
    assert use.travel[use.travel_weight > 0.0].max() == pytest.approx(0.1)
    assert np.abs(use.speed).max() == pytest.approx(1.5)
    assert even_use(0.16).speed_weight.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("stretch", [(0.05, 0.05), (0.1, 0.02), (-0.01, 0.1), (0.0, 0.2)])
def test_stretch_outside_the_travel_is_refused(stretch: tuple[float, float]) -> None:
    """An empty stretch, or one beyond the travel, names what is allowed."""
    with pytest.raises(InputError, match="used travel"):
        stated_use(0.16, *stretch, 1.0)
    with pytest.raises(InputError, match="fastest"):
        stated_use(0.16, 0.0, 0.1, 0.0)


def test_measured_use_keeps_where_the_time_was_spent() -> None:
    """All time in one bin of travel and one of speed puts the weight there; standing still weighs nothing."""
    travel, speed = np.zeros(20), np.zeros(15)
    travel[4], speed[7], speed[9] = 1.0, 0.9, 0.1
    use = use_from(UsedRange(TRAVEL_EDGES * 0.16, travel, SPEED_EDGES, speed, 60.0), "a log")
    assert use.travel @ use.travel_weight == pytest.approx(0.16 * 4.5 / 20, rel=0.02)
    assert use.speed[use.speed_weight > 0].tolist() == pytest.approx([0.175])
    still = speed.copy()
    still[9] = 0.0
    with pytest.raises(InputError, match="moving"):
        use_from(UsedRange(TRAVEL_EDGES * 0.16, travel, SPEED_EDGES, still, 60.0), "a log")


def test_cases_are_the_expected_day_and_what_may_differ() -> None:
    """Five cases where speed and weather are open, one where nothing is."""
    open_day = cases_of(0.1, Weather(expected=285.0, coldest=278.0, warmest=295.0))
    assert [case.speed for case in open_day] == pytest.approx([1.0, 0.9, 1.1, 1.0, 1.0])
    assert [case.temperature for case in open_day] == [285.0, 285.0, 285.0, 278.0, 295.0]
    assert len(cases_of(0.0, Weather())) == 1
    with pytest.raises(InputError, match="spread"):
        cases_of(0.5, Weather())
    with pytest.raises(InputError, match="coldest"):
        cases_of(0.1, Weather(expected=280.0, coldest=290.0, warmest=295.0))


def test_faster_stage_is_shorter_and_presses_harder() -> None:
    """Ten per cent more speed takes 1/1.1 of the time and 1.21 of what a berm adds to the weight."""
    berm = course(load=2.0)
    quick = at_speed(berm, 1.1, "quick")
    assert quick.duration == pytest.approx(berm.duration / 1.1)
    assert quick.load_factor == pytest.approx(np.full(2001, 1.0 + 1.21))
    crest = at_speed(course(load=0.2), 1.3, "crest")
    assert crest.load_factor.min() == 0.0
    assert "leave the ground" in crest.warnings[-1]


def test_stages_become_courses_on_their_days() -> None:
    """The cases of a stage lie side by side; the air is that of the stage's altitude, the gas as filled."""
    weather = Weather(expected=283.15, coldest=273.15, warmest=283.15, fill_altitude=500.0)
    cases = cases_of(0.1, weather)
    race = [Stage("low", course(), 300.0), Stage("high", course(), 1500.0)]
    courses, days = laid_out(race, cases, weather, RideOptions())
    assert len(courses) == len(days) == 2 * len(cases)
    assert days[0][0].ambient_pressure > days[-1][0].ambient_pressure
    assert {day[0].fill_pressure for day in days} == {days[0][0].fill_pressure}
    assert days[3][1].oil_temperature == 273.15
    assert days[0] is days[1]
    with pytest.raises(InputError, match="same name"):
        laid_out([race[0], race[0]], cases, weather, RideOptions())
    with pytest.raises(InputError, match="altitude"):
        laid_out([Stage("moon", course(), 9000.0)], cases, weather, RideOptions())
    with pytest.raises(InputError, match="at least one stage"):
        laid_out([], cases, weather, RideOptions())
