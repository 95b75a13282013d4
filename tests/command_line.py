"""Commands of the command line that must answer by their published form, or refuse in one message."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema

SCHEMAS = Path(__file__).parents[1] / "docs" / "schemas"
Cli = Callable[..., tuple[int, str, str]]


def answered(cli: Cli, command: str, *arguments: object) -> dict[str, Any]:
    """Run with --json, hold the answer to its published form, and return it."""
    status, out, err = cli(command, *arguments, "--json")
    assert status == 0, err
    answer: dict[str, Any] = json.loads(out)
    jsonschema.validate(answer, json.loads((SCHEMAS / f"{command}.json").read_text("utf-8")))
    return answer


def refused(cli: Cli, *arguments: object) -> str:
    """Run what must be refused: exit 2, nothing on standard output, one message without a traceback."""
    status, out, err = cli(*arguments)
    assert status == 2
    assert out == ""
    assert "Traceback" not in err
    return err
