"""Stopping a search from the keyboard: at once, in one word, leaving no process behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for processes in /proc")
def test_ctrl_c_stops_a_search_cleanly(demo_dir: Path) -> None:
    """An interrupt to the whole group ends with status 130 and "stopped", no traceback and no worker left."""
    command = [
        sys.executable, "-m", "forkwright", "recommend", str(demo_dir / "dunlin-160.toml"),
        "--course", "peat-hag-descent", "--rider", "80 kg", "--workers", "2", "--json",
    ]  # fmt: skip
    run = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    deadline = time.monotonic() + 60.0
    while len(members(run.pid)) < 4 and time.monotonic() < deadline and run.poll() is None:
        time.sleep(0.1)  # the two workers and their keeper
    time.sleep(2.0)
    assert run.poll() is None, "it ended before it could be stopped"
    os.killpg(run.pid, signal.SIGINT)
    out, err = run.communicate(timeout=30.0)
    assert run.returncode == 130
    assert out == ""
    assert "stopped" in err
    assert "Traceback" not in err
    deadline = time.monotonic() + 10.0
    while members(run.pid) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert members(run.pid) == []


def members(group: int) -> list[int]:
    """Living processes of a process group."""
    found = []
    for place in Path("/proc").iterdir():
        if not place.name.isdigit():
            continue
        try:
            fields = (place / "stat").read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        if int(fields[2]) == group and fields[0] != "Z":
            found.append(int(place.name))
    return found
