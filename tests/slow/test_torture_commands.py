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
import tomlkit
from tests.short_course import SHORT

pytestmark = pytest.mark.slow

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
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
GONE = None


def _valves(shims: list[Any], *names: str) -> dict[str, Any]:
    return {f"damper.{name}.shims": shims for name in names or ("base_valve", "rebound_valve", "mid_valve")}


def _oil(at_40: float, at_100: float) -> dict[str, Any]:
    points = [("40 °C", at_40), ("100 °C", at_100)]
    return {"damper.oil.points": [{"temperature": t, "viscosity": f"{nu} cSt"} for t, nu in points]}


def _taper(count: int, largest: float, smallest: float) -> list[str]:
    return [f"{largest - (largest - smallest) * i / count:.4f} x 0.05 mm" for i in range(count)]


# What is changed on a demonstration file; None takes a key out.
CASES: dict[str, tuple[str, dict[str, Any]]] = {
    "one millimetre of travel": (
        "dunlin-160",
        {
            "travel": "1 mm", "air_spring.transfer": "0.05 mm", "air_spring.positive_volume": "2 ml",
            "air_spring.negative_volume": "0.3 ml", "air_spring.spacers": GONE, "setting.spacers": GONE,
            "bumpers.bottom_out.length": "0.3 mm",
        },
    ),
    "four hundred millimetres of travel": (
        "dunlin-160",
        {
            "travel": "400 mm", "air_spring.positive_volume": "520 ml", "lower_legs.air_volume": "720 ml",
            "chassis.axle_to_crown": "900 mm", "damper.compression_volume": "200 ml",
            "damper.reservoir.stroke": "120 mm", "damper.reservoir.rate": "1 N/mm",
        },
    ),
    "tiny chambers": (
        "dunlin-160",
        {
            "travel": "5 mm", "air_spring.bore": "5 mm", "air_spring.shaft": "1 mm",
            "air_spring.positive_volume": "0.2 ml", "air_spring.negative_volume": "0.05 ml",
            "air_spring.transfer": "0.2 mm", "air_spring.spacers": GONE, "setting.spacers": GONE,
            "lower_legs.air_volume": "5 ml", "bumpers.bottom_out.length": "1 mm",
        },
    ),
    "huge chambers": (
        "dunlin-160",
        {
            "air_spring.positive_volume": "10000 ml", "air_spring.negative_volume": "10000 ml",
            "lower_legs.air_volume": "5000 ml",
        },
    ),
    "chambers almost used up": ("dunlin-160", {"air_spring.positive_volume": "145 ml"}),
    "no friction anywhere": (
        "dunlin-160",
        {
            "air_spring.seal_friction": "0 N", "chassis.bushing_friction": "0", "damper.seal_friction": "0 N",
            "damper.reservoir.friction": "0 N",
        },
    ),
    "friction beyond every load": ("dunlin-160", {"air_spring.seal_friction": "1000 N"}),
    "no damper": (
        "dunlin-160",
        {"damper": GONE, "setting.low_speed": GONE, "setting.high_speed": GONE, "setting.rebound": GONE},
    ),
    "almost no oil": (
        "dunlin-160",
        {
            "damper.compression_volume": "0.5 ml", "damper.shaft_volume": "0.05 ml",
            "damper.reservoir_oil": "0.05 ml",
        },
    ),
    "oil as thin as petrol": ("dunlin-160", _oil(0.6, 0.5)),
    "oil as thick as honey": ("dunlin-160", _oil(5000.0, 300.0)),
    "one shim": ("dunlin-160", _valves(["21 x 0.1 mm"])),
    "sixty shims alike": ("dunlin-160", _valves([{"size": "21 x 0.1 mm", "count": 60}])),
    "thirty different shims": ("dunlin-160", _valves(_taper(30, 20.0, 10.6), "base_valve")),
    "shims like foil": ("dunlin-160", _valves([{"size": "21 x 0.01 mm", "count": 1}])),
    "shims like plates": ("dunlin-160", _valves([{"size": "21 x 5 mm", "count": 1}])),
    "no negative chamber": ("dunlin-160", {"air_spring.negative_volume": GONE, "air_spring.transfer": GONE}),
    "hardly a negative chamber": ("dunlin-160", {"air_spring.negative_volume": "0.05 ml"}),
    "no bumpers": ("dunlin-160", {"bumpers": GONE}),
    "no air in it": ("dunlin-160", {"setting.pressure": "0 psi"}),
    "a thousand psi": (
        "dunlin-160", {"air_spring.pressure_limit": "1000 psi", "setting.pressure": "1000 psi"},
    ),
    "tolerances as large as the values": (
        "dunlin-160",
        {
            "air_spring.bore": "32 ± 4 mm", "air_spring.positive_volume": "212 ± 60 ml",
            "air_spring.negative_volume": "46 ± 40 ml",
        },
    ),
    "a floating piston with no room": (
        "plover-160", {"air_spring.floating.stroke": "0.1 mm", "air_spring.floating.volume": "0.1 ml"},
    ),
    "a floating piston with all the room": (
        "plover-160", {"air_spring.floating.volume": "2000 ml", "air_spring.floating.stroke": "500 mm"},
    ),
    "clicks all closed": (
        "dunlin-160", {"setting.low_speed": 0, "setting.high_speed": 0, "setting.rebound": 0},
    ),
}  # fmt: skip
REFUSED = {
    "almost no oil": "the piston would empty the compression chamber before full travel",
    "no negative chamber": "air_spring.negative_volume: missing key",
}
Cli = Callable[..., tuple[int, str, str]]


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
    sags = [came[f"sag {load} N"] for load in LOADS]
    for less, more in itertools.pairwise(sag for sag in sags if sag is not None):
        assert more["sag_m"] >= less["sag_m"]
    answered = sum(found is not None for found in came.values())
    print(f"{case}: {answered} of {len(came)} commands answered, the others refused in words")
    assert answered >= len(came) // 2


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
@_command("match", "match", "dunlin-160.toml", "UNIT", "--json")
@_command("hose", "hose", "UNIT", "--json")
@_command("chassis", "chassis", "UNIT", "--json")
@_command(
    "balance", "balance", "UNIT", "linnet-65.toml", "--rider", "rider.toml", "--bike", "bike.toml", "--json"
)
def _anything(found: dict[str, Any]) -> None:
    assert found


@_command("uncertainty", "uncertainty", "UNIT", "--load", "300 N", "--samples", "128", "--json")
def _uncertainty(found: dict[str, Any]) -> None:
    for low, high in _pairs(found, "low", "high"):
        assert np.all(np.asarray(low) <= np.asarray(high) + 1e-12)


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


def _asked(cli: Cli, bench: Path, unit: Path, command: str) -> dict[str, Any] | None:
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
        assert err.strip().startswith("forkwright: "), f"{command}: {err}"
        return None
    assert status == 0, f"{command}: {status} {err}"
    found: dict[str, Any] = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} from {command}"))
    try:
        judge(found)
    except AssertionError as fault:
        fault.add_note(f"forkwright {command}: {str(found)[:600]}")
        raise
    return found


def _pairs(found: Any, low: str, high: str) -> list[tuple[Any, Any]]:
    """Return every low and high that stand side by side anywhere in an answer."""
    if isinstance(found, list):
        return [pair for inner in found for pair in _pairs(inner, low, high)]
    if not isinstance(found, dict):
        return []
    here = [
        (found[key], found[key.replace(low, high)])
        for key in found
        if low in key and key.replace(low, high) in found
    ]
    return here + [pair for inner in found.values() for pair in _pairs(inner, low, high)]


def changed(path: Path, changes: dict[str, Any]) -> str:
    """Return a file's text with some keys changed or taken out."""
    document: Any = tomlkit.parse(path.read_text("utf-8"))
    for dotted, value in changes.items():
        *way, key = dotted.split(".")
        table = document
        for part in way:
            table = table[part]
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value
    return tomlkit.dumps(document)


@pytest.mark.parametrize(
    "shims",
    [["19 x 0.15 mm"], ["19 x 0.15 mm"] * 60, _taper(58, 19.0, 8.4), ["19 x 0.01 mm"], ["19 x 5 mm"]],
    ids=["one", "sixty alike", "sixty different", "foil", "plate"],
)  # fmt: skip
@pytest.mark.parametrize("more", [[], ["--stiffening"]], ids=["linear", "stretching"])
def test_stacks_of_one_and_sixty(shims: list[str], more: list[str], tmp_path: Path, cli: Cli) -> None:
    """Lift rises with pressure, stress is never below nothing; or the stack is refused in words."""
    path = tmp_path / "stack.toml"
    path.write_text(STACK.format(shims=", ".join(f'"{shim}"' for shim in shims)), "utf-8")
    status, out, err = cli("shims", path, "--pressures", "0 bar, 0.1 bar, 1 bar, 20 bar", "--json", *more)
    if status == 2:
        assert err.startswith("forkwright: ")
        return
    found = json.loads(out, parse_constant=pytest.fail)
    assert np.all(np.diff(found["opening_m"]) > 0.0)
    assert np.all(np.array(found["stress_Pa"]) >= 0.0)


def test_a_damper_with_sixty_different_shims(tmp_path: Path, cli: Cli) -> None:
    """A valve of nearly sixty different shims is slow to solve, not wrong: stiffer than its first thirty."""
    forces = []
    for count in (30, 58):
        shims = _taper(58, 20.0, 10.6)[:count]
        (tmp_path / "unit.toml").write_text(
            changed(DEMO / "dunlin-160.toml", _valves(shims, "base_valve")), "utf-8"
        )
        status, out, err = cli("damper", tmp_path / "unit.toml", "--speeds", "1", "--json")
        assert status == 0, err
        forces.append(json.loads(out, parse_constant=pytest.fail)["force_N"][0])
    assert forces[1] >= forces[0]
