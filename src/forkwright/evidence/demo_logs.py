"""Invented demonstration logs: made by our own bench and ride kernel, with sensor faults added on purpose.

``python -m forkwright.evidence.demo_logs FOLDER`` writes them. They show how files are read, no more.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from forkwright.evidence.leak_law import GAS_CONSTANT
from forkwright.evidence.traces import SpringTrace
from forkwright.hardware import Bike, Rider, Unit, load, load_unit, replaced
from forkwright.physics.constants import P0, T0, ZERO_CELSIUS

DECLARED = "Invented: made by forkwright's own bench or ride kernel, sensor faults added on purpose"
# What the invented fork really is, where its file's callipers were a little off.
TRUTH = {
    "air_spring.positive_volume": 214.3e-6,
    "air_spring.negative_volume": 44.4e-6,
    "air_spring.seal_friction": 15.5,
    "lower_legs.air_volume": 291e-6,
}
LEAK = 3.0e-9  # mol/s, from the negative chamber into the lower leg
RIDE_RATE = 125.0  # Hz
PSI = 6894.757293168361


def write_demo_logs(folder: Path) -> list[Path]:
    """Write every demonstration log into a folder and return their paths."""
    demo = Path(__file__).parents[1] / "demo"
    unit = load_unit(demo / "dunlin-160.toml")
    folder.mkdir(parents=True, exist_ok=True)
    texts = {
        "dunlin-slow-pull.csv": slow_pull(unit),
        "dunlin-leak-down.csv": leak_down(),
        "dunlin-lower-legs.csv": lower_legs(),
        "moor-ride-a.csv": ride_log(demo, unit, "85 psi", faults=True),
        "moor-ride-b.csv": ride_log(demo, unit, "76 psi", faults=False),
    }
    paths = []
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
        paths.append(folder / name)
    return paths


def slow_pull(unit: Unit) -> str:
    """A pull in both directions, twice: decimal commas, a row of units, a few spikes of the load cell."""
    rng = np.random.default_rng(160)
    time = np.arange(0, 80, 0.1)
    phase = 2 * np.pi * time / 40
    travel = 0.0765 * (1 - np.cos(phase))
    blank = SpringTrace("", travel, travel, np.sign(np.sin(phase)))
    force = blank.predict(replaced(unit, TRUTH)) + rng.normal(0, 4.0, time.size)
    force[[150, 333, 612]] += (180.0, -150.0, 210.0)
    lines = [DECLARED, "Zeit;Federweg;Kraft", "s;mm;N"]
    lines += [
        f"{t:.1f};{x * 1000:.2f};{f:.1f}".replace(".", ",")
        for t, x, f in zip(time, travel, force, strict=True)
    ]
    return "\n".join(lines) + "\n"


def leak_down() -> str:
    """A day and a night: the negative chamber leaks into the lower leg while the workshop warms and cools."""
    rng = np.random.default_rng(85)
    time = np.arange(0, 24.01, 0.5)
    temperature = T0 - 2.0 * np.sin(2 * np.pi * time / 24)
    lines = [
        DECLARED,
        "Time (h),Temperature (°C),Pressure (psi),Negative pressure (psi),Lower leg pressure (psi)",
    ]
    volumes, flows = (197e-6, 46e-6, 285e-6), (0.0, LEAK, -LEAK)
    starts = (85 * PSI + P0, 85 * PSI + P0, 1.0 * PSI + P0)
    columns = []
    for volume, flow, start in zip(volumes, flows, starts, strict=True):
        at_start = start - flow * GAS_CONSTANT * T0 / volume * time * 3600
        columns.append((at_start * temperature / T0 - P0) / PSI + rng.normal(0, 0.05, time.size))
    for row in zip(time, temperature - ZERO_CELSIUS, *columns, strict=True):
        lines.append(",".join(f"{x:.2f}" for x in row))
    return "\n".join(lines) + "\n"


def lower_legs() -> str:
    """Pressure in the lower leg after each ride until the ports are opened."""
    rng = np.random.default_rng(7)
    lines = [DECLARED, "Rides\tLower leg pressure (psi)\tTemperature (°C)"]
    lines += [f"{n}\t{0.35 * n + rng.normal(0, 0.08):.2f}\t20.0" for n in range(1, 11)]
    return "\n".join(lines) + "\n"


def ride_log(demo: Path, unit: Unit, pressure: str, *, faults: bool) -> str:
    """A ride over a demonstration course, logged by an invented sensor; with faults or without.

    Faults: a sensor that stops at 118 mm, a gap of half a second, a repeated sample, an unreadable one.
    """
    from forkwright.ride.course_file import load_course
    from forkwright.ride.simulate import simulate

    rider, bike = load(demo / "rider.toml"), load(demo / "bike.toml")
    assert isinstance(rider, Rider)
    assert isinstance(bike, Bike)
    course = load_course(demo / "courses" / "peat-hag-descent.toml")
    setting = unit.setting.changed(pressure=pressure)
    result = simulate(unit, course, setting=setting, rider=rider, bike=bike)
    time = np.arange(0, result.time[-1], 1 / RIDE_RATE)
    travel = np.interp(time, result.time, result.travel) * 1000
    speed = np.gradient(np.interp(time, result.time, result.distance), 1 / RIDE_RATE) * 3.6
    travel += np.random.default_rng(len(pressure)).normal(0, 0.15, time.size)
    if faults:
        travel = np.minimum(travel, 118.0)
    rows = [f"{t:.3f},{x:.2f},{v:.1f}" for t, x, v in zip(time, travel, speed, strict=True)]
    if faults:
        rows[900] = rows[900].split(",")[0] + ",ERR," + rows[900].split(",")[2]
        rows = [*rows[:400], rows[399], *rows[400:1500], *rows[1562:]]
    return "\n".join([DECLARED, "Time (s),Fork travel (mm),Wheel speed (km/h)", *rows]) + "\n"


if __name__ == "__main__":
    for path in write_demo_logs(Path(sys.argv[1])):
        print(path)
