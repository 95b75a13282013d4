"""The drawer of shims: sizes and how many there are of each, what a revalve may be built from."""

from __future__ import annotations

import os
from typing import Annotated, Literal

from pydantic import Field

from forkwright.hardware.discs import Disc
from forkwright.hardware.fields import Part
from forkwright.hardware.files import parse_toml, read_file, validated


class Drawer(Part):
    """Shims at hand. One written without a count is there once."""

    format: Literal[1] = 1
    kind: Literal["drawer"] = "drawer"
    name: Annotated[str, Field(max_length=200)] = "drawer"
    shims: Annotated[tuple[Disc, ...], Field(min_length=1, max_length=200)]


def load_drawer(path: str | os.PathLike[str]) -> Drawer:
    """Read a drawer file.

    Raises
    ------
    InputError
        Naming file, line, key, value and allowed range of the first thing wrong.
    """
    text, name = read_file(path), os.fspath(path)
    return validated(Drawer, parse_toml(text, name), file=name, text=text)
