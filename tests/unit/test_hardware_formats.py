"""File formats: a newer one is refused in plain words, an older one walks the chain of upgrades."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar, Literal, get_args

import pytest

from forkwright.evidence.mapping_files import load_mapping
from forkwright.hardware import load
from forkwright.hardware.drawer import Drawer, load_drawer
from forkwright.hardware.fields import Part, Upgrade
from forkwright.hardware.files import KINDS, validated
from forkwright.hardware.stack import load_stack
from forkwright.hardware.upgrade import newest_format, up_to_date
from forkwright.ride.course_file import load_course
from forkwright.ride.course_plan import CourseFile
from forkwright.trial.request import read_request
from forkwright.units import InputError

READERS: list[tuple[Callable[[Path], object], str]] = [
    (load, 'kind = "fork"'),
    (load, 'kind = "rider"'),
    (load, 'kind = "bike"'),
    (load_drawer, 'kind = "drawer"'),
    (load_stack, 'name = "x"'),
    (load_course, 'kind = "course"'),
    (load_mapping, 'source = "x"'),
    (read_request, 'name = "x"'),
]


@pytest.mark.parametrize(("reader", "first"), READERS, ids=[f"{r.__name__}-{f}" for r, f in READERS])
def test_a_newer_format_is_refused_before_anything_else(
    tmp_path: Path, reader: Callable[[Path], object], first: str
) -> None:
    """Whatever else a file of a newer format holds, the answer is to upgrade, not a list of unknown keys."""
    path = tmp_path / "newer.toml"
    path.write_text(f'{first}\nformat = 2\nsomething_new = "yes"\n', "utf-8")
    with pytest.raises(InputError, match="newer forkwright; upgrade forkwright") as told:
        reader(path)
    assert told.value.key == "format"
    assert told.value.value == "2"
    assert str(path) in str(told.value)


class Gauge(Part):
    """A kind of file that exists in this test alone, in its third format."""

    format: Literal[3]
    reading: str
    place: str = ""

    upgrades: ClassVar[tuple[Upgrade, ...]] = (
        lambda table: {"reading" if key == "value" else key: value for key, value in table.items()},
        lambda table: {**table, "place": "left"},
    )


@pytest.mark.parametrize(
    "table",
    [
        {"format": 1, "value": "85 psi"},
        {"format": 2, "reading": "85 psi"},
        {"format": 3, "reading": "85 psi", "place": "left"},
    ],
)
def test_an_older_format_walks_the_chain(table: dict[str, Any]) -> None:
    """Each upgrade is taken once, from the file's own format on, and the table given is left alone."""
    before = dict(table)
    assert validated(Gauge, table) == Gauge(format=3, reading="85 psi", place="left")
    assert table == before


@pytest.mark.parametrize("found", [0, -1, "1", True, 1.0, None])
def test_what_was_never_a_format_is_left_to_validation(found: object) -> None:
    """No such format, text or a truth value is not upgraded but refused by the model itself."""
    table = {"format": found, "reading": "85 psi"}
    assert up_to_date(table, Gauge) is table
    with pytest.raises(InputError):
        validated(Gauge, table)


@pytest.mark.parametrize("model", [*dict.fromkeys(KINDS.values()), Drawer, CourseFile])
def test_the_newest_format_is_where_the_chain_ends(model: type[Part]) -> None:
    """The format that a model asks for is the one its upgrades lead to."""
    assert get_args(model.model_fields["format"].annotation) == (newest_format(model),)
