"""Units at the far ends of what a file may say, made from the demonstration files, and what refuses them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

DEMO = Path(__file__).parents[1] / "src" / "forkwright" / "demo"
GONE = None


def valves(shims: list[Any], *names: str) -> dict[str, Any]:
    return {f"damper.{name}.shims": shims for name in names or ("base_valve", "rebound_valve", "mid_valve")}


def _oil(at_40: float, at_100: float) -> dict[str, Any]:
    points = [("40 °C", at_40), ("100 °C", at_100)]
    return {"damper.oil.points": [{"temperature": t, "viscosity": f"{nu} cSt"} for t, nu in points]}


def taper(count: int, largest: float, smallest: float) -> list[str]:
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
            "lower_legs.air_volume": "6 ml", "bumpers.bottom_out.length": "1 mm",
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
    "one shim": ("dunlin-160", valves(["21 x 0.1 mm"])),
    "sixty shims alike": ("dunlin-160", valves([{"size": "21 x 0.1 mm", "count": 60}])),
    "thirty different shims": ("dunlin-160", valves(taper(30, 20.0, 10.6), "base_valve")),
    "shims like foil": ("dunlin-160", valves([{"size": "21 x 0.01 mm", "count": 1}])),
    "shims like plates": ("dunlin-160", valves([{"size": "21 x 5 mm", "count": 1}])),
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
# The commands that cannot answer a case, and what they say; all others must answer.
SOME_REFUSED: dict[str, dict[str, str]] = {
    "one millimetre of travel": {"stages": "the biggest event needs 177% of the travel"},
    "tiny chambers": {"stages": "the pressure limit of 120.0 psi stops it"},
    "huge chambers": {"stages": "the pressure limit of 120.0 psi stops it"},
    "friction beyond every load": {"stages": "the pressure limit of 120.0 psi stops it"},
    "no damper": dict.fromkeys(("damper", "dyno sine", "dyno step"), "the unit has no damper"),
    "tolerances as large as the values": dict.fromkeys(
        ("compare", "uncertainty"), "the positive chamber would be compressed below zero volume"
    ),
}


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
