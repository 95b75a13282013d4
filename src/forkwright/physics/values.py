"""Types of the numbers that physics works on."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

Value = Any
"""A float, or an array that broadcasts with the last (travel, speed, time) axis, such as tolerance draws."""
