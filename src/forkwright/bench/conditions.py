"""The day: ambient pressure and temperature now, and when the chambers were filled."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.physics.atmosphere import standard_pressure
from forkwright.physics.constants import P0, T0


@dataclass(frozen=True)
class Conditions:
    """Ambient conditions, SI. The chambers were filled, and the vent ports last opened, in the `fill_` ones.

    Parameters
    ----------
    ambient_pressure, fill_pressure : float
        Absolute, Pa.
    temperature, fill_temperature : float
        K.
    """

    ambient_pressure: float = P0
    temperature: float = T0
    fill_pressure: float = P0
    fill_temperature: float = T0

    @classmethod
    def at(
        cls,
        altitude: float = 0.0,
        temperature: float = T0,
        fill_altitude: float = 0.0,
        fill_temperature: float = T0,
    ) -> Conditions:
        """Return the conditions at an altitude (m) of the standard atmosphere and a temperature (K)."""
        return cls(
            standard_pressure(altitude), temperature, standard_pressure(fill_altitude), fill_temperature
        )

    @property
    def temperature_ratio(self) -> float:
        """Temperature of the sealed gas now over that at filling."""
        return self.temperature / self.fill_temperature
