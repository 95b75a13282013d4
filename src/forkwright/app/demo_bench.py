"""What lies on a new browser's bench: the demonstration units, rider and bike that come with the package."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any


def demo_bench() -> dict[str, Any]:
    """Return the demonstration files as the pages keep them.

    Returns
    -------
    dict
        ``units`` (a list of ``id``, ``name``, ``toml``; forks first), ``rider`` and ``bike`` (each ``name``
        and ``toml``).
    """
    folder = resources.files("forkwright") / "demo"
    units: list[tuple[str, dict[str, str]]] = []
    people: dict[str, dict[str, str]] = {}
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if not file.name.endswith(".toml"):
            continue
        text = file.read_text(encoding="utf-8")
        table = tomllib.loads(text)
        sheet = {"name": str(table.get("name", file.name)), "toml": text}
        if table.get("kind") in ("fork", "shock"):
            units.append((table["kind"], {"id": file.name.removesuffix(".toml"), **sheet}))
        elif table.get("kind") in ("rider", "bike"):
            people.setdefault(str(table["kind"]), sheet)
    return {"units": [unit for _, unit in sorted(units, key=lambda entry: entry[0])], **people}
