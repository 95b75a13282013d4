"""What the stored machine code of the ride's kernel is kept fresh by."""

from __future__ import annotations

import ast
from pathlib import Path

import forkwright.ride
from forkwright.ride.compiled import SOURCES

ROOM = Path(forkwright.ride.__file__).parent


def imported_in_the_room(file: str) -> set[str]:
    """Return the files of the room that a file imports from."""
    tree = ast.parse((ROOM / file).read_text("utf-8"))
    modules = (node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom))
    prefix = "forkwright.ride."
    return {f"{module.removeprefix(prefix)}.py" for module in modules if module.startswith(prefix)}


def test_every_file_that_is_compiled_into_the_kernel_is_watched() -> None:
    """A change of any file below the compiled functions makes the stored machine code stale."""
    found = {"kernel.py", "rest.py"}
    while more := set().union(*map(imported_in_the_room, found)) - found:
        found |= more
    assert found == set(SOURCES)
