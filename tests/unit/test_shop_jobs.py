"""A job's way through the shop, inspection against the shop's own limits, and the next service."""

from __future__ import annotations

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.shop_samples import DEMO, HARD_TEXTS, filled_store, take_through, ticking

from forkwright.shop.inspection import CHECK_LIST, check_list, record_finding, standing
from forkwright.shop.job_book import add_leak_down, add_material, add_note, record_setting, sign
from forkwright.shop.jobs import MOVES, conclude, hand_over, job_by_number, move, obstacles, open_job
from forkwright.shop.records import Unit
from forkwright.shop.records_job import STAGES, Job
from forkwright.shop.register import add_figure, add_unit, add_unit_file
from forkwright.shop.service import next_service
from forkwright.shop.store import Store
from forkwright.shop.views import job_view
from forkwright.units import InputError, Measure


@pytest.fixture
def store(tmp_path):
    with Store.open(tmp_path / "shop.sqlite3", clock=ticking()) as opened:
        yield opened


@pytest.fixture
def session(store):
    with store.change(actor="Ines") as opened:
        yield opened


@pytest.fixture
def job(session) -> Job:
    unit = add_unit(session, kind="fork", name="Dunlin 160", serial="D-1")
    return open_job(session, unit, complaint="harsh", riding_hours=60)


def test_a_whole_job_ends_handed_over_with_holding_signatures(session, job):
    """Going through every step, the job closes, and both signatures stand for what the view shows."""
    add_figure(session, kind="wear", item="bushing_play", value="0.20 mm")
    take_through(session, job)
    view = job_view(session, job)
    assert view["stage"] == "handed over"
    assert view["closed_at"] is not None
    assert [(each["role"], each["still_holds"]) for each in view["signatures"]] == [
        ("technician", True),
        ("customer", True),
    ]
    assert view["next_service"]["on"] == "2031-05-10"
    assert view["settings"]["after"]["pressure_gauge_Pa"] == pytest.approx(80 * 6894.757293)


def test_a_change_after_signing_shows_and_bars_the_hand_over(session, job):
    """A signature stands for the job as it was: a later oil entry breaks it, a note does not."""
    move(session, job, "inspection")
    assert any("not signed for it as it stands" in each for each in obstacles(session, job))
    sign(session, job, role="technician", name="Ines")
    add_note(session, job, "rings when turned")
    assert not any("signed" in each for each in obstacles(session, job))
    assert [each["still_holds"] for each in job_view(session, job)["signatures"]] == [True]
    add_material(session, job, kind="oil", name="maker's oil", amount="10 ml")
    assert any("not signed for it as it stands" in each for each in obstacles(session, job))
    assert [each["still_holds"] for each in job_view(session, job)["signatures"]] == [False]
    with pytest.raises(InputError, match="not signed for it as it stands"):
        hand_over(session, job)


def test_the_hand_over_names_everything_that_is_missing(session, job):
    """An empty job names the structural parts, the setting, the signature and the stage."""
    with pytest.raises(InputError) as caught:
        hand_over(session, job)
    for words in ("crown_and_steerer, lowers, axle", "setting it leaves with", "signed", "'intake'"):
        assert words in str(caught.value)
    assert job.stage == "intake"


@pytest.mark.parametrize("result", ["stop", "worn"])
def test_damage_bars_the_hand_over_until_it_is_settled(session, job, result):
    """A crack or a worn part stays an obstacle until someone writes what was done about it."""
    record_finding(session, job, item="lowers", result=result)
    assert any("lowers" in each and "structural parts" not in each for each in obstacles(session, job))
    record_finding(session, job, item="lowers", result=result, resolved="lowers replaced")
    assert not any("lowers" in each for each in obstacles(session, job))


def test_a_structural_part_marked_not_checked_still_bars(session, job):
    """Writing 'not checked' for a structural part does not open the way."""
    record_finding(session, job, item="axle", result="not checked")
    assert any("axle" in each for each in obstacles(session, job))


def test_only_the_named_moves_are_possible(session, job):
    """Every pair of stages that is not in the table of moves is refused."""
    for start in STAGES:
        for end in STAGES:
            job.stage = start
            if end in MOVES[start] and end != "handed over":
                move(session, job, end)
                assert job.stage == end
            else:
                with pytest.raises(InputError, match="stage"):
                    move(session, job, end)
                assert job.stage == start
    job.stage = "intake"


def test_every_stage_can_be_reached_from_intake():
    """The table of moves leaves no stage out and names no unknown one."""
    reached, front = {"intake"}, ["intake"]
    while front:
        for stage in MOVES[front.pop()]:
            if stage not in reached:
                reached.add(stage)
                front.append(stage)
    assert reached == set(STAGES)


def test_measured_wear_is_held_against_the_shops_own_limit(session, job):
    """The limit for this unit's name goes before the general one, and decides with the tolerance."""
    with pytest.raises(InputError, match="give a measured wear for which the shop has a limit"):
        record_finding(session, job, item="bushing_play", measured="0.12 mm")
    add_figure(session, kind="wear", item="bushing_play", value="0.50 mm")
    add_figure(session, kind="wear", item="bushing_play", value="0.20 mm", unit_name="Dunlin 160")
    for measured, result in (
        ("0.12 ± 0.01 mm", "good"),
        ("0.19 ± 0.01 mm", "watch"),
        ("0.30 ± 0.01 mm", "worn"),
        ("0.20 mm", "good"),
    ):
        finding = record_finding(session, job, item="bushing_play", measured=measured)
        assert (finding.result, finding.limit) == (result, "0.20 mm")
    assert finding.measured_m == pytest.approx(0.2e-3)


def test_the_program_brings_no_limits_along():
    """No check-list text holds a digit: every figure is the shop's own."""
    assert len(CHECK_LIST) > 10
    for item in CHECK_LIST:
        assert not any(letter.isdigit() for letter in item.what + item.how + item.measured), item.key


@given(st.floats(0, 1e-3), st.floats(0, 1e-3), st.floats(0, 1e-4), st.floats(0, 1e-4))
def test_standing_is_symmetric_and_never_within_beyond_the_limit(measured, limit, first, second):
    """Exchanging reading and limit exchanges within and beyond; it matters not whose the tolerance is.

    Two standard deviations apart it is decided; nearer it is too close to call.
    """
    one = standing(Measure(measured, first), Measure(limit, second))
    other = standing(Measure(limit, second), Measure(measured, first))
    assert one == standing(Measure(measured, second), Measure(limit, first))
    apart, spread = abs(measured - limit), 2 * (first**2 + second**2) ** 0.5
    if one == "too close to call":
        assert other == one
        assert apart <= spread * (1 + 1e-9)
    elif measured != limit:
        assert one == ("within" if measured < limit else "beyond") != other
        assert apart >= spread * (1 - 1e-9)
    else:
        assert one == "within"
        assert spread == 0.0


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda s, j: record_finding(s, j, item="mount_play", result="good"), "item:"),
        (lambda s, j: record_finding(s, j, item="seals", result="fine"), "result:"),
        (lambda s, j: record_finding(s, j, item="seals", result="good", measured="1 mm"), "seals:"),
        (
            lambda s, j: record_finding(s, j, item="bushing_play", result="good", measured="1 kg"),
            "bushing_play: 'kg'",
        ),
        (
            lambda s, j: record_finding(s, j, item="bushing_play", result="good", measured="-1 mm"),
            "bushing_play: a wear cannot be negative",
        ),
        (lambda s, j: add_material(s, j, kind="oil", name="oil", amount="10 mm"), "amount:"),
        (lambda s, j: add_material(s, j, kind="paint", name="red"), "kind:"),
        (lambda s, j: record_setting(s, j, "after", pressure="80"), "pressure:"),
        (lambda s, j: record_setting(s, j, "after", rebound=-1), "rebound:"),
        (lambda s, j: record_setting(s, j, "after", colour="red"), "colour:"),
        (lambda s, j: record_setting(s, j, "later", pressure="80 psi"), "moment:"),
        (lambda s, j: sign(s, j, role="judge", name="x"), "role:"),
        (lambda s, j: sign(s, j, role="customer", name=" "), "name:"),
        (
            lambda s, j: add_leak_down(
                s, j, chamber="positive", start_pressure="80 psi", end_pressure="79 psi", hours=float("nan")
            ),
            "hours:",
        ),
        (lambda s, _: job_by_number(s, 99), "number: .*'99'"),
        (lambda s, _: job_by_number(s, 10**30), "number:"),
    ],
)
def test_wrong_entries_are_named(session, job, call, named):
    """Each wrong entry is refused with the name of what is wrong."""
    with pytest.raises(InputError, match=rf"^{named}"):
        call(session, job)


@pytest.mark.parametrize("hours", [-1.0, float("nan"), float("inf"), 1e9])
def test_riding_hours_out_of_range_are_refused(session, job, hours):
    """Hours must be a finite number that a unit could have ridden."""
    unit = session.get(Unit, job.unit_id)
    with pytest.raises(InputError, match="riding_hours"):
        open_job(session, unit, riding_hours=hours)


def test_the_units_own_limits_hold_for_the_setting_it_leaves_with(session, job):
    """Over the file's pressure or spacer limit is refused on leaving, but written down as found."""
    text = (DEMO / "dunlin-160.toml").read_text(encoding="utf-8")
    add_unit_file(session, session.get(Unit, job.unit_id), text)
    for fields, named in (({"pressure": "500 psi"}, "pressure"), ({"spacers": 30}, "spacers")):
        with pytest.raises(InputError, match=named):
            record_setting(session, job, "after", **fields)
    assert record_setting(session, job, "before", pressure="500 psi").pressure == "500 psi"
    assert record_setting(session, job, "after", pressure="80 psi").pressure == "80 psi"


def test_job_numbers_go_up_by_one_and_are_never_given_twice(session, job):
    """Numbers follow each other, also after a job was cancelled."""
    unit = session.get(Unit, job.unit_id)
    move(session, job, "cancelled")
    assert [open_job(session, unit).number for _ in range(3)] == [2, 3, 4]


def test_concluding_keeps_what_is_not_given(session, job):
    """An empty text and no plan leave the earlier ones standing."""
    conclude(session, job, work_done="seals", service=next_service(date(2031, 1, 1), hours=50))
    conclude(session, job)
    assert (job.work_done, job.next_service_hours) == ("seals", 50)


def test_the_view_of_a_filled_job_is_finite_and_whole(tmp_path):
    """Both jobs hold finite numbers; the open one shows every note, its picture and what is not inspected."""
    with filled_store(tmp_path) as store, store.look() as session:
        finished, view = (job_view(session, job_by_number(session, number)) for number in (1, 2))
    for each in (finished, view):
        json.dumps(each, allow_nan=False)
    assert finished["riding_h"] == 0.1 + 0.2
    assert [note["text"] for note in view["notes"]] == [
        words.strip() for words in (*HARD_TEXTS, "long " * 3900)
    ]
    assert [photo["caption"] for photo in view["photos"]] == ["scratch"]
    assert view["not_inspected"] == [item.key for item in check_list("fork")]
    assert "axle" in view["not_inspected"]
    assert "axle" not in finished["not_inspected"]


@given(
    st.dates(date(2000, 1, 1), date(2200, 1, 1)),
    st.floats(1, 1000),
    st.floats(0.5, 40),
    st.integers(1, 12),
)
def test_the_next_service_is_the_earlier_of_hours_and_season(done, hours, weekly, month):
    """Both together give the earlier day; it is never before the service; the season's day ends a month."""
    by_hours = next_service(done, hours=hours, hours_a_week=weekly).on
    by_season = next_service(done, before_month=month).on
    both = next_service(done, hours=hours, hours_a_week=weekly, before_month=month)
    assert both.on == min(by_hours, by_season) >= done
    assert (by_season - done).days <= 366
    assert date.fromordinal(by_season.toordinal() + 1).day == 1
    assert date.fromordinal(by_season.toordinal() + 1).month == month
    assert abs((by_hours - done).days - hours / weekly * 7) <= 1


@pytest.mark.parametrize(
    "wrong", [{"hours": 0.0}, {"hours": float("nan")}, {"hours_a_week": 200.0}, {"before_month": 13}]
)
def test_service_plans_out_of_range_are_refused(wrong):
    """Zero hours, more hours than a week has, and a thirteenth month are named."""
    with pytest.raises(InputError, match=next(iter(wrong))):
        next_service(date(2031, 1, 1), **wrong)


def test_a_plan_beyond_the_calendar_is_refused():
    """A rider who hardly rides does not push the service past the last year there is."""
    with pytest.raises(InputError, match="calendar"):
        next_service(date(2031, 1, 1), hours=10_000, hours_a_week=1e-6)
