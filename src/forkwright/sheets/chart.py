"""A chart as data: lines, bands and axes, before anyone decides whether it moves on a screen or lies still.

`charts` turns it into a Plotly figure, `chart_print` into a still SVG; both use the house's colours with a
line style each.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from forkwright.units import UnitChoice, unit_label

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Line:
    """A curve.

    Attributes
    ----------
    name : str
        As the legend calls it.
    x, y : array
        In the chart's units; equal lengths.
    low, high : array, optional
        The band round the curve.
    place : int
        Which colour and line style it takes (0 first); lines that belong together share one.
    thin : bool
        Drawn thin, for a companion of the main curve.
    """

    name: str
    x: Array
    y: Array
    low: Array | None = None
    high: Array | None = None
    place: int = 0
    thin: bool = False


@dataclass(frozen=True)
class Mark:
    """A vertical line or range on the x axis with a name, for example the sag."""

    name: str
    low: float
    high: float
    place: int = 0


@dataclass(frozen=True)
class Chart:
    """Axes and what is drawn on them.

    Attributes
    ----------
    title : str
        What the chart shows.
    x_title, y_title : str
        Quantity and unit, for example "travel, mm".
    lines : tuple of Line
        Drawn in order.
    marks : tuple of Mark
        On the x axis.
    from_zero : bool
        Whether the y axis must contain 0.
    """

    title: str
    x_title: str
    y_title: str
    lines: tuple[Line, ...]
    marks: tuple[Mark, ...] = field(default=())
    from_zero: bool = True

    def __post_init__(self) -> None:
        """Refuse lines that could not be drawn as given, rather than draw them short."""
        for line in self.lines:
            lengths = {np.size(part) for part in (line.x, line.y, line.low, line.high) if part is not None}
            if len(lengths) != 1:
                raise ValueError(f"line '{line.name}': x, y and band differ in length")
            if (line.low is None) != (line.high is None):
                raise ValueError(f"line '{line.name}': a band needs both its edges")


def axis_title(quantity: str, dimension: str, units: UnitChoice) -> str:
    """Return what stands at an axis: the quantity and its unit.

    Examples
    --------
    >>> axis_title("travel", "length", UnitChoice())
    'travel, mm'
    """
    return f"{quantity}, {unit_label(dimension, units)}"


def finite(values: Array) -> list[float | None]:
    """Return the values as JSON numbers; what is no number becomes a gap.

    Examples
    --------
    >>> finite(np.array([1.0, np.nan]))
    [1.0, None]
    """
    return [float(value) if np.isfinite(value) else None for value in np.asarray(values, dtype=np.float64)]
