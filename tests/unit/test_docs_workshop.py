"""The job that the page on the workshop goes through runs as written, from intake to the papers."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

from tests.command_line import Cli
from tests.guide_pages import ROOT, at_the_bench

import forkwright as fw


def test_the_job_on_the_page_runs_as_written(tmp_path: Path, cli: Cli) -> None:
    """Each command of the first block ends well, and the papers it names are there."""
    for name in ("dunlin-160", "bike"):
        (tmp_path / f"{name}.toml").write_text(fw.demo_file(name).read_text("utf-8"), "utf-8")
    page = (ROOT / "docs" / "workshop.md").read_text("utf-8")
    found = re.search(r"```console\n(.*?)```", page, re.S)
    assert found
    commands = re.findall(r"^\$ forkwright (.*)$", found[1].replace("\\\n", " "), re.M)
    assert len(commands) > 12
    with at_the_bench(tmp_path):
        for command in commands:
            status, _, err = cli(*shlex.split(command, comments=True))
            assert status == 0, f"{command}: {err}"
    for paper in ("card.pdf", "report.pdf", "pressures.xlsx"):
        assert (tmp_path / paper).stat().st_size > 1000
