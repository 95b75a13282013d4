"""What a ride was like, in numbers. Each score is defined in docs/ride.md with its source or as our own."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from forkwright.physics import G0, bumpers
from forkwright.physics.hand_weighting import weighted_rms
from forkwright.ride.audit import EnergyAudit, refuse_used_up
from forkwright.ride.leverage_table import stroke_at, stroke_of
from forkwright.ride.parameters import RideParameters

Array = NDArray[np.float64]

TRAVEL_EDGES = np.linspace(0.0, 1.0, 21)
"""Edges of the travel histogram, as shares of the full travel; the ends take what lies beyond."""

SPEED_EDGES = np.array([-4.0, -2.0, -1.0, -0.5, -0.25, -0.1, -0.02, 0.02, 0.1, 0.25, 0.5, 1.0, 2.0, 4.0])
"""Edges of the speed histogram, m/s, compression positive; the ends take what lies beyond."""

FULL_TRAVEL_MARGIN = 0.5e-3
"""Within this of full travel (m) counts as bottomed out."""

PACKING_WINDOW = 1.0
"""Window of the moving mean that shows packing down, s."""


@dataclass(frozen=True)
class Scores:
    """Scores of one ride, SI. Travel is the unit's stroke."""

    duration_s: float
    static_sag_m: float  # rest under the static load, no friction
    riding_sag_m: float  # mean travel while the tyre touches
    greatest_travel_m: float
    bumper_hits: int
    bottom_outs: int
    bottom_out_peak_N: float  # noqa: N815 - unit as in the JSON; bumper and metal stop together, 0 where none was touched
    top_outs: int
    top_out_peak_N: float  # noqa: N815 - unit as in the JSON
    contact_lost_s: float
    contact_lost_share: float
    contact_losses: int
    tyre_load_variation: float  # standard deviation over mean
    hand_acceleration_m_s2: float  # rms after the weighting Wh
    sprung_acceleration_m_s2: float  # rms, unweighted
    pack_down_m: float
    fastest_compression_m_s: float
    fastest_rebound_m_s: float
    damper_heat_J: float  # noqa: N815 - unit as in the JSON
    friction_heat_J: float  # noqa: N815 - unit as in the JSON
    gas_heat_J: float  # noqa: N815 - unit as in the JSON
    tyre_heat_J: float  # noqa: N815 - unit as in the JSON
    mean_heating_W: float  # noqa: N815 - unit as in the JSON; damper and friction together
    stuck_share: float  # of the time, held by friction
    travel_share: Array  # (20,) of the time, per bin of TRAVEL_EDGES
    speed_share: Array  # (15,) of the time, per bin of SPEED_EDGES

    def numbers(self) -> dict[str, float]:
        """Return every score that is one number, by name, in the order of the fields."""
        return {
            item.name: getattr(self, item.name)
            for item in fields(self)
            if not isinstance(getattr(self, item.name), np.ndarray)
        }


def score(
    p: RideParameters,
    series: Array,
    road: Array,
    step: float,
    audit: EnergyAudit,
    static_travel: float,
    stuck_steps: int,
) -> Scores:
    """Score a recorded run.

    Parameters
    ----------
    p : RideParameters
    series : array
        What the kernel recorded, shape (n + 1, 8), columns as `ride.kernel.SERIES`.
    road : array
        The road at every half step, shape (2 n + 1, 4).
    step : float
        s.
    audit : EnergyAudit
    static_travel : float
        Wheel travel at rest, m.
    stuck_steps : int
        Steps in which friction held the unit.

    Returns
    -------
    Scores

    Raises
    ------
    Unphysical
        If a chamber had no volume left somewhere on the way.

    Notes
    -----
    Source: docs/ride.md, "Scores".
    """
    # read column by column from here on: side by side in memory each is read several times faster
    travel, rate, acceleration, tyre = (np.ascontiguousarray(series[:, place]) for place in (0, 1, 3, 4))
    stroke, lever = stroke_of(p, travel)
    speed = lever * rate
    touching = tyre > 0.0
    lost, losses = float(np.mean(~touching)), _spells(~touching)
    duration = step * (tyre.size - 1)
    static = stroke_at(p, static_travel)
    least, greatest = float(stroke.min()), float(stroke.max())
    refuse_used_up(p, least, greatest)
    return Scores(
        duration_s=duration,
        static_sag_m=static,
        riding_sag_m=float(np.mean(stroke[touching])) if touching.any() else 0.0,
        greatest_travel_m=greatest,
        bumper_hits=_spells(stroke > p.travel - p.bumper_length) if p.bumper_rate > 0.0 else 0,
        bottom_outs=_spells(stroke > p.travel - FULL_TRAVEL_MARGIN),
        bottom_out_peak_N=_bottom_force(p, greatest),
        top_outs=_spells(stroke < 0.0),
        top_out_peak_N=max(-least, 0.0) * p.top_out_rate,
        contact_lost_s=lost * duration,
        contact_lost_share=lost,
        contact_losses=losses,
        tyre_load_variation=float(tyre.std() / tyre.mean()) if tyre.mean() > 0.0 else 0.0,
        hand_acceleration_m_s2=weighted_rms(acceleration, step),
        sprung_acceleration_m_s2=float(acceleration.std()),
        pack_down_m=_pack_down(stroke - static, road[::2], step),
        fastest_compression_m_s=float(max(speed.max(), 0.0)),
        fastest_rebound_m_s=float(max(-speed.min(), 0.0)),
        damper_heat_J=audit.damper,
        friction_heat_J=audit.friction,
        gas_heat_J=audit.gas,
        tyre_heat_J=audit.tyre,
        mean_heating_W=(audit.damper + audit.friction) / duration,
        stuck_share=stuck_steps / tyre.size,
        travel_share=_shares(stroke / p.travel, TRAVEL_EDGES[1:-1]),
        speed_share=_shares(speed, SPEED_EDGES),
    )


def _bottom_force(p: RideParameters, stroke: float) -> float:
    """Return the force of bumper and metal stop together; it only grows with the stroke."""
    force, _ = bumpers.bottom_out_force(
        np.array([stroke]), p.travel, p.bumper_length, p.bumper_rate, p.bumper_exponent
    )
    return float(force[0]) + p.stop_rate * max(stroke - p.travel, 0.0)


def _spells(inside: NDArray[np.bool_]) -> int:
    """Return how many times `inside` begins."""
    return int(inside[0]) + int(np.count_nonzero(inside[1:] & ~inside[:-1]))


def _shares(values: Array, edges: Array) -> Array:
    """Return the share of values in each bin between `edges`, the first and last bin being open."""
    reached = np.array([values.size, *(np.count_nonzero(values >= edge) for edge in edges), 0], np.int64)
    return -np.diff(reached) / values.size


def _pack_down(offset: Array, road: Array, step: float) -> float:
    """Return the deepest one-second mean of travel beyond the static sag, where only the weight presses."""
    width = min(max(round(PACKING_WINDOW / step), 1), offset.size)
    total = np.concatenate(([0.0], np.cumsum(offset)))
    mean = (total[width:] - total[:-width]) / width
    plain = np.abs(road[:, 2] / G0 - 1.0) < 0.05
    disturbed = np.concatenate(([0], np.cumsum(~plain)))
    return float(np.max(mean, where=disturbed[width:] == disturbed[:-width], initial=0.0))
