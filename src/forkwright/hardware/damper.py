"""The damper as measured: tube and shaft, oil, reservoir, and three valves.

`base_valve` lies between the compression chamber and the reservoir (its needle is the low-speed adjuster,
its `high_speed` the high-speed one, its `check` the way back); `rebound_valve` and `mid_valve` lie in the
piston (the rebound needle is the rebound adjuster). See docs/damper.md.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from forkwright.hardware.damper_faults import faults_of_damper
from forkwright.hardware.faults import refuse_first
from forkwright.hardware.fields import Part, quantity
from forkwright.hardware.valves import Valve
from forkwright.units import Measure


def _assumed(si: float, text: str, note: str) -> Measure:
    return Measure(si, origin="assumed", note=note, text=text)


class OilPoint(Part):
    """A measured viscosity at a temperature."""

    temperature: Annotated[Measure, quantity("temperature", "-40 °C", "200 °C")]
    viscosity: Annotated[Measure, quantity("kinematic_viscosity", "0.5 cSt", "5000 cSt")]


class Oil(Part):
    """The oil: two measured viscosities, or what the label says (viscosity at 40 °C and viscosity index).

    `parting_pressure` is the gauge pressure below which the oil no longer holds together; `free_air` the
    undissolved air as a share of the volume at ambient pressure; `expansion` the loss of density per kelvin.
    """

    points: tuple[OilPoint, ...] | None = None
    viscosity_40: Annotated[Measure, quantity("kinematic_viscosity", "2 cSt", "1000 cSt")] | None = None
    viscosity_index: Annotated[Measure, quantity("dimensionless", "0", "600")] | None = None
    density: Annotated[Measure, quantity("density", "500 kg/m3", "1500 kg/m3")]
    density_temperature: Annotated[Measure, quantity("temperature", "-20 °C", "100 °C")] = _assumed(
        288.15, "15 °C", "usual on data sheets"
    )
    expansion: Annotated[Measure, quantity("thermal_expansion", "0 1/K", "0.003 1/K")] = _assumed(
        0.00075, "0.00075 1/K", "mineral oil, common practice"
    )
    bulk_modulus: Annotated[Measure, quantity("stress", "0.1 GPa", "5 GPa")] = _assumed(
        1.5e9, "1.5 GPa", "mineral oil, common practice"
    )
    free_air: Annotated[Measure, quantity("dimensionless", "0", "0.3")] = _assumed(
        0.005, "0.005", "well bled, common practice"
    )
    parting_pressure: Annotated[Measure, quantity("pressure", "-1.01 bar", "5 bar")] = _assumed(
        -0.95e5, "-0.95 bar", "near vacuum; dissolved air may come out earlier"
    )
    specific_heat: Annotated[Measure, quantity("specific_heat", "500 J/kg/K", "5000 J/kg/K")] = _assumed(
        1900.0, "1900 J/kg/K", "mineral oil, common practice"
    )


class Reservoir(Part):
    """What takes the shaft's volume: a piston on a coil spring, on gas, or an elastic bladder.

    "spring": `bore`, `rate`, `preload` (compression of the spring with no oil displaced), `stroke`.
    "gas": `pressure` and `volume` of the gas with no oil displaced; `bore` and `stroke` of its piston if
    it has one. "bladder": `pressure` with no oil displaced, `full_pressure` with `volume` displaced.
    `friction` is that of the piston. `mount` says where a shock carries it: in line with the body, or beside
    it as a piggyback; only the drawing uses it.
    """

    kind: Literal["spring", "gas", "bladder"]
    bore: Annotated[Measure, quantity("length", "2 mm", "120 mm")] | None = None
    rate: Annotated[Measure, quantity("stiffness", "0.001 N/mm", "1000 N/mm")] | None = None
    preload: Annotated[Measure, quantity("length", "0 mm", "200 mm")] | None = None
    stroke: Annotated[Measure, quantity("length", "0.1 mm", "500 mm")] | None = None
    pressure: Annotated[Measure, quantity("pressure", "0 bar", "70 bar")] | None = None
    full_pressure: Annotated[Measure, quantity("pressure", "0 bar", "70 bar")] | None = None
    volume: Annotated[Measure, quantity("volume", "0.1 ml", "1000 ml")] | None = None
    friction: Annotated[Measure, quantity("force", "0 N", "500 N")] | None = None
    mount: Literal["inline", "piggyback"] | None = None


class Heat(Part):
    """The lumped heat balance: what the damper's metal stores and how well it is cooled."""

    metal_capacity: Annotated[Measure, quantity("heat_capacity", "0 J/K", "10000 J/K")]
    cooling: Annotated[Measure, quantity("heat_conductance", "0 W/K", "100 W/K")]


class Damper(Part):
    """A damper cartridge.

    `compression_volume` and `shaft_volume` are the oil volumes in front of and behind the piston at full
    extension, `reservoir_oil` the oil between base valve and reservoir piston; only the dynamometer needs
    them.
    """

    tube: Annotated[Measure, quantity("length", "3 mm", "100 mm")]
    shaft: Annotated[Measure, quantity("length", "2 mm", "40 mm")]
    seal_friction: Annotated[Measure, quantity("force", "0 N", "500 N")] | None = None
    compression_volume: Annotated[Measure, quantity("volume", "0.5 ml", "2000 ml")] | None = None
    shaft_volume: Annotated[Measure, quantity("volume", "0.05 ml", "2000 ml")] | None = None
    reservoir_oil: Annotated[Measure, quantity("volume", "0.05 ml", "2000 ml")] | None = None
    oil: Oil
    reservoir: Reservoir
    base_valve: Valve
    rebound_valve: Valve
    mid_valve: Valve
    heat: Heat | None = None

    def click_ranges(self) -> dict[str, int]:
        """Return the number of clicks of each adjuster that exists: low_speed, high_speed, rebound."""
        adjusters = {
            "low_speed": self.base_valve.needle,
            "high_speed": self.base_valve.high_speed,
            "rebound": self.rebound_valve.needle,
        }
        return {name: part.clicks for name, part in adjusters.items() if part is not None}

    @model_validator(mode="after")
    def _parts_fit_together(self) -> Damper:
        refuse_first(fault._replace(key=f"damper.{fault.key}") for fault in faults_of_damper(self))
        return self
