"""Answers made plain for JSON: arrays as lists, models as tables, and no number that is not finite."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from forkwright.physics.errors import Unphysical


def plain(value: Any, key: str = "") -> Any:
    """Return a value as JSON can hold it.

    Parameters
    ----------
    value : Any
        Tables, lists, arrays, NumPy's numbers and Pydantic's models, inside one another.
    key : str
        Under which it stands, for the message.

    Raises
    ------
    Unphysical
        If a number is not finite.

    Examples
    --------
    >>> import numpy as np
    >>> plain({"force_N": np.array([1.0, 2.5]), "clicks": np.int64(3)})
    {'force_N': [1.0, 2.5], 'clicks': 3}
    """
    if hasattr(value, "model_dump"):
        value = value.model_dump()
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, Mapping):
        return {str(name): plain(inner, str(name)) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        if value and all(isinstance(inner, float) for inner in value):
            if not math.isfinite(sum(value)):
                raise Unphysical(f"{key or 'a result'} is not a finite number")
            return value
        return [plain(inner, key) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        raise Unphysical(f"{key or 'a result'} is not a finite number")
    return value
