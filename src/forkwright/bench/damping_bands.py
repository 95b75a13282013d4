"""Tolerance bands of a damping curve: the same speeds for dampers drawn from the callipers' tolerances."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import ArrayLike

from forkwright.bench.bands import Band, band_of
from forkwright.bench.damper_setup import built_model, checked_position, checked_speeds, damper_of
from forkwright.bench.damping import WORKSHOP_OIL, DampingCurve, curve_of
from forkwright.bench.stack_maps import COARSE
from forkwright.hardware import Setting, Unit, check_setting, drawn, measures, replaced
from forkwright.physics import P0, Unphysical
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.values import Array


def damping_bands(
    unit: Unit,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    *,
    position: float | None = None,
    ambient_pressure: float = P0,
    draws: int = 200,
    seed: int = 1,
    fields: tuple[str, ...] = ("force",),
    progress: Callable[[float], None] | None = None,
) -> dict[str, Band]:
    """Return bands of `DampingCurve` fields over the speeds, from the tolerances of every measure.

    Parameters
    ----------
    unit, setting, oil_temperature, speeds, position, ambient_pressure
        As in `damping_curve` (K, m/s, m, Pa absolute).
    draws : int
        Units drawn; each solves its own shim stacks.
    seed : int
        The same seed gives the same bands.
    fields : tuple of str
        Fields of `DampingCurve`.
    progress : callable, optional
        Told the share done, 0 to 1; it may raise to cancel.

    Returns
    -------
    dict of str to Band
        By field; arrays of shape (n,), in the field's SI unit.

    Notes
    -----
    Source: Monte-Carlo propagation, JCGM 101:2008, clause 7. A draw that cannot exist (a shim as narrow as
    its clamp, say) is left out.
    """
    setting = unit.setting if setting is None else setting
    speed = checked_speeds(speeds)
    rows: dict[str, list[Array]] = {name: [] for name in fields}
    check_setting(unit, setting)
    place = checked_position(unit, position)
    for number, one in enumerate(drawn_dampers(unit, draws, seed), start=1):
        curve = _drawn_curve(one, setting, oil_temperature, speed, place, ambient_pressure)
        if curve is not None:
            for name, found in rows.items():
                found.append(getattr(curve, name))
        if progress is not None:
            progress(number / draws)
    if not rows[fields[0]]:
        raise Unphysical("no draw from the tolerances gives a damper that can exist")
    return {name: band_of(np.array(found).T.copy()) for name, found in rows.items()}


def drawn_dampers(unit: Unit, draws: int, seed: int) -> Iterator[Unit]:
    """Yield units whose damper's measures are drawn from their tolerances, one draw each."""
    damper = damper_of(unit)
    many = measures(drawn(damper, draws, seed))
    values = {path: np.ravel(measure.si) for path, measure in many.items() if np.size(measure.si) > 1}
    for number in range(draws):
        one = replaced(damper, {path: float(found[number]) for path, found in values.items()})
        yield unit.model_copy(update={"damper": one})


def _drawn_curve(
    unit: Unit, setting: Setting, oil_temperature: float, speed: Array, place: float, ambient: float
) -> DampingCurve | None:
    """Return one draw's curve without asking its shims for stress; None if such a damper cannot exist."""
    try:
        model = built_model(unit, setting, oil_temperature, place, ambient, fineness=COARSE)
        state = steady_state(model.circuit, speed)
    except Unphysical:
        return None
    return curve_of(unit, model, state, oil_temperature, place, [])
