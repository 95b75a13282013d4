"""Several questions at once: p values corrected so that asking more does not find more by chance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

Control = Literal["holm", "bh"]


def adjusted(p_values: Sequence[float], control: Control = "holm") -> list[float]:
    """Return p values that may each be held against the risk accepted, in the order given; dimensionless.

    Parameters
    ----------
    p_values : sequence of float
        As they came, dimensionless.
    control : {"holm", "bh"}
        "holm" keeps the risk of even one false finding; "bh" keeps the share of false findings among all
        that are reported.

    Source
    ------
    Holm, S. (1979), Scandinavian Journal of Statistics 6, 65-70; Benjamini, Y. and Hochberg, Y. (1995),
    Journal of the Royal Statistical Society B 57, 289-300 (by SciPy). Tested against statsmodels.

    Examples
    --------
    >>> adjusted([0.01, 0.04, 0.03])
    [0.03, 0.06, 0.06]
    """
    if not p_values:
        return []
    if control == "bh":
        from scipy.stats import false_discovery_control

        return [float(value) for value in false_discovery_control(list(p_values), method="bh")]
    order = sorted(range(len(p_values)), key=lambda place: p_values[place])
    result, highest = [0.0] * len(p_values), 0.0
    for step, place in enumerate(order):
        highest = max(highest, min(1.0, (len(p_values) - step) * p_values[place]))
        result[place] = highest
    return result
