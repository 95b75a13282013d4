"""The page about the workbench names every page, key and call there is, and its pictures are there."""

from __future__ import annotations

import re
from pathlib import Path

from forkwright.app.factory import create_app
from forkwright.app.navigation import discover
from forkwright.app.options import Options

DOCS = Path(__file__).parents[2] / "docs"


def test_every_page_is_described() -> None:
    """Every page stands in the table with its title, in the order of the heading, and no other does."""
    text = (DOCS / "workbench.md").read_text(encoding="utf-8")
    table = text.split("| page | what one does there |")[1].split("\n\n")[0]
    described = re.findall(r"^\| ([^|-][^|]*?) \|", table, re.MULTILINE)
    assert sorted(described) == sorted(entry.page.title for entry in discover())


def test_pictures_of_the_page_exist() -> None:
    """No picture that the page shows is missing."""
    text = (DOCS / "workbench.md").read_text(encoding="utf-8")
    pictures = re.findall(r"!\[[^]]*\]\(([^)]+)\)", text)
    assert pictures
    assert all((DOCS / picture).is_file() for picture in pictures)


def test_places_in_the_navigation_are_taken_once() -> None:
    """No two pages want the same place or path."""
    pages = [entry.page for entry in discover()]
    assert len({page.place for page in pages}) == len({page.path for page in pages}) == len(pages)


def test_no_two_models_of_the_description_share_a_name() -> None:
    """Models of one name would be told apart by where they stand in the code, which helps no caller."""
    described = create_app(Options(warm_up=False)).openapi()
    assert [name for name in described["components"]["schemas"] if "__" in name] == []
