"""Text with a unit and a tolerance, to and from SI numbers: the only room that knows the units library.

In what order to read it: `dimensions` (the kinds of quantity and their symbols), `measure` (text to a
number), `typed_in` (what a person types, with the place in the error), `show` (a number to text for a
reader), `write` (a number to text for a file); under them `registry` asks the library and `known` spares it
for the usual symbols. `errors` holds the one error for wrong input.
"""

from forkwright.units.dimensions import DIMENSIONS, Dimension
from forkwright.units.errors import InputError, refuse_newer_format
from forkwright.units.measure import Measure, Origin, parse
from forkwright.units.show import UnitChoice, from_unit, show, show_measure, to_unit, unit_label

__all__ = [
    "DIMENSIONS",
    "Dimension",
    "InputError",
    "Measure",
    "Origin",
    "UnitChoice",
    "from_unit",
    "parse",
    "refuse_newer_format",
    "show",
    "show_measure",
    "to_unit",
    "unit_label",
]
