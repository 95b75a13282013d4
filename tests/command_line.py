"""Commands of the command line that must answer by their published form, or refuse in one message."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest

SCHEMAS = Path(__file__).parents[1] / "docs" / "schemas"
Cli = Callable[..., tuple[int, str, str]]


def answered(cli: Cli, command: str, *arguments: object) -> dict[str, Any]:
    """Run with --json, hold the answer to its published form, and return it."""
    status, out, err = cli(command, *arguments, "--json")
    assert status == 0, err
    return in_form(command, out)


def refused(cli: Cli, *arguments: object) -> str:
    """Run what must be refused: exit 2, nothing on standard output, one message without a traceback."""
    status, out, err = cli(*arguments)
    assert status == 2
    assert out == ""
    assert "Traceback" not in err
    return err


def in_form(name: str, printed: str) -> dict[str, Any]:
    """Read one JSON object of finite numbers, hold it to the published form of that name, and return it."""
    answer: dict[str, Any] = json.loads(printed, parse_constant=lambda word: pytest.fail(f"{word} in {name}"))
    _form(name).validate(answer)
    return answer


@cache
def _form(name: str) -> Any:
    return jsonschema_rs.validator_for(json.loads((SCHEMAS / f"{name}.json").read_text("utf-8")))
