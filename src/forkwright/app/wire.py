"""Results as JSON, under the keys the command line uses: SI, with the unit as the key's ending."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel
from starlette.responses import Response

from forkwright.physics import Unphysical


class Answer(Response):
    """A JSON answer straight from arrays; a number that is not finite is refused, never sent."""

    media_type = "application/json"

    def render(self, content: Any) -> bytes:
        """Return the content as JSON text."""
        return json.dumps(plain(content), ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


def plain(value: Any, key: str = "") -> Any:
    """Return arrays as lists and models as tables; raise `Unphysical` for a number that is not finite."""
    if isinstance(value, BaseModel):
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
