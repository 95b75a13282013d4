"""The search: against brute force on coarse grids of real rides, within limits, cancelled, refused."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forkwright.bench.conditions import Conditions
from forkwright.hardware import Bike, Rider, Unit, check_setting, load, load_unit
from forkwright.physics import Unphysical
from forkwright.ride.course import Course
from forkwright.ride.course_file import read_course
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool
from forkwright.ride.portion import SweepTask, score_portion
from forkwright.ride.simulate import simulate
from forkwright.tune.adjusters import Adjuster
from forkwright.tune.aims import weights_of
from forkwright.tune.goal import Goal
from forkwright.tune.nearest_spring import PUMP_STEP
from forkwright.tune.recommend import recommend
from forkwright.tune.recommendation import Recommendation
from forkwright.tune.search import SearchPlan, SettingSearch, find_best
from forkwright.tune.stage_days import Stage, Weather
from forkwright.tune.stage_search import StageGoal, refine
from forkwright.tune.stages import stages
from forkwright.units import InputError, Measure

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
QUICK = SearchPlan(spread=12, rounds=(0.3,), centres=2, turns=30)
ROUGH = """
format = 1
kind = "course"
name = "short {kind}"
length = "16 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[roughness]]
from = "1 m"
to = "15 m"
class = "D"
longest_wave = "6 m"
seed = {seed}
[[event]]
kind = "{kind}"
at = "8 m"
height = "{height}"
{more}
"""


def short(kind: str = "root", height: str = "60 mm", seed: int = 3) -> Course:
    more = 'width = "80 mm"' if kind == "root" else ""
    return read_course(ROUGH.format(kind=kind, height=height, seed=seed, more=more))


COARSE = (
    Adjuster("pressure", PUMP_STEP * np.array([65.0, 75.0, 85.0, 95.0])),
    Adjuster("spacers", np.array([0.0, 2.0, 4.0])),
    Adjuster("low_speed", np.array([1.0, 5.0, 9.0, 13.0])),
    Adjuster("rebound", np.array([2.0, 6.0, 10.0])),
)
GRID = np.array(list(itertools.product(*(range(a.values.size) for a in COARSE))))


def coarse_task(unit: Unit, rider: Rider, bike: Bike, courses: tuple[Course, ...]) -> SweepTask:
    names = tuple(adjuster.name for adjuster in COARSE)
    return SweepTask(unit, courses, names, rider, bike, Conditions(), RideOptions())


@pytest.fixture(scope="module")
def known(dunlin: Unit, rider: Rider, bike: Bike) -> SettingSearch:
    """Every setting of the coarse grid, ridden over two short courses."""
    task = coarse_task(dunlin, rider, bike, (short(), short("square_edge", "90 mm", 5)))
    with RidePool(task, 1) as pool:
        search = SettingSearch(pool, COARSE, dunlin.travel.si)
        search.look(GRID)
    return search


@pytest.mark.parametrize(
    ("wishes", "deepest"),
    [((), 1.0), (("more comfort",), 1.0), (("more support", "less grip"), 1.0), (("more grip",), 0.7)],
)
def test_optimum_agrees_with_brute_force(
    dunlin: Unit, rider: Rider, bike: Bike, known: SettingSearch, wishes: tuple[str, ...], deepest: float
) -> None:
    """On a grid of 144 settings the search comes within a hundredth of the trade-off of the best of all.

    It looks at fewer than all, wherever it begins.
    """
    goal = Goal(weights_of(wishes), deepest)
    costs = goal.costs(known.judged)
    task = coarse_task(dunlin, rider, bike, (short(), short("square_edge", "90 mm", 5)))
    for seed, start in ((1, [2, 1, 2, 1]), (2, [0, 2, 0, 2])):
        with RidePool(task, 1) as pool:
            search = SettingSearch(pool, COARSE, dunlin.travel.si)
            best, settled = find_best(
                search, goal.costs, goal.ends(), np.array([start]), QUICK, seed, lambda _share, _words: None
            )
        assert settled
        place = int(np.flatnonzero((known.steps == search.steps[best]).all(axis=1))[0])
        assert len(search.steps) < len(GRID)
        assert costs[place] <= costs.min() + 0.01


def test_shared_build_agrees_with_brute_force(
    dunlin: Unit, rider: Rider, bike: Bike, known: SettingSearch
) -> None:
    """The build whose stages' best add up to least, by trying all, is what the improvement ends at."""
    goal = StageGoal(Goal(np.ones(4), 1.0), 2, 1)
    costs = goal.by_stage(known.judged)
    totals = {
        build: sum(costs[(known.steps[:, :2] == build).all(axis=1)].min(axis=0))
        for build in itertools.product(range(4), range(3))
    }
    task = coarse_task(dunlin, rider, bike, (short(), short("square_edge", "90 mm", 5)))
    with RidePool(task, 1) as pool:
        search = SettingSearch(pool, COARSE, dunlin.travel.si)
        find_best(
            search, goal.costs, goal.ends(), np.array([[2, 1, 2, 1]]), QUICK, 1, lambda _share, _words: None
        )
        rows, settled = refine(search, goal, [2, 3], lambda _share, _words: None)
    assert settled
    steps = search.steps[rows]
    assert (steps[:, :2] == steps[0, :2]).all()
    places = [int(np.flatnonzero((known.steps == row).all(axis=1))[0]) for row in steps]
    found = sum(costs[place, stage] for stage, place in enumerate(places))
    assert found <= min(totals.values()) + 1e-9


def test_portion_agrees_with_single_rides(dunlin: Unit, rider: Rider, bike: Bike) -> None:
    """Damping solved once a click and parameters once a setting: the scores are those of `simulate`."""
    courses = (short(), short("square_edge", "90 mm", 5))
    values = np.array([[80 * PUMP_STEP, 2.0, 4.0, 5.0], [90 * PUMP_STEP, 1.0, 4.0, 5.0]])
    rows = score_portion(coarse_task(dunlin, rider, bike, courses), values)
    for row, (setting, course) in enumerate(itertools.product(range(2), range(2))):
        pressure, spacers, low, back = values[setting]
        ride = simulate(
            dunlin, courses[course], rider=rider, bike=bike,
            setting=dunlin.setting.changed(
                pressure=float(pressure), spacers=int(spacers), low_speed=int(low), rebound=int(back)
            ),
        )  # fmt: skip
        for name, value in ride.scores.numbers().items():
            assert rows.scores[name][row] == pytest.approx(value, rel=1e-12), name


def test_portion_rides_each_course_on_its_own_day(dunlin: Unit, rider: Rider, bike: Bike) -> None:
    """A cold, high day given for one course changes that course's scores alone."""
    course = short()
    usual = (Conditions(), RideOptions())
    cold = (Conditions.at(2000.0, 268.15), RideOptions(oil_temperature=268.15))
    names = ("pressure", "spacers", "low_speed", "rebound")
    values = np.array([[80 * PUMP_STEP, 2.0, 4.0, 5.0]])
    task = SweepTask(dunlin, (course, course), names, rider, bike, *usual, (usual, cold))
    both = score_portion(task, values).scores["riding_sag_m"]
    alone = score_portion(SweepTask(dunlin, (course,), names, rider, bike, *usual), values)
    assert both[0] == alone.scores["riding_sag_m"][0]
    assert both[1] > both[0] + 1e-4
    assert task.fingerprint != SweepTask(dunlin, (course, course), names, rider, bike, *usual).fingerprint


@pytest.fixture(scope="module")
def told(dunlin: Unit, rider: Rider, bike: Bike) -> Recommendation:
    return recommend(
        dunlin, rider, bike, [short()], wishes=["more comfort"], margin=0.1, workers=1, plan=QUICK, draws=0
    )


def test_recommendation_is_best_among_its_steps(told: Recommendation) -> None:
    """No allowed single step is better, the setting keeps its margin, and nothing beats it in everything."""
    allowed = [step.cost for step in told.steps if step.allowed]
    assert len(allowed) >= 4  # the others would break a limit
    assert min(allowed) >= 0.0
    assert told.best.aims[3] <= 0.9 + 1e-9
    assert told.best.metal == 0
    for option in told.trade_off:
        assert not ((option.aims <= told.best.aims).all() and (option.aims < told.best.aims).any())
    assert told.effort.rides == told.effort.settings
    assert set(told.order) == {adjuster.name for adjuster in told.adjusters}


def test_step_effects_are_those_of_the_rides(told: Recommendation, rider: Rider, bike: Bike) -> None:
    """What a step is said to change is the difference of two single rides."""
    step = next(s for s in told.steps if s.adjuster == "low_speed")
    unit = told.unit
    scores = [
        simulate(unit, short(), setting=setting, rider=rider, bike=bike).scores
        for setting in (told.best.setting, told.best.setting.changed(low_speed=int(step.value)))
    ]
    change = scores[1].hand_acceleration_m_s2 - scores[0].hand_acceleration_m_s2
    assert step.change[1] == pytest.approx(change, rel=1e-9, abs=1e-12)


def test_same_seed_same_answer(told: Recommendation, dunlin: Unit, rider: Rider, bike: Bike) -> None:
    """Asked again, the search gives the same setting."""
    again = recommend(
        dunlin, rider, bike, [short()], wishes=["more comfort"], margin=0.1, workers=1, plan=QUICK, draws=0
    )
    assert again.best.setting == told.best.setting


@given(
    limit=st.integers(60, 140),
    spacers=st.integers(0, 6),
    mass=st.floats(55.0, 110.0),
    margin=st.sampled_from([0.0, 0.1, 0.3]),
    seed=st.integers(0, 99),
)
@settings(max_examples=8, deadline=None)
def test_nothing_inadmissible_is_ever_returned(
    limit: int, spacers: int, mass: float, margin: float, seed: int
) -> None:
    """Whatever the limits and the rider: an answer keeps every limit, or it is refused by name."""
    unit = load_unit(DEMO / "dunlin-160.toml")
    air = unit.air_spring
    assert air is not None
    assert air.spacers is not None
    air = air.model_copy(
        update={
            "pressure_limit": Measure(limit * PUMP_STEP),
            "spacers": air.spacers.model_copy(update={"max_count": spacers}),
        }
    )
    unit = unit.model_copy(
        update={"air_spring": air, "setting": unit.setting.changed(pressure=50 * PUMP_STEP, spacers=0)}
    )
    who = Rider(mass=Measure(mass))
    plan = SearchPlan(spread=6, rounds=(), centres=1, turns=2)
    found, refusal = None, ""
    try:
        found = recommend(
            unit,
            who,
            load(DEMO / "bike.toml"),
            [short()],
            margin=margin,
            workers=1,
            seed=seed,
            plan=plan,
            draws=0,
        )
    except Unphysical as fault:
        refusal = str(fault)
    if found is None:
        assert any(word in refusal for word in ("pressure", "spacer", "spring", "travel is too short"))
        return
    for option in (found.best, *found.trade_off):
        check_setting(unit, option.setting)
        assert option.setting.spacers <= spacers
        assert option.setting.pressure is not None
        assert option.setting.pressure.si <= limit * PUMP_STEP * (1 + 1e-9)
        assert option.setting.pressure.si / PUMP_STEP == pytest.approx(
            round(option.setting.pressure.si / PUMP_STEP)
        )
        assert option.aims[3] <= 1.0 - margin + 1e-9


def test_raising_from_progress_stops_the_search(dunlin: Unit, rider: Rider, bike: Bike) -> None:
    """A caller that raises when told of progress gets its own exception back, at once."""

    class StopError(Exception):
        pass

    seen: list[float] = []

    def stop(share: float, _words: str) -> None:
        seen.append(share)
        if share > 0.1:
            raise StopError

    with pytest.raises(StopError):
        recommend(dunlin, rider, bike, [short()], workers=1, plan=QUICK, draws=0, progress=stop)
    assert seen == sorted(seen)
    assert [share for share in seen if share > 0.1] == seen[-1:]


def test_refusals_name_the_part(dunlin: Unit, rider: Rider, bike: Bike) -> None:
    """Too heavy a rider: the pressure limit. Too little travel allowed on a drop: a part or the travel."""
    with pytest.raises(Unphysical, match=r"pressure limit of 120\.0 psi"):
        recommend(dunlin, Rider(mass=Measure(220.0)), bike, [short()], workers=1, plan=QUICK, draws=0)
    with pytest.raises(Unphysical, match=r"what stops it|too short"):
        recommend(dunlin, rider, bike, [short("drop", "900 mm")], margin=0.5, workers=1, plan=QUICK, draws=0)
    with pytest.raises(InputError, match="--course"):
        recommend(dunlin, rider, bike, [], workers=1)


def test_stage_plan_keeps_the_build_and_gains(dunlin: Unit, rider: Rider, bike: Bike) -> None:
    """One build for all stages, clicks within range, never worse than one setting for all, all cases held."""
    race = [Stage("one", short(), 400.0), Stage("two", short("square_edge", "90 mm", 5), 900.0)]
    weather = Weather(expected=288.15, coldest=278.15, warmest=288.15)
    found = stages(dunlin, rider, bike, race, weather=weather, margin=0.05, workers=1, plan=QUICK, draws=0)
    assert found.between == ("low_speed", "high_speed", "rebound")
    assert found.fixed == ("pressure", "spacers")
    builds = {(one.setting.pressure.si, one.setting.spacers) for one in found.stages}  # type: ignore[union-attr]
    assert len(builds) == 1
    assert found.gain is not None
    assert found.gain >= 0.0
    for one in found.stages:
        check_setting(dunlin, one.setting)
        assert one.by_case.shape == (len(found.cases), 4)
        assert one.by_case[:, 3].max() <= 0.95 + 1e-9
        assert (one.regret >= 0.0).all()
    assert found.gain == pytest.approx(sum(one.shared_cost - one.cost for one in found.stages))  # type: ignore[operator,misc]


def test_pressures_may_change_only_when_asked(dunlin: Unit, rider: Rider, bike: Bike) -> None:
    """With pressures between stages the spacers alone stay fixed."""
    race = [Stage("one", short()), Stage("two", short("square_edge", "90 mm", 5))]
    found = stages(
        dunlin, rider, bike, race, pressures_too=True, speed_spread=0.0, workers=1,
        plan=SearchPlan(spread=8, rounds=(), centres=2, turns=1), draws=0,
    )  # fmt: skip
    assert found.fixed == ("spacers",)
    assert "pressure" in found.between
    assert len({one.setting.spacers for one in found.stages}) == 1
