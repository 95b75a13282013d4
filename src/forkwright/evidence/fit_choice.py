"""What of a unit can be fitted to traces: which measures they speak about, and the unit with other values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

import numpy as np

from forkwright.evidence.fit_problem import Parameter
from forkwright.evidence.traces import Trace
from forkwright.hardware import Unit, measures, quantities
from forkwright.hardware.fields import Part
from forkwright.physics.values import Array
from forkwright.units import InputError

AnyPart = TypeVar("AnyPart", bound=Part)
# Which parts of a unit each kind of trace can speak about.
_PARTS = {
    "spring": ("chassis.", "lower_legs.", "air_spring.", "coil_spring.", "bumpers.", "damper.", "setting."),
    "pressure": ("lower_legs.", "air_spring.", "setting."),
    "damping": ("damper.",),
}
ZEROS = {"force_zero": "force", "travel_zero": "length"}


def candidates(unit: Unit, traces: Sequence[Trace]) -> list[str]:
    """Return the paths of every measure with a tolerance that these traces can speak about.

    Parameters
    ----------
    unit : Unit
        As measured.
    traces : sequence of Trace
        Of this unit.
    """
    parts = tuple({part for trace in traces for part in _PARTS[trace.kind]})
    return [
        path
        for path, m in measures(unit).items()
        if m.std and path.startswith(parts) and _matters(unit, traces, path)
    ]


def parameters_of(unit: Unit, traces: Sequence[Trace], names: Sequence[str] | None) -> list[Parameter]:
    known, kinds = measures(unit), quantities(unit)
    names = candidates(unit, traces) if names is None else names
    parameters = []
    for name in names:
        if name not in known:
            raise InputError(
                "the unit has no such measure",
                key=name,
                allowed=", ".join(p for p, m in known.items() if m.std),
            )
        if name.startswith("setting.") and all(trace.setting is not None for trace in traces):
            raise InputError("the traces' setting is stated, so it cannot be fitted as well", key=name)
        measure, kind = known[name], kinds[name]
        low, high = kind.limits()
        parameters.append(Parameter(name, measure.si, measure.std, low, high, kind.dimension))
    return parameters


def _matters(unit: Unit, traces: Sequence[Trace], path: str) -> bool:
    """Return True if one tolerance's change of this measure changes any prediction at all."""
    measure = measures(unit)[path]
    changed = swapped(unit, {path: measure.si + 0.1 * measure.std})
    return any(bool(np.any(t.predict(changed) != t.predict(unit))) for t in traces)


def predicted_by(unit: Unit, trace: Trace, by_name: dict[str, float]) -> Array:
    own = {name: value for name, value in by_name.items() if name not in ZEROS}
    return trace.predict(swapped(unit, own), by_name.get("force_zero", 0.0), by_name.get("travel_zero", 0.0))


def swapped(part: AnyPart, values: Mapping[str, float]) -> AnyPart:
    """Return a copy with some measures holding other SI values, touching only the parts that hold them.

    The same as `hardware.replaced`, without walking the whole unit: a fit asks for thousands of copies.
    """
    inner: dict[str, dict[str, float]] = {}
    update: dict[str, Any] = {}
    for path, value in values.items():
        head, _, rest = path.partition(".")
        if rest:
            inner.setdefault(head, {})[rest] = value
        else:
            update[head] = getattr(part, head).at(value)
    for head, below in inner.items():
        held = getattr(part, head)
        update[head] = _swapped_in_list(held, below) if isinstance(held, tuple) else swapped(held, below)
    return part.model_copy(update=update)


def _swapped_in_list(items: tuple[Any, ...], values: Mapping[str, float]) -> tuple[Any, ...]:
    changed = list(items)
    for path, value in values.items():
        position, _, rest = path.partition(".")
        item = changed[int(position)]
        changed[int(position)] = swapped(item, {rest: value}) if rest else item.at(value)
    return tuple(changed)
