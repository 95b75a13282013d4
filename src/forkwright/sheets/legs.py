"""Whole drawings: the air-spring leg, the damper leg, the chassis with both, and a shock."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from forkwright.sheets.geometry import Layout, Part, rect, shifted
from forkwright.sheets.leg_air import (
    SEAL_HEAD,
    AirColumn,
    air_column,
    air_column_length,
    air_piston,
    seal_head,
)
from forkwright.sheets.leg_damper import damper_column, damper_column_length, reservoir_ratio
from forkwright.sheets.leg_shell import (
    AXLE,
    CROWN_BOTTOM,
    axle_stub,
    bottom_out_bumper,
    least_stanchion,
    leg_shell,
    shaft_parts,
)
from forkwright.sheets.shock import shock
from forkwright.sheets.sizes import DamperSize, UnitSize, sizes_of

HEAD_TO_END = 4.0
STEERER = 28.6


def spring_leg(unit: Any, setting: Any = None) -> Layout:
    """Lay out the air-spring leg of a fork (or the whole shock) at full extension.

    Parameters
    ----------
    unit : forkwright.hardware.Unit
        The measured unit.
    setting : forkwright.hardware.Setting, optional
        Gives the number of spacers; by default the setting in the file.
    """
    size = sizes_of(unit, setting)
    if size.kind == "shock":
        return shock(size)
    parts, notes, outer, axle = _spring_side(size)
    return Layout((*parts, *axle_stub(outer, axle)), size.travel, notes=(*size.notes, *notes))


def damper_leg(unit: Any, setting: Any = None) -> Layout | None:
    """Lay out the damper leg of a fork (or the whole shock) at full extension; None without damper sizes."""
    size = sizes_of(unit, setting)
    if size.damper is None:
        return None
    if size.kind == "shock":
        return shock(size)
    parts, notes, outer, axle = _damper_side(size, size.damper)
    ratio = reservoir_ratio(size.damper)
    said = (*size.notes, *size.damper_notes, *notes)
    return Layout((*parts, *axle_stub(outer, axle)), size.travel, ratio, said)


def chassis(unit: Any, setting: Any = None) -> Layout:
    """Lay out both legs of a fork with crown, steerer and axle (a shock is drawn alone)."""
    size = sizes_of(unit, setting)
    if size.kind == "shock":
        return shock(size)
    half = size.chassis.leg_spacing / 2
    left, notes, outer, axle = _spring_side(size)
    more: tuple[str, ...]
    ratio = 0.0
    if size.damper is None:
        right, more = _empty_side(size), ("The file gives no damper sizes: its leg is drawn empty.",)
    else:
        right, more, _, _ = _damper_side(size, size.damper)
        ratio = reservoir_ratio(size.damper)
    radius = size.chassis.stanchion_outer / 2
    parts = (
        *_crown_bridge(half, radius),
        *shifted(_kept(left), -half, "spring-"),
        *shifted(_kept(right, damper=True), half, "damper-"),
        rect("axle", "Axle", "steel", half + outer + 6.0, axle - AXLE / 2, axle + AXLE / 2,
             moves="lowers", side="right"),
    )  # fmt: skip
    return Layout(
        parts, size.travel, ratio, tuple(dict.fromkeys((*size.notes, *size.damper_notes, *notes, *more)))
    )


def _stanchion_length(size: UnitSize) -> float:
    needs = [least_stanchion(size.chassis, size.travel)]
    if size.air is not None:
        needs.append(air_column_length(size.air) + HEAD_TO_END)
    if size.damper is not None:
        needs.append(damper_column_length(size.damper, size.travel) + HEAD_TO_END)
    return max(needs)


def _spring_side(size: UnitSize) -> tuple[tuple[Part, ...], tuple[str, ...], float, float]:
    stanchion = _stanchion_length(size)
    column = _column(size, stanchion)
    air = size.air
    shaft = air.shaft if air else 10.0
    bore = air.bore / 2 if air else size.chassis.stanchion_outer / 2 - size.chassis.stanchion_wall
    shell = leg_shell(size.chassis, size.travel, stanchion, shaft, column.seal_head_bottom, bore)
    parts = (
        *shell.behind,
        *column.parts,
        *bottom_out_bumper(shaft, size.bottom_out, column.seal_head_bottom, size.travel),
        *shaft_parts(shaft, column.piston_bottom, shell.floor),
        *(air_piston(air, column.piston_bottom) if air else ()),
        *seal_head(bore, column.seal_head_bottom),
        *shell.front,
    )
    return _transfer_last(parts), shell.notes, shell.outer, shell.axle


def _column(size: UnitSize, stanchion: float) -> AirColumn:
    """The inside of the spring leg: the air spring, or a coil between a top seat and a seat on the shaft."""
    if size.air is not None:
        return air_column(size.air, size.travel, size.chassis.stanchion_outer)
    bottom = stanchion - HEAD_TO_END
    radius = size.chassis.stanchion_outer / 2 - size.chassis.stanchion_wall
    seat = bottom - SEAL_HEAD - 20.0
    parts = (
        rect("top-cap", "Top cap", "alloy", radius, -6.0, 14.0, side="left"),
        rect("coil-space", "", "void", radius, 14.0, bottom - SEAL_HEAD),
        Part("main-coil", "Main coil", "steel", "coil", ((-radius * 0.9, 14.0), (radius * 0.9, seat)),
             "still", "lowers", "", "left"),
        rect("coil-seat", "Coil seat", "alloy", radius * 0.95, seat, seat + 6.0,
             moves="lowers", side="right"),
    )  # fmt: skip
    return AirColumn(parts, bottom, seat + 6.0)


def _damper_side(
    size: UnitSize, damper: DamperSize
) -> tuple[tuple[Part, ...], tuple[str, ...], float, float]:
    stanchion = _stanchion_length(size)
    head_bottom = stanchion - HEAD_TO_END
    column = damper_column(damper, size.travel, head_bottom)
    bore = size.chassis.stanchion_outer / 2 - size.chassis.stanchion_wall
    shell = leg_shell(
        size.chassis, size.travel, stanchion, damper.shaft, head_bottom, bore, "lower_leg_damper"
    )
    parts = (
        *shell.behind,
        rect("around-damper", "", "void", bore, 0.0, head_bottom),
        rect("adjuster", "Adjuster", "alloy", 7.0, -16.0, -6.0, side="left"),
        rect("adjuster-stem", "", "steel", 1.5, -6.0, column.top),
        rect("damper-top-cap", "Top cap", "alloy", bore, -6.0, min(8.0, column.top), side="left"),
        *column.parts,
        *shaft_parts(damper.shaft, column.piston_bottom, shell.floor),
        *column.piston,
        *seal_head(bore, head_bottom),
        *shell.front,
    )
    return tuple(parts), shell.notes, shell.outer, shell.axle


def _empty_side(size: UnitSize) -> tuple[Part, ...]:
    stanchion = _stanchion_length(size)
    bore = size.chassis.stanchion_outer / 2 - size.chassis.stanchion_wall
    shell = leg_shell(size.chassis, size.travel, stanchion, 0.0, stanchion, bore, "lower_leg_damper")
    return (*shell.behind, rect("empty", "", "void", bore, 0.0, stanchion), *shell.front)


def _transfer_last(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """The transfer groove is cut into the wall, so it is painted over it."""
    return (
        *(part for part in parts if part.key != "transfer"),
        *(part for part in parts if part.key == "transfer"),
    )


def _kept(parts: tuple[Part, ...], *, damper: bool = False) -> list[Part]:
    """Labels of the chassis drawing: outside parts once; inside parts are named on the single legs."""
    named = {"stanchion-l", "crown-l"} if not damper else {
        "upper-bushing-r", "lower-bushing-r", "wiper-r", "lower-r",
    }  # fmt: skip
    return [part if part.key in named else replace(part, name="", side="none") for part in parts]


def _crown_bridge(half: float, radius: float) -> list[Part]:
    inner = half - radius - 9.0
    bridge = ((-inner, 6.0), (-STEERER, -12.0), (STEERER, -12.0), (inner, 6.0), (inner, 36.0), (-inner, 36.0))
    return [
        rect("steerer", "Steerer", "steel", STEERER / 2, -70.0, CROWN_BOTTOM - 12.0, side="left"),
        Part("crown-bridge", "", "casting", "polygon", bridge),
    ]
