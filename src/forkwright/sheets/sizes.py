"""What the drawing needs to know of a unit, in millimetres, read off its measured parts.

The drawing shows the mean of every measured size. A size that the file does not give is filled with a stated
assumption, so that the drawing never passes a guess off as a measurement.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

MILLI = 1e3
CUBIC = 1e9


@dataclass(frozen=True)
class ChassisSize:
    """Tubes and bushings (mm); `lower_air` is the lower-leg air at full extension (mm³), if it is given."""

    stanchion_outer: float
    stanchion_wall: float
    axle_to_lower_bushing: float
    bushing_spacing: float
    lower_air: float | None = None
    leg_spacing: float = 144.0


@dataclass(frozen=True)
class AirSize:
    """The air spring (mm, mm³).

    The secondary chamber is absent when `floating_bore` is 0; `negative_coil` is the length of a coil that
    stands in for the negative chamber, 0 without one.
    """

    bore: float
    shaft: float
    positive_volume: float
    negative_volume: float
    transfer: float | None
    spacer_volume: float = 0.0
    spacers: int = 0
    spacer_limit: int = 0
    floating_bore: float = 0.0
    secondary_bore: float = 0.0
    floating_volume: float = 0.0
    negative_coil: float = 0.0

    @property
    def area(self) -> float:
        """Piston area (mm²)."""
        return math.pi / 4 * self.bore**2

    @property
    def negative_area(self) -> float:
        """Piston area less the shaft's (mm²)."""
        return self.area - math.pi / 4 * self.shaft**2


@dataclass(frozen=True)
class DamperSize:
    """The damper (mm, mm³). The reservoir's piston moves up as the shaft goes in."""

    tube_bore: float
    shaft: float
    reservoir_bore: float
    reservoir_backing: str = "gas"  # "gas", "spring" or "bladder"
    compression_volume: float = 0.0  # mm³; 0 where the file does not give it
    shaft_volume: float = 0.0
    reservoir_oil: float = 0.0
    gas_volume: float = 0.0
    mount: str = ""  # "inline", "piggyback", or not told


@dataclass(frozen=True)
class UnitSize:
    """Everything the drawing takes from one unit at one setting; lengths in mm."""

    kind: str
    name: str
    travel: float
    chassis: ChassisSize
    air: AirSize | None
    bottom_out: float
    damper: DamperSize | None
    coil_length: float = 0.0  # at full extension, preload taken off; 0 where the file does not give it
    coil_diameter: float = 0.0  # over the wire's middle; 0 where the file does not give it
    notes: tuple[str, ...] = ()
    damper_notes: tuple[str, ...] = ()


def sizes_of(unit: Any, setting: Any = None) -> UnitSize:
    """Read the drawing's sizes off a hardware unit at a setting (by default the one in its file).

    Parameters
    ----------
    unit : forkwright.hardware.Unit
        The measured unit.
    setting : forkwright.hardware.Setting, optional
        Gives the number of volume spacers.

    Returns
    -------
    UnitSize
        Lengths in mm, volumes in mm³, with a note for each assumed size.
    """
    notes: list[str] = []
    travel = _mm(unit.travel)
    air = _air(unit, setting or unit.setting)
    damper_notes: list[str] = []
    damper = _damper(unit, damper_notes)
    return UnitSize(
        kind=str(unit.kind),
        name=str(unit.name),
        travel=travel,
        chassis=_chassis(unit, travel, air, notes),
        air=air,
        bottom_out=_mm(_dig(unit, "bumpers", "bottom_out", "length")),
        damper=damper,
        coil_length=_coil_length(unit, setting or unit.setting),
        coil_diameter=_mm(_dig(unit, "coil_spring", "mean_diameter")),
        notes=tuple(notes),
        damper_notes=tuple(damper_notes),
    )


def _chassis(unit: Any, travel: float, air: AirSize | None, notes: list[str]) -> ChassisSize:
    lower_air = _si(_dig(unit, "lower_legs", "air_volume"))
    volume = None if lower_air is None else lower_air * CUBIC
    chassis = unit.chassis
    bore = air.bore if air else 30.0
    assumed = {
        "stanchion_outer": bore + 4.0,
        "stanchion_wall": 2.0,
        "axle_to_lower_bushing": travel + 75.0,
        "bushing_spacing": 0.9 * travel,
        "leg_spacing": 144.0,
    }
    given = {key: _mm(_dig(chassis, key)) for key in assumed}
    lacking = [key.replace("_", " ") for key, value in given.items() if not value]
    if lacking and unit.kind == "fork":
        notes.append(f"Not in the file, so drawn as assumed: {', '.join(lacking)}.")
    sizes = {key: given[key] or assumed[key] for key in assumed}
    if air and 2 * sizes["stanchion_wall"] + air.bore > sizes["stanchion_outer"]:
        notes.append("Bore and two walls are wider than the stanchion: its wall is drawn from the bore.")
    return ChassisSize(lower_air=volume, **sizes)


def _air(unit: Any, setting: Any) -> AirSize | None:
    spring = unit.air_spring
    if spring is None:
        return None
    spacers = _dig(spring, "spacers")
    floating = _dig(spring, "floating")
    return AirSize(
        bore=_mm(spring.bore),
        shaft=_mm(spring.shaft),
        positive_volume=_mm3(spring.positive_volume),
        negative_volume=_mm3(_dig(spring, "negative_volume")),
        transfer=None if _dig(spring, "transfer") is None else _mm(spring.transfer),
        spacer_volume=_mm3(_dig(spacers, "volume")),
        spacers=int(_dig(setting, "spacers") or 0),
        spacer_limit=int(_dig(spacers, "max_count") or 0),
        floating_bore=_mm(_dig(floating, "bore")),
        secondary_bore=_mm(_dig(floating, "secondary_bore")) or _mm(_dig(floating, "bore")),
        floating_volume=_mm3(_dig(floating, "volume")),
        negative_coil=_mm(_dig(spring, "negative_coil", "length")),
    )


def _damper(unit: Any, notes: list[str]) -> DamperSize | None:
    damper = unit.damper
    if damper is None:
        return None
    tube, shaft = _mm(damper.tube), _mm(damper.shaft)
    bore = _mm(_dig(damper, "reservoir", "bore"))
    if not bore:
        notes.append("The file gives no reservoir bore: the reservoir is drawn as wide as the damper tube.")
    volumes = {
        key: _mm3(_dig(damper, key)) for key in ("compression_volume", "shaft_volume", "reservoir_oil")
    }
    lacking = [key.replace("_", " ") for key, volume in volumes.items() if not volume]
    if lacking:
        notes.append(f"Damper lengths drawn as assumed, since not in the file: {', '.join(lacking)}.")
    return DamperSize(
        tube_bore=tube,
        shaft=shaft,
        reservoir_bore=bore or tube,
        reservoir_backing=str(_dig(damper, "reservoir", "kind") or "gas"),
        gas_volume=_mm3(_dig(damper, "reservoir", "volume")),
        mount=str(_dig(damper, "reservoir", "mount") or ""),
        **volumes,
    )


def _coil_length(unit: Any, setting: Any) -> float:
    """The main coil's length at full extension (mm): free length less preload; 0 where it is not given."""
    length = _mm(_dig(unit, "coil_spring", "free_length"))
    preload = _dig(setting, "preload") or _dig(unit, "coil_spring", "preload")
    return max(length - _mm(preload), 0.0)


def _dig(thing: Any, *names: str) -> Any:
    """Follow attribute names; None as soon as one is missing."""
    for name in names:
        if thing is None:
            return None
        thing = getattr(thing, name, None)
    return thing


def _si(measure: Any) -> float | None:
    return None if measure is None else float(getattr(measure, "si", measure))


def _mm(measure: Any) -> float:
    return (_si(measure) or 0.0) * MILLI


def _mm3(measure: Any) -> float:
    return (_si(measure) or 0.0) * CUBIC
