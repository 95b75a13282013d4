"""Results as JSON, under the keys the command line uses: SI, with the unit as the key's ending."""

from __future__ import annotations

import base64
import json
from typing import Any

from starlette.responses import Response

from forkwright.plain import plain

__all__ = ["SPREADSHEET", "Answer", "download", "plain"]


class Answer(Response):
    """A JSON answer straight from arrays; a number that is not finite is refused, never sent."""

    media_type = "application/json"

    def render(self, content: Any) -> bytes:
        """Return the content as JSON text."""
        return json.dumps(plain(content), ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
"""Media type of an .xlsx file."""


def download(name: str, kind: str, content: bytes) -> dict[str, str]:
    """Return a file as part of an answer, for the page to offer; `kind` is its media type."""
    return {"name": name, "type": kind, "base64": base64.b64encode(content).decode("ascii")}
