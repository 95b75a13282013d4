"""The coil and preload that come nearest to another unit's spring, and what no coil can match."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.coil import coil_reading, preload_of
from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.parts import CoilSpring
from forkwright.physics.values import Array
from forkwright.tune.spring_grid import yardstick_on
from forkwright.units import Measure, UnitChoice, show

COIL_STEP = 4378.17
"""Coils are sold in steps of 25 lbf/in, N/m; common practice, no source."""

MOST_PRELOAD = 0.006
"""Most preload that is looked for, m: a few turns of the collar; common practice, no source."""

PRELOAD_STEP = 0.0005
"""m, half a millimetre."""

_WORTH_NAMING = 0.10  # share by which a rate must differ from the coil's before it is told


@dataclass(frozen=True)
class NearestCoil:
    """The coil and preload nearest to a target curve, and what remains. SI."""

    rate: float  # N/m, the nearest that is sold
    preload: float  # m
    exact_rate: float  # N/m, the nearest of all coils, with `exact_preload`
    exact_preload: float  # m, may be below zero: then no coil could start so softly
    travel: Array  # m, where the two were compared
    remainder: Array  # N, force with this coil minus the target
    weight: Array  # share of each point, sums to 1
    rms: float  # N
    worst: float  # N, with its sign
    worst_at: float  # m
    target_rates: tuple[float, float, float]  # N/m: the target's over the first, middle and last fifth
    warnings: tuple[str, ...]  # bind and stress with this rate and preload


def nearest_coil(
    target: SpringCurve,
    unit: Unit,
    setting: Setting,
    *,
    conditions: Conditions | None = None,
    weight: Array | None = None,
    step: float = COIL_STEP,
) -> NearestCoil | None:
    """Return the coil rate and preload that bring a coil unit nearest to a target curve.

    Parameters
    ----------
    target : SpringCurve
        The curve to come near to, such as that of an air shock.
    unit : Unit
    setting : Setting
        What is not searched is kept from here.
    conditions : Conditions, optional
        By default sea level and 20 degC.
    weight : array, optional
        Weight of each point of `target.travel`; by default even over the travel both have before the bumper.
    step : float
        Rates are whole multiples of this, N/m.

    Returns
    -------
    NearestCoil or None
        None where the unit has no coil as its main spring.

    Notes
    -----
    Own definition: smallest weighted mean square difference of force. The exact coil is the weighted straight
    line through the target's force (least squares); of the coils sold, each is tried with every preload step.
    """
    coil = unit.coil_spring
    if coil is None:
        return None
    yardstick = yardstick_on(target, unit, weight)
    travel, wanted, weights = yardstick.travel, yardstick.wanted, yardstick.weight
    curve = spring_curve(unit, setting, conditions, travel=travel)
    other = curve.force - coil.rate.si * (travel + preload_of(coil, setting))
    exact_rate, exact_preload = _line(travel, wanted - other, weights)
    rates = step * np.arange(1, max(2, int(np.ceil(3.0 * max(exact_rate, step) / step))) + 1)
    preloads = np.arange(0.0, MOST_PRELOAD + 0.5 * PRELOAD_STEP, PRELOAD_STEP)
    forces = rates[:, None, None] * (travel + preloads[:, None]) + other
    errors = (forces - wanted) ** 2 @ weights
    row, column = np.unravel_index(int(np.argmin(errors)), errors.shape)
    remainder = forces[row, column] - wanted
    worst = int(np.argmax(np.abs(remainder)))
    rate, preload = float(rates[row]), float(preloads[column])
    built = with_rate(unit, rate)
    reading = coil_reading(built, setting.changed(preload=preload))
    return NearestCoil(
        rate=rate,
        preload=preload,
        exact_rate=exact_rate,
        exact_preload=exact_preload,
        travel=travel,
        remainder=remainder,
        weight=weights,
        rms=float(np.sqrt(errors[row, column])),
        worst=float(remainder[worst]),
        worst_at=float(travel[worst]),
        target_rates=_rates(travel, wanted),
        warnings=reading.warnings if reading is not None else (),
    )


def nearest_coils(coil: NearestCoil, lacking: Array) -> tuple[Array, Array]:
    """Return the rate (N/m) and preload (m) of the best coil of all for many targets, shape (n,) each.

    Parameters
    ----------
    coil : NearestCoil
        What was found for one target.
    lacking : array, shape (n, travel)
        Force wanted less the force with that coil, N.

    Notes
    -----
    Source (derived): weighted straight line; where its preload cannot be had, that of the nearest end is kept
    and the rate alone is fitted.
    """
    wanted = lacking + coil.rate * (coil.travel + coil.preload)
    middle = float(coil.travel @ coil.weight)
    away = (coil.travel - middle) * coil.weight
    slope = wanted @ away / float(away @ coil.travel)
    positive = np.where(slope > 0.0, slope, 1.0)
    preload = np.where(slope > 0.0, wanted @ coil.weight / positive - middle, 0.0)
    kept = np.clip(preload, 0.0, MOST_PRELOAD)
    arm = coil.travel + kept[:, np.newaxis]
    return np.asarray((wanted * arm) @ coil.weight / (arm**2 @ coil.weight), np.float64), kept


def with_rate(unit: Unit, rate: float) -> Unit:
    """Return the unit with a coil of another rate (N/m), of whose wire nothing is known."""
    coil = unit.coil_spring
    assert coil is not None
    if abs(rate / float(coil.rate.si) - 1.0) < 1e-9:
        return unit
    other = CoilSpring(rate=Measure(rate, 0.0, "assumed", "another coil"), preload=coil.preload)
    return unit.model_copy(update={"coil_spring": other})


def coil_sentences(found: NearestCoil, name: str, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return what the nearest coil is and what it cannot match, computed."""
    said = [
        f"The coil nearest to {name} has {show(found.rate, 'stiffness', units)} with "
        f"{show(found.preload, 'length', units)} of preload; {show(found.rms, 'force', units)} remain on "
        f"average (rms), most at {show(found.worst_at, 'length', units)}, where it pushes back "
        f"{show(abs(found.worst), 'force', units)} {'harder' if found.worst > 0.0 else 'less'}."
    ]
    places = ("at the start", "in the middle", "at the end")
    apart = [
        f"{show(rate, 'stiffness', units)} {place}"
        for rate, place in zip(found.target_rates, places, strict=True)
        if abs(rate / found.rate - 1.0) > _WORTH_NAMING
    ]
    if apart:
        said.append(
            f"A coil has one rate; {name} has {', '.join(apart)}: no coil and no preload matches that. The "
            "linkage, the bumper or the high-speed compression can stand in for the end of the travel alone."
        )
    if found.exact_preload < 0.0:
        said.append(
            f"{name} starts more softly than any coil: even without preload the coil pushes back harder."
        )
    elif found.exact_preload > MOST_PRELOAD:
        said.append(
            f"{name} starts harder than a coil with {show(MOST_PRELOAD, 'length', units)} of preload: the "
            "coil gives way sooner."
        )
    return tuple(said)


def _line(travel: Array, force: Array, weights: Array) -> tuple[float, float]:
    """Rate and preload of the weighted straight line through a force."""
    middle, height = float(travel @ weights), float(force @ weights)
    away = travel - middle
    slope = float((weights * away) @ (force - height) / ((weights * away) @ away))
    return slope, (height / slope - middle) if slope != 0.0 else 0.0


def _rates(travel: Array, force: Array) -> tuple[float, float, float]:
    """Mean rate over the first, middle and last fifth of the compared travel."""
    edges = np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.0]) * (travel[-1] - travel[0]) + travel[0]
    at = np.interp(edges, travel, force)
    slopes = np.diff(at) / np.diff(edges)
    return float(slopes[0]), float(slopes[2]), float(slopes[4])
