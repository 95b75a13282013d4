"""The reference pages are written from the code and are not stale."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from forkwright.reference import pages

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize("name", sorted(pages()))
def test_reference_page_is_fresh(name: str) -> None:
    """A page equals what the code says (renew: python -m forkwright.reference docs)."""
    assert (DOCS / name).read_text("utf-8") == pages()[name]


def test_what_stands_before_a_command_is_listed_too() -> None:
    """The page lists the program's own options, not only those of its commands."""
    before, _, _ = pages()["reference/commands.md"].partition("## forkwright check")
    assert "| `--units` |" in before


@pytest.mark.parametrize(
    ("schema", "file"),
    [
        ("unit-file", "dunlin-160"),
        ("unit-file", "plover-160"),
        ("rider-file", "rider"),
        ("bike-file", "bike"),
    ],
)
def test_demo_files_hold_to_the_published_schema(schema: str, file: str, demo_dir: Path) -> None:
    """The published JSON Schema accepts the demo files and refuses an unknown key."""
    published = json.loads((DOCS / "schemas" / f"{schema}.json").read_text("utf-8"))
    table = tomllib.loads((demo_dir / f"{file}.toml").read_text("utf-8"))
    jsonschema.validate(table, published)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(table | {"colour": "green"}, published)
