"""Units at the far ends of what a file may say, through every computing command: sane answers, or words."""

from __future__ import annotations

import itertools
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.command_line import Cli
from tests.far_units import CASES, DEMO, REFUSED, SOME_REFUSED, changed, taper, valves
from tests.short_course import SHORT

pytestmark = pytest.mark.slow

STACK = """format = 1
name = "far out"
bore = "4 mm"
clamp = "8 mm"
seat = "18 mm"
load = {{ inner = "10 mm", outer = "17 mm" }}
shims = [{shims}]
youngs_modulus = "206 GPa"
poisson = "0.3"
"""


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    for name in ("dunlin-160", "linnet-65", "rider", "bike"):
        (tmp_path / f"{name}.toml").write_text((DEMO / f"{name}.toml").read_text("utf-8"), "utf-8")
    (tmp_path / "short.toml").write_text(SHORT, "utf-8")
    return tmp_path


@pytest.mark.parametrize("case", CASES)
def test_every_command_answers_sanely_or_in_words(case: str, bench: Path, cli: Cli) -> None:
    """No traceback, no NaN; forces rise with travel and speed, sag with the load, bands hold their middle."""
    name, changes = CASES[case]
    unit = bench / "unit.toml"
    unit.write_text(changed(DEMO / f"{name}.toml", changes), "utf-8")
    status, _, err = cli("check", unit)
    if case in REFUSED:
        assert status == 2
        assert REFUSED[case] in err
        return
    assert status == 0, err
    came = {command: _asked(cli, bench, unit, command) for command in COMMANDS}
    refused = {command: told for command, told in came.items() if isinstance(told, str)}
    expected = SOME_REFUSED.get(case, {})
    assert refused.keys() == expected.keys(), refused
    assert all(words in refused[command] for command, words in expected.items()), refused
    sags = [came[f"sag {load} N"] for load in LOADS]
    for less, more in itertools.pairwise(sag for sag in sags if not isinstance(sag, str)):
        assert more["sag_m"] >= less["sag_m"]


LOADS = (0, 1, 300, 100_000)
COMMANDS: dict[str, tuple[list[str], Callable[[dict[str, Any]], None]]] = {}


def _command(name: str, *arguments: str) -> Callable[[Callable[[dict[str, Any]], None]], Callable[..., None]]:
    def keep(judge: Callable[[dict[str, Any]], None]) -> Callable[[dict[str, Any]], None]:
        COMMANDS[name] = (list(arguments), judge)
        return judge

    return keep


@_command("spring 1", "spring", "UNIT", "--json")
@_command("spring 1.4", "spring", "UNIT", "--exponent", "1.4", "--json")
def _spring(found: dict[str, Any]) -> None:
    force = np.array(found["force_N"])
    assert np.all(np.diff(force) >= -1e-9 * np.abs(force).max()), "less force further in"
    assert np.all(np.array(found["positive_Pa"]) > 0.0)
    assert np.all(np.array(found["friction_N"]) >= 0.0)


def _sag(found: dict[str, Any]) -> None:
    assert 0.0 <= found["sag_low_m"] <= found["sag_m"] <= found["sag_high_m"]


for _load in LOADS:
    _command(f"sag {_load} N", "sag", "UNIT", "--load", f"{_load} N", "--json")(_sag)


@_command("damper", "damper", "UNIT", "--speeds=-5,-1,-0.01,0,0.01,1,5", "--json")
def _damper(found: dict[str, Any]) -> None:
    force = np.array(found["force_N"])
    assert np.all(np.diff(force) >= -1e-6 * np.abs(force).max()), "less force at more speed"
    assert force[0] <= 0.0 <= force[-1]


@_command("dyno sine", "dyno", "UNIT", "--amplitude", "0.3 mm", "--duration", "2 s", "--json")
@_command("dyno step", "dyno", "UNIT", "--test", "step", "--stroke", "0.6 mm", "--speed", "0.3 m/s", "--json")
def _dyno(found: dict[str, Any]) -> None:
    energy = [value for key, values in found.items() if "energy" in key for value in np.ravel(values)]
    assert all(value >= -1e-9 for value in energy), "a damper that gives energy"


@_command("compare", "compare", "UNIT", "dunlin-160.toml", "--rider", "rider.toml", "--bike", "bike.toml",
          "--draws", "200", "--json")  # fmt: skip
def _compare(found: dict[str, Any]) -> None:
    assert _bands_hold(found) > 10
    for side in (found["a"], found["b"]):
        _sag(side["sag"])
        _spring(side["spring"])
    assert 0.0 <= found["nearest"]["rms_N"] <= abs(found["nearest"]["worst_N"]) * (1 + 1e-9)


@_command("match", "match", "dunlin-160.toml", "UNIT", "--json")
def _match(found: dict[str, Any]) -> None:
    said = any(note.startswith("no bands: ") for note in found["warnings"])
    assert (_bands_hold(found) > 0) != said, "bands, or why there are none"
    assert 0.0 <= found["spring"]["rms_N"] <= abs(found["spring"]["worst_N"]) * (1 + 1e-9)
    if found["damping"] is not None:
        assert found["damping"]["rms_N"] <= found["damping"]["rms_before_N"] * (1 + 1e-9), (
            "it was nearer before"
        )


@_command("hose", "hose", "UNIT", "--json")
def _hose(found: dict[str, Any]) -> None:
    assert found["chambers"]
    for chamber in found["chambers"]:
        room = chamber["volume_m3"] / (chamber["volume_m3"] + found["hose_volume_m3"])
        assert chamber["after_gauge_Pa"] == pytest.approx(chamber["before_gauge_Pa"] * room, abs=1e-3)


@_command("chassis", "chassis", "UNIT", "--json")
def _chassis(found: dict[str, Any]) -> None:
    lists = [
        values for values in found.values() if isinstance(values, list) and values is not found["warnings"]
    ]
    assert {len(values) for values in lists} == {len(found["travel_m"])}
    assert np.all(np.diff(found["crown_to_upper_m"]) < 0.0)
    assert np.all(np.array(found["axle_stiffness_N_m"]) > 0.0)
    assert np.all(np.array(found["lower_bushings_N"]) >= np.array(found["upper_bushings_N"]))
    assert np.all(np.array(found["friction_N"]) >= 0.0)


@_command(
    "balance", "balance", "UNIT", "linnet-65.toml", "--rider", "rider.toml", "--bike", "bike.toml", "--json"
)
def _balance(found: dict[str, Any]) -> None:
    for end in (found["front"], found["rear"]):
        _sag(end)
        assert 0.0 <= end["sag_share"] <= 1.0
        assert end["carried_mass_kg"] > 0.0
    masses = found["front"]["carried_mass_kg"] + found["rear"]["carried_mass_kg"]
    assert masses == pytest.approx(found["layout"]["sprung_mass_kg"])
    assert all(mode["frequency_Hz"] > 0.0 for mode in found["modes"])


@_command("uncertainty", "uncertainty", "UNIT", "--load", "300 N", "--samples", "128", "--json")
def _uncertainty(found: dict[str, Any]) -> None:
    assert _bands_hold(found) == len(found["answers"]) > 0
    for told in found["answers"]:
        assert told["low"] <= told["middle"] <= told["high"]
        assert told["band_width_without"] >= 0.0


@_command(
    "ride", "ride", "UNIT", "--course", "short.toml", "--rider", "rider.toml", "--bike", "bike.toml", "--json"
)
def _ride(found: dict[str, Any]) -> None:
    scores = found.get("scores", found)
    assert 0.0 <= scores["contact_lost_share"] <= 1.0
    assert scores["damper_heat_J"] >= -1e-6
    assert scores["friction_heat_J"] >= -1e-6
    assert sum(scores["travel_share"]) == pytest.approx(1.0, abs=1e-6)


@_command(
    "stages", "stages", "UNIT", "--stage", "Low=short.toml", "--stage", "High=short.toml@1500 m",
    "--rider", "rider.toml", "--bike", "bike.toml", "--draws", "0", "--workers", "1", "--json",
)  # fmt: skip
def _stages(found: dict[str, Any]) -> None:
    ridden = found["stages"]
    for name in found["fixed"]:
        held = {json.dumps(_set(stage["setting"], name)) for stage in ridden}
        assert len(held) == 1, f"{name} is fixed for the day and changes between stages"
    for aims in (case for stage in ridden for case in stage["by_case"]):
        assert 0.0 <= aims["deepest_travel_share"] <= found["deepest_allowed_share"] + 1e-9
        assert aims["regret"] >= -1e-9, "another setting would have been dearer, not cheaper"
    if found["one_for_all"] is not None:
        saved = sum(stage["one_for_all_cost"] - stage["cost"] for stage in ridden)
        assert found["gain"] == pytest.approx(saved, abs=1e-9)
        assert found["gain"] >= -1e-9, "settings of their own dearer than one for all"


def _set(setting: dict[str, Any], name: str) -> Any:
    """Return what a setting holds under an adjuster's name, whatever unit ends the key."""
    return [value for key, value in setting.items() if key.startswith(name)]


def _asked(cli: Cli, bench: Path, unit: Path, command: str) -> dict[str, Any] | str:
    """Return a command's answer once it was judged, or the words in which it was refused."""
    arguments, judge = COMMANDS[command]
    placed = [
        unit if word == "UNIT" else re.sub(r"[\w-]+\.toml", lambda name: str(bench / name[0]), word)
        for word in arguments
    ]
    try:
        status, out, err = cli(*placed)
    except Exception as fault:
        fault.add_note(f"forkwright {command}")
        raise
    if status == 2:
        assert out == ""
        assert err.startswith("forkwright: "), f"{command}: {err}"
        assert err.count("\n") == 1, f"{command}: {err}"
        return err
    assert status == 0, f"{command}: {status} {err}"
    found: dict[str, Any] = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} from {command}"))
    try:
        judge(found)
    except AssertionError as fault:
        fault.add_note(f"forkwright {command}: {str(found)[:600]}")
        raise
    return found


def _bands_hold(found: Any) -> int:
    """Hold every low in an answer that has its high beside it below that; return how many there are."""
    if isinstance(found, list):
        return sum(map(_bands_hold, found))
    if not isinstance(found, dict):
        return 0
    count = sum(map(_bands_hold, found.values()))
    for key in found:
        high = key.replace("low", "high")
        if high in found and high != key and key != "low_speed" and found[key] is not None:
            upper = np.asarray(found[high])
            assert np.all(np.asarray(found[key]) <= upper + 1e-9 * np.abs(upper)), f"{key} above {high}"
            count += 1
    return count


@pytest.mark.parametrize(
    "shims",
    [["19 x 0.15 mm"], ["19 x 0.15 mm"] * 60, taper(58, 19.0, 8.4), ["19 x 0.01 mm"], ["19 x 5 mm"]],
    ids=["one", "sixty alike", "fifty-eight different", "foil", "plate"],
)  # fmt: skip
@pytest.mark.parametrize("more", [[], ["--stiffening"]], ids=["linear", "stretching"])
def test_stacks_of_one_and_sixty(shims: list[str], more: list[str], tmp_path: Path, cli: Cli) -> None:
    """Lift rises with pressure from nothing on, and so does the stress; no such stack is refused."""
    path = tmp_path / "stack.toml"
    path.write_text(STACK.format(shims=", ".join(f'"{shim}"' for shim in shims)), "utf-8")
    status, out, err = cli("shims", path, "--pressures", "0 bar, 0.1 bar, 1 bar, 20 bar", "--json", *more)
    assert status == 0, err
    found = json.loads(out, parse_constant=pytest.fail)
    assert found["opening_m"][0] == found["stress_Pa"][0] == 0.0
    assert np.all(np.diff(found["opening_m"]) > 0.0)
    assert np.all(np.diff(found["stress_Pa"]) > 0.0)


def test_a_damper_with_sixty_different_shims(tmp_path: Path, cli: Cli) -> None:
    """A valve of nearly sixty different shims is slow to solve, not wrong: stiffer than its first thirty."""
    forces = []
    for count in (30, 58):
        shims = taper(58, 20.0, 10.6)[:count]
        (tmp_path / "unit.toml").write_text(
            changed(DEMO / "dunlin-160.toml", valves(shims, "base_valve")), "utf-8"
        )
        status, out, err = cli("damper", tmp_path / "unit.toml", "--speeds", "1", "--json")
        assert status == 0, err
        forces.append(json.loads(out, parse_constant=pytest.fail)["force_N"][0])
    assert forces[1] > forces[0] * 1.001
