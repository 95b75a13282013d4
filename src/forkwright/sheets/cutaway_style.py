"""How a cut-away drawing is written: names, scales, units, and the room that they take."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from forkwright.units import UnitChoice

COLUMN: Final = 158.0  # room for names on each side
GAP: Final = 16.0  # between drawing and names
TEXT: Final = 12.0
LINE: Final = 14.0
FOOT: Final = 62.0  # room for the two scales below


@dataclass(frozen=True)
class CutawayStyle:
    """How a drawing is written.

    Attributes
    ----------
    identity : str
        Prefix of the ids inside; must differ between drawings on one page.
    labels, scales : bool
        Whether names, and the pressure and length scales below, are drawn.
    units : UnitChoice
        For the pressures.
    least_size : tuple of float
        Least width and height of the whole picture (mm): give drawings that stand side by side the same
        (see `picture_size`), and they come out at one scale.
    """

    identity: str = "cutaway"
    labels: bool = True
    scales: bool = True
    units: UnitChoice = field(default_factory=UnitChoice)
    least_size: tuple[float, float] = (0.0, 0.0)


def mm(number: float, digits: int = 2) -> str:
    """Return a coordinate, mm, to a hundredth or as many digits, without trailing noughts.

    Examples
    --------
    >>> mm(1.5), mm(-0.001)
    ('1.5', '0')
    """
    text = f"{number:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
