"""Plain sentences about a comparison. Every one is computed from its figures; none is said in general."""

from __future__ import annotations

import numpy as np

from forkwright.bench.rear_sag import WheelSag
from forkwright.hardware import Setting
from forkwright.sheets.compare_charts import both_names
from forkwright.tune.compare import Comparison
from forkwright.units import UnitChoice, show

ALIKE = 0.005  # a half per cent is not worth a "more"


def summary_sentences(comparison: Comparison, units: UnitChoice) -> tuple[str, ...]:
    """Return what a technician would say first about the two, in the order it matters.

    Parameters
    ----------
    comparison : Comparison
        From `forkwright.tune.compare.compare`.
    units : UnitChoice
        Units the numbers are written in.
    """
    return (
        _sag(comparison, units),
        _beyond(comparison, units),
        _ramp(comparison, units),
        _energy(comparison, units),
        _support(comparison),
        *nearest_sentences(comparison, units)[:1],
    )


def nearest_sentences(comparison: Comparison, units: UnitChoice) -> tuple[str, ...]:
    """Return how B comes nearest to A, and what remains; nothing where B has nothing to set."""
    (a, b), near = both_names(comparison), comparison.nearest
    said = []
    if near is not None:
        said.append(
            f"{b} comes nearest to {a} with {setting_words(near.setting, units)}: "
            f"{show(near.rms, 'force', units)} remain on average, at most "
            f"{show(abs(near.worst), 'force', units)} {'more' if near.worst > 0 else 'less'} "
            f"at {show(near.worst_at, 'length', units)} of travel "
            f"({near.tried} settings tried)."
        )
    if comparison.equal_sag is not None:
        said.append(
            f"For the same sag as {a}, {b} needs "
            f"{setting_words(comparison.equal_sag, units)} in its own build."
        )
    if comparison.nearest_side is not None:
        side = comparison.nearest_side
        said.append(
            f"At its nearest setting {b} sags {show(float(side.sag.middle), 'length', units)} "
            f"and takes {show(side.figures.energy, 'energy', units)} to bottom out."
        )
    return tuple(said)


def wheel_sentences(
    comparison: Comparison, wheel: tuple[WheelSag, ...], units: UnitChoice
) -> tuple[str, ...]:
    """Return where the rear wheel rests on each of two shocks; nothing where `wheel` is empty."""
    return tuple(
        f"{name} at the wheel under {show(one.wheel_load, 'force', units)}: sag "
        f"{show(one.middle, 'length', units)} ({one.middle / one.full:.0%} of "
        f"{show(one.full, 'length', units)}), leverage ratio there {one.ratio:.2f}."
        for name, one in zip(both_names(comparison), wheel, strict=False)
    )


def setting_words(setting: Setting, units: UnitChoice) -> str:
    """Return a spring setting in words.

    Examples
    --------
    >>> from forkwright.units import parse
    >>> setting_words(Setting(pressure=parse("85 psi", "pressure"), spacers=2), UnitChoice())
    '85.0 psi, 2 spacers'
    """
    parts = []
    if setting.pressure is not None:
        parts.append(show(setting.pressure.si, "pressure", units))
    if setting.floating is not None:
        parts.append(f"{show(setting.floating.si, 'pressure', units)} behind the floating piston")
    if setting.negative_pressure is not None:
        parts.append(f"{show(setting.negative_pressure.si, 'pressure', units)} in the negative chamber")
    if setting.preload is not None:
        parts.append(f"{show(setting.preload.si, 'length', units)} of preload")
    if setting.spacers:
        parts.append(f"{setting.spacers} spacer{'s' if setting.spacers > 1 else ''}")
    return ", ".join(parts) or "nothing set"


def _sag(comparison: Comparison, units: UnitChoice) -> str:
    a, b = comparison.a, comparison.b
    name_a, name_b = both_names(comparison)
    gap = float(b.sag.middle) - float(a.sag.middle)
    overlap = float(a.sag.low) <= float(b.sag.high) and float(b.sag.low) <= float(a.sag.high)
    sags = (
        f"{name_a} sags {show(float(a.sag.middle), 'length', units)} and "
        f"{name_b} {show(float(b.sag.middle), 'length', units)}"
    )
    if overlap:
        return f"{sags}; friction alone can hide the difference of {show(abs(gap), 'length', units)}."
    deeper = name_b if gap > 0 else name_a
    depth = show(abs(gap), "length", units)
    return f"{sags}: {deeper} sits deeper by {depth}, more than friction hides."


def _beyond(comparison: Comparison, units: UnitChoice) -> str:
    difference = comparison.difference
    if not difference.stretches:
        return "Nowhere in the travel do the two springs differ by more than the measuring tolerances allow."
    stretches = ", ".join(
        f"{show(low, 'length', units)} to {show(high, 'length', units)}" for low, high in difference.stretches
    )
    beyond = np.flatnonzero(difference.beyond)
    place = int(beyond[np.abs(difference.force[beyond]).argmax()])
    force = float(difference.force[place])
    name_a, name_b = both_names(comparison)
    stiffer = name_b if force > 0 else name_a
    return (
        f"The springs differ by more than the measuring tolerances from {stretches}; most at "
        f"{show(float(difference.travel[place]), 'length', units)}, where {stiffer} pushes back "
        f"{show(abs(force), 'force', units)} harder."
    )


def _ramp(comparison: Comparison, units: UnitChoice) -> str:
    name_a, name_b = both_names(comparison)
    forces = comparison.a.figures.end_force, comparison.b.figures.end_force
    a, b = (show(force, "force", units) for force in forces)
    return f"At full travel {name_a} pushes back with {a} and {name_b} with {b}{_more(*forces)}."


def _energy(comparison: Comparison, units: UnitChoice) -> str:
    name_a, name_b = both_names(comparison)
    energies = comparison.a.figures.energy, comparison.b.figures.energy
    a, b = (show(energy, "energy", units) for energy in energies)
    return f"Bottoming {name_a} out slowly takes {a}, {name_b} {b}{_more(*energies)}."


def _support(comparison: Comparison) -> str:
    a, b = comparison.a.figures.midstroke_support, comparison.b.figures.midstroke_support
    name_a, name_b = both_names(comparison)
    if a <= 0.0 or b <= 0.0:
        return "Midstroke support has no meaning here: one of the two carries nothing at 30 % of its travel."
    if abs(b / a - 1.0) < ALIKE:
        return f"Both firm up alike through the middle: midstroke support {a:.3f} and {b:.3f}."
    firmer = name_b if b > a else name_a
    return (
        f"{firmer} firms up more through the middle: "
        f"midstroke support {a:.3f} ({name_a}) and {b:.3f} ({name_b})."
    )


def _more(a: float, b: float) -> str:
    """Return ", 12 % more" from a to b; nothing where they are alike or a is no base for a share."""
    if a <= 0.0 or abs(b / a - 1.0) < ALIKE:
        return ""
    share = 100.0 * (b / a - 1.0)
    return f", {abs(share):.0f} % {'more' if share > 0 else 'less'}"
