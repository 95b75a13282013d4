"""Where the rear wheel rests on each of two shocks compared."""

from __future__ import annotations

from forkwright.bench.conditions import Conditions
from forkwright.bench.loads import rear_wheel_load
from forkwright.bench.rear_sag import WheelSag, wheel_sag
from forkwright.hardware import Bike, Rider
from forkwright.tune.compare import Comparison


def wheel_sags(found: Comparison, rider: Rider, bike: Bike, conditions: Conditions) -> tuple[WheelSag, ...]:
    """Return the sag of two shocks at the wheel.

    Parameters
    ----------
    found : Comparison
    rider : Rider
    bike : Bike
        With a leverage curve, where the units are shocks.
    conditions : Conditions
        Those the comparison was made in.

    Returns
    -------
    tuple of WheelSag
        Of A and of B; nothing for forks.

    Notes
    -----
    Source: none; the bench's own sag, asked once for each.
    """
    if found.a.unit.kind != "shock":
        return ()
    load = float(rear_wheel_load(rider, bike))
    return tuple(wheel_sag(side.unit, bike, load, side.setting, conditions) for side in (found.a, found.b))
