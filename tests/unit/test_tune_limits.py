"""Limits are kept whatever they are, riders that the hardware cannot carry are refused by the part."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forkwright.bench.sag import sag
from forkwright.bench.spring import spring_curve
from forkwright.bench.standing import standing_load
from forkwright.hardware import Bike, Rider, Unit, check_setting, load, load_unit, read_text
from forkwright.physics import Unphysical
from forkwright.ride.course_file import read_course
from forkwright.tune.adjusters import LEAST_SAG, MOST_SAG, adjusters_for, rideable_by
from forkwright.tune.aims import weights_of
from forkwright.tune.goal import Goal
from forkwright.tune.judged import Judged
from forkwright.tune.match import match
from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP
from forkwright.tune.recommend import recommend
from forkwright.tune.recommend_words import recommend_words
from forkwright.tune.search import SearchPlan
from forkwright.units import Measure

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
PLAN = SearchPlan(spread=10, rounds=(), centres=1, turns=3)
DROP = """
format = 1
kind = "course"
name = "a drop"
length = "20 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[event]]
kind = "{kind}"
at = "8 m"
height = "{height}"
"""


def fork(pressure_limit: int = 120, spacers: int = 6, negative_limit: int | None = None) -> Unit:
    """The demonstration fork with other limits; with a negative limit its negative chamber has a valve."""
    text = (DEMO / "dunlin-160.toml").read_text("utf-8")
    text = text.replace('"120 psi"', f'"{pressure_limit} psi"').replace(
        "max_count = 6", f"max_count = {spacers}"
    )
    text = text.replace('pressure = "85 psi"', f'pressure = "{min(50, pressure_limit)} psi"')
    text = text.replace("spacers = 2", "spacers = 0")
    if negative_limit is not None:
        text = re.sub(r"\ntransfer = .*", '\nnegative = "valve"', text)
        text = text.replace(
            "pressure_limit =", f'negative_pressure_limit = "{negative_limit} psi"\npressure_limit ='
        )
        text = text.replace(
            "spacers = 0", f'spacers = 0\nnegative_pressure = "{min(40, negative_limit)} psi"'
        )
    found = read_text(text, "fork.toml")
    assert isinstance(found, Unit)
    return found


def without_damper(unit: Unit) -> Unit:
    """The unit with its spring alone, which is quicker to match."""
    setting = unit.setting.changed(low_speed=None, high_speed=None, rebound=None)
    return unit.model_copy(update={"damper": None, "setting": setting})


def coil_fork(rate: str = "8.8 N/mm") -> Unit:
    """The demonstration fork with a coil in place of its air spring."""
    text = (DEMO / "dunlin-160.toml").read_text("utf-8")
    begin, end = text.index("[air_spring]"), text.index("[bumpers]")
    text = f'{text[:begin]}[coil_spring]\nrate = "{rate}"\npreload = "2 mm"\n\n{text[end:]}'
    text = text.replace('pressure = "85 psi"\nspacers = 2', 'preload = "2 mm"')
    found = read_text(text, "coil.toml")
    assert isinstance(found, Unit)
    return found


@given(
    main=st.integers(8, 140),
    negative=st.one_of(st.none(), st.integers(5, 140)),
    spacers=st.integers(0, 6),
    secondary=st.integers(20, 320),
    swap=st.booleans(),
)
@settings(max_examples=25, deadline=None)
def test_a_match_keeps_every_limit(
    main: int, negative: int | None, spacers: int, secondary: int, swap: bool
) -> None:
    """Whatever the limits: main, negative and secondary pressure and spacers of a match are allowed.

    Pressures are whole steps of their pump. The springs alone are matched: no clicks here.
    """
    ours = fork(main, spacers, negative)
    plover = load_unit(DEMO / "plover-160.toml")
    if swap:
        air = plover.air_spring
        assert air is not None
        assert air.floating is not None
        limited = air.floating.model_copy(update={"pressure_limit": Measure(secondary * PUMP_STEP)})
        target, other = (
            ours,
            plover.model_copy(
                update={
                    "air_spring": air.model_copy(update={"floating": limited}),
                    "setting": plover.setting.changed(floating=10 * PUMP_STEP),
                }
            ),
        )
    else:
        target, other = plover, ours
    target, other = (without_damper(unit) for unit in (target, other))
    found = match(target, other, draws=0).setting
    check_setting(other, found)
    for entry, step in (
        ("pressure", PUMP_STEP), ("negative_pressure", PUMP_STEP), ("floating", SECONDARY_STEP),
    ):  # fmt: skip
        held = getattr(found, entry)
        if held is not None:
            assert held.si / step == pytest.approx(round(held.si / step), abs=1e-6), entry


def test_own_valve_is_set_for_a_rider_within_what_is_ridden(bike: Bike) -> None:
    """The negative pressure is an adjuster with its own limit; pairs that sag too far are never ridden."""
    unit, rider = fork(negative_limit=90), load(DEMO / "rider.toml")
    assert isinstance(rider, Rider)
    adjusters = adjusters_for(unit, rider, bike, None, None, SECONDARY_STEP)
    by_name = {adjuster.name: adjuster.values for adjuster in adjusters}
    assert by_name["negative_pressure"].max() <= 90 * PUMP_STEP * (1 + 1e-9)
    tell = rideable_by(unit, rider, bike, None, adjusters)
    assert tell is not None
    names = list(by_name)
    row = [float(values[values.size // 2]) for values in by_name.values()]
    softest, hardest = list(row), list(row)
    for place, (low, high) in (
        (names.index("pressure"), (0, -1)),
        (names.index("negative_pressure"), (-1, 0)),
    ):
        values = by_name[names[place]]
        softest[place], hardest[place] = float(values[low]), float(values[high])
    sags = []
    load_on_it = standing_load(unit, rider, bike)

    for values in (softest, hardest, row):
        entries = dict(zip(names, values, strict=True))
        setting = unit.setting.changed(
            pressure=entries["pressure"], negative_pressure=entries["negative_pressure"]
        )
        sags.append(
            float(sag(unit, load_on_it.axial, setting, side_load=load_on_it.side).middle) / unit.travel.si
        )
    expected = [LEAST_SAG <= share <= MOST_SAG for share in sags]
    assert tell(np.array([softest, hardest, row])).tolist() == expected
    assert expected[2]
    assert not all(expected)
    found = recommend(
        unit, rider, bike, [read_course(DROP.format(kind="square_edge", height="60 mm"))], workers=1,
        plan=PLAN, draws=0,
    )  # fmt: skip
    check_setting(unit, found.best.setting)
    assert found.best.setting.negative_pressure is not None
    assert "negative chamber" in recommend_words(found).start


def test_a_coil_that_does_not_carry_the_rider_names_those_that_do(bike: Bike) -> None:
    """Too soft, too stiff: the refusal says which coils would do, and with such a one it is no refusal."""
    course = read_course(DROP.format(kind="square_edge", height="60 mm"))
    for rate, mass, way in (("4.4 N/mm", 110.0, "soft"), ("20 N/mm", 60.0, "stiff")):
        who = Rider(mass=Measure(mass))
        with pytest.raises(Unphysical, match=f"too {way}.*coils that would carry") as told:
            recommend(coil_fork(rate), who, bike, [course], workers=1, plan=PLAN, draws=0)
        named = re.search(r"the rider: ([0-9.]+ N/mm)", str(told.value))
        assert named
        found = recommend(coil_fork(named[1]), who, bike, [course], workers=1, plan=PLAN, draws=0)
        check_setting(found.unit, found.best.setting)
        assert "preload" in recommend_words(found).start


def refused_a_little_beyond(unit: Unit, mass: float, bike: Bike, height: str) -> str:
    """Ask for a little more margin on a drop than the best setting found leaves; return the refusal."""
    course, who = read_course(DROP.format(kind="drop", height=height)), Rider(mass=Measure(mass))
    found = recommend(unit, who, bike, [course], wishes=["more margin"], workers=1, plan=PLAN, draws=0)
    deepest = min(option.aims[3] for option in found.trade_off)
    with pytest.raises(Unphysical) as told:
        recommend(unit, who, bike, [course], margin=1.02 - deepest, workers=1, plan=PLAN, draws=0)
    return str(told.value)


def test_a_coil_that_is_too_soft_for_a_drop_is_named(bike: Bike) -> None:
    """A coil fork is refused by its coil or its valves, never by pressures or spacers that it has not."""
    told = refused_a_little_beyond(coil_fork("7 N/mm"), 95.0, bike, "3000 mm")
    assert re.search(r"what stops it: .*(rate of the coil|compression valves)", told)
    assert "psi" not in told
    assert "spacers" not in told


def test_no_spacers_and_too_low_a_limit_are_named(bike: Bike) -> None:
    """Without spacers and with a low limit of pressure a drop is refused by a part that is there."""
    told = refused_a_little_beyond(fork(66, 0), 75.0, bike, "1600 mm")
    parts = "pressure range|positive chamber|compression valves"
    assert re.search(rf"what stops it: .*({parts})", told)
    assert "coil" not in told
    assert "volume spacers" not in told


def test_a_wish_for_more_brings_half_of_what_there_is(bike: Bike) -> None:
    """More is meant against the setting in the file: half of what the trade-off offers, at least."""
    unit, rider = load_unit(DEMO / "dunlin-160.toml"), load(DEMO / "rider.toml")
    assert isinstance(rider, Rider)
    course = read_course(DROP.format(kind="square_edge", height="60 mm"))
    for place, wish in enumerate(("more grip", "more comfort", "more support", "more margin")):
        found = recommend(unit, rider, bike, [course], wishes=[wish], workers=1, plan=PLAN, draws=0)
        assert found.now is not None
        now, got = float(found.now.aims[place]), float(found.best.aims[place])
        least = min(float(option.aims[place]) for option in found.trade_off)
        assert got <= now - 0.5 * max(now - least, 0.0) + 1e-6 * now, wish


def test_wishes_that_fight_are_shared_out() -> None:
    """Where two wishes cannot both be had, the one that falls shortest falls short as little as can be."""
    grip, comfort = [0.4, 2.0, 0.5, 0.5], [0.6, 1.0, 0.5, 0.5]
    shared, lopsided, now = [0.47, 1.5, 0.5, 0.5], [0.49, 1.45, 0.35, 0.5], [0.5, 1.9, 0.3, 0.5]
    aims = np.array([grip, comfort, shared, lopsided, now])
    judged = Judged(np.zeros((5, 1)), aims[:, np.newaxis, :], np.zeros((5, 1)), ("",) * 5)
    both = Goal(weights_of(["more grip", "more comfort"]), 1.0)
    assert int(np.argmin(both.against(aims[4], (0, 1)).costs(judged))) == 2
    assert int(np.argmin(both.costs(judged))) == 3


def test_a_straight_line_in_the_negative_pressure() -> None:
    """What the closed form rests on: force is straight in an own-valve negative pressure, wherever it is."""
    unit = fork(negative_limit=110)
    forces = [
        spring_curve(unit, unit.setting.changed(negative_pressure=psi * PUMP_STEP)).force
        for psi in (20, 50, 80)
    ]
    np.testing.assert_allclose(forces[1], 0.5 * (forces[0] + forces[2]), rtol=0.0, atol=1e-6)
    assert np.all(forces[0] > forces[2] + 50.0)  # and it does change: more pressure there, less force
