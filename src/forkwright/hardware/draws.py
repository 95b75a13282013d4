"""A unit whose measures are replaced: by other values, or by many values drawn from their tolerances."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from forkwright.hardware.fields import Part, Quantity
from forkwright.units import Measure
from forkwright.units.write import as_written

AnyPart = TypeVar("AnyPart", bound=Part)
Change: TypeAlias = Callable[[str, Measure, Quantity], Measure]
"""From a path, its measure and the kind of quantity to the measure that takes its place."""


def measures(thing: Part) -> dict[str, Measure]:
    """Return every measure of a unit (or rider, bike) by its dotted path, in file order.

    Parameters
    ----------
    thing : Unit, Rider or Bike

    Returns
    -------
    dict of str to Measure
        Places in a list are numbers from 0, such as ``damper.base_valve.shims.0.thickness``.
    """
    return {path: measure for path, measure, _ in _walk(thing)}


def quantities(thing: Part) -> dict[str, Quantity]:
    """Return the kind and range of every measure, by the same paths as `measures`.

    Parameters
    ----------
    thing : Unit, Rider or Bike

    Returns
    -------
    dict of str to Quantity
    """
    return {path: kind for path, _, kind in _walk(thing)}


def replaced(thing: AnyPart, values: Mapping[str, float]) -> AnyPart:
    """Return a copy in which some measures hold other SI values; nothing is validated again.

    Parameters
    ----------
    thing : Unit, Rider or Bike
    values : mapping of str to float
        SI values by dotted path, for example ``{"air_spring.bore": 0.0321}``.

    Returns
    -------
    Unit, Rider or Bike

    Raises
    ------
    KeyError
        For a path that the unit does not have.
    """
    unknown = set(values) - set(measures(thing))
    if unknown:
        raise KeyError(f"no such measure: {', '.join(sorted(unknown))}")
    return _mapped(thing, lambda path, measure, _: measure.at(values[path]) if path in values else measure)


def drawn(
    thing: AnyPart,
    n: int,
    seed: int | np.random.Generator = 0,
    *,
    only: Callable[[str], bool] | None = None,
) -> AnyPart:
    """Return a copy whose every measure with a tolerance holds `n` values, shape (n, 1).

    Parameters
    ----------
    thing : Unit, Rider or Bike
    n : int
        Number of draws.
    seed : int or numpy Generator
        The order of draws is the file order, so the same seed gives the same draws.
    only : callable, optional
        Tells by the dotted path which measures are drawn; by default all.

    Returns
    -------
    Unit, Rider or Bike
        For benches that take arrays; nothing is validated again.

    Notes
    -----
    Values are normal with the stated tolerance as standard deviation; those outside the field's own range
    are drawn again, so that no draw is unphysical by itself.
    """
    generator = np.random.default_rng(seed)

    def draw(path: str, measure: Measure, kind: Quantity) -> Measure:
        if not measure.std or not (only is None or only(path)):
            return measure
        values: Any = _normal_within(generator, measure, kind.limits(), n)
        return replace(measure, si=values, text=as_written(measure, kind.dimension))

    return _mapped(thing, draw)


def cut(thing: AnyPart, blocks: int) -> list[AnyPart]:
    """Cut a drawn unit into drawn units of equal numbers of draws.

    Parameters
    ----------
    thing : Unit, Rider or Bike
        From `drawn`.
    blocks : int
        Into how many; draws left over are dropped.

    Returns
    -------
    list of Unit, Rider or Bike
    """

    def block(number: int) -> AnyPart:
        def some(_path: str, measure: Measure, _kind: Quantity) -> Measure:
            if not isinstance(measure.si, np.ndarray):
                return measure
            size = len(measure.si) // blocks
            values: Any = measure.si[number * size : (number + 1) * size]
            return replace(measure, si=values)

        return _mapped(thing, some)

    return [block(number) for number in range(blocks)]


def _normal_within(
    generator: np.random.Generator, measure: Measure, limits: tuple[float, float], n: int
) -> NDArray[np.float64]:
    low, high = limits
    values = measure.si + measure.std * generator.standard_normal(n)
    for _ in range(100):
        outside = (values < low) | (values > high)
        if not outside.any():
            break
        values[outside] = measure.si + measure.std * generator.standard_normal(int(outside.sum()))
    return np.clip(values, low, high)[:, np.newaxis]


def _walk(part: Part, prefix: str = "") -> Iterator[tuple[str, Measure, Quantity]]:
    for name, value in _entries(part):
        path = prefix + name
        if isinstance(value, Measure):
            yield path, value, _kind_of(type(part), name)
        elif isinstance(value, Part):
            yield from _walk(value, path + ".")
        elif isinstance(value, tuple):
            for position, item in enumerate(value):
                if isinstance(item, Part):
                    yield from _walk(item, f"{path}.{position}.")
                elif isinstance(item, Measure):
                    yield f"{path}.{position}", item, _kind_of(type(part), name)


def _mapped(part: AnyPart, change: Change, prefix: str = "") -> AnyPart:
    """A copy in which every measure is changed; what does not change stays the very same object."""
    update: dict[str, Any] = {}
    for name, value in _entries(part):
        path = prefix + name
        if isinstance(value, tuple):
            items = [
                _changed(part, name, f"{path}.{place}", item, change) for place, item in enumerate(value)
            ]
            new: Any = tuple(items) if any(a is not b for a, b in zip(items, value, strict=True)) else value
        else:
            new = _changed(part, name, path, value, change)
        if new is not value:
            update[name] = new
    return part.model_copy(update=update) if update else part


def _changed(part: Part, name: str, path: str, value: Any, change: Change) -> Any:
    if isinstance(value, Measure):
        return change(path, value, _kind_of(type(part), name))
    return _mapped(value, change, path + ".") if isinstance(value, Part) else value


def _entries(part: Part) -> Iterator[tuple[str, Any]]:
    for name in type(part).model_fields:
        yield name, getattr(part, name)


@cache
def _kind_of(model: type[Part], name: str) -> Quantity:
    field = model.model_fields[name]
    for mark in (*field.metadata, *_nested_marks(field.annotation)):
        if isinstance(mark, Quantity):
            return mark
    raise KeyError(f"{name} of {model.__name__} is no quantity")


def _nested_marks(annotation: Any) -> Iterator[Any]:
    yield from getattr(annotation, "__metadata__", ())
    for argument in getattr(annotation, "__args__", ()):
        yield from _nested_marks(argument)
