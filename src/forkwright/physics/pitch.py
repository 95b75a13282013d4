"""A body on two wheels in the pitch plane: modes of heave and pitch, and what the wheelbase lets through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Array, Value

_LEAST_ROTATION = 1e-9


@dataclass(frozen=True)
class PitchBody:
    """A rigid body on two linear suspensions, SI.

    `to_front` and `to_rear` are the distances of the mass centre from the axles (m), `inertia` is that about
    the centre (kg m2). Rates (N/m) and damping (N s/m) act at the wheels, vertically.
    """

    mass: float
    inertia: float
    to_front: float
    to_rear: float
    front_rate: float
    rear_rate: float
    front_damping: float = 0.0
    rear_damping: float = 0.0

    @property
    def wheelbase(self) -> float:
        """m."""
        return self.to_front + self.to_rear


@dataclass(frozen=True)
class Tyres:
    """What stands under a body: unsprung masses (kg) and tyre stiffnesses (N/m)."""

    front_mass: float
    rear_mass: float
    front_stiffness: float
    rear_stiffness: float


@dataclass(frozen=True)
class Mode:
    """One way in which the body swings.

    `frequency` (Hz) is the undamped one and `damping` its ratio (1 is critical). `centre` (m) is where the
    body stands still, ahead of the mass centre where positive; infinite for pure heave. It is that of the
    undamped mode.
    """

    frequency: float
    damping: float
    centre: float


def dynamic_index(mass: Value, inertia: Value, to_front: Value, to_rear: Value) -> Value:
    """Return inertia over mass times both distances (dimensionless); at 1 the ends do not feel each other.

    Parameters
    ----------
    mass, inertia : float
        kg, kg m2.
    to_front, to_rear : float
        m.

    Returns
    -------
    float
        Dimensionless.

    Notes
    -----
    Source: Gillespie, *Fundamentals of Vehicle Dynamics*, ch. 5, "pitch and bounce" (from memory; derived
    again).

    Examples
    --------
    >>> dynamic_index(80.0, 24.0, 0.6, 0.5)
    1.0
    """
    return inertia / (mass * to_front * to_rear)


def modes(body: PitchBody, tyres: Tyres | None = None) -> tuple[Mode, Mode]:
    """Return the two modes of the body, the slower first; through the tyres where they are given.

    Parameters
    ----------
    body : PitchBody
    tyres : Tyres, optional
        Without them the wheels follow the ground.

    Returns
    -------
    tuple of Mode

    Raises
    ------
    Unphysical
        If a mass, distance or rate is not above zero.

    Notes
    -----
    Source: Lagrange's equations of the linear system (derived). Without tyres the mass matrix is diag(m, I)
    and the stiffness ``[[kf + kr, kf a - kr b], [kf a - kr b, kf a**2 + kr b**2]]``, a to the front, b to the
    rear, pitch nose-up. With tyres the wheels' two heights are added. The damping ratio of a mode y is
    ``y'Cy / (2 w y'My)``, exact where the modes do not exchange energy through damping (Rayleigh, *The Theory
    of Sound*, vol. 1, sec. 97; from memory).
    """
    _check(body)
    mass, damping, stiffness = _matrices(body, tyres)
    squares, shapes = _undamped(mass, stiffness)
    found = []
    for square, shape in zip(squares[:2], shapes.T[:2], strict=True):
        pace = float(np.sqrt(square))
        ratio = float(shape @ damping @ shape) / (2.0 * pace * float(shape @ mass @ shape))
        found.append(Mode(pace / (2.0 * np.pi), ratio, _centre(float(shape[0]), float(shape[1]))))
    return found[0], found[1]


def end_frequency(rate: Value, mass: Value) -> Value:
    """Return the undamped frequency of one end alone.

    Parameters
    ----------
    rate : float
        At the wheel, N/m.
    mass : float
        What the end carries, kg.

    Returns
    -------
    float
        Hz.

    Notes
    -----
    Source: one mass on one spring, any textbook of vibration.

    Examples
    --------
    >>> round(float(end_frequency(10e3, 40.0)), 3)
    2.516
    """
    return np.sqrt(rate / mass) / (2.0 * np.pi)


def end_damping_ratio(damping: Value, rate: Value, mass: Value) -> Value:
    """Return the damping ratio of one end alone.

    Parameters
    ----------
    damping : float
        At the wheel, N s/m.
    rate, mass
        As for `end_frequency`.

    Returns
    -------
    float
        Dimensionless; 1 is critical.

    Notes
    -----
    Source: one mass on spring and damper, any textbook of vibration.

    Examples
    --------
    >>> round(float(end_damping_ratio(632.5, 10e3, 40.0)), 3)
    0.5
    """
    return damping / (2.0 * np.sqrt(rate * mass))


def wheelbase_filter(wheelbase: Value, wavelength: Value) -> tuple[Value, Value]:
    """Return what a wave on the ground leaves for heave and for pitch of a symmetric body, 0 to 1.

    Parameters
    ----------
    wheelbase, wavelength : float or array
        m.

    Returns
    -------
    heave, pitch : float or array
        Height of the mean of both wheels, and half the difference of both, over the wave's amplitude.

    Notes
    -----
    Source: Gillespie, *Fundamentals of Vehicle Dynamics*, ch. 5, "wheelbase filtering" (from memory); the two
    wheels are ``exp(i pi L/W)`` and ``exp(-i pi L/W)`` of the wave at the middle, so ``|cos|`` and ``|sin|``.

    Examples
    --------
    >>> heave, pitch = wheelbase_filter(1.2, 1.2)
    >>> round(float(heave), 6), round(float(pitch), 6)
    (1.0, 0.0)
    """
    phase = np.pi * wheelbase / wavelength
    return np.abs(np.cos(phase)), np.abs(np.sin(phase))


def _check(body: PitchBody) -> None:
    values = (body.mass, body.inertia, body.to_front, body.to_rear, body.front_rate, body.rear_rate)
    if not (np.all(np.isfinite(values)) and min(values) > 0.0):
        raise Unphysical("masses, distances and rates of a body on two wheels must all be above zero")


def _matrices(body: PitchBody, tyres: Tyres | None) -> tuple[Array, Array, Array]:
    """Mass, damping and stiffness for (heave, pitch nose-up, front wheel, rear wheel)."""
    count = 2 if tyres is None else 4
    front = np.array([1.0, body.to_front, -1.0, 0.0])[:count]
    rear = np.array([1.0, -body.to_rear, 0.0, -1.0])[:count]
    mass = np.diag([body.mass, body.inertia])
    if tyres is not None:
        mass = np.diag([body.mass, body.inertia, tyres.front_mass, tyres.rear_mass])
    damping = body.front_damping * np.outer(front, front) + body.rear_damping * np.outer(rear, rear)
    stiffness = body.front_rate * np.outer(front, front) + body.rear_rate * np.outer(rear, rear)
    if tyres is not None:
        stiffness = stiffness + np.diag([0.0, 0.0, tyres.front_stiffness, tyres.rear_stiffness])
    return mass, damping, stiffness


def _undamped(mass: Array, stiffness: Array) -> tuple[Array, Array]:
    """Squares of the undamped angular frequencies, rising (1/s2), and their shapes in columns."""
    from scipy.linalg import eigh

    values, shapes = eigh(stiffness, mass)
    return np.asarray(values), np.asarray(shapes)


def _centre(heave: float, pitch: float) -> float:
    """Where a swinging body stands still, m ahead of its mass centre."""
    return -heave / pitch if abs(pitch) > _LEAST_ROTATION * abs(heave) else np.inf
