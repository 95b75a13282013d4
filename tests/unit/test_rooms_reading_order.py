"""Rooms name every file of theirs but those of a kind that a room names as such."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "src" / "forkwright"
APP = [
    f"app/{part}" for part in ("api", "blind", "evidence", "rear", "ride", "sharing", "tuning", "workshop")
]
ROOMS = [
    "physics", "units", "hardware", "bench", "ride", "evidence", "tune", "trial", "shop", "sheets", "app",
    *APP,
]  # fmt: skip


def names_and_kinds(room: str) -> tuple[set[str], tuple[str, ...]]:
    """Return what a room's words name, and the endings of files that they name as a kind."""
    words = ast.get_docstring(ast.parse((PACKAGE / room / "__init__.py").read_text(encoding="utf-8"))) or ""
    kinds = [ending for _, ending in re.findall(r'(end in|or) "(\w+)"', " ".join(words.split()))]
    return set(re.findall(r"`(\w+)`", words)), tuple(kinds)


def files_of(room: str) -> set[str]:
    """Return the files of a room."""
    return {path.stem for path in (PACKAGE / room).glob("*.py")} - {"__init__"}


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_names_each_of_its_files(room: str) -> None:
    """A file that nobody names is a file that nobody finds."""
    named, kinds = names_and_kinds(room)
    assert not {file for file in files_of(room) - named if not (kinds and file.endswith(kinds))}
