"""The published form of the four aims: a key for each, null where a ride was refused."""

from __future__ import annotations

import numpy as np

from forkwright.physics.values import Array

KEYS = ("tyre_load_variation", "hand_acceleration_m_s2", "riding_travel_share", "deepest_travel_share")
"""Keys of the aims in JSON, in the order of `aims.AIMS`."""


def aims_answer(aims: Array) -> dict[str, float | None]:
    """Return four aims by their keys."""
    return {key: finite_or_none(value) for key, value in zip(KEYS, aims, strict=True)}


def finite_or_none(value: float) -> float | None:
    """Return a number as it stands in JSON, which knows nothing endless."""
    return float(value) if np.isfinite(value) else None
