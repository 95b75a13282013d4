"""Ride one setting of a unit over a course."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.physics import Unphysical
from forkwright.ride.audit import EnergyAudit, audit_energy
from forkwright.ride.build import ride_parameters
from forkwright.ride.course import Course, Road
from forkwright.ride.damping import FASTEST
from forkwright.ride.leverage_table import stroke_of
from forkwright.ride.options import RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.ride.scores import Scores, score
from forkwright.ride.wheel_road import road_for
from forkwright.units import InputError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RideResult:
    """A ride: time histories at every step, shape (n + 1,), SI; the scores; and the energy account."""

    time: Array  # s
    distance: Array  # m along the course
    ground: Array  # m, height under the wheel
    wheel_height: Array  # m, wheel's rise from its place at rest on flat ground
    sprung_height: Array  # m, the bike's rise from its place at the start
    travel: Array  # m, the unit's stroke
    travel_speed: Array  # m/s, compression positive
    wheel_travel: Array  # m along the wheel's path; equals travel for a fork
    sprung_acceleration: Array  # m/s2
    tyre_force: Array  # N
    positive: Array  # Pa, absolute; ambient where there is no air spring
    floating: Array  # m
    rider_height: Array  # m; zeros where the rider is part of the bike
    step: float  # s
    scores: Scores
    audit: EnergyAudit
    parameters: RideParameters
    warnings: tuple[str, ...]
    unit_fingerprint: str
    course_fingerprint: str


def simulate(
    unit: Unit,
    course: Course,
    *,
    setting: Setting | None = None,
    rider: Rider | None = None,
    bike: Bike | None = None,
    conditions: Conditions | None = None,
    options: RideOptions | None = None,
) -> RideResult:
    """Ride one setting of a unit over a course.

    Parameters
    ----------
    unit : Unit
    course : Course
    setting : Setting, optional
        By default the one in the unit's file.
    rider, bike : Rider, Bike
        Needed: without masses there is no ride.
    conditions : Conditions, optional
        By default sea level and 20 degC, now and at filling.
    options : RideOptions, optional
        Tyre, heat, limbs, damping table, leverage.

    Returns
    -------
    RideResult

    Raises
    ------
    InputError
        If something needed is missing or the unit must not be given this setting.
    Unphysical
        If the energy of the ride does not balance, or a number is not finite.

    Notes
    -----
    Source: docs/ride.md.

    Examples
    --------
    >>> import forkwright as fw
    >>> unit = fw.load(fw.demo_file("dunlin-160"))
    >>> ride = fw.simulate(unit, fw.load_course(fw.demo_file("courses/heather-traverse")),
    ...                    rider=fw.load(fw.demo_file("rider")), bike=fw.load(fw.demo_file("bike")))
    >>> bool(0.0 < ride.scores.riding_sag_m < 0.16)
    True
    """
    options = options or RideOptions()
    p, warnings = _parameters(unit, setting, rider, bike, conditions, options)
    road = road_for(course, p, options)
    return ridden(p, road, unit.fingerprint, course, warnings)


def half_step_change(unit: Unit, course: Course, ride: RideResult, **who: Any) -> float:
    """Ride again at half the step and return the largest relative change of a score.

    Parameters
    ----------
    unit : Unit
    course : Course
    ride : RideResult
        From `simulate`.
    **who
        The other arguments of `simulate`, as they were.

    Returns
    -------
    float
        Dimensionless. Scores that count (hits, losses) and the share of time held by friction are left out:
        one touch more or less is no matter of the step.
    """
    options = replace(who.pop("options", None) or RideOptions(), step=0.5 * ride.step)
    fine = simulate(unit, course, options=options, **who).scores.numbers()
    changes = [
        abs(value / fine[name] - 1.0)
        for name, value in ride.scores.numbers().items()
        if isinstance(value, float) and name != "stuck_share" and abs(fine[name]) > 1e-3
    ]
    return max(changes)


def ridden(
    p: RideParameters, road: Road, unit_fingerprint: str, course: Course, warnings: tuple[str, ...] = ()
) -> RideResult:
    """Run the kernel over a road and return the ride.

    Parameters
    ----------
    p : RideParameters
    road : Road
        From `road_for`.
    unit_fingerprint : str
    course : Course
        Whose name, marks and warnings belong to the road.
    warnings : tuple of str
        To be passed on.

    Returns
    -------
    RideResult

    Raises
    ------
    Unphysical
        As `simulate`.
    """
    scores, audit, series = scored(p, road)
    return _result(p, road, scores, audit, series, unit_fingerprint, course, warnings)


def scored(p: RideParameters, road: Road) -> tuple[Scores, EnergyAudit, Array]:
    """Run the kernel over a road and score it.

    Parameters
    ----------
    p : RideParameters
    road : Road
        From `road_for`.

    Returns
    -------
    Scores, EnergyAudit, and the recorded series, shape (n + 1, 8), columns as `ride.kernel.SERIES`.

    Raises
    ------
    Unphysical
        As `simulate`.
    """
    from forkwright.ride.kernel import SERIES, run
    from forkwright.ride.rest import rest

    first = road.values[0]
    start = rest(p, first[0], first[2], first[3])
    series = np.empty((road.distance.size, len(SERIES)))
    end, works, stuck = run(p, start, road.values, road.step, series)
    audit = audit_energy(p, start, end, works, (float(first[0]), float(road.values[-1, 0])))
    if not np.all(np.isfinite(series)):
        raise Unphysical("the ride ran out of all bounds (a number is not finite)")
    return score(p, series, road.values, road.step, audit, start[1], stuck), audit, series


def _result(
    p: RideParameters,
    road: Road,
    scores: Scores,
    audit: EnergyAudit,
    series: Array,
    unit_fingerprint: str,
    course: Course,
    warnings: tuple[str, ...],
) -> RideResult:
    stroke, lever = stroke_of(p, series[:, 0])
    sprung, tyre_sink = series[:, 2], series[0, 4] / p.tyre_stiffness
    positive = np.full(stroke.size, p.ambient)
    if p.positive_content > 0.0:
        positive = series[:, 5] / (
            p.positive_volume - p.positive_area * stroke + p.floating_area * series[:, 6]
        )
    return RideResult(
        time=road.time,
        distance=road.distance,
        ground=road.values[::2, 0].copy(),
        wheel_height=sprung + p.axis_sine * series[:, 0] + tyre_sink,
        sprung_height=sprung - sprung[0],
        travel=stroke,
        travel_speed=lever * series[:, 1],
        wheel_travel=series[:, 0],
        sprung_acceleration=series[:, 3],
        tyre_force=series[:, 4],
        positive=positive,
        floating=series[:, 6],
        rider_height=series[:, 7] - series[0, 7] if p.rider_mass > 0.0 else np.zeros(stroke.size),
        step=road.step,
        scores=scores,
        audit=audit,
        parameters=p,
        warnings=(*warnings, *course.warnings, *ride_notes(p, scores)),
        unit_fingerprint=unit_fingerprint,
        course_fingerprint=course.fingerprint,
    )


def _parameters(
    unit: Unit,
    setting: Setting | None,
    rider: Rider | None,
    bike: Bike | None,
    conditions: Conditions | None,
    options: RideOptions,
) -> tuple[RideParameters, tuple[str, ...]]:
    if rider is None or bike is None:
        raise InputError("a ride needs a rider and a bike", key="rider" if rider is None else "bike")
    return ride_parameters(unit, setting or unit.setting, rider, bike, conditions or Conditions(), options)


def ride_notes(p: RideParameters, scores: Scores) -> tuple[str, ...]:
    """Return what a ride deserves a remark for: speeds beyond the damping map, a rest outside the travel."""
    notes = []
    if max(scores.fastest_compression_m_s, scores.fastest_rebound_m_s) > FASTEST:
        notes.append(f"the damper moved faster than {FASTEST:g} m/s, beyond its table")
    if not 0.0 <= scores.static_sag_m <= p.travel:
        notes.append("the unit does not rest within its travel under this load")
    return tuple(notes)
