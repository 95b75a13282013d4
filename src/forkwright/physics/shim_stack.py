"""What a shim stack is, for the solver: discs from the valve face on, a clamp, a load, and what adjusts it.

Everything is in metres, newtons and pascals. A stack that cannot exist is refused here, before any number is
made.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from forkwright.physics.errors import Unphysical

SPRING_STEEL_MODULUS, SPRING_STEEL_POISSON = 206e9, 0.3
"""Young's modulus (Pa) and Poisson's ratio assumed when none is given: steel (any handbook)."""

SPRING_STEEL_YIELD = 1.4e9
"""Yield stress assumed when none is given, Pa: hardened steel strip (common practice, no source)."""


@dataclass(frozen=True)
class Shim:
    """One disc.

    Attributes
    ----------
    outer_radius, thickness : float
        m.
    inner_radius : float or None
        Hole, m; the stack's bore when None.
    dish : float
        How far the rim of the unloaded disc, held flat at the clamp, stands off its flat place, m. Positive
        points towards the valve face (it preloads the stack), negative away from it (it leaves a gap).
    """

    outer_radius: float
    thickness: float
    inner_radius: float | None = None
    dish: float = 0.0


@dataclass(frozen=True)
class ShimLoad:
    """What pushes disc 1 off the valve face.

    Attributes
    ----------
    inner_radius, outer_radius : float
        The annulus of disc 1 that the pressure reaches, m.
    ring_area : float
        Further force per pressure, m^2, spread round a ring (a sealing land, say).
    ring_radius : float or None
        Where that ring load acts, m.
    """

    inner_radius: float
    outer_radius: float
    ring_area: float = 0.0
    ring_radius: float | None = None

    @classmethod
    def ring(cls, radius: float) -> ShimLoad:
        """Return a pure ring load at `radius` (m): pressures given to the solver are then newtons in all."""
        return cls(radius, radius, ring_area=1.0, ring_radius=radius)

    @property
    def unit(self) -> str:
        """Unit of the load that the solver is given: "N" for a pure ring load, else "Pa"."""
        return "N" if self.inner_radius == self.outer_radius and self.ring_area == 1.0 else "Pa"


@dataclass(frozen=True)
class Fulcrum:
    """A fixed ring behind the stack that the discs bend over once they reach it (a movable support).

    Attributes
    ----------
    radius : float
        m.
    height : float
        Clearance between the ring and the flat back face it meets, m; negative presses the stack down.
    """

    radius: float
    height: float = 0.0


@dataclass(frozen=True)
class BackingSpring:
    """A spring that presses a ring on the back of the stack.

    Attributes
    ----------
    radius : float
        m.
    rate : float
        N/m; zero for a dead load.
    preload : float
        Force with the disc flat, N; a negative value is a clearance of ``-preload / rate``.
    """

    radius: float
    rate: float
    preload: float = 0.0


@dataclass(frozen=True)
class ShimStack:
    """Discs from the valve face to the clamp.

    Attributes
    ----------
    shims : tuple of Shim
        Disc 1 (on the valve face) first.
    clamp_radius, bore_radius : float
        Every disc is held flat and level inside the clamp radius, m; the bore is the hole they share, m.
    youngs_modulus : float
        Pa.
    poisson : float
        No unit.
    seat_height : float
        How far the seat stands above the clamp plane, m (a dished valve face preloads the stack).
    yield_stress : float or None
        Pa; :data:`SPRING_STEEL_YIELD` is assumed when None.
    available_height : float or None
        Room for the pile of discs, m; None when there is no limit.

    Raises
    ------
    Unphysical
        If such a stack cannot exist; the text says which disc and why.
    """

    shims: tuple[Shim, ...]
    clamp_radius: float
    bore_radius: float
    youngs_modulus: float = SPRING_STEEL_MODULUS
    poisson: float = SPRING_STEEL_POISSON
    seat_height: float = 0.0
    yield_stress: float | None = None
    available_height: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "shims", tuple(self.shims))
        _require(len(self.shims) > 0, "the shim stack has no disc")
        modulus = self.youngs_modulus
        _require(math.isfinite(modulus) and modulus > 0, "Young's modulus must be above zero")
        _require(0.0 <= self.poisson < 0.5, f"Poisson's ratio {self.poisson:g} is outside 0 to 0.5")
        _require(
            math.isfinite(self.clamp_radius)
            and 0.0 <= self.bore_radius <= self.clamp_radius
            and self.clamp_radius > 0,
            f"the clamp ({_mm(self.clamp_radius)}) must not be smaller than the bore "
            f"({_mm(self.bore_radius)})",
        )
        _require(math.isfinite(self.seat_height), "the seat height is not a number")
        _require(self.yield_stress is None or self.yield_stress > 0, "the yield stress must be above zero")
        for number, shim in enumerate(self.shims, start=1):
            self._check_disc(number, shim)
        height, room = sum(shim.thickness for shim in self.shims), self.available_height
        _require(
            room is None or height <= room,
            f"the stack is {height * 1e3:.3f} mm thick, more than the {(room or 0.0) * 1e3:.3f} mm gap",
        )

    def _check_disc(self, number: int, shim: Shim) -> None:
        name = f"disc {number} ({_mm(shim.outer_radius)} x {shim.thickness * 1e3:g} mm)"
        _require(
            math.isfinite(shim.thickness) and shim.thickness > 0, f"{name}: the thickness must be above zero"
        )
        _require(math.isfinite(shim.outer_radius), f"{name}: the diameter is not a number")
        _require(
            shim.outer_radius > self.clamp_radius * (1 + 1e-9),
            f"{name} is not larger than the clamp ({_mm(self.clamp_radius)}): it belongs to the clamp",
        )
        hole = self.bore_radius if shim.inner_radius is None else shim.inner_radius
        _require(
            0.0 <= hole <= self.clamp_radius,
            f"{name}: a hole of {_mm(hole)} is larger than the clamp, nothing holds it",
        )
        _require(math.isfinite(shim.dish), f"{name}: the dish is not a number")

    @property
    def assumed_yield(self) -> float:
        """The yield stress the answer is judged by, Pa."""
        return SPRING_STEEL_YIELD if self.yield_stress is None else self.yield_stress

    def check_use(
        self,
        load: ShimLoad,
        seat_radius: float,
        fulcrum: Fulcrum | None,
        backing_spring: BackingSpring | None,
    ) -> None:
        """Refuse a seat, load or adjuster (radii in m) that does not meet the stack.

        Raises
        ------
        Unphysical
            Naming what lies where nothing can happen.
        """
        self._check_seat_and_load(seat_radius, load)
        self._check_adjusters(fulcrum, backing_spring)

    def _check_seat_and_load(self, seat_radius: float, load: ShimLoad) -> None:
        first = self.shims[0].outer_radius * (1 + 1e-9)
        _require(
            self.clamp_radius < seat_radius <= first,
            f"the seat ({_mm(seat_radius)}) must lie between the clamp ({_mm(self.clamp_radius)}) "
            f"and the rim of disc 1 ({_mm(self.shims[0].outer_radius)})",
        )
        _require(
            0.0 <= load.inner_radius <= load.outer_radius < math.inf,
            f"the pressed annulus must grow outwards: {_mm(load.inner_radius)} to {_mm(load.outer_radius)}",
        )
        pressed = load.inner_radius < load.outer_radius and load.outer_radius > self.clamp_radius
        ringed = load.ring_area > 0.0
        _require(load.ring_area >= 0.0, "the ring load's area is negative")
        _require(pressed or ringed, "the pressed annulus lies inside the clamp: nothing lifts the disc")
        if ringed:
            _require(
                load.ring_radius is not None and self.clamp_radius < load.ring_radius <= first,
                "the ring load must act on disc 1 outside the clamp",
            )

    def _check_adjusters(self, fulcrum: Fulcrum | None, backing_spring: BackingSpring | None) -> None:
        widest = max(shim.outer_radius for shim in self.shims) * (1 + 1e-9)
        for name, part in (("fulcrum", fulcrum), ("backing spring", backing_spring)):
            _require(
                part is None or self.clamp_radius < part.radius <= widest,
                f"the {name} must press on a disc outside the clamp ({_mm(self.clamp_radius)})",
            )
        if backing_spring is not None:
            _require(backing_spring.rate >= 0.0, "the backing spring's rate is negative")
            _require(
                backing_spring.preload >= 0.0 or backing_spring.rate > 0.0,
                "a dead load cannot pull on the stack",
            )


def _require(condition: bool, message: str) -> None:
    if not condition:
        raise Unphysical(message)


def _mm(radius: float) -> str:
    return f"diameter {radius * 2e3:g} mm"
