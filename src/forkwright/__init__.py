"""forkwright: a workbench for the mountain-bike suspension technician.

The Python face: the same calls as the commands. Names are loaded when first used, so that importing the
package costs nothing.
"""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Any

# name: (module, attribute)
_FACE = {
    "load": ("forkwright.hardware", "load"),
    "save": ("forkwright.hardware", "save"),
    "Setting": ("forkwright.hardware", "Setting"),
    "InputError": ("forkwright.units", "InputError"),
    "Unphysical": ("forkwright.physics", "Unphysical"),
    "Conditions": ("forkwright.bench", "Conditions"),
    "spring_curve": ("forkwright.bench.spring", "spring_curve"),
    "damping_curve": ("forkwright.bench.damping", "damping_curve"),
    "sag": ("forkwright.bench.sag", "sag"),
    "compare": ("forkwright.tune.compare", "compare"),
    "match": ("forkwright.tune.match", "match"),
    "recommend": ("forkwright.tune.recommend", "recommend"),
    "Stage": ("forkwright.tune.stage_days", "Stage"),
    "stages": ("forkwright.tune.stages", "stages"),
    "uncertainty": ("forkwright.tune.uncertainty", "uncertainty"),
    "simulate": ("forkwright.ride.simulate", "simulate"),
    "load_course": ("forkwright.ride.course_file", "load_course"),
    "RideOptions": ("forkwright.ride.options", "RideOptions"),
    "sweep": ("forkwright.ride.sweep", "sweep"),
    "load_leverage": ("forkwright.hardware.leverage_table", "load_leverage"),
    "wheel_curve": ("forkwright.bench.rear_spring", "wheel_curve"),
    "wheel_sag": ("forkwright.bench.rear_sag", "wheel_sag"),
    "wheel_damping": ("forkwright.bench.rear_damping", "wheel_damping"),
    "PitchOptions": ("forkwright.ride.pitch_options", "PitchOptions"),
    "Stance": ("forkwright.ride.attitude", "Stance"),
    "simulate_both": ("forkwright.ride.pitch", "simulate_pitch"),
    "balance": ("forkwright.tune.balance", "balance"),
    "balance_advice": ("forkwright.tune.balance_advice", "advise"),
    "import_recording": ("forkwright.evidence.importing", "import_recording"),
    "load_mapping": ("forkwright.evidence.mapping_files", "load_mapping"),
    "trace_of": ("forkwright.evidence.trace_reading", "trace_of"),
    "fit_unit": ("forkwright.evidence.unit_fit", "fit_unit"),
    "write_fitted": ("forkwright.evidence.write_back", "write_fitted"),
    "read_ride": ("forkwright.evidence.ride_log", "read_ride"),
    "compare_runs": ("forkwright.evidence.compare_runs", "compare_runs"),
    "course_shares": ("forkwright.evidence.course_shares", "course_shares"),
    "leak_rate": ("forkwright.evidence.leakdown", "leak_rate"),
}


def demo_file(name: str) -> Path:
    """Return the path of a demonstration file that ships with the package, for example "dunlin-160"."""
    return Path(__file__).parent / "demo" / f"{name}.toml"


def __getattr__(name: str) -> Any:
    """Load one name of the Python face when it is first used."""
    if name not in _FACE:
        raise AttributeError(f"forkwright has no '{name}'")
    module, attribute = _FACE[name]
    found = getattr(importlib.import_module(module), attribute)
    importlib.import_module("forkwright.display").attach(name)
    return found


def __dir__() -> list[str]:
    return sorted([*_FACE, "demo_file"])
