"""The list of pages: a module in `app/pages` that has a `PAGE` and a `router` is a page of the workbench."""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import dataclass

from fastapi import APIRouter


@dataclass(frozen=True)
class Page:
    """One entry of the navigation bar.

    Parameters
    ----------
    path : str
        Address, for example "/fork".
    title : str
        Word in the navigation bar and in the window title.
    place : int
        Order from left to right.
    summary : str
        What one does there, in a short sentence; shown as help and read by screen readers.
    body_limits : tuple of (str, int)
        Path prefixes of this page that take larger request bodies, and how many bytes each.
    """

    path: str
    title: str
    place: int
    summary: str
    body_limits: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class Entry:
    """A page together with the routes that serve it."""

    page: Page
    router: APIRouter


def discover() -> list[Entry]:
    """Import every module of `app/pages` and return the pages in the order of the navigation bar."""
    from forkwright.app import pages

    entries = []
    for found in pkgutil.iter_modules(pages.__path__):
        module = importlib.import_module(f"{pages.__name__}.{found.name}")
        if hasattr(module, "PAGE"):
            entries.append(Entry(module.PAGE, module.router))
    return sorted(entries, key=lambda entry: entry.page.place)
