"""Shocks and both ends on the command line: keys, published schemas, bad input, exit status."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest
from tests.command_line import Cli, answered, refused

import forkwright as fw
from forkwright.hardware import Bike, read_text, to_text, updated_text
from forkwright.hardware.leverage import Leverage
from forkwright.hardware.leverage_table import leverage_from_csv, load_leverage
from forkwright.sheets import setup_card
from forkwright.sheets.setup_card import SetupCard, print_setup_card
from forkwright.sheets.typst_print import Printed
from forkwright.units import InputError

FORK, AIR, COIL, RIDER, BIKE = (
    fw.demo_file(name) for name in ("dunlin-160", "linnet-65", "pipit-65", "rider", "bike")
)
WHO = ("--rider", RIDER, "--bike", BIKE)


@pytest.mark.parametrize("path", [AIR, COIL])
def test_demonstration_shocks_round_trip(path: Path) -> None:
    """A shock's file reads, writes and reads back to the same; rewriting it unchanged changes nothing."""
    source = path.read_text("utf-8")
    thing = read_text(source)
    assert read_text(to_text(thing)) == thing
    assert updated_text(source, thing) == source


def test_the_table_and_the_bike_hold_the_same_leverage(demo_dir: Path) -> None:
    """The demonstration table is the demonstration bike's leverage."""
    bike = fw.load(BIKE)
    assert isinstance(bike, Bike)
    table, typed = load_leverage(demo_dir / "leverage.csv"), bike.leverage
    assert typed is not None
    for one, other in zip(table.points, typed.points, strict=True):
        assert (one.wheel.si, one.stroke.si) == pytest.approx((other.wheel.si, other.stroke.si))


@pytest.mark.parametrize(
    "text",
    [
        "0,0\n80,30\n160,65\n",
        "wheel [mm],stroke [mm]\n0,0\n80,30\n160,65\n",
        "\ufeffwheel (cm);stroke (cm)\n0;0\n8,0;3,0\n16;6,5\n",
        "wheel travel in\tstroke in\n0\t0\n3.149606\t1.181102\n6.299213\t2.559055\n\n",
    ],
)
def test_tables_of_leverage_are_read(text: str) -> None:
    """With and without names, in several units, with decimal commas, a byte-order mark and empty lines."""
    points = leverage_from_csv(text).points
    assert [point.wheel.si for point in points] == pytest.approx([0.0, 0.08, 0.16], abs=1e-6)
    assert [point.stroke.si for point in points] == pytest.approx([0.0, 0.03, 0.065], abs=1e-6)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("0,0\n80,30\n70,65\n", 3, "must both rise"),
        ("0,0\n80,30\n160,30\n", 3, "must both rise"),
        ("10,0\n80,30\n160,65\n", 1, "first point"),
        ("0\n80\n160\n", 1, "two columns"),
        ("0,0,1\n80,30,1\n160,65,1\n", 1, "two columns"),
        ("", None, "three points"),
        ("wheel,stroke\n", None, "three points"),
        ("0,0\n80,x\n160,65\n", 2, "expected a number"),
        ("0,0\n80,nan\n160,65\n", 2, "expected a number"),
        ("0,0\n80,1e999\n160,65\n", 2, "too large"),
        ("wheel [psi],stroke [mm]\n0,0\n80,30\n160,65\n", 1, "no unit of length"),
        ("0,0\n80,30\n9000,65\n", 3, "out of range"),
        ("0,0\n-80,30\n160,65\n", 2, "out of range"),
    ],
)
def test_bad_tables_of_leverage_name_line_and_fault(text: str, line: int | None, words: str) -> None:
    """Each damaged table ends in one message that names file and line."""
    with pytest.raises(InputError) as fault:
        leverage_from_csv(text, "table.csv")
    assert fault.value.file == "table.csv"
    assert fault.value.line == line
    assert words in str(fault.value)


@pytest.mark.parametrize(
    ("content", "words"), [(b"", "empty"), (b"\x00\xff\xfe\x01", "not text"), (None, "read")]
)
def test_files_that_are_no_table_are_refused(tmp_path: Path, content: bytes | None, words: str) -> None:
    """Empty, binary and missing files end in the file's own message."""
    path = tmp_path / "leverage.csv"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match=words):
        load_leverage(path)


def test_a_bike_whose_leverage_falls_is_refused_with_its_line(cli: Cli, tmp_path: Path) -> None:
    """`check` names the file, the line of the points, and what must rise."""
    path = tmp_path / "bike.toml"
    path.write_text(BIKE.read_text("utf-8").replace('stroke = "16.00 mm"', 'stroke = "9.00 mm"'), "utf-8")
    err = refused(cli, "check", path)
    lines = path.read_text("utf-8").splitlines()
    line = next(number for number, text in enumerate(lines, 1) if text.startswith("points"))
    assert "must both rise" in err
    assert f"{path}, line {line}: " in err


def test_a_leverage_that_cannot_be_smoothed_is_refused_when_it_is_read() -> None:
    """Too few points are told with key and line when the file is read, not by the first bench that asks."""
    source = BIKE.read_text("utf-8")
    smoothed = source.replace("[leverage] ", '[leverage]\nsmoothing = "20 mm" ', 1)
    assert isinstance(read_text(smoothed), Bike)
    head, points = smoothed.split("points = [", 1)
    few = "\n".join(points.splitlines()[:5])
    with pytest.raises(InputError, match="needs at least 5 points") as fault:
        read_text(f"{head}points = [{few}\n]\n", "bike.toml")
    assert fault.value.key == "leverage.smoothing"
    assert fault.value.line is not None


def test_too_few_points_in_a_bike_are_refused() -> None:
    """Two points make no curve."""
    with pytest.raises(ValueError, match="at least 3"):
        Leverage.model_validate({"points": [{"wheel": "0 mm", "stroke": "0 mm"}] * 2})


def test_spring_tells_the_wheel_and_keeps_its_own_keys(cli: Cli) -> None:
    """With --bike the wheel's values stand beside the unit's own, which stay as without it."""
    plain, wheel = answered(cli, "spring", AIR), answered(cli, "spring", AIR, "--bike", BIKE)
    for key in ("travel_m", "force_N", "positive_Pa", "negative_Pa", "friction_N", "rate_N_m"):
        assert plain[key] == wheel[key]
    assert len(wheel["wheel_force_N"]) == len(wheel["travel_m"])
    assert wheel["wheel_travel_m"][-1] == pytest.approx(0.165)
    assert any("gas pushes" in note for note in wheel["warnings"])
    assert answered(cli, "spring", COIL)["coil"]["rate_N_m"] == 70e3


def test_sag_takes_an_axial_load_a_wheel_load_or_a_rider(cli: Cli) -> None:
    """One of the three is needed; a rider and the same load at the wheel agree."""
    rider = answered(cli, "sag", AIR, *WHO)
    wheel = answered(cli, "sag", AIR, "--bike", BIKE, "--wheel-load", f"{rider['wheel_load_N']} N")
    assert wheel["wheel_sag_m"] == pytest.approx(rider["wheel_sag_m"])
    axial = answered(cli, "sag", AIR, "--bike", BIKE, "--load", "1200 N")
    assert axial["load_N"] == pytest.approx(1200.0)
    assert axial["leverage_ratio"] == pytest.approx(1200.0 / axial["wheel_load_N"])
    assert "wheel_sag_m" not in answered(cli, "sag", AIR, "--load", "1200 N")
    assert answered(cli, "sag", FORK, *WHO)["load_N"] == pytest.approx(333.0, abs=2.0)
    assert "give one load" in refused(cli, "sag", AIR)
    assert "give one load" in refused(cli, "sag", AIR, "--load", "1 N", *WHO)
    assert "no leverage curve" in refused(cli, "sag", AIR, "--rider", "80 kg")
    assert "--bike" in refused(cli, "sag", AIR, "--wheel-load", "500 N")


def test_damper_tells_the_wheel(cli: Cli) -> None:
    """Speeds grow by the leverage ratio, forces shrink by it; a fork has none."""
    found = answered(cli, "damper", AIR, "--bike", BIKE, "--speeds=-1,0.5")
    ratio = found["leverage_ratio"]
    assert found["wheel_speed_m_s"] == pytest.approx([-ratio, 0.5 * ratio])
    assert found["wheel_damping_N"] == pytest.approx([force / ratio for force in found["force_N"]])
    assert "only a shock" in refused(cli, "damper", FORK, "--bike", BIKE)


def test_compare_takes_two_shocks_and_no_mixture(cli: Cli) -> None:
    """The load reaches both through the leverage; a fork beside a shock is refused."""
    found = answered(cli, "compare", AIR, COIL, *WHO, "--draws", "100")
    alone = answered(cli, "sag", AIR, *WHO)
    assert found["wheel"][0]["wheel_sag_m"] == pytest.approx(alone["wheel_sag_m"])
    assert found["a"]["sag"]["sag_m"] == pytest.approx(alone["sag_m"], abs=1e-5)
    assert "a fork and a shock are not compared" in refused(cli, "compare", AIR, FORK, *WHO)


def test_match_carries_air_to_coil_and_says_what_stays(cli: Cli) -> None:
    """The nearest coil, its preload, and the air's rates that no coil has; and back to air."""
    found = answered(cli, "match", AIR, COIL)
    coil = found["coil"]
    assert 40e3 < coil["rate_N_m"] < 80e3
    start, _, end = coil["target_rates_N_m"]
    assert end > 1.5 * start
    assert any("no coil and no preload matches that" in said for said in found["sentences"])
    assert answered(cli, "match", COIL, AIR)["coil"] is None


def test_ride_takes_the_leverage_of_the_bike(cli: Cli) -> None:
    """A shock is ridden through its bike's leverage, and rests where `sag` says."""
    found = answered(cli, "ride", AIR, "--course", "heather-traverse", *WHO)
    assert found["static_sag_m"] == pytest.approx(answered(cli, "sag", AIR, *WHO)["sag_m"], abs=5e-4)
    err = refused(cli, "ride", AIR, "--course", "heather-traverse", "--rider", "80 kg")
    assert "give a bike whose file has it" in err


def test_balance_answers_in_its_published_form(cli: Cli) -> None:
    """Both ends, their modes, a ride of both and the advice; the other end can be changed instead."""
    found = answered(cli, "balance", FORK, AIR, *WHO, "--course", "heather-traverse")
    assert found["modes"][0]["frequency_Hz"] < found["modes"][1]["frequency_Hz"]
    assert found["advice"]["after"]["sag_lead"] == pytest.approx(0.04, abs=0.005)
    assert found["ride"]["rear"]["drift_m"] > 0.0
    assert any("left out" in said for said in found["sentences"])
    front = answered(cli, "balance", FORK, COIL, *WHO, "--change", "front")
    assert front["advice"]["end"] == "front"
    assert front["ride"] is None


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((AIR, FORK), "front end is a fork"),
        ((FORK, FORK), "rear end is a shock"),
        ((FORK, AIR, "--sag-lead", "90 %"), "sag_lead"),
        ((FORK, AIR, "--front-brake", "150 %"), "front_brake"),
        ((FORK, AIR, "--rider-shift", "2 m"), "rider_shift"),
        ((FORK, AIR, "--course", "nowhere"), "nowhere"),
    ],
)
def test_balance_refuses_what_makes_no_bike(cli: Cli, arguments: tuple[object, ...], words: str) -> None:
    """Units in the wrong place and options out of range end in one message."""
    assert words in refused(cli, "balance", *arguments, *WHO)


def test_balance_prints_a_table_and_its_caution(cli: Cli) -> None:
    """For the eye: both ends side by side, and the maker's manual last."""
    status, out, _ = cli("balance", FORK, COIL, *WHO)
    assert status == 0
    assert "Pipit 65" in out
    assert "maker's manual" in out


def test_uncertainty_takes_a_shocks_load_from_the_rider(cli: Cli) -> None:
    """Sag is that of `sag` under the same rider; a coil has no pressure; one load is wanted."""
    found = answered(cli, "uncertainty", COIL, *WHO, "--samples", "128")
    by_name = {one["name"]: one for one in found["answers"]}
    assert "end pressure" not in by_name
    rests = answered(cli, "sag", COIL, *WHO)
    assert by_name["sag"]["nominal"] == pytest.approx(rests["sag_m"], rel=1e-3)
    assert "give one load" in refused(cli, "uncertainty", COIL, *WHO, "--load", "900 N")
    assert "leverage" in refused(cli, "uncertainty", COIL, "--rider", RIDER)


@pytest.mark.parametrize("command", ["compare", "match"])
def test_a_fork_is_not_set_against_a_shock(cli: Cli, command: str) -> None:
    """Two units of different kinds are refused in one line, which says what was given and what may be."""
    more = WHO if command == "compare" else ()
    done = {"compare": "compared", "match": "matched"}[command]
    assert refused(cli, command, FORK, COIL, *more) == (
        f"forkwright: kind: a fork and a shock are not {done}; got 'fork, shock'; "
        "allowed: two forks or two shocks\n"
    )


def test_what_only_a_fork_has_is_refused_for_a_shock(cli: Cli) -> None:
    """The chassis' stiffness is asked of forks alone."""
    assert "only a fork has a chassis" in refused(cli, "chassis", AIR)


def test_balance_says_how_the_bike_stands(cli: Cli) -> None:
    """A slope, a brake and a shift are answered with both travels; too much of them is refused."""
    held = answered(cli, "balance", FORK, AIR, *WHO, "--gradient", "12 %", "--rider-shift", "-50 mm")["held"]
    assert held["gradient"] == pytest.approx(0.12)
    assert held["pitch_rad"] > 0.0
    assert answered(cli, "balance", FORK, AIR, *WHO)["held"] is None
    lifts = answered(cli, "balance", FORK, AIR, *WHO, "--speed-change", "-11 m/s2")["held"]
    assert (lifts["lifts"], lifts["front_wheel_travel_m"]) == ("rear", None)
    assert "gradient" in refused(cli, "balance", FORK, AIR, *WHO, "--gradient", "200 %")


def test_the_card_of_a_shock_says_its_own_sag(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A set-up card of a shock is printed with the sag that `sag` tells under its rider."""
    cards: list[SetupCard] = []

    def printed(card: SetupCard, paper: Literal["a5", "a4"] = "a5") -> Printed:
        cards.append(card)
        return print_setup_card(card, paper)

    monkeypatch.setattr(setup_card, "print_setup_card", printed)
    status, _, err = cli("sheet", "card", AIR, *WHO, "--out", tmp_path / "card.pdf")
    assert status == 0, err
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")
    told = " ".join(check.value for check in cards[0].checks)
    assert f"{answered(cli, 'sag', AIR, *WHO)['sag_m'] * 1e3:.1f} mm" in told
    assert "leverage" in refused(cli, "sheet", "card", AIR, "--rider", RIDER, "--out", tmp_path / "no.pdf")
    assert not (tmp_path / "no.pdf").exists()
