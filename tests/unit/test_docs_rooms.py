"""Every room says in its own file what it is for, and names only what is there."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "src" / "forkwright"
ROOMS = sorted(path.parent for path in PACKAGE.rglob("*/__init__.py"))


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: str(room.relative_to(PACKAGE)))
def test_a_room_s_own_words_hold(room: Path) -> None:
    """The docstring says more than the room's name; each page, module and room it names exists."""
    words = ast.get_docstring(ast.parse((room / "__init__.py").read_text(encoding="utf-8")))
    assert words
    assert len(words.split()) > 8
    for page in re.findall(r"docs/[\w-]+\.md", words):
        assert (PACKAGE.parents[1] / page).is_file(), page
    for name in re.findall(r"`(\w+)`", words):
        places = [folder for folder in (room, *room.parents) if folder.is_relative_to(PACKAGE)]
        homes = [place / ending for place in places for ending in (f"{name}.py", name)]
        inside = (room / "__init__.py").read_text(encoding="utf-8").count(name) > 1
        held = re.compile(rf"^{name} = |^def {name}\(", re.MULTILINE)  # by the room's files, such as PAGE
        inside = inside or any(held.search(file.read_text(encoding="utf-8")) for file in room.glob("*.py"))
        assert inside or any(home.exists() for home in homes), name
