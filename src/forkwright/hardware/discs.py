"""Shims as a technician writes them: ``"18.0 x 0.15 mm"``, or a table with a count or a dish."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any, get_args

from pydantic import Field, GetJsonSchemaHandler, model_serializer, model_validator
from pydantic_core import CoreSchema, PydanticCustomError

from forkwright.hardware.fields import Part, quantity
from forkwright.units import InputError, Measure, Origin, parse
from forkwright.units.write import as_written

_EXAMPLE = "'18.0 x 0.15 mm' (outer diameter x thickness)"
_SPLIT = re.compile(r"\s*[x×]\s*")
_UNIT = re.compile(r"[a-zµμ]+$")  # the micro sign and the Greek letter, which look alike


class Disc(Part):
    """One shim, or `count` equal shims on top of each other.

    `dish` is how far the rim of the free disc stands off flat when it is held at the clamp; positive
    points towards the valve face, so it preloads the stack. In a file `origin` and `note` beside `size` say
    where the thickness is from.
    """

    outer_diameter: Annotated[Measure, quantity("length", "1 mm", "120 mm")]
    thickness: Annotated[Measure, quantity("length", "0.01 mm", "5 mm")]
    count: Annotated[int, Field(ge=1, le=100)] = 1
    dish: Annotated[Measure, quantity("length", "-5 mm", "5 mm")] | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        if isinstance(value, str):
            return read_size(value)
        if isinstance(value, Mapping) and "size" in value:
            table = dict(value)
            size = table.pop("size")
            if not isinstance(size, str):
                raise _not_a_shim(str(size))
            read: dict[str, Any] = dict(read_size(size))
            history = {key: table.pop(key) for key in ("origin", "note") if key in table}
            if history:
                read["thickness"] = {"value": as_written(read["thickness"], "length"), **history}
            return read | table
        return value

    @model_serializer(mode="plain")
    def _to_text(self) -> str | dict[str, Any]:
        size = size_text(self.outer_diameter, self.thickness)
        has_history = self.thickness.origin != "measured" or bool(self.thickness.note)
        if self.count == 1 and self.dish is None and not has_history:
            return size
        table: dict[str, Any] = {"size": size}
        if self.count != 1:
            table["count"] = self.count
        if self.dish is not None:
            table["dish"] = as_written(self.dish, "length")
        if has_history:
            table["origin"] = self.thickness.origin
            table |= {"note": self.thickness.note} if self.thickness.note else {}
        return table

    @classmethod
    def __get_pydantic_json_schema__(
        cls,
        schema: CoreSchema,
        handler: GetJsonSchemaHandler,
    ) -> dict[str, Any]:
        text = {"type": "string", "description": f"a shim such as {_EXAMPLE}"}
        table = {
            "type": "object",
            "properties": {
                "size": text,
                "count": {"type": "integer", "minimum": 1},
                "dish": {"type": "string"},
                "origin": {"enum": list(get_args(Origin))},
                "note": {"type": "string"},
            },
            "required": ["size"],
            "additionalProperties": False,
        }
        return {"anyOf": [text, table]}


def read_size(text: str) -> dict[str, Measure]:
    """Read ``"18.0 x 0.15 mm"``; each of the two numbers may carry a tolerance and a unit of its own."""
    parts = _SPLIT.split(text.strip()) if len(text) <= 120 else []
    if len(parts) != 2:
        raise _not_a_shim(text)
    unit = _UNIT.search(parts[1])
    if unit is not None and _UNIT.search(parts[0]) is None:
        parts[0] = f"{parts[0]} {unit[0]}"
    try:
        return {"outer_diameter": parse(parts[0], "length"), "thickness": parse(parts[1], "length")}
    except InputError as fault:
        raise _not_a_shim(text, fault.message) from None


def size_text(outer_diameter: Measure, thickness: Measure) -> str:
    """Write a shim's size back, the unit once when both have the same."""
    outer, thick = as_written(outer_diameter, "length"), as_written(thickness, "length")
    units = _UNIT.search(outer), _UNIT.search(thick)
    if units[0] is not None and units[1] is not None and units[0][0] == units[1][0]:
        outer = outer[: units[0].start()].strip()
    return f"{outer} x {thick}"


def _not_a_shim(text: str, reason: str = "") -> PydanticCustomError:
    words = f"not a shim; expected text such as {_EXAMPLE}" + (f" ({reason})" if reason else "")
    return PydanticCustomError("quantity", "{reason}", {"reason": words, "value": text, "allowed": ""})
