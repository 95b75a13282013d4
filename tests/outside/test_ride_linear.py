"""The ride's kernel against closed forms of the linear two-mass system.

Sources: derived (Lyapunov equation and contour integrals, three ways agreeing); the parameter sets and
values are printed in the project's list of check values. A response to white noise is had from the response
to one step of the road by Parseval's theorem: the variance is 2 pi S0 times the integral of the squared
response to a unit step.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.linalg import solve_continuous_lyapunov

from forkwright.ride.kernel import run
from forkwright.ride.motion import motion
from forkwright.ride.parameters import RideParameters, defaults
from forkwright.ride.rest import rest
from forkwright.ride.state import State

pytestmark = pytest.mark.outside

G = 9.80665
LIGHT = (28.0, 3.0, 9000.0, 90000.0, 450.0)
HEAVY = (240.0, 36.0, 16000.0, 160000.0, 980.0)


def linear(m_s: float, m_u: float, k_s: float, k_t: float, c: float) -> RideParameters:
    reach = 8.0
    return defaults(m_s, m_u, k_t, 10.0)._replace(
        coil_rate=k_s,
        coil_force=m_s * G - 5.0 * k_s,  # at rest in the middle of a long travel
        damper_force=np.array([-c * reach, c * reach]),
        damper_lowest_speed=-reach,
        damper_speed_step=2.0 * reach,
    )


def white_noise_rms(m_s: float, m_u: float, k_s: float, k_t: float, c: float) -> tuple[float, float, float]:
    """Return rms of stroke, tyre deflection and sprung acceleration under unit white road velocity.

    The state is stroke, sprung speed, tyre deflection and wheel speed, compression and upwards positive; its
    covariance X solves ``A X + X A^T + b b^T = 0``.
    """
    body = np.array([k_s, -c, 0.0, c]) / m_s
    wheel = np.array([-k_s, c, k_t, -c]) / m_u
    a = np.array([[0.0, -1.0, 0.0, 1.0], body, [0.0, 0.0, 0.0, -1.0], wheel])
    b = np.array([[0.0], [0.0], [1.0], [0.0]])
    covariance = solve_continuous_lyapunov(a, -b @ b.T)
    return (
        float(np.sqrt(covariance[0, 0])),
        float(np.sqrt(covariance[2, 2])),
        float(np.sqrt(body @ covariance @ body)),
    )


def over(p: RideParameters, height: np.ndarray, rate: np.ndarray, step: float) -> np.ndarray:
    """Return travel, tyre force and sprung acceleration about rest, shape (n + 1, 3)."""
    road = np.column_stack((height, rate, np.full(height.size, G), np.zeros(height.size)))
    series = np.empty(((height.size - 1) // 2 + 1, 8))
    run(p, rest(p, 0.0, G, 0.0), road, step, series)
    at_rest = np.array([5.0, (p.sprung_mass + p.unsprung_mass) * G, 0.0])
    return series[:, [0, 4, 3]] - at_rest


def step_response(p: RideParameters, step: float = 2.0e-4, duration: float = 12.0) -> np.ndarray:
    """Return responses to a road step of 1 m, from one small enough to keep the tyre on the ground."""
    size = 1.0e-4
    count = int(duration / step)
    height = np.full(2 * count + 1, size)
    return over(p, height, np.zeros(height.size), step) / size


def variances(p: RideParameters, step: float = 2.0e-4) -> np.ndarray:
    """Return 2 pi times the integrals of the squared step responses: variances for S0 = 1 per rad/s."""
    response = step_response(p, step)
    weights = np.full(response.shape[0], step)
    weights[[0, -1]] *= 0.5
    return 2.0 * np.pi * (weights @ response**2)


def test_poles_of_the_linearised_motion(check: Callable[..., None]) -> None:
    """The eigenvalues of the kernel's own motion are the textbook poles of two masses."""
    p = linear(*LIGHT)
    at = rest(p, 0.0, G, 0.0)
    size = 1e-6

    def rate(values: np.ndarray) -> np.ndarray:
        state = State(*values, *at[4:])
        found, *_ = motion(p, state, 1.0, 0.0, 0.0, G, 0.0)
        return np.array(found[:4])

    base = np.array(at[:4])
    jacobian = np.column_stack(
        [(rate(base + size * e) - rate(base - size * e)) / (2.0 * size) for e in np.eye(4)]
    )
    poles = sorted((pole for pole in np.linalg.eigvals(jacobian) if pole.imag > 0.0), key=abs)
    expected = ((2.8130, 0.39835), (27.963, 0.43254))
    for pole, (frequency, ratio) in zip(poles, expected, strict=True):
        for name, value, got, unit in (
            ("pole frequency", frequency, abs(pole) / (2.0 * np.pi), "Hz"),
            ("damping ratio", ratio, -pole.real / abs(pole), ""),
        ):
            check(
                formula=f"two-mass {name}",
                source="characteristic polynomial of two masses (derived)",
                expected=value,
                got=got,
                tolerance=5e-5,
                unit=unit,
            )


def test_white_noise_response_of_a_light_wheel(check: Callable[..., None]) -> None:
    """Unit white road velocity gives the rms values of the Lyapunov equation."""
    stroke, tyre, acceleration = np.sqrt(variances(linear(*LIGHT)) / (2.0 * np.pi))
    for name, expected, got in zip(
        ("stroke", "tyre deflection", "sprung acceleration"),
        white_noise_rms(*LIGHT),
        (stroke, tyre / LIGHT[3], acceleration),
        strict=True,
    ):
        check(
            formula=f"white-noise rms {name}, 28/3 kg",
            source="Lyapunov equation, solved by SciPy",
            expected=expected,
            got=got,
            tolerance=2e-3,
            unit="SI",
        )


def test_white_noise_response_of_a_heavy_wheel(check: Callable[..., None]) -> None:
    """The closed forms of Parseval's integrals hold for another set of masses."""
    stroke, tyre, acceleration = np.sqrt(6.433981754551896e-5 * variances(linear(*HEAVY), 4.0e-4))
    for name, expected, got, unit in (
        ("stroke", 7.54495e-3, stroke, "m"),
        ("tyre force", 455.5799, tyre, "N"),
        ("sprung acceleration", 0.8962405, acceleration, "m/s2"),
    ):
        check(
            formula=f"white-noise rms {name}, 240/36 kg",
            source="closed form pi S0 M/c and its kin (derived three ways)",
            expected=expected,
            got=got,
            tolerance=2e-3,
            unit=unit,
        )


@pytest.mark.parametrize("frequency", [1.0, 2.8, 8.0, 28.0])
def test_transmissibility_of_a_sine_road(frequency: float, check: Callable[..., None]) -> None:
    """A sine road is passed on to the bike by the closed-form share."""
    m_s, m_u, k_s, k_t, c = LIGHT
    p, step, size = linear(*LIGHT), 2.0e-4, 5.0e-5
    w = 2.0 * np.pi * frequency
    time = 0.5 * step * np.arange(2 * int(6.0 / step) + 1)
    response = over(p, size * np.sin(w * time), size * w * np.cos(w * time), step)
    late = time[::2] > 3.0
    parts = np.column_stack((np.sin(w * time[::2]), np.cos(w * time[::2])))[late]
    amplitude = np.hypot(*np.linalg.lstsq(parts, response[late, 2], rcond=None)[0]) / (size * w**2)
    s = 1j * w
    link = k_s + c * s
    body = link * k_t / ((m_s * s**2 + link) * (m_u * s**2 + link + k_t) - link**2)
    check(
        formula=f"transmissibility of the sprung mass at {frequency:g} Hz",
        source="transfer function of two masses, any vibration textbook (derived)",
        expected=abs(body),
        got=amplitude,
        tolerance=2e-3,
    )


@pytest.mark.slow
def test_white_noise_ridden_through(check: Callable[..., None]) -> None:
    """Riding over drawn white noise for long gives the same rms within its scatter (1 %)."""
    p, step, intensity = linear(*LIGHT), 5.0e-4, 1.0e-6
    rng = np.random.default_rng(7)
    count, dt = 6_000_000, 0.5 * step
    speed = rng.standard_normal(2 * count) * np.sqrt(intensity / dt)
    height = np.concatenate(([0.0], np.cumsum(speed) * dt))
    found = over(p, height, np.concatenate((speed, [0.0])), step).std(axis=0) / np.sqrt(intensity)
    stroke, tyre, acceleration = white_noise_rms(*LIGHT)
    for name, expected, got in zip(
        ("stroke", "tyre force", "sprung acceleration"),
        (stroke, tyre * LIGHT[3], acceleration),
        found,
        strict=True,
    ):
        check(
            formula=f"rms {name} over fifty minutes of drawn white noise, 28/3 kg",
            source="Lyapunov equation, solved by SciPy",
            expected=expected,
            got=got,
            tolerance=0.01,
            unit="SI",
        )
