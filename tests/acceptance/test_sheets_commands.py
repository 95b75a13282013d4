"""`forkwright sheet …` as a technician uses it: files written whole, errors in one line."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.command_line import Cli, answered, refused


@pytest.mark.parametrize(
    ("arguments", "name", "starts"),
    [
        (("card", "dunlin-160", "--owner", "Zoë", "--service", "Lower legs=50 h"), "card.pdf", b"%PDF"),
        (("card", "plover-160", "--paper", "a4", "--pressure-unit", "bar"), "card.pdf", b"%PDF"),
        (("pressures", "plover-160", "--temperatures", "-5 °C, 10 °C"), "book.xlsx", b"PK"),
        (("cutaway", "dunlin-160", "--travel", "40 mm", "--leg", "both"), "leg.svg", b"<svg"),
    ],
)
def test_sheets_are_written(
    cli: Cli, demo_dir: Path, tmp_path: Path, arguments: tuple[str, ...], name: str, starts: bytes
) -> None:
    """Each command writes its file and prints one JSON object saying where."""
    what, unit, *more = arguments
    out = tmp_path / name
    answer = answered(cli, "sheet", what, demo_dir / f"{unit}.toml", "--out", out, *more)
    assert answer["file"] == str(out)
    assert answer["bytes"] == out.stat().st_size
    assert out.read_bytes().startswith(starts)
    assert [path.name for path in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize(
    ("ending", "starts", "holds"),
    [("html", b"<!doctype html>", (b"Dunlin 160", b"Plover 160", b"</html>")), ("pdf", b"%PDF", (b"%%EOF",))],
)
def test_report_of_two_forks(
    cli: Cli, demo_dir: Path, tmp_path: Path, ending: str, starts: bytes, holds: tuple[bytes, ...]
) -> None:
    """The comparison's report comes as a page that names both forks, or as a print; whole both times."""
    out = tmp_path / f"report.{ending}"
    forks = [demo_dir / f"{name}.toml" for name in ("dunlin-160", "plover-160")]
    status, _, _ = cli("sheet", "report", *forks, "--rider", "82 kg", "--draws", "100", "--out", out)
    assert status == 0
    content = out.read_bytes()
    assert content[: len(starts)].lower() == starts.lower()
    assert all(words in content for words in holds)
    assert len(content) > 50_000  # the curves are in it


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--out", "{tmp}/card.docx"), "--out"),
        (("--out", "{tmp}/nowhere/card.pdf"), "cannot be written"),
        (("--out", "{tmp}/card.pdf", "--pressure", "150 psi"), "120"),
        (("--out", "{tmp}/card.pdf", "--spacers", "9"), "spacers"),
        (("--out", "{tmp}/card.pdf", "--set-temp", "300 °C"), "--set-temp"),
        (("--out", "{tmp}/card.pdf", "--temperatures", "warm"), "--temperatures"),
        (("--out", "{tmp}/card.pdf", "--altitudes", "0 m, 90000 m"), "--altitudes"),
        (("--out", "{tmp}/card.pdf", "--service", "oil"), "--service"),
    ],
)
def test_bad_input_ends_in_one_line(
    cli: Cli, demo_dir: Path, tmp_path: Path, arguments: tuple[str, ...], message: str
) -> None:
    """Wrong input exits 2 with one message that names what was wrong, and writes nothing."""
    filled = [argument.format(tmp=tmp_path) for argument in arguments]
    err = refused(cli, "sheet", "card", demo_dir / "dunlin-160.toml", *filled)
    assert message in err.replace(str(tmp_path), "")
    assert len(err.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_cutaway_refuses_travel_it_does_not_have(cli: Cli, demo_dir: Path, tmp_path: Path) -> None:
    """A travel beyond the unit's is an error, not a clipped drawing."""
    fork = demo_dir / "dunlin-160.toml"
    err = refused(cli, "sheet", "cutaway", fork, "--travel", "200 mm", "--out", tmp_path / "a.svg")
    assert "--travel" in err
    assert list(tmp_path.iterdir()) == []
