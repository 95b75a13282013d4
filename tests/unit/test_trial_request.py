"""Bad requests: each fault names file, line, key and value."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.trial_samples import PAIRED_TEXT

from forkwright.trial import read_request, request_from_text, size_for
from forkwright.trial.cautions import refuse_unridable
from forkwright.trial.request import Day, Option
from forkwright.trial.schedule import days_for
from forkwright.units import InputError

GOOD = f"""{PAIRED_TEXT}
[[scales]]
name = "grip"
low = "none"
high = "all I could ask"
points = 9
"""

BAD = [
    (
        "format = 1",
        "format = 2",
        "line 1: format: written by a newer forkwright; upgrade forkwright to read this file; got '2'",
    ),
    ('design = "paired"', 'design = "guess"', "line 3: design:"),
    ('riders = ["Ash", "Birch"]', "riders = []", "line 5: riders: too few"),
    ('riders = ["Ash", "Birch"]', 'riders = ["Ash", "Ash"]', "line 5: riders: 'Ash' stands twice"),
    ('mechanic = "Maple"', 'mechanic = "Ash"', "line 7: mechanic: 'Ash' sees the settings"),
    ('mechanic = "Maple"', 'mechanic = "Linden"', "line 7: mechanic: 'Linden' sees the settings"),
    ('mechanic = "Maple"', "", "mechanic: missing"),
    ("preferred_share = 0.8", "preferred_share = 1.2", "line 10: aim.preferred_share: input should be less"),
    ("preferred_share = 0.8", "", "aim.preferred_share: missing"),
    ("preferred_share = 0.8", "prefered = 0.8", "line 10: aim.prefered: no such key"),
    ('label = "three"', 'label = "two"', "option labels: 'two' stands twice"),
    ('label = "three"', "label = 3", "line 16: options.1.label:"),
    ("points = 9", "points = 2", "line 22: scales.0.points: input should be greater than or equal to 3"),
    ("points = 9", "points = nine", "line 22: not valid TOML"),
    ('design = "paired"', 'design = "triangle"', "scales: a triangle test asks one thing only"),
    ('design = "paired"', 'design = "rated"', "primary: name the scale or time that decides; one of grip"),
    (
        'design = "paired"',
        'design = "paired"\nalternative = "greater"',
        "line 4: alternative: one-sided needs",
    ),
    ('design = "paired"', 'design = "paired"\nrepeats = 0', "line 4: repeats:"),
    (
        'design = "paired"',
        'design = "paired"\nexpected_order = ["two"]',
        "line 4: expected_order: name every",
    ),
]


@pytest.mark.parametrize(("old", "new", "message"), BAD)
def test_a_bad_request_names_the_place(tmp_path: Path, old: str, new: str, message: str) -> None:
    """The fault is one line with file, line and key."""
    assert old in GOOD
    path = tmp_path / "request.toml"
    path.write_text(GOOD.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError) as fault:
        read_request(path)
    assert str(path) in str(fault.value)
    assert message in str(fault.value)
    assert "\n" not in str(fault.value)


@pytest.mark.parametrize("content", [b"\xff\xfe", None])
def test_an_unreadable_file_is_named(tmp_path: Path, content: bytes | None) -> None:
    """A missing or binary file ends in one message."""
    path = tmp_path / "request.toml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match="cannot be read"):
        read_request(path)


def test_a_good_request_is_sized_for_its_aim() -> None:
    """Without fixed repeats the smallest number that reaches the power is planned."""
    size = size_for(request_from_text(GOOD))
    assert size.power >= 0.9
    assert (size.answers, size.riders, size.repeats) == (28, 2, 14)


def test_few_riders_with_many_pairs_are_never_promised_power_they_cannot_have() -> None:
    """Where riders cannot reach the corrected risk, blocks are counted, and the power is that of blocks."""
    text = (
        GOOD.replace('design = "paired"', 'design = "rated"\nprimary = "grip"\nrepeats = 1')
        .replace("preferred_share = 0.8", "difference = 3.0\nrun_spread = 0.5")
        .replace('["Ash", "Birch"]', '["Ash", "Birch", "Cedar", "Date"]')
    )
    assert size_for(request_from_text(text)).power == 0.0  # four sign changes cannot be significant
    assert size_for(request_from_text(text.replace("repeats = 1", "repeats = 2"))).power > 0.9


def test_a_session_is_never_split_over_days() -> None:
    """What is compared is ridden on one day; a day that cannot hold a session is refused."""
    assert days_for(["a", "a", "b"], 3, Day(runs_per_rider=5, minutes=500)) == [1, 2, 2]
    assert days_for(["a", "b", "a", "b"], 2, Day(minutes=80)) == [1, 1, 2, 2]
    with pytest.raises(InputError, match="runs_per_rider"):
        days_for(["a"], 6, Day(runs_per_rider=4))
    with pytest.raises(InputError, match=r"day\.minutes"):
        days_for(["a"], 6, Day(minutes=60))


@pytest.mark.parametrize("setting", [{"brake": "x"}, {"front": "new brake pads"}, {"caliper_bolts": 2}])
def test_brakes_are_never_part_of_a_blind_change(setting: dict[str, str | int | float | bool]) -> None:
    """Anything that names a brake is refused before the caller is even asked."""
    with pytest.raises(InputError, match="braking"):
        refuse_unridable(Option(label="a", setting=setting), "a", lambda option: [])  # noqa: ARG005
