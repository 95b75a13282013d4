"""A shim stack by itself, from its own file: how far it opens, and what each disc then bears."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from forkwright.bench.stack_maps import stretch_words
from forkwright.hardware.shim_parts import as_stack
from forkwright.hardware.stack import StackFile
from forkwright.physics.shims import ShimOpening, opening
from forkwright.physics.values import Array

#: Pa, where none are asked for.
USUAL_PRESSURES = np.linspace(0.0, 20e5, 41)


def loose_stack(
    file: StackFile, pressures: Array = USUAL_PRESSURES, *, stiffening: bool = False
) -> ShimOpening:
    """Return the opening at the seat, the stress and the contacts of a stack.

    Parameters
    ----------
    file : StackFile
    pressures : array, shape (p,)
        Pressure differences, Pa, none below zero.
    stiffening : bool
        Let the discs stretch as well as bend. Without it, a stack that bends far is also worked out
        stretched at its last pressure, and a warning says how far that is off.

    Returns
    -------
    ShimOpening
        Lists over the pressures, SI.

    Raises
    ------
    Unphysical
        As `forkwright.physics.shims.opening`.

    Notes
    -----
    Source: as `forkwright.physics.shims.opening`.
    """
    discs, load, seat = as_stack(file)
    parts: dict[str, Any] = {"fulcrum": file.fulcrum_part(), "backing_spring": file.spring_part()}
    found = opening(discs, load, seat, pressures, stiffening=stiffening, **parts)
    if stiffening or not found.lifts_far:
        return found
    stretched = opening(discs, load, seat, found.pressure[-1:], stiffening=True, **parts)
    return replace(found, warnings=(*found.warnings, stretch_words(found, stretched)))


def loose_stack_answer(found: ShimOpening) -> dict[str, object]:
    """Return the published shape of an answer: lists of equal length, SI.

    Parameters
    ----------
    found : ShimOpening

    Returns
    -------
    dict
        By the keys of ``forkwright shims --json``.
    """
    return {
        "pressure_Pa": found.pressure,
        "opening_m": found.opening,
        "stress_Pa": found.stress,
        "seat_reaction_N": found.seat_reaction,
        "stiffening_share": found.stiffening_share,
        "warnings": list(found.warnings),
    }
