"""Every room says in its own file what it is for, and names only what is there."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "src" / "forkwright"
ROOMS = sorted(path.parent for path in PACKAGE.glob("*/__init__.py"))


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.name)
def test_a_room_s_own_words_hold(room: Path) -> None:
    """The docstring says more than the room's name; each page, module and room it names exists."""
    words = ast.get_docstring(ast.parse((room / "__init__.py").read_text(encoding="utf-8")))
    assert words
    assert len(words.split()) > 8
    for page in re.findall(r"docs/[\w-]+\.md", words):
        assert (PACKAGE.parents[1] / page).is_file(), page
    for name in re.findall(r"`(\w+)`", words):
        homes = (room / f"{name}.py", room / name, PACKAGE / f"{name}.py", PACKAGE / name)
        inside = (room / "__init__.py").read_text(encoding="utf-8").count(name) > 1
        assert name == "command" or inside or any(home.exists() for home in homes), name
