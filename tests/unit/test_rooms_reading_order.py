"""Rooms name every file of theirs, in the order in which they are best read."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "src" / "forkwright"
APP = [f"app/{part}" for part in ("blind", "evidence", "rear", "ride", "sharing", "tuning", "workshop")]


@pytest.mark.parametrize("room", ["physics", "units", "hardware", *APP])
def test_a_room_names_each_of_its_files(room: str) -> None:
    """A file that nobody names is a file that nobody finds."""
    words = ast.get_docstring(ast.parse((PACKAGE / room / "__init__.py").read_text(encoding="utf-8"))) or ""
    named = set(re.findall(r"`(\w+)`", words))
    files = {path.stem for path in (PACKAGE / room).glob("*.py")} - {"__init__"}
    assert files <= named
