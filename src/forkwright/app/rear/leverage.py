"""The leverage curve for the pages: read from a table, checked, and drawn through its points."""

from __future__ import annotations

from typing import Any

import numpy as np

from forkwright.bench.rear_linkage import linkage_of
from forkwright.hardware import Bike
from forkwright.hardware.leverage import Leverage

_POINTS = 161


def points_as_written(leverage: Leverage) -> list[dict[str, str]]:
    """Return the points as a bike's file writes them."""
    return [
        {
            "wheel": _written(point.wheel.si, point.wheel.text),
            "stroke": _written(point.stroke.si, point.stroke.text),
        }
        for point in leverage.points
    ]


def leverage_answer(bike: Bike) -> dict[str, Any]:
    """Return a bike's points, and the curve the benches use through them; no curve without points."""
    if bike.leverage is None:
        return {"points": [], "smoothing": None, "curve": None}
    linkage = linkage_of(bike)
    wheel = np.linspace(0.0, linkage.full_wheel, _POINTS)
    points = bike.leverage.points
    smoothing = bike.leverage.smoothing
    return {
        "points": points_as_written(bike.leverage),
        "smoothing": _written(smoothing.si, smoothing.text) if smoothing is not None else None,
        "curve": {
            "wheel_travel_m": wheel,
            "stroke_m": linkage.stroke_at(wheel),
            "leverage_ratio": linkage.ratio(wheel),
            "method": linkage.method,
            "measured_wheel_m": [point.wheel.si for point in points],
            "measured_stroke_m": [point.stroke.si for point in points],
        },
    }


def _written(si: float, text: str) -> str:
    return text or f"{1e3 * si:.2f} mm"
