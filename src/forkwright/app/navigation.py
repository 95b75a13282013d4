"""The list of pages: a module in `app/pages` that has a `PAGE` and a `router` is a page of the workbench."""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import dataclass

from fastapi import APIRouter

#: What the pages are gathered under, in the order of the heading. A group of one page is a plain link.
GROUPS = ("Bench", "Set-up", "Trail", "Proof", "Shop")


@dataclass(frozen=True)
class Page:
    """One entry of the navigation in the heading.

    Parameters
    ----------
    path : str
        Address, for example "/fork".
    title : str
        Word in the navigation and in the window title.
    place : int
        Order within its group.
    summary : str
        What one does there, in a short sentence; stands under the title in the navigation.
    body_limits : tuple of (str, int)
        Path prefixes of this page that take larger request bodies, and how many bytes each.
    group : str
        One of `GROUPS`: what is on the bench (its parts and curves), the search for a setting, what the trail
        makes of it, how sure one can be, or the shop's own work.
    """

    path: str
    title: str
    place: int
    summary: str
    body_limits: tuple[tuple[str, int], ...] = ()
    group: str = "Bench"


@dataclass(frozen=True)
class Entry:
    """A page together with the routes that serve it."""

    page: Page
    router: APIRouter


def discover() -> list[Entry]:
    """Import every module of `app/pages` and return the pages in the order of the navigation."""
    from forkwright.app import pages

    entries = []
    for found in pkgutil.iter_modules(pages.__path__):
        module = importlib.import_module(f"{pages.__name__}.{found.name}")
        if hasattr(module, "PAGE"):
            entries.append(Entry(module.PAGE, module.router))
    return sorted(entries, key=lambda entry: (GROUPS.index(entry.page.group), entry.page.place))


def grouped(pages: list[Page]) -> list[tuple[str, list[Page]]]:
    """Return the pages by group, in the order of `GROUPS`; groups without a page are left out."""
    by_group = [(group, [page for page in pages if page.group == group]) for group in GROUPS]
    return [(group, found) for group, found in by_group if found]
