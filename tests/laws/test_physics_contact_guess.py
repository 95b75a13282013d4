"""One contact problem solved from a guess of who touches: right from any guess, and seldom the long way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forkwright.physics import shim_path, shims
from forkwright.physics.shim_path import contact_forces
from forkwright.physics.shim_stack import Shim, ShimLoad, ShimStack


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), size=st.integers(1, 40))
def test_any_guess_gives_forces_and_gaps_of_which_neither_is_negative_and_one_is_zero(
    seed: int, size: int
) -> None:
    """The conditions of one-sided contact hold, wherever the search began."""
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(size, size + 3))
    compliance = root @ root.T
    gap = rng.normal(size=size)
    force = contact_forces(compliance, gap, rng.random(size) < rng.random())
    left = compliance @ force + gap
    assert force.min() >= 0.0
    assert left.min() > -1e-6 * np.abs(gap).max()
    assert np.abs(force * left).max() < 1e-6 * max(force.max() * np.abs(gap).max(), 1e-12)


def test_a_long_taper_that_stretches_is_seldom_walked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twenty unlike discs are settled by trying who touches; the long way is for the first step."""
    walks = []
    walk = shim_path.trace_contacts
    monkeypatch.setattr(shim_path, "trace_contacts", lambda *a: (walks.append(a), walk(*a))[1])
    discs = tuple(Shim(outer_radius=(20.0 - 0.47 * i) / 2e3, thickness=5e-5) for i in range(20))
    stack = ShimStack(discs, bore_radius=3e-3, clamp_radius=4.5e-3, youngs_modulus=206e9, poisson=0.3)
    load = ShimLoad(inner_radius=5e-3, outer_radius=8.6e-3)
    shims.opening(stack, load, 9e-3, np.array([2e6]), stiffening=True)
    assert len(walks) <= 2
