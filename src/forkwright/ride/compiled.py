"""How the ride's kernel is compiled: two decorators, so that every compiled function is treated alike."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from numba import njit

Function = TypeVar("Function", bound=Callable[..., Any])

FAST = {"contract", "nsz", "arcp", "reassoc"}
"""Floating-point liberties the compiler may take; infinities and not-a-number keep their meaning."""

SOURCES = ("compiled.py", "parameters.py", "state.py", "unit_forces.py", "motion.py", "kernel.py", "rest.py")
"""Every file of this room that goes into the machine code; the order of a record's fields is part of it."""


def inlined(function: Function) -> Function:
    """Compile a function into every place that calls it."""
    options: dict[str, Any] = {"forceinline": True, "fastmath": FAST}
    inner: Function = njit(**options)(function)
    return inner


def part(function: Function) -> Function:
    """Compile a function that stays a call of its own, for what happens too seldom to be inlined."""
    options: dict[str, Any] = {"fastmath": FAST, "_nrt": False}
    inner: Function = njit(**options)(function)
    return inner


def compiled(function: Function) -> Function:
    """Compile a function that Python calls, and keep the machine code beside its source.

    Nothing compiled here allocates memory, so counting of references is switched off (`_nrt`): with it every
    inlined call counts references to the parameters' arrays, which made the kernel five times slower.
    """
    options: dict[str, Any] = {"cache": True, "fastmath": FAST, "_nrt": False}
    outer: Any = njit(**options)(function)
    # The library only watches the file the function stands in; the code it inlines stands in others too.
    outer._cache._cache_file._source_stamp = _stamp()
    whole: Function = outer
    return whole


def _stamp() -> str:
    digest = hashlib.sha256()
    for name in SOURCES:
        digest.update(Path(__file__).with_name(name).read_bytes())
    return digest.hexdigest()
