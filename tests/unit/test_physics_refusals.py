"""What the physics refuses rather than answer: points and parts that nature would not give."""

from __future__ import annotations

import pytest

from forkwright.physics import Unphysical
from forkwright.physics.tyre import stiffness_from_points


@pytest.mark.parametrize("pressure", [1.4e5, 1.5e5, 1.9e5])
def test_two_stiffnesses_at_one_pressure_are_refused(pressure: float) -> None:
    """Between them the stiffness would rise without end."""
    with pytest.raises(Unphysical, match="one pressure"):
        stiffness_from_points(pressure, [(1.5e5, 7.0e4), (1.5e5, 7.2e4), (2.0e5, 9.0e4)])
