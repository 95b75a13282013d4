"""What was measured: bench traces, leak-downs and ride logs; and fitting the hardware to them.

Names are loaded when first used, so that reading a log does not pay for fitting. See docs/evidence.md.
"""

from __future__ import annotations

import importlib
from typing import Any

_HOMES = {
    "import_recording": "recording",
    "Recording": "recording",
    "read_table": "tables",
    "propose": "mapping",
    "load_mapping": "mapping_files",
    "save_mapping": "mapping_files",
    "read_mapping": "mapping_files",
    "mapping_text": "mapping_files",
    "friction_loop": "friction_loop",
    "spring_trace": "traces",
    "pressure_trace": "traces",
    "damping_trace": "traces",
    "fit_unit": "unit_fit",
    "fitted_unit": "write_back",
    "write_fitted": "write_back",
    "fit_curve": "fitting",
    "leak_rate": "leakdown",
    "which_path": "leak_path",
    "ingress": "leak_path",
    "read_leak_down": "leak_files",
    "ingress_from": "leak_files",
    "read_ride": "ride_log",
    "UsedRange": "ride_log",
    "compare_runs": "compare_runs",
    "overlay": "overlay",
    "spectrum": "spectra",
    "window_of": "windows",
    "course_shares": "course_shares",
}


def __getattr__(name: str) -> Any:
    """Load one of the room's calls when it is first used."""
    if name not in _HOMES:
        raise AttributeError(f"evidence has no '{name}'")
    return getattr(importlib.import_module(f"forkwright.evidence.{_HOMES[name]}"), name)
