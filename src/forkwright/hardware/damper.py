"""The damper as measured (its tables are being laid out)."""

from __future__ import annotations

from typing import Annotated

from forkwright.hardware.fields import Part, quantity
from forkwright.units import Measure


class Damper(Part):
    """A damper cartridge."""

    shaft: Annotated[Measure, quantity("length", "2 mm", "40 mm")]

    def click_ranges(self) -> dict[str, int]:
        """Return the number of clicks of each adjuster that exists: low_speed, high_speed, rebound."""
        return {}
