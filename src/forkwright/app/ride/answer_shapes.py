"""The published shapes of the Ride page's answers, for the API's own description."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, RootModel

from forkwright.app.answer_shapes import AdjusterAnswer, Shape
from forkwright.app.api.shapes import JobTaken

_RIDE = "What `forkwright ride --json` prints, from every step of the ride; docs/schemas/ride.json."


class RidableCourse(Shape):
    """What a course is like, as `forkwright course --json` prints it; SI."""

    course: str
    length_m: float
    duration_s: float
    rms_height_m: float
    roughness_density_m3: float
    waviness: float
    fastest_m_s: float
    slowest_m_s: float
    greatest_load_factor: float
    steepest_climb: float
    steepest_descent: float
    event_m: list[float]
    event_kind: list[str]
    course_fingerprint: str
    warnings: list[str]


class SettingOnBench(Shape):
    """A unit as it is set."""

    name: str
    kind: Literal["fork", "shock"]
    setting: str
    adjusters: list[AdjusterAnswer]


class RideTrail(Shape):
    """The ground under the stretch that is shown, at even spacing, on the height of `ground_m`; SI."""

    from_m: float
    spacing_m: float
    every: int = Field(description="Every so many points of the course are sent.")
    height_m: list[float]
    gradient: list[float]
    speed_m_s: list[float]
    load_factor: list[float]
    event_m: list[float]
    event_kind: list[str]
    duration_s: float
    length_m: float


class RideHit(Shape):
    """One deep stroke; found among all steps. `event` is empty where none lies just before."""

    time_s: float
    distance_m: float
    travel_m: float
    compression_m_s: float
    event: str
    event_m: float


class RideHistory(Shape):
    """A stretch of the ride for drawing, thinned and rounded; lists of equal length, SI."""

    every_steps: int
    points_per_s: float
    from_s: float
    to_s: float
    time_s: list[float]
    distance_m: list[float]
    ground_m: list[float]
    wheel_height_m: list[float]
    sprung_height_m: list[float]
    travel_m: list[float]
    travel_speed_m_s: list[float]
    sprung_acceleration_m_s2: list[float]
    tyre_force_N: list[float]  # noqa: N815 - the unit is the key's ending
    positive_Pa: list[float]  # noqa: N815
    floating_m: list[float]
    rider_height_m: list[float]


class RideFigure(Shape):
    """Sizes of what is drawn, m, and masses, kg; `assumed` names what the file does not say."""

    kind: Literal["fork", "shock"]
    travel_m: float
    head_angle_rad: float
    wheel_radius_m: float
    tyre_sink_m: float
    sprung_kg: float
    rider_kg: float
    unsprung_kg: float
    axle_to_crown_m: float
    stanchion_m: float
    lowers_m: float
    assumed: list[str]


class RideSide(Shape):
    """One ride."""

    letter: Literal["A", "B"]
    name: str
    setting: str
    ride: dict[str, Any] = Field(description=_RIDE)
    hits: list[RideHit]
    history: RideHistory
    figure: RideFigure
    adjusters: list[AdjusterAnswer]
    half_step_change: float | None = Field(
        description="Largest relative change of a score at half the step; null where that was not asked for."
    )


class RideAnswer(Shape):
    """One ride or two over the same ground; `difference` is B's score less A's."""

    course: str
    trail: RideTrail
    sides: list[RideSide] = Field(min_length=1, max_length=2)
    shown_s: float = Field(description="Longest stretch of history that one answer holds, s.")
    difference: dict[str, float] | None
    sentences: list[str]
    warnings: list[str]


class RideReply(RootModel[RideAnswer | JobTaken]):
    """The rides, where they take no time worth waiting for; else the job, whose result they are."""


class SweepAnswer(Shape):
    """Scores of a table of settings; `columns` are those of the command line's Parquet files."""

    name: str
    course: str
    varied: list[str]
    columns: dict[str, list[Any]]
    words: list[str]
    edits: list[dict[str, Any]]
    warnings: list[str]
