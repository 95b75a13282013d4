"""Shocks and both ends over the workbench's calls: the benches' own numbers, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from tests.app.test_app_answers import DEMO, draft

import forkwright as fw
from forkwright.app.rear.shapes import BalanceAnswer, LeverageAnswer, ToldAdvice
from forkwright.app.unit_table import unit_table
from forkwright.bench.loads import rear_wheel_load
from forkwright.ride.pitch_options import PitchOptions
from forkwright.tune.balance_words import advice_sentences, balance_sentences
from forkwright.units import parse

AIR, COIL, FORK = "linnet-65", "pipit-65", "dunlin-160"


WHO = {"rider": draft("rider"), "bike": draft("bike")}
BARE = draft("bike", leverage=None)
RIDER, BIKE = fw.load(DEMO / "rider.toml"), fw.load(DEMO / "bike.toml")


def asked(client: Any, path: str, **question: Any) -> dict[str, Any]:
    """Ask a call that must answer."""
    answer = client.post(path, json=question)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def refused(client: Any, path: str, **question: Any) -> dict[str, Any]:
    """Ask a call that must refuse; return its body."""
    answer = client.post(path, json=question)
    assert answer.status_code == 422, answer.text
    found: dict[str, Any] = answer.json()
    return found


@pytest.mark.parametrize("name", [AIR, COIL])
def test_a_shock_on_the_fork_page_is_read_at_shaft_and_wheel(client: Any, name: str) -> None:
    """Curves, sag and drawing of a shock are those of the rear benches; a coil tells of its wire."""
    unit = fw.load(DEMO / f"{name}.toml")
    found = asked(client, "/api/fork", fork=draft(name), **WHO)
    curve = fw.wheel_curve(unit, BIKE)
    assert found["kind"] == "shock"
    assert found["wheel"]["wheel_force_N"][-1] == pytest.approx(curve.force[-1], rel=1e-6)
    expected = fw.wheel_sag(unit, BIKE, float(rear_wheel_load(RIDER, BIKE)))
    assert found["wheel_sag"]["wheel_sag_m"] == pytest.approx(expected.middle)
    assert found["sag"]["sag_m"] == pytest.approx(float(expected.shock.middle), abs=1e-5)
    assert ("Air can" in found["drawing"]["svg"]) == (name == AIR)
    if name == AIR:
        assert found["coil"] is None
    else:
        coil = unit.coil_spring
        stiff = coil.shear_modulus.si * coil.wire_diameter.si**4
        rate = stiff / (8 * coil.mean_diameter.si**3 * coil.active_turns.si)
        assert found["coil"]["rate_from_wire_N_m"] == pytest.approx(rate, rel=1e-9)


def test_without_leverage_the_shaft_is_shown_and_the_wheel_is_asked_for(client: Any) -> None:
    """A bike without leverage curve leaves the shaft's curves, and says what the wheel's need."""
    found = asked(client, "/api/fork", fork=draft(AIR), rider=WHO["rider"], bike=BARE)
    assert found["spring"]["force_N"]
    assert found["wheel"] is None
    assert found["sag"] is None
    assert any("no leverage curve" in words for words in found["warnings"])
    damped = asked(client, "/api/damper", fork=draft(AIR), bike=BARE)
    assert damped["wheel"] is None
    both = {"fork": draft(FORK), "shock": draft(AIR), "rider": WHO["rider"], "bike": BARE}
    assert "leverage" in refused(client, "/api/balance", **both)["error"]


def test_a_fork_has_no_wheel_side(client: Any) -> None:
    """Nothing of the rear is said of a fork."""
    found = asked(client, "/api/fork", fork=draft(FORK), **WHO)
    assert (found["wheel"], found["wheel_sag"], found["coil"]) == (None, None, None)


def test_a_damper_at_the_wheel_keeps_its_power(client: Any) -> None:
    """Force times speed is the same at the shaft and at the wheel, wherever the wheel stands."""
    for share in (0.0, 0.3, 1.0):
        found = asked(client, "/api/damper", fork=draft(COIL), bike=WHO["bike"], wheel_share=share)
        shaft, wheel = found["damping"], found["wheel"]
        assert wheel["wheel_travel_m"] == pytest.approx(share * wheel["wheel_travel_full_m"], abs=1e-6)
        power = shaft["speed_m_s"][-1] * shaft["force_N"][-1]
        assert wheel["wheel_speed_m_s"][-1] * wheel["wheel_damping_N"][-1] == pytest.approx(power)


def test_two_shocks_are_compared_and_shown(client: Any) -> None:
    """Compare gives sags at the wheel and sentences; Show tells the wheel's sag; a fork is refused."""
    side = asked(client, "/api/compare/side", fork=draft(AIR), **WHO)
    load = float(rear_wheel_load(RIDER, BIKE))
    sags = [fw.wheel_sag(fw.load(DEMO / f"{name}.toml"), BIKE, load) for name in (AIR, COIL)]
    assert side["wheel_sag"]["wheel_sag_m"] == pytest.approx(sags[0].middle)
    whole = asked(client, "/api/compare", a=draft(AIR), b=draft(COIL), **WHO)
    air, coil = (f"{float(sag.shock.middle) * 1e3:.1f} mm" for sag in sags)
    assert whole["sentences"][0].startswith(f"Linnet 65 sags {air} and Pipit 65 {coil}")
    shown = asked(client, "/api/show", forks=[draft(AIR), draft(COIL)], **WHO)
    for one in shown["sides"]:
        assert len(one["drawings"]) == 1
        assert any("on the rear wheel" in step["sentence"] for step in one["steps"])
    wrong = refused(client, "/api/compare", a=draft(FORK), b=draft(COIL), **WHO)
    assert "a fork and a shock are not compared" in wrong["error"]


def test_a_leverage_table_is_read_or_refused_with_its_line(client: Any) -> None:
    """A table's points come back as a file writes them; a falling table names its line."""
    table = (DEMO / "leverage.csv").read_text("utf-8")
    points = asked(client, "/api/leverage/table", text=table, name="leverage.csv")["points"]
    bike = draft("bike", **{"leverage.points": points, "leverage.smoothing": "40 mm"})
    found = asked(client, "/api/leverage", bike=bike)
    LeverageAnswer.model_validate(found)
    assert len(found["points"]) == len(points) == 12
    assert found["curve"]["wheel_travel_m"][-1] == pytest.approx(0.165)
    assert found["curve"]["method"] != asked(client, "/api/leverage", bike=WHO["bike"])["curve"]["method"]
    assert asked(client, "/api/leverage", bike=BARE) == {"points": [], "smoothing": None, "curve": None}
    wrong = refused(client, "/api/leverage/table", text="0,0\n80,30\n70,65\n", name="t.csv")
    assert wrong["line"] == 3


def test_the_balance_is_the_command_lines(client: Any) -> None:
    """Figures and sentences are those of the tune room, at rest and held; the advice comes with its edits."""
    question = {"fork": draft(FORK), "shock": draft(AIR), **WHO, "gradient": 0.1, "rider_shift_m": -0.05}
    found = asked(client, "/api/balance", **question)
    fork, shock = fw.load(DEMO / f"{FORK}.toml"), fw.load(DEMO / f"{AIR}.toml")
    options = PitchOptions(rider_shift=-0.05)
    expected = fw.balance(fork, shock, RIDER, BIKE, options=options, stance=fw.Stance(gradient=0.1))
    assert found["sentences"] == list(balance_sentences(expected))
    assert found["held"]["pitch_rad"] == pytest.approx(expected.held.pitch)
    assert found["drawing"].startswith("<svg")
    BalanceAnswer.model_validate(found)
    advice = asked(client, "/api/balance/advice", **question, sag_lead_percent=8.0)
    aims = fw.balance_advice(expected, RIDER, BIKE, aims=_aims(0.08), options=options)
    assert advice["sentences"] == list(advice_sentences(aims))
    assert advice["edits"]["setting.pressure"].endswith("psi")
    ToldAdvice.model_validate(advice)


def _aims(lead: float) -> Any:
    from forkwright.tune.balance_advice import Aims

    return Aims(lead)


def test_another_coil_forgets_the_wire_of_the_old_one(client: Any) -> None:
    """Where another coil is advised its rate is handed over, and what was known of the old wire goes."""
    question = {"fork": draft(FORK), "shock": draft(COIL), **WHO, "sag_lead_percent": 15.0}
    edits = asked(client, "/api/balance/advice", **question)["edits"]
    assert edits["coil_spring.rate"]["origin"] == "assumed"
    assert edits["coil_spring.wire_diameter"] is None
    taken = draft(COIL)
    taken["edits"] = edits
    again = asked(client, "/api/fork", fork=taken, **WHO)
    assert again["coil"].keys() == {"rate_N_m", "preload_m"}
    assert again["coil"]["rate_N_m"] == parse(edits["coil_spring.rate"]["value"], "stiffness").si
    assert again["wheel_sag"]["wheel_sag_m"] > 0.055


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"gradient": 3.0}, "gradient"),
        ({"speed_change_m_s2": -40.0}, "speed_change"),
        ({"rider_shift_m": 2.0}, "rider_shift"),
        ({"tyre_pressure": "soft"}, "tyre pressure"),
        ({"tyre_pressure": "900 psi"}, "out of range"),
        ({"shock": draft(FORK)}, "this is no shock"),
        ({"fork": draft(AIR)}, "this is no fork"),
    ],
)
def test_nonsense_is_refused_in_words(client: Any, change: dict[str, Any], words: str) -> None:
    """What nobody can hold or fit is told, not computed."""
    question = {"fork": draft(FORK), "shock": draft(AIR), **WHO} | change
    assert words in refused(client, "/api/balance", **question)["error"]


def test_a_wheel_that_would_lift_is_told(client: Any) -> None:
    """Braking beyond what the wheelbase holds gives no travel, and says which wheel lifts."""
    question = {"fork": draft(FORK), "shock": draft(AIR), **WHO, "speed_change_m_s2": -11.0}
    found = asked(client, "/api/balance", **question)
    assert found["held"]["lifts"] == "rear"
    assert found["drawing"] is None
    assert any("would lift" in words for words in found["sentences"])


def test_the_way_along_a_trail_is_shown_in_metres() -> None:
    """Distances have a unit of their own, not that of a measured part."""
    assert unit_table()["distance"] == [{"symbol": "m", "factor": 1.0, "offset": 0.0, "decimals": 1}]
