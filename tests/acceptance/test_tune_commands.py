"""The questions a technician asks on the command line: match, recommend, stages, uncertainty."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from tests.command_line import Cli, answered, refused

COURSE = """
format = 1
kind = "course"
name = "Short rocks"
length = "14 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[roughness]]
from = "1 m"
to = "13 m"
class = "D"
longest_wave = "6 m"
seed = 4
[[event]]
kind = "square_edge"
at = "7 m"
height = "70 mm"
"""
DRAWER = """
format = 1
kind = "drawer"
shims = [
  { size = "19.0 x 0.200 mm", count = 2 },
  { size = "15.0 x 0.200 mm", count = 1 },
]
"""


@pytest.fixture
def course(tmp_path: Path) -> Path:
    place = tmp_path / "rocks.toml"
    place.write_text(COURSE, "utf-8")
    return place


@pytest.fixture
def who(demo_dir: Path) -> tuple[Any, ...]:
    return ("--rider", demo_dir / "rider.toml", "--bike", demo_dir / "bike.toml")


def test_match_carries_a_feel_over(cli: Cli, demo_dir: Path) -> None:
    """B's setting comes back with what remains, why, and what a step away costs."""
    found = answered(cli, "match", demo_dir / "dunlin-160.toml", demo_dir / "plover-160.toml")
    assert found["setting"]["pressure_gauge_Pa"] / 6894.757293168 == pytest.approx(
        round(found["setting"]["pressure_gauge_Pa"] / 6894.757293168)
    )
    assert found["spring"]["rms_N"] > 0.0
    assert found["damping"]["rms_N"] <= found["damping"]["rms_before_N"]
    assert any("negative chamber" in reason["words"] for reason in found["reasons"])
    assert {one["adjuster"] for one in found["neighbours"]} >= {"pressure", "floating", "rebound"}
    assert "Plover 160" in found["sentences"][0]
    bands = found["bands"]
    assert bands["draws"] > bands["damper_draws"] > 0
    assert len(bands["spring"]["remainder_low_N"]) == len(found["spring"]["travel_m"])
    assert bands["damping"]["rms_low_N"] < bands["damping"]["rms_high_N"]
    assert any("off by their tolerances" in words for words in found["sentences"])
    alone = answered(cli, "match", demo_dir / "dunlin-160.toml", demo_dir / "plover-160.toml", "--draws", "0")
    assert alone["bands"] is None
    assert alone["setting"] == found["setting"]


def test_match_of_a_unit_with_itself_after_a_service(cli: Cli, demo_dir: Path, tmp_path: Path) -> None:
    """The same fork with more oil in the lowers gets a setting near the old one, and the part is named."""
    before = demo_dir / "dunlin-160.toml"
    after = tmp_path / "after.toml"
    after.write_text(before.read_text("utf-8").replace('"285 ± 8 ml"', '"255 ± 8 ml"'), "utf-8")
    found = answered(cli, "match", before, after)
    assert abs(found["setting"]["pressure_gauge_Pa"] / 6894.757 - 85) < 8
    assert any(reason["part"] == "lower legs" for reason in found["reasons"])


def test_match_by_use_from_a_ride_a_log_or_stated(
    cli: Cli, demo_dir: Path, course: Path, who: tuple[Any, ...]
) -> None:
    """All three sources of use are taken, named in the answer, and weigh travel differently."""
    both = (demo_dir / "dunlin-160.toml", demo_dir / "plover-160.toml")
    ridden = answered(cli, "match", *both, "--course", course, *who)
    logged = answered(cli, "match", *both, "--log", demo_dir / "logs" / "moor-ride-a.csv", "--yes")
    stated = answered(cli, "match", *both, "--used-to", "80 mm", "--fastest", "0.5 m/s")
    assert "simulated ride" in ridden["use"]["words"]
    assert "moor-ride-a.csv" in logged["use"]["words"]
    assert "as stated" in stated["use"]["words"]
    assert max(stated["use"]["speed_m_s"]) == pytest.approx(0.5)
    assert ridden["use"]["travel_weight"] != logged["use"]["travel_weight"]


def test_match_proposes_stacks_from_the_drawer(cli: Cli, demo_dir: Path, tmp_path: Path) -> None:
    """With shims at hand, stacks for both stacked valves of B are proposed along with the setting."""
    drawer = tmp_path / "drawer.toml"
    drawer.write_text(DRAWER, "utf-8")
    found = answered(
        cli, "match", demo_dir / "plover-160.toml", demo_dir / "dunlin-160.toml", "--drawer", drawer
    )
    assert set(found["revalve"]) == {"base_valve", "rebound_valve"}
    for stacks in found["revalve"].values():
        assert stacks["searched"] > 0


@pytest.mark.slow
def test_match_restacks_what_is_in_the_valves(cli: Cli, demo_dir: Path) -> None:
    """Without a drawer, --revalve takes the shims that are in B, and no more of a size than there are."""
    found = answered(
        cli, "match", demo_dir / "dunlin-160.toml", demo_dir / "plover-160.toml", "--revalve", "--draws", "0"
    )
    at_hand: Counter[str] = Counter()
    for valve in tomllib.loads((demo_dir / "plover-160.toml").read_text("utf-8"))["damper"].values():
        for shim in valve.get("shims", ()) if isinstance(valve, dict) else ():
            size, count = (shim, 1) if isinstance(shim, str) else (shim["size"], shim.get("count", 1))
            at_hand[size] += count
    assert set(found["revalve"]) == {"base_valve", "rebound_valve"}
    for stacks in found["revalve"].values():
        assert stacks["proposals"][0]["error"] <= stacks["present"]["error"] + 1e-9
        for one in stacks["proposals"]:
            several = [re.fullmatch(r"(?:(\d+) of )?(.+)", shim) for shim in one["shims"]]
            taken: Counter[str] = Counter()
            for shim in several:
                assert shim is not None
                taken[shim[2]] += int(shim[1] or 1)
            assert taken <= at_hand, one["shims"]


def test_match_with_a_coil_of_another_rate(cli: Cli, demo_dir: Path) -> None:
    """For a coil shock the next coils and half a millimetre of preload are told, with what they leave."""
    found = answered(cli, "match", demo_dir / "linnet-65.toml", demo_dir / "pipit-65.toml")
    told = {one["adjuster"] for one in found["neighbours"]}
    assert {"rate", "preload", "rebound"} <= told
    beside = [one["rms_N"] for one in found["neighbours"] if one["adjuster"] in ("rate", "preload")]
    assert min(beside) >= found["coil"]["rms_N"]
    assert {"rate", "preload"} <= {one["adjuster"] for one in found["bands"]["adjusters"]}


def test_match_prints_for_the_eye(cli: Cli, demo_dir: Path) -> None:
    """Without --json a table and sentences are printed."""
    status, out, _ = cli("match", demo_dir / "dunlin-160.toml", demo_dir / "plover-160.toml")
    assert status == 0
    assert "comes nearest to Dunlin 160" in out
    assert "maker's manual" in out


@pytest.mark.parametrize(
    ("more", "word"),
    [
        (("--used-from", "90 mm", "--used-to", "20 mm"), "used travel"),
        (("--fastest", "0 m/s"), "fastest"),
        (("--course", "heather-traverse"), "--rider"),
        (("--course", "heather-traverse", "--fastest", "1 m/s"), "only one of them"),
        (("--drawer", "nowhere.toml"), "nowhere.toml"),
        (("--pump-step", "5 mm"), "--pump-step"),
    ],
)
def test_match_refuses_what_makes_no_sense(
    cli: Cli, demo_dir: Path, more: tuple[str, ...], word: str
) -> None:
    """Each wrong input is named."""
    assert word in refused(cli, "match", demo_dir / "dunlin-160.toml", demo_dir / "plover-160.toml", *more)


def test_recommend_says_what_to_set_and_why(
    cli: Cli, demo_dir: Path, course: Path, who: tuple[Any, ...]
) -> None:
    """A setting within every limit, a reason per adjuster, a trade-off, steps, an order of trail tests."""
    found = answered(
        cli, "recommend", demo_dir / "dunlin-160.toml", "--course", course, *who,
        "--wish", "more comfort", "--margin", "10 %", "--workers", "1", "--draws", "2",
    )  # fmt: skip
    best = found["best"]
    assert best["deepest_travel_share"] <= 0.9 + 1e-9
    assert best["setting"]["pressure_gauge_Pa"] <= 120 * 6894.76
    assert best["hard_bottom_outs"] == 0
    assert [a["name"] for a in found["adjusters"]] == [
        "pressure", "spacers", "low_speed", "high_speed", "rebound",
    ]  # fmt: skip
    assert all(a["reason"] for a in found["adjusters"])
    assert all(step["cost"] >= 0 for step in found["steps"] if step["allowed"])
    assert found["trade_off"]
    assert found["effort"]["rides"] > found["effort"]["settings"]
    assert found["bands"]["draws"] == 2
    for key, value in found["bands"]["low"].items():
        assert value <= found["bands"]["high"][key]
    assert [one["adjuster"] for one in found["bands"]["adjusters"]] == [a["name"] for a in found["adjusters"]]
    assert any("off by their tolerances" in words for words in found["sentences"])
    assert sorted(found["order"]) == sorted(a["name"] for a in found["adjusters"])


@pytest.mark.parametrize(
    ("more", "word"),
    [
        (("--wish", "more plush"), "more comfort"),
        (("--margin", "80 %"), "50%"),
        (("--margin", "lots"), "--margin"),
        (("--course", "nowhere"), "no such course"),
        (("--tyre-pressure", "2000 psi"), "--tyre-pressure"),
    ],
)
def test_recommend_refuses_wrong_input(
    cli: Cli, demo_dir: Path, course: Path, who: tuple[Any, ...], more: tuple[str, ...], word: str
) -> None:
    """An unknown wish, a margin or a course that makes no sense are named before anything is ridden."""
    arguments = ("recommend", demo_dir / "dunlin-160.toml", "--course", course, *who, "--workers", "1")
    assert word in refused(cli, *arguments, *more)


def test_recommend_without_a_course_is_refused(cli: Cli, demo_dir: Path) -> None:
    """No course, no recommendation."""
    assert "--course" in refused(cli, "recommend", demo_dir / "dunlin-160.toml", "--rider", "80 kg")


def test_recommend_names_the_part_that_stops_it(cli: Cli, demo_dir: Path, course: Path) -> None:
    """Too heavy a rider meets the pressure limit, and is told so."""
    fork = demo_dir / "dunlin-160.toml"
    told = refused(cli, "recommend", fork, "--course", course, "--rider", "220 kg", "--workers", "1")
    assert "pressure limit of 120.0 psi" in told


def test_stages_plan_a_race_and_print_its_card(
    cli: Cli, demo_dir: Path, course: Path, who: tuple[Any, ...], tmp_path: Path
) -> None:
    """One build, clicks per stage, what to turn before each, and the card for the top tube."""
    card = tmp_path / "card.pdf"
    found = answered(
        cli, "stages", demo_dir / "dunlin-160.toml", "--stage", f"One={course}@800 m",
        "--stage", f"Two={course}@300 m", *who, "--speed-spread", "0 %", "--expected", "12 °C",
        "--workers", "1", "--out", card, "--title", "Moor race", "--draws", "2",
    )  # fmt: skip
    assert found["fixed"] == ["pressure", "spacers"]
    assert found["between"] == ["low_speed", "high_speed", "rebound"]
    assert [stage["name"] for stage in found["stages"]] == ["One", "Two"]
    assert len({stage["setting"]["pressure_gauge_Pa"] for stage in found["stages"]}) == 1
    assert found["gain"] >= 0.0
    assert found["gain_band"]["low"] <= found["gain_band"]["high"]
    assert set(found["gain_band"]["holds_share"]) == {"One", "Two"}
    assert found["card"] == str(card)
    assert card.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("more", "word"),
    [
        (("--stage", "One=nowhere"), "no such course"),
        (("--stage", "=heather-traverse"), "no name"),
        (("--stage", "heather-traverse@up"), "--stage"),
        (("--stage", "A=heather-traverse", "--stage", "A=heather-traverse"), "same name"),
        (("--stage", "heather-traverse", "--speed-spread", "60 %"), "--speed-spread"),
        (("--stage", "heather-traverse", "--coldest", "40 °C"), "coldest"),
        (("--stage", "heather-traverse@9000 m"), "altitude"),
        (("--stage", "heather-traverse", "--out", "card.txt"), "--out"),
    ],
)
def test_stages_refuse_wrong_input(
    cli: Cli, demo_dir: Path, who: tuple[Any, ...], more: tuple[str, ...], word: str
) -> None:
    """Each wrong stage, spread, temperature or file is named before anything is ridden."""
    assert word in refused(cli, "stages", demo_dir / "dunlin-160.toml", *who, "--workers", "1", *more)


def test_uncertainty_names_what_to_measure_again(cli: Cli, demo_dir: Path) -> None:
    """Bands hold the nominal answer, shares are by measure in workshop words, and one is worth repeating."""
    found = answered(
        cli, "uncertainty", demo_dir / "dunlin-160.toml", "--load", "450 N", "--samples", "128",
        "--against", demo_dir / "plover-160.toml",
    )  # fmt: skip
    for answer in found["answers"]:
        assert answer["low"] < answer["nominal"] < answer["high"]
    words = found["answers"][0]["shares"]["air_spring.negative_volume"]["words"]
    assert words == "negative chamber volume"
    assert found["repeat_first"] in found["answers"][0]["shares"]
    assert found["verdict"]["beyond_both_share"] > 0.2


def test_uncertainty_of_a_unit_against_itself_finds_no_difference(cli: Cli, demo_dir: Path) -> None:
    """The same fork does not differ from itself."""
    fork = demo_dir / "dunlin-160.toml"
    found = answered(cli, "uncertainty", fork, "--load", "450 N", "--samples", "128", "--against", fork)
    assert found["verdict"]["beyond_tolerance_share"] == 0.0
    assert found["verdict"]["words"].startswith("Neither")
    assert found["damping_verdict"]["beyond_tolerance_share"] == 0.0


def test_uncertainty_tells_two_settings_of_one_unit_apart(cli: Cli, demo_dir: Path) -> None:
    """Options against the file's own setting: spring and damper each get their verdict."""
    fork = demo_dir / "dunlin-160.toml"
    found = answered(
        cli, "uncertainty", fork, "--load", "450 N", "--samples", "128", "--against", fork,
        "--pressure", "72 psi", "--low-speed", "0", "--rebound", "0",
    )  # fmt: skip
    assert found["verdict"]["beyond_both_share"] > 0.2
    assert found["damping_verdict"]["beyond_both_share"] > 0.0
    assert found["sentences"][-1] == found["damping_verdict"]["words"]


@pytest.mark.parametrize(
    ("more", "word"), [(("--load", "12 psi"), "--load"), (("--pressure", "300 psi"), "limit")]
)
def test_uncertainty_refuses_wrong_input(cli: Cli, demo_dir: Path, more: tuple[str, ...], word: str) -> None:
    """A load that is no force, and a pressure over the limit, are named."""
    arguments = ("uncertainty", demo_dir / "dunlin-160.toml", "--load", "450 N", "--samples", "128")
    assert word in refused(cli, *arguments, *more)
