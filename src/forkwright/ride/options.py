"""What a ride needs to know beyond unit, rider and bike: the tyre, the rider's limbs, heat, a damping table.

Every default here is an assumption of ours, named as such in a ride's warnings where it matters; measured
values replace it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.tyre import inflated_ring_stiffness, stiffness_from_points
from forkwright.units import InputError


@dataclass(frozen=True)
class Tyre:
    """A tyre, SI; pressures gauge.

    `stiffness_points` are measured pairs of gauge pressure (Pa) and vertical stiffness (N/m); without them
    the stiffness is estimated from pressure and size. `loss` (s/m) is the tyre's damping, see
    `physics.tyre.contact_force`; `patch_length` the length over which the ground is averaged.
    """

    pressure: float = 1.65e5
    stiffness_points: tuple[tuple[float, float], ...] = ()
    outer_radius: float = 0.37
    section_radius: float = 0.029
    patch_length: float = 0.08
    loss: float = 0.15

    def __post_init__(self) -> None:
        """Refuse measured points that are none, before anything is ridden on them."""
        if self.stiffness_points:
            self.stiffness()

    def stiffness(self) -> tuple[float, tuple[str, ...]]:
        """Return the stiffness (N/m) and what had to be assumed."""
        if self.stiffness_points:
            value, warning = stiffness_from_points(self.pressure, self.stiffness_points)
            return value, (warning,) if warning else ()
        value = inflated_ring_stiffness(self.pressure, self.outer_radius, self.section_radius)
        return value, (
            f"tyre stiffness {value / 1e3:.0f} N/mm estimated from pressure and size, not measured",
        )


@dataclass(frozen=True)
class Limbs:
    """The rider's arms and legs between bike and body: stiffness (N/m) and damping (N s/m) at one wheel.

    Without it the rider is part of the bike, as a stiff rider would be.
    """

    stiffness: float = 3000.0
    damping: float = 350.0


@dataclass(frozen=True)
class HeatPaths:
    """Time constants (s) with which each gas takes on the temperature of its chamber's walls.

    Zero is isothermal (all must then be zero), infinity adiabatic. Assumed until a bench trace gives them.
    """

    positive: float = 2.0
    negative: float = 1.0
    lower_legs: float = 1.0
    secondary: float = 1.0

    @property
    def isothermal(self) -> bool:
        """Whether every gas keeps the temperature of its walls."""
        return self.positive == self.negative == self.lower_legs == self.secondary == 0.0

    def rates(self) -> tuple[float, float, float, float]:
        """Return 1 over each time constant, 1/s, in the order of the fields."""
        times = (self.positive, self.negative, self.lower_legs, self.secondary)
        if self.isothermal:
            return 0.0, 0.0, 0.0, 0.0
        if min(times) < 1e-3:
            raise InputError(
                "a heat time constant must be at least 1 ms, or all of them zero",
                value=", ".join(f"{time:g} s" for time in times),
            )
        return 1.0 / times[0], 1.0 / times[1], 1.0 / times[2], 1.0 / times[3]


@dataclass(frozen=True)
class DampingTable:
    """Damping force against speed, SI: compression positive, force positive against compression.

    Speeds must grow and hold zero within them. The force at zero speed (a gas's push on the shaft) is kept
    apart as a spring force; beyond the ends the last slope is carried on.
    """

    speed: NDArray[np.float64]
    force: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Refuse a table that is no function of speed through zero."""
        if (
            self.speed.size < 2
            or self.speed.shape != self.force.shape
            or not np.all(np.diff(self.speed) > 0.0)
        ):
            raise InputError("a damping table needs two or more growing speeds, each with a force")
        if not (np.all(np.isfinite(self.speed)) and np.all(np.isfinite(self.force))):
            raise InputError("a damping table must hold finite numbers")
        if not self.speed[0] < 0.0 < self.speed[-1]:
            raise InputError(
                "a damping table must reach to both sides of zero speed",
                value=f"{self.speed[0]:g} to {self.speed[-1]:g} m/s",
            )

    @classmethod
    def linear(cls, compression: float, rebound: float | None = None, fastest: float = 8.0) -> DampingTable:
        """Return a table of constant slopes, N s/m (rebound as compression where it is not given)."""
        back = compression if rebound is None else rebound
        return cls(
            np.array([-fastest, 0.0, fastest]), np.array([-back * fastest, 0.0, compression * fastest])
        )

    def evenly_spaced(self, fastest: float = 8.0, count: int = 3201) -> tuple[NDArray[np.float64], float]:
        """Return force less that at rest at `count` even speeds from -fastest to fastest, and that at
        rest."""
        speed = np.linspace(-fastest, fastest, count)
        force = np.interp(speed, self.speed, self.force)
        for end, inner, beyond in ((0, 1, speed < self.speed[0]), (-1, -2, speed > self.speed[-1])):
            slope = (self.force[end] - self.force[inner]) / (self.speed[end] - self.speed[inner])
            force[beyond] = self.force[end] + slope * (speed[beyond] - self.speed[end])
        at_rest = float(np.interp(0.0, self.speed, self.force))
        return force - at_rest, at_rest


@dataclass(frozen=True)
class RideOptions:
    """Everything about a ride that is not unit, setting, rider, bike, conditions or course.

    `damping` replaces the unit's own damper; `oil_chambers` follows the pressures in the damper's chambers
    instead of a map of speed (slower); with `stiffening` the shims stretch as well as bend;
    `oil_temperature` is in K. `leverage` gives wheel travel and unit stroke (m) of a rear unit as points, the
    first at (0, 0); `step` (s) overrides the chosen step.
    """

    tyre: Tyre = field(default_factory=Tyre)
    heat: HeatPaths = field(default_factory=HeatPaths)
    limbs: Limbs | None = None
    damping: DampingTable | None = None
    oil_chambers: bool = False
    stiffening: bool = False
    oil_temperature: float | None = None
    leverage: tuple[tuple[float, float], ...] = ()
    step: float | None = None
