"""A comparison up on a mountain: the terminal and the report read the same gauge."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest

from forkwright.bench import Conditions


def end_pressures(text: str, label: str) -> list[str]:
    """Return the first two gauge pressures after a label, tags and rules left out."""
    plain = unescape(re.sub(r"<[^>]+>|[│┃]", " ", text))
    return re.findall(r"([\d.]+) psi", plain[re.search(label, plain, re.I).start() :])[:2]  # type: ignore[union-attr]


def test_end_pressures_are_read_against_the_air_up_there(
    cli: Callable[..., tuple[int, str, str]], demo_dir: Path, tmp_path: Path
) -> None:
    """Printed and reported alike; more than at sea level by the air that is missing up there."""
    report = tmp_path / "r.html"
    said = {}
    for height in ("0 m", "3000 m"):
        status, out, err = cli(
            "compare", demo_dir / "dunlin-160.toml", demo_dir / "plover-160.toml", "--rider",
            demo_dir / "rider.toml", "--draws", "100", "--altitude", height, "--report", report,
        )  # fmt: skip
        assert status == 0, err
        said[height] = end_pressures(out, "end pressure")
        assert said[height] == end_pressures(report.read_text("utf-8"), "End pressure, slow")
    missing = (Conditions().ambient_pressure - Conditions.at(3000.0).ambient_pressure) / 6894.757
    gained = float(said["3000 m"][0]) - float(said["0 m"][0])
    assert gained == pytest.approx(missing, abs=0.15)
