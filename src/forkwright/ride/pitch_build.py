"""From both ends of a bike and its masses to what the pitch-plane kernel needs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from forkwright.ride.options import DampingTable
from forkwright.ride.pitch_ends import FASTEST, WheelEnd
from forkwright.ride.pitch_layout import Layout
from forkwright.ride.pitch_options import PitchOptions

if TYPE_CHECKING:
    from forkwright.ride.pitch_kernel import PitchParameters

Array = NDArray[np.float64]

FRICTION_GIVE = 2.0e-4
"""How far a wheel moves before friction slips, m; own assumption (seals give before they slide)."""

_DAMPER_POINTS = 3201


def parameters_of(
    ends: tuple[WheelEnd, WheelEnd],
    layout: Layout,
    tyre_stiffness: float,
    options: PitchOptions,
    level: float,
) -> PitchParameters:
    """Return the kernel's parameters; `level` is the pitch at rest, rad."""
    from forkwright.ride.pitch_kernel import PitchParameters

    def both(name: str) -> Array:
        return np.array([getattr(end, name) for end in ends], np.float64)

    friction = both("friction")
    pace = 2.0 * np.pi * options.righting
    still = DampingTable(np.array([-FASTEST, 0.0, FASTEST]), np.zeros(3))
    tables = [(end.damping or still).evenly_spaced(FASTEST, _DAMPER_POINTS)[0] for end in ends]
    return PitchParameters(
        mass=layout.mass,
        inertia=layout.inertia,
        arm=np.array([layout.to_front, -layout.to_rear]),
        unsprung=np.array([layout.unsprung_front, layout.unsprung_rear]),
        tyre_stiffness=tyre_stiffness,
        tyre_loss=options.tyre.loss,
        full=both("full"),
        step=np.array([end.travel[1] for end in ends]),
        spring=both("spring"),
        stiffening=both("stiffening") if options.gas_time > 0.0 else np.zeros_like(friction),
        relaxation=1.0 / options.gas_time if options.gas_time > 0.0 else 0.0,
        lever=both("lever"),
        friction=friction,
        friction_rate=float(max(friction.max(), 1.0)) / FRICTION_GIVE,
        top_out=both("top_out"),
        stop=both("stop"),
        damper=np.array(tables),
        lowest_speed=-FASTEST,
        speed_step=2.0 * FASTEST / (_DAMPER_POINTS - 1),
        level=level,
        righting=layout.inertia * pace**2,
        righting_damping=2.0 * layout.inertia * pace,
        righting_limit=options.righting_limit if options.righting > 0.0 else 0.0,
    )
