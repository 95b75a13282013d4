"""How things behave: pure functions and small value classes on SI floats and arrays.

Imports nothing else of forkwright; no files, no unit text, no plots.
"""

from forkwright.physics.constants import G0, P0, T0
from forkwright.physics.errors import Unphysical

__all__ = ["G0", "P0", "T0", "Unphysical"]
