"""`--units` holds for what a command prints, not only for some of it."""

from __future__ import annotations

import re

import pytest
from tests.command_line import Cli

import forkwright as fw

FORK, OTHER, SHOCK, RIDER, BIKE = (
    fw.demo_file(name) for name in ("dunlin-160", "plover-160", "linnet-65", "rider", "bike")
)
LOGS = FORK.parent / "logs"
WHO = ("--rider", RIDER, "--bike", BIKE)
USUAL = re.compile(r"\d (psi|mm|N)(?![\w/])|psi a day|\(N\)")


@pytest.mark.parametrize(
    "arguments",
    [
        ("spring", FORK, "--points", "5"),
        ("spring", SHOCK, "--points", "5", "--bike", BIKE),
        ("sag", FORK, *WHO),
        ("sag", SHOCK, *WHO),
        ("chassis", FORK),
        ("hose", FORK),
        ("compare", FORK, OTHER, *WHO, "--draws", "100"),
        ("match", FORK, OTHER, "--draws", "0"),
        ("balance", FORK, SHOCK, *WHO),
        ("uncertainty", FORK, "--load", "330 N", "--samples", "128"),
        ("damper", FORK, "--speeds", "-1, 1"),
        ("leakdown", LOGS / "dunlin-leak-down.csv", "--unit", FORK),
        ("leakdown", LOGS / "dunlin-lower-legs.csv", "--unit", FORK),
        ("log", LOGS / "moor-ride-a.csv", "--unit", FORK),
    ],
    ids=lambda arguments: f"{arguments[0]} {arguments[1].stem}",
)
def test_units_asked_for_are_the_units_printed(arguments: tuple[object, ...], cli: Cli) -> None:
    """Asked for bar, inch and kilogram-force, no table and no sentence keeps to psi, millimetre or newton."""
    status, out, _ = cli("--units", "bar,in,kgf", *arguments)
    assert status == 0
    assert re.search(r"[\d(] ?(bar|in|kgf)\b|bar a day", out)
    assert [line for line in out.splitlines() if USUAL.search(line)] == []
