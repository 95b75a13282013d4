"""What a ride of both ends was like, in numbers; own definitions unless a source is named."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from forkwright.ride.pitch_ends import WheelEnd
    from forkwright.ride.pitch_layout import Layout

Array = NDArray[np.float64]

FULL_TRAVEL_MARGIN = 0.5e-3
"""Within this of full wheel travel (m) counts as bottomed out."""


@dataclass(frozen=True)
class EndScores:
    """One end over a ride. Travels are of the wheel, vertical, m."""

    static: float  # at rest on the first metre, no friction
    riding: float  # mean while the tyre touches
    drift: float  # riding less static: above zero the end packs down
    greatest: float
    full: float
    bottom_outs: int
    contact_lost_share: float  # of the time
    tyre_load_variation: float  # standard deviation over mean


@dataclass(frozen=True)
class PitchScores:
    """Both ends together over a ride."""

    duration: float  # s
    heave_acceleration: float  # m/s2, rms at the mass centre
    pitch_acceleration: float  # rad/s2, rms
    pitch: float  # rad, rms about its mean
    attitude_drift: float  # rad nose-up: mean pitch that the drift of both ends makes


def score_pitch(
    series: Array, ends: tuple[WheelEnd, WheelEnd], layout: Layout, step: float
) -> tuple[EndScores, EndScores, PitchScores]:
    """Score what the kernel recorded, shape (n + 1, 8).

    Notes
    -----
    Own definitions. Drift is the mean travel while the tyre touches, less the resting travel. The drifts of
    both ends over the wheelbase give the attitude's.
    """
    front = _end(series[:, 2], series[:, 4], ends[0].full)
    rear = _end(series[:, 3], series[:, 5], ends[1].full)
    heave = series[:, 6]
    both = PitchScores(
        duration=step * (series.shape[0] - 1),
        heave_acceleration=float(np.sqrt(np.mean(heave**2))),
        pitch_acceleration=float(np.sqrt(np.mean(series[:, 7] ** 2))),
        pitch=float(series[:, 1].std()),
        attitude_drift=float(np.arctan2(rear.drift - front.drift, layout.wheelbase)),
    )
    return front, rear, both


def _end(travel: Array, tyre: Array, full: float) -> EndScores:
    touching = tyre > 0.0
    static = float(travel[0])
    riding = float(travel[touching].mean()) if touching.any() else static
    at_end = travel > full - FULL_TRAVEL_MARGIN
    bottomed = int(np.count_nonzero(at_end[1:] & ~at_end[:-1])) + int(at_end[0])
    mean = float(tyre.mean())
    return EndScores(
        static, riding, riding - static, float(travel.max()), full, bottomed, float(np.mean(~touching)),
        float(tyre.std() / mean) if mean > 0.0 else 0.0,
    )  # fmt: skip
