"""The validation page is held to the tests it is written from, without running them again."""

from __future__ import annotations

import re

import pytest
from tests.validation_page import PAGE, ROOT, assumptions, checks

HINT = "run `make validate`"


@pytest.fixture(scope="module")
def text() -> str:
    return PAGE.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def rows(text: str) -> dict[str, list[list[str]]]:
    """Test file -> the cells of its rows."""
    found: dict[str, list[list[str]]] = {}
    for file, table in re.findall(r"^`(tests/\S+)`\n\n((?:\|.*\n)+)", text, re.M):
        lines = table.splitlines()[2:]
        found[file] = [[c.strip() for c in re.split(r"(?<!\\)\|", line)[1:-1]] for line in lines]
    return found


def plain(cell: str) -> str:
    return re.sub(r"\\([|*])", r"\1", cell)


def test_every_check_in_the_tests_stands_on_the_page(rows: dict[str, list[list[str]]]) -> None:
    """A check added to the tests is missing from the page until the page is written anew."""
    missing = [
        f"{check.file.name}: {check.formula.pattern}"
        for check in checks()
        if not any(
            check.formula.fullmatch(plain(row[0]))
            for row in rows.get(check.file.relative_to(ROOT).as_posix(), [])
        )
    ]
    assert not missing, f"{HINT}: {missing}"


def test_every_row_on_the_page_comes_from_a_check(rows: dict[str, list[list[str]]]) -> None:
    """A check that was taken out of the tests does not stay on the page."""
    patterns: dict[str, list[re.Pattern[str]]] = {}
    for check in checks():
        patterns.setdefault(check.file.relative_to(ROOT).as_posix(), []).append(check.formula)
    orphans = [
        f"{file}: {row[0]}"
        for file, found in rows.items()
        for row in found
        if not any(pattern.fullmatch(plain(row[0])) for pattern in patterns.get(file, []))
    ]
    assert not orphans, f"{HINT}: {orphans}"


def test_rows_are_complete_and_within_what_is_allowed(rows: dict[str, list[list[str]]]) -> None:
    """Each row names its source, and no printed difference is larger than what is allowed."""
    assert sum(map(len, rows.values())) > 400
    for found in rows.values():
        for what, source, published, ours, difference, allowed, _ in found:
            assert what
            assert source
            assert float(published) == float(published)
            assert float(ours) == float(ours)
            apart = 0.0 if difference == "≈ 0" else abs(float(difference))
            assert apart <= float(allowed) * 1.05  # printed to two digits


def test_every_open_assumption_is_named(text: str) -> None:
    """What a document says it assumes stands on the page in the same words."""
    missing = [
        f"{document}: {point}"
        for document, points in assumptions().items()
        for point in points
        if point not in text
    ]
    assert not missing, f"{HINT}: {missing}"


@pytest.mark.parametrize(
    "document", ["theory.md", "damper.md", "ride.md", "evidence.md", "tune.md", "blind-test.md"]
)
def test_every_room_that_computes_says_what_it_assumes(document: str) -> None:
    """Each document with formulas has points under a heading that speaks of assuming."""
    assert (ROOT / "docs" / document).exists()
    assert assumptions().get(document), f"docs/{document} has no points under a heading with 'assumed'"


def test_what_was_never_compared_is_said(text: str) -> None:
    """The page does not let the many rows hide that no measured damper or fork was compared."""
    assert "No measured damper has been compared" in text
    assert "No measured fork, shock or ride has been compared" in text


def test_every_outside_file_records_what_it_compares() -> None:
    """A file in tests/outside that never uses the fixture would compare nothing that the page shows."""
    recorded = {check.file for check in checks()}
    assert set((ROOT / "tests" / "outside").glob("test_*.py")) - recorded == set()
