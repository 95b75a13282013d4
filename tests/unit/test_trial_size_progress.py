"""The search for the size of a ranked trial: it tells how far it is, and can be stopped."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

import forkwright.commands.trial_plan as trial_command
from forkwright.cli import main
from forkwright.trial import Trial, request_from_mapping, size_for

REQUEST: dict[str, Any] = {
    "format": 1,
    "name": "Five in a row",
    "design": "ranked",
    "question": "Put them in order",
    "riders": ["Ash", "Birch"],
    "leader": "Linden",
    "mechanic": "Maple",
    "aim": {"preferred_share": 0.82},
    "options": [{"label": label, "checked_by_hand": "Maple"} for label in ("one", "two", "three")],
}


class StoppedError(Exception):
    """Somebody pressed the button."""


def test_the_search_tells_what_it_has_tried() -> None:
    """Each number of sessions tried is told with its power; the share done grows to 1."""
    told: list[tuple[float, str]] = []
    size = size_for(request_from_mapping(REQUEST), tell=lambda share, words: told.append((share, words)))
    assert len(told) == size.repeats > 5
    assert told[-1] == (1.0, f"2 riders, {size.repeats} sessions each: power {size.power:.2f}")
    assert all(0.0 < share <= 1.0 for share, _ in told)
    assert told[0][0] < 0.5 < told[-2][0]


def test_the_search_stops_at_the_next_word() -> None:
    """What is told may raise: nothing more is simulated."""
    told: list[str] = []

    def stop(share: float, words: str) -> None:  # noqa: ARG001
        told.append(words)
        if len(told) == 3:
            raise StoppedError

    with pytest.raises(StoppedError):
        size_for(request_from_mapping(REQUEST), tell=stop)
    assert len(told) == 3


def test_a_stopped_plan_leaves_no_trial(tmp_path: Path) -> None:
    """Stopped while its size is looked for, a plan lies nowhere."""

    def stop(share: float, words: str) -> None:  # noqa: ARG001
        raise StoppedError

    with pytest.raises(StoppedError):
        Trial.planned(request_from_mapping(REQUEST), tmp_path / "t", admissible=lambda _: [], tell=stop)
    assert not (tmp_path / "t").exists()


def test_the_command_shows_the_search(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`trial plan` moves a progress bar while the size is looked for."""
    told: list[str] = []
    shares: list[float] = []

    @contextmanager
    def bar(words: str) -> Iterator[Any]:
        told.append(words)

        def move(share: float, doing: str) -> None:
            shares.append(share)
            told.append(doing)

        yield move

    monkeypatch.setattr(trial_command, "told_progress", bar)
    options = "".join(
        f'[[options]]\nlabel = "{one}"\nsetting = {{ spacers = {place} }}\nchecked_by_hand = "Maple"\n'
        for place, one in enumerate(("one", "two", "three"))
    )
    (tmp_path / "request.toml").write_text(
        'format = 1\nname = "Five in a row"\ndesign = "ranked"\nquestion = "Put them in order"\n'
        'riders = ["Ash", "Birch"]\nleader = "Linden"\nmechanic = "Maple"\n[aim]\npreferred_share = 0.82\n'
        + options,
        encoding="utf-8",
    )
    main(["trial", "plan", str(tmp_path / "request.toml"), "--out", str(tmp_path / "t"), "--json"])
    assert told[0] == "Looking for the size"
    assert "power" in told[-1]
    assert len(shares) > 2
    assert shares == sorted(shares)
    assert 0.0 <= shares[0] < shares[-1] <= 1.0
