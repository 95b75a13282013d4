"""The published shapes of the answers, for the API's own description; the bench makes the answers."""

from __future__ import annotations

from pydantic import BaseModel


class SpringAnswer(BaseModel):
    """A spring curve; lists of equal length, SI, pressures absolute."""

    travel_m: list[float]
    force_N: list[float]  # noqa: N815 - the unit is the key's ending
    rate_N_m: list[float]  # noqa: N815
    positive_Pa: list[float]  # noqa: N815
    negative_Pa: list[float]  # noqa: N815
    lower_leg_Pa: list[float]  # noqa: N815
    lower_leg_damper_Pa: list[float]  # noqa: N815
    floating_m: list[float]
    friction_N: list[float]  # noqa: N815
    exponent: float
    fingerprint: str
    warnings: list[str]


class SagAnswer(BaseModel):
    """Where the unit rests under an axial load, as a band; `rest_m` is the travel lost unloaded."""

    load_N: float  # noqa: N815
    sag_m: float
    sag_low_m: float
    sag_high_m: float
    rest_m: float
    friction_N: float  # noqa: N815
    fingerprint: str
    warnings: list[str]
