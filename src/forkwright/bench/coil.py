"""A coil spring on the bench: its rate from the wire against the measured one, coil bind, and stress."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.hardware import Setting, Unit
from forkwright.hardware.parts import CoilSpring
from forkwright.physics import helix
from forkwright.physics.values import Value

ASSUMED_SHEAR_MODULUS = 79.5e9
"""Pa, oil-hardened and tempered spring steel to EN 10270-2 (from memory)."""

RATE_TOLERANCE = 0.06
"""Share by which the rate from the wire may differ from the measured one before it is told (own choice)."""


@dataclass(frozen=True)
class CoilReading:
    """What the wire's measures tell of a coil; None where a measure for it is not given. SI."""

    rate: Value  # N/m, as measured
    preload: Value  # m
    rate_from_wire: Value | None  # N/m
    index: Value | None  # mean coil diameter over wire diameter
    stress: Value | None  # Pa, largest in the wire at full travel, preload included
    allowed_stress: Value | None  # Pa
    solid_travel: Value | None  # m, compression of the coil at which its turns touch
    left_before_solid: Value | None  # m, at full travel
    least_gaps: Value | None  # m, what should be left
    warnings: tuple[str, ...]


def coil_reading(unit: Unit, setting: Setting | None = None) -> CoilReading | None:
    """Return what a unit's coil and its wire tell; None where it has no coil.

    Parameters
    ----------
    unit : Unit
        As it was read from its file.
    setting : Setting, optional
        The unit's own by default.

    Returns
    -------
    CoilReading or None

    Notes
    -----
    Source: `forkwright.physics.helix`.
    """
    coil = unit.coil_spring
    if coil is None:
        return None
    preload = preload_of(coil, setting or unit.setting)
    pressed = unit.travel.si + preload
    wire, mean, turns = (_si(coil.wire_diameter), _si(coil.mean_diameter), _si(coil.active_turns))
    modulus = coil.shear_modulus.si if coil.shear_modulus is not None else ASSUMED_SHEAR_MODULUS
    index = mean / wire if wire is not None and mean is not None else None
    from_wire = stress = gaps = None
    if wire is not None and mean is not None:
        stress = helix.shear_stress(coil.rate.si * pressed, wire, mean)
        if turns is not None:
            from_wire = helix.rate(wire, mean, turns, modulus)
            gaps = helix.least_gaps(wire, mean, turns)
    solid = _solid_travel(coil)
    left = solid - pressed if solid is not None else None
    notes = [
        *_rate_notes(coil, from_wire),
        *_bind_notes(left, gaps),
        *_stress_notes(coil, stress),
    ]
    return CoilReading(
        coil.rate.si,
        preload,
        from_wire,
        index,
        stress,
        _si(coil.allowed_stress),
        solid,
        left,
        gaps,
        tuple(notes),
    )


def coil_warnings(unit: Unit, setting: Setting) -> tuple[str, ...]:
    """Return what a unit's coil deserves a warning for at full travel."""
    found = coil_reading(unit, setting)
    return found.warnings if found is not None else ()


def preload_of(coil: CoilSpring, setting: Setting) -> Value:
    """Return the preload: the setting's, else the coil's own, else none.

    Parameters
    ----------
    coil : CoilSpring
    setting : Setting

    Returns
    -------
    float or array
        m.
    """
    preload = setting.preload or coil.preload
    return preload.si if preload is not None else 0.0


def _solid_travel(coil: CoilSpring) -> Value | None:
    if coil.solid_travel is not None:
        return coil.solid_travel.si
    wire, length, turns = _si(coil.wire_diameter), _si(coil.free_length), _si(coil.total_turns)
    if wire is None or length is None or turns is None:
        return None
    return helix.solid_deflection(length, wire, turns)


def _rate_notes(coil: CoilSpring, from_wire: Value | None) -> list[str]:
    if from_wire is None:
        return []
    share = float(np.mean(from_wire / coil.rate.si)) - 1.0
    if abs(share) <= RATE_TOLERANCE:
        return []
    way = "stiffer" if share > 0.0 else "softer"
    return [
        f"the coil's wire makes a spring {abs(share):.0%} {way} than the rate given: measure wire, "
        "coil diameter and turns again"
    ]


def _bind_notes(left: Value | None, gaps: Value | None) -> list[str]:
    if left is None:
        return []
    if np.any(np.asarray(left) < 0.0):
        return ["the coil goes solid before full travel: its turns touch; fit a longer coil"]
    if gaps is not None and np.any(left < np.asarray(gaps)):
        return [
            f"the coil keeps {np.min(left) * 1e3:.1f} mm before its turns touch; EN 13906-1 asks for "
            f"{np.max(gaps) * 1e3:.1f} mm"
        ]
    return []


def _stress_notes(coil: CoilSpring, stress: Value | None) -> list[str]:
    if stress is None or coil.allowed_stress is None or not np.any(stress > coil.allowed_stress.si):
        return []
    return [
        f"the coil's wire reaches {np.max(stress) / 1e6:.0f} MPa at full travel, over the "
        f"{np.min(coil.allowed_stress.si) / 1e6:.0f} MPa allowed: it would sag for good or break"
    ]


def _si(measure: object) -> Value | None:
    return getattr(measure, "si", None)
