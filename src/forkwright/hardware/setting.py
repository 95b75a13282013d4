"""What a spanner, a pump or a finger can change."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, ValidationError

from forkwright.hardware.faults import as_input_errors
from forkwright.hardware.fields import Part, quantity
from forkwright.units import Measure

Clicks = Annotated[int, Field(ge=0, le=200)]


class Setting(Part):
    """One setting of a unit. Pressures are gauge; clicks count from fully closed.

    `negative_pressure` only where the negative chamber has its own valve, `floating` only where there is a
    floating piston, `preload` only for a coil.
    """

    pressure: Annotated[Measure, quantity("pressure", "0 psi", "1000 psi")] | None = None
    spacers: Annotated[int, Field(ge=0, le=50)] = 0
    floating: Annotated[Measure, quantity("pressure", "0 psi", "1000 psi")] | None = None
    negative_pressure: Annotated[Measure, quantity("pressure", "0 psi", "1000 psi")] | None = None
    preload: Annotated[Measure, quantity("length", "0 mm", "50 mm")] | None = None
    low_speed: Clicks | None = None
    high_speed: Clicks | None = None
    rebound: Clicks | None = None

    def changed(self, **new: Any) -> Setting:
        """Return this setting with some entries replaced.

        Parameters
        ----------
        **new
            Field names with a `Measure`, text with a unit, a click count, or a plain SI number (gauge Pa, m).

        Raises
        ------
        InputError
            If a value is out of the field's own range (see `limits.check_setting` for the unit's limits).
        """
        entries = {name: getattr(self, name) for name in type(self).model_fields}
        for name, value in new.items():
            measured = name in ("pressure", "floating", "negative_pressure", "preload")
            if measured and isinstance(value, int | float):
                entries[name] = Measure(float(value))
            else:
                entries[name] = value
        try:
            return Setting(**entries)
        except ValidationError as fault:
            raise as_input_errors(fault, Setting)[0] from None
