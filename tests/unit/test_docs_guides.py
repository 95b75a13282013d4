"""The how-to guides show what the program really says, and leave out no caution where one is due."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.guide_pages import FENCE, FOLDER, Step, followed, guides

from forkwright.cli import COMMANDS

SLOW = ("07-recommend-settings",)


@pytest.mark.parametrize(
    "guide",
    [
        pytest.param(guide, marks=pytest.mark.slow if guide.stem in SLOW else (), id=guide.stem)
        for guide in guides()
    ],
)
def test_every_command_says_what_the_guide_shows(guide: Path, tmp_path: Path) -> None:
    """Followed in an empty folder, each command prints what stands below it (python -m tests.guide_pages)."""
    steps, _ = followed(guide, tmp_path)
    assert steps
    for step in steps:
        assert step.fresh, f"$ {step.command}\n{step.got}"


@pytest.mark.parametrize("guide", guides(), ids=lambda guide: guide.stem)
def test_no_command_stands_where_it_is_not_run(guide: Path) -> None:
    """A command in a block of another kind would never be run; one in the text must at least exist."""
    text = guide.read_text(encoding="utf-8")
    for kind, _, inside in FENCE.findall(text):
        assert kind == "console" or "forkwright " not in inside
    named = re.findall(r"`forkwright ([a-z]+)", FENCE.sub("", text))
    assert set(named) <= set(COMMANDS)


@pytest.mark.parametrize("guide", guides(), ids=lambda guide: guide.stem)
def test_every_guide_warns_where_it_can_hurt(guide: Path) -> None:
    """A guide has a caution in bold, defers to the maker's manual, and is linked from the list."""
    text = guide.read_text(encoding="utf-8")
    assert "**Caution.**" in text
    assert "maker's manual" in " ".join(text.split())
    assert f"({guide.name})" in (FOLDER / "README.md").read_text(encoding="utf-8")


def test_ten_jobs_at_least() -> None:
    """The ten commonest jobs have a guide each, numbered, with commands whose output is followed."""
    numbers = [guide.name.split("-")[0] for guide in guides()]
    assert numbers == [f"{number:02}" for number in range(1, len(numbers) + 1)]
    assert len(numbers) >= 10
    assert all("$ forkwright " in guide.read_text(encoding="utf-8") for guide in guides())


def test_a_stale_output_is_noticed() -> None:
    """Another number, word or line is stale; the last digit of a measured number and a date are not."""
    shown = "sag 35.9 mm on 2026-01-31, 2 spacers\n"
    assert Step("", shown, "sag 36.0 mm on 2027-05-01, 2 spacers\n").fresh
    assert not Step("", shown, "sag 36.1 mm on 2026-01-31, 2 spacers\n").fresh
    assert not Step("", shown, "sag 35.9 mm on 2026-01-31, 3 spacers\n").fresh
    assert not Step("", shown, "sag 35.9 in on 2026-01-31, 2 spacers\n").fresh
    assert not Step("", shown, "sag 35.9 mm on 2026-01-31\n").fresh
