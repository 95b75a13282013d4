"""Curves and comparisons as still pictures in a notebook.

A notebook asks an object for `_repr_html_`. The rooms that compute know nothing of pictures, so the method is
given to their results here, above the rooms that draw, when the Python face first hands out a call that makes
such a result. Nothing is drawn until a notebook asks.
"""

from __future__ import annotations

import importlib
import itertools
from collections.abc import Callable, Iterator
from html import escape
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from forkwright.bench.damping import DampingCurve
    from forkwright.bench.spring import SpringCurve
    from forkwright.sheets.chart import Chart
    from forkwright.tune.compare import Comparison

_numbers = itertools.count(1)  # ids inside a page must differ from picture to picture


def attach(call: str) -> None:
    """Let the results of a call of the Python face show themselves in a notebook.

    Parameters
    ----------
    call : str
        A name of the face, such as "spring_curve"; others are left alone.
    """
    if call not in _SHOWN:
        return
    module, result, charts = _SHOWN[call]
    kind = getattr(importlib.import_module(module), result)
    kind._repr_html_ = lambda self: as_html(charts(self), self.warnings)


def as_html(charts: Iterator[Chart], warnings: tuple[str, ...]) -> str:
    """Return charts as still pictures, with every warning under them.

    Parameters
    ----------
    charts : iterator of Chart
    warnings : tuple of str
        Printed in full: a picture must not hide what was assumed.

    Returns
    -------
    str
        A piece of HTML without script.
    """
    from forkwright.sheets.chart_print import draw_chart

    pictures = "".join(draw_chart(chart, f"forkwright-{next(_numbers)}") for chart in charts)
    told = "".join(f"<li>{escape(warning)}</li>" for warning in warnings)
    return f"<figure>{pictures}<figcaption><ul>{told}</ul></figcaption></figure>" if told else pictures


def spring_charts(curve: SpringCurve) -> Iterator[Chart]:
    """Force over travel; of a drawn unit the band from 5 % to 95 % of the draws about their median."""
    import numpy as np

    from forkwright.bench.bands import band_of
    from forkwright.sheets.chart import Chart, Line
    from forkwright.units import UnitChoice, to_unit, unit_label

    units = UnitChoice()
    force, low, high = curve.force, None, None
    if curve.force.ndim > 1:
        band = band_of(np.array(curve.force.T))
        force, low, high = band.middle, band.low, band.high
    line = Line(
        curve.unit.name,
        to_unit(curve.travel, "length", units),
        to_unit(force, "force", units),
        None if low is None else to_unit(low, "force", units),
        None if high is None else to_unit(high, "force", units),
    )
    yield Chart(
        "Spring force",
        f"travel, {unit_label('length', units)}",
        f"force, {unit_label('force', units)}",
        (line,),
    )


def damping_charts(curve: DampingCurve) -> Iterator[Chart]:
    """Force over shaft speed, compression to the right."""
    from forkwright.sheets.chart import Chart, Line
    from forkwright.units import UnitChoice, to_unit, unit_label

    units = UnitChoice()
    clicks = ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in curve.clicks.items())
    line = Line(f"clicks from closed: {clicks}", curve.speed, to_unit(curve.force, "force", units))
    yield Chart("Damping force", "shaft speed, m/s", f"force, {unit_label('force', units)}", (line,))


def comparison_charts(comparison: Comparison) -> Iterator[Chart]:
    """Forces of both with bands and sag, and their difference."""
    from forkwright.sheets.compare_charts import difference_chart, force_chart
    from forkwright.units import UnitChoice

    yield force_chart(comparison, UnitChoice())
    yield difference_chart(comparison, UnitChoice())


# call of the face: (module and name of its result, what is drawn of it)
_SHOWN: dict[str, tuple[str, str, Callable[[Any], Iterator[Chart]]]] = {
    "spring_curve": ("forkwright.bench.spring", "SpringCurve", spring_charts),
    "damping_curve": ("forkwright.bench.damping", "DampingCurve", damping_charts),
    "compare": ("forkwright.tune.compare", "Comparison", comparison_charts),
}
