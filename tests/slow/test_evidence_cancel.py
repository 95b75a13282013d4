"""Stopping a long fit and a long comparison of logs from the keyboard: at once, in one word, status 130."""

from __future__ import annotations

import os
import pty
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from forkwright.bench.damping import damping_curve
from forkwright.hardware import load_unit

pytestmark = pytest.mark.slow
AT_ONCE = 10.0  # s, on a busy machine too


@pytest.fixture
def dyno(tmp_path: Path, demo_dir: Path) -> Path:
    """Four hundred points of a dynamometer trace of the demonstration fork, with noise."""
    speed = np.linspace(-2.0, 2.0, 401)
    force = damping_curve(load_unit(demo_dir / "dunlin-160.toml"), speeds=speed).force
    force = force + np.random.default_rng(3).normal(0, 10.0, speed.size)
    path = tmp_path / "dyno.csv"
    rows = "".join(f"{v:.4f},{f:.1f}\n" for v, f in zip(speed, force, strict=True))
    path.write_text("speed (m/s),force (N)\n" + rows, encoding="utf-8")
    return path


@pytest.fixture
def logs(tmp_path: Path) -> tuple[Path, Path]:
    """Two logs of twenty minutes at 1 kHz."""
    time_s = np.arange(0, 1200, 1e-3)
    paths = []
    for number in (1, 2):
        rng = np.random.default_rng(number)
        travel = 50 + 20 * np.sin(9.0 * time_s) + 5 * rng.normal(size=time_s.size)
        path = tmp_path / f"run {number}.csv"
        table = np.column_stack([time_s, travel])
        with path.open("w", encoding="utf-8") as out:
            out.write("time (s),travel (mm)\n")
            np.savetxt(out, table, fmt="%.3f", delimiter=",")
        paths.append(path)
    return paths[0], paths[1]


def stopped(words: str, *arguments: str | Path) -> tuple[int, str, str]:
    """Run a command on its own terminal and press Ctrl-C once it shows `words`: status, output, errors.

    It must end within seconds of the key.
    """
    keyboard, terminal = pty.openpty()
    run = subprocess.Popen(
        [sys.executable, "-m", "forkwright", *map(str, arguments), "--json"],
        stdin=terminal, stdout=subprocess.PIPE, stderr=terminal, start_new_session=True,
        env={**os.environ, "COLUMNS": "160", "TERM": "xterm"},
    )  # fmt: skip
    os.close(terminal)
    shown, pressed = b"", 0.0
    deadline = time.monotonic() + 120.0
    while time.monotonic() < deadline:
        if select.select([keyboard], [], [], 0.05)[0]:
            try:
                shown += os.read(keyboard, 65_536)
            except OSError:  # the other end has closed
                break
        if not pressed and words.encode() in shown:
            os.killpg(run.pid, signal.SIGINT)
            pressed = time.monotonic()
            deadline = pressed + AT_ONCE
    if not pressed or time.monotonic() > deadline:
        run.kill()
        run.communicate()
        raise AssertionError(f"pressed: {pressed > 0.0}; {shown.decode(errors='replace')[-2000:]}")
    out, _ = run.communicate(timeout=AT_ONCE)
    os.close(keyboard)
    return run.returncode, out.decode(), shown.decode(errors="replace")


def test_ctrl_c_stops_a_fit(dyno: Path, demo_dir: Path) -> None:
    """A fit of a whole damper ends with status 130 and "stopped", prints no result and no traceback."""
    status, out, err = stopped("fitting", "fit", demo_dir / "dunlin-160.toml", dyno)
    assert status == 130
    assert out == ""
    assert "stopped" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("words", ["Reading", "comparing the two"])
def test_ctrl_c_stops_a_comparison_of_logs(logs: tuple[Path, Path], words: str) -> None:
    """So does a comparison, while it reads and while it draws the stretches anew."""
    status, out, err = stopped(words, "log", *logs, "--travel", "160 mm")
    assert status == 130
    assert out == ""
    assert "stopped" in err
    assert "Traceback" not in err
