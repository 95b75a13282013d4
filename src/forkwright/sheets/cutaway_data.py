"""What a page needs to move a cut-away drawing: positions and chamber pressures at samples of the travel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.sheets.geometry import Layout, Pose
from forkwright.sheets.paints import RAMP

MILLI = 1e3
#: Pressures of a spring curve that tint a chamber: its field, the chamber's role.
CHAMBERS: tuple[tuple[str, str], ...] = (
    ("positive", "positive"),
    ("negative", "negative"),
    ("secondary", "secondary"),
    ("lower_leg", "lower_leg"),
    ("lower_leg_damper", "lower_leg_damper"),
)


def chamber_samples(curve: Any, ambient: float) -> dict[str, NDArray[np.float64]]:
    """Return gauge pressures (Pa) along a spring curve's travel, by chamber role.

    Parameters
    ----------
    curve : SpringCurve
        With `travel` (m) and absolute chamber pressures (Pa); chambers it does not have, or that hold no
        gas, are left out.
    ambient : float
        Ambient pressure (Pa) the gauges read against.
    """
    found: dict[str, NDArray[np.float64]] = {}
    for name, role in CHAMBERS:
        values = getattr(curve, name, None)
        if values is None:
            continue
        array = np.asarray(values, dtype=np.float64)
        if array.shape == np.shape(curve.travel) and np.all(np.isfinite(array)) and np.any(array > 0.0):
            found[role] = array - ambient
    return found


def pressures_at(samples: dict[str, NDArray[np.float64]], travels: Any, travel: float) -> dict[str, float]:
    """Return the gauge pressures (Pa) at one travel (m), read between the samples."""
    grid = np.asarray(travels, dtype=np.float64)
    return {role: float(np.interp(travel, grid, values)) for role, values in samples.items()}


def floating_at(curve: Any, travel: float) -> float:
    """Return the floating piston's movement (mm) at a travel (m); 0 where there is none."""
    moved = getattr(curve, "floating", None)
    if moved is None or np.shape(moved) != np.shape(curve.travel):
        return 0.0
    return float(np.interp(travel, curve.travel, moved)) * MILLI


def motion_data(
    layout: Layout,
    curve: Any,
    ambient: float,
    full_scale: float,
    pressure_unit: tuple[str, float, int],
) -> dict[str, Any]:
    """Return what `assets/cutaway.js` needs to show this layout at any travel.

    Parameters
    ----------
    layout : Layout
        The drawing's parts.
    curve : SpringCurve
        Travel (m), absolute pressures (Pa), floating-piston movement (m).
    ambient : float
        Ambient pressure (Pa).
    full_scale : float
        Gauge pressure (Pa) at the dark end of the tint.
    pressure_unit : tuple of (str, float, int)
        The user's unit: symbol, Pa per unit, digits shown.

    Returns
    -------
    dict
        JSON-ready: lists of equal length `travel_mm`, `lowers`, `floating`, `reservoir` (mm, upwards) and
        `pressures` (gauge Pa by chamber), with the tint's scale and the unit.
    """
    travel = np.asarray(curve.travel, dtype=np.float64) * MILLI
    floating = np.array([floating_at(curve, place / MILLI) for place in travel])
    symbol, pascal, digits = pressure_unit
    return {
        "travel_mm": _listed(travel),
        "lowers": _listed(travel),
        "floating": _listed(floating),
        "reservoir": _listed(travel * layout.reservoir_ratio),
        "pressures": {
            role: [round(float(v), 1) for v in p] for role, p in chamber_samples(curve, ambient).items()
        },
        "full_scale": full_scale,
        "ramp": [[place, list(colour)] for place, colour in RAMP],
        "unit": {"symbol": symbol, "pascal": pascal, "digits": digits},
    }


def still_data(pose: Pose, pressures: Mapping[str, float], full_scale: float) -> dict[str, Any]:
    """Return what `assets/cutaway.js` needs to tint a drawing that stands still.

    Parameters
    ----------
    pose : Pose
        Where everything stands (mm).
    pressures : mapping of str to float
        Gauge pressure (Pa) by chamber role.
    full_scale : float
        Gauge pressure (Pa) at the dark end of the tint.

    Returns
    -------
    dict
        As `motion_data` gives, of one sample; pressures are written in Pa.
    """
    return {
        "travel_mm": [pose.lowers],
        "lowers": [pose.lowers],
        "floating": [pose.floating],
        "reservoir": [pose.reservoir],
        "pressures": {role: [round(value, 1)] for role, value in pressures.items()},
        "full_scale": full_scale,
        "ramp": [[place, list(colour)] for place, colour in RAMP],
        "unit": {"symbol": "Pa", "pascal": 1.0, "digits": 0},
    }


def _listed(values: NDArray[np.float64]) -> list[float]:
    return [round(float(value), 3) for value in values]
