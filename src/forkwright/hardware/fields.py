"""Field types of the hardware models: quantities with a range, read from text or from a small table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, ClassVar, TypeAlias, get_args

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError, core_schema

from forkwright.units import DIMENSIONS, InputError, Measure, Origin, parse
from forkwright.units.write import as_written

_TABLE_KEYS = ("value", "origin", "note")
Upgrade: TypeAlias = Callable[[dict[str, Any]], dict[str, Any]]


class Part(BaseModel):
    """Base of everything that is read from a file: immutable, and no unknown keys.

    A model that is a whole file lists in `upgrades` what brings older formats of it up to date, oldest first:
    the first entry turns a table of format 1 into one of format 2 (see `forkwright.hardware.upgrade`).
    """

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
    upgrades: ClassVar[tuple[Upgrade, ...]] = ()


@dataclass(frozen=True)
class Quantity:
    """Pydantic annotation: the field is a `Measure` of one kind, within a range.

    Parameters
    ----------
    dimension : str
        Kind of quantity, a key of `forkwright.units.DIMENSIONS`.
    low, high : str, optional
        The allowed range as text with a unit, ends included; None leaves that side open.
    """

    dimension: str
    low: str | None = None
    high: str | None = None

    def limits(self) -> tuple[float, float]:
        """Return the allowed range in SI, infinite where open."""
        return _limits(self.dimension, self.low, self.high)

    @property
    def allowed(self) -> str | None:
        """The allowed range in words, or None where anything goes."""
        if self.low is not None and self.high is not None:
            return f"{self.low} to {self.high}"
        if self.low is not None:
            return f"{self.low} or more"
        return f"{self.high} or less" if self.high is not None else None

    def read(self, value: object) -> Measure:
        """Turn text, a table or a ready `Measure` into a checked `Measure`."""
        try:
            measure = _measure(value, self.dimension)
        except InputError as fault:
            raise _custom(fault.message, value, fault.allowed or self.allowed) from None
        low, high = self.limits()
        if not low <= measure.si <= high:
            raise _custom("out of range", value, self.allowed)
        return measure

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda measure: as_file_value(measure, self.dimension)
            ),
        )

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        kind = DIMENSIONS[self.dimension]
        note = f"{kind.words}; units: {', '.join(s for s in kind.symbols if s) or 'none'}"
        text = {
            "type": "string",
            "description": note + (f"; allowed: {self.allowed}" if self.allowed else ""),
        }
        table = {
            "type": "object",
            "properties": {
                "value": {"type": "string"},
                "origin": {"enum": list(get_args(Origin))},
                "note": {"type": "string"},
            },
            "required": ["value"],
            "additionalProperties": False,
        }
        numbers = [{"type": "number"}] if self.dimension == "dimensionless" else []
        return {"anyOf": [text, table, *numbers]}


def quantity(dimension: str, low: str | None = None, high: str | None = None) -> Quantity:
    """Return the annotation for a field of one kind and range, for ``Annotated[Measure, quantity(...)]``."""
    return Quantity(dimension, low, high)


def as_file_value(measure: Measure, dimension: str) -> str | dict[str, str]:
    """Return what a file holds for this measure: plain text, or a table when it has a history."""
    text = as_written(measure, dimension)
    if measure.origin == "measured" and not measure.note:
        return text
    return {"value": text, "origin": measure.origin} | ({"note": measure.note} if measure.note else {})


def _measure(value: object, dimension: str) -> Measure:
    if isinstance(value, Measure):
        return value
    if isinstance(value, str):
        return parse(value, dimension)
    if isinstance(value, Mapping):
        return _from_table(value, dimension)
    if dimension == "dimensionless" and isinstance(value, int | float) and not isinstance(value, bool):
        return parse(repr(value), dimension)
    raise InputError(
        f"expected {DIMENSIONS[dimension].words} as text with a unit, in quotes", value=str(value)
    )


def _from_table(table: Mapping[str, object], dimension: str) -> Measure:
    unknown = [key for key in table if key not in _TABLE_KEYS]
    if unknown:
        raise InputError(f"unknown key '{unknown[0]}' in a quantity's table", allowed=", ".join(_TABLE_KEYS))
    value, origin, note = (
        table.get(key, default) for key, default in zip(_TABLE_KEYS, (None, "measured", ""), strict=True)
    )
    if not isinstance(value, str):
        raise InputError("a quantity's table needs 'value' as text with a unit")
    if origin not in get_args(Origin):
        raise InputError(f"unknown origin '{origin}'", allowed=", ".join(get_args(Origin)))
    if not isinstance(note, str):
        raise InputError("'note' must be text")
    read = parse(value, dimension)
    return Measure(read.si, read.std, origin, note, read.text)  # type: ignore[arg-type]


def _custom(message: str, value: object, allowed: str | None) -> PydanticCustomError:
    shown = value.get("value", value) if isinstance(value, Mapping) else value
    shown = shown.text or f"{shown.si:g} (SI)" if isinstance(shown, Measure) else shown
    context = {"reason": message, "value": str(shown), "allowed": allowed or ""}
    return PydanticCustomError("quantity", "{reason}", context)


@lru_cache(maxsize=1024)
def _limits(dimension: str, low: str | None, high: str | None) -> tuple[float, float]:
    return (
        parse(low, dimension).si if low is not None else float("-inf"),
        parse(high, dimension).si if high is not None else float("inf"),
    )
