"""Sweeps on several processes, after a kill, and on a Dask cluster: the same scores, and flat memory."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import polars as pl
import pytest

pytestmark = pytest.mark.slow

VARY = ("--vary", "pressure=70 psi..110 psi:0.5 psi", "--vary", "spacers=0..1")
"""162 settings: eleven portions."""
RIDDEN = ("--course", "heather-traverse", "--rider", "82 kg")


def command(demo_dir: Path, folder: Path, *more: str) -> list[str]:
    return [
        sys.executable, "-m", "forkwright", "sweep", str(demo_dir / "dunlin-160.toml"),
        *RIDDEN, *VARY, "--out", str(folder), "--json", *more,
    ]  # fmt: skip


def rows(folder: Path) -> pl.DataFrame:
    return pl.read_parquet(folder / "part-*.parquet").sort("setting", "course")


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> pl.DataFrame:
    folder = tmp_path_factory.mktemp("plain") / "s"
    demo_dir = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
    # The process that compiles the kernel may differ in last digits from those that load it (docs/ride.md).
    first = [sys.executable, "-m", "forkwright", "ride", str(demo_dir / "dunlin-160.toml"), *RIDDEN]
    subprocess.run(first, check=True, capture_output=True)
    subprocess.run(command(demo_dir, folder, "--workers", "1"), check=True, capture_output=True)
    return rows(folder)


def test_two_processes_give_the_same_scores(demo_dir: Path, tmp_path: Path, plain: pl.DataFrame) -> None:
    """Scores do not depend on how many processes worked."""
    subprocess.run(command(demo_dir, tmp_path / "s", "--workers", "2"), check=True, capture_output=True)
    assert rows(tmp_path / "s").equals(plain)


def test_a_killed_sweep_goes_on(demo_dir: Path, tmp_path: Path, plain: pl.DataFrame) -> None:
    """Killed in the middle, a sweep called again ends with the same scores, without doing all again."""
    folder = tmp_path / "s"
    running = subprocess.Popen(
        command(demo_dir, folder, "--workers", "2"), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        start_new_session=True,
    )  # fmt: skip
    deadline = time.monotonic() + 120.0
    while len(list(folder.glob("part-*.parquet"))) < 2 and time.monotonic() < deadline:
        time.sleep(0.02)
    os.killpg(running.pid, signal.SIGKILL)
    running.wait()
    kept = {path: path.stat().st_mtime_ns for path in folder.glob("part-*.parquet")}
    assert 2 <= len(kept) < 11
    subprocess.run(command(demo_dir, folder, "--workers", "2"), check=True, capture_output=True)
    assert all(path.stat().st_mtime_ns == stamp for path, stamp in kept.items())
    assert rows(folder).equals(plain)


def test_a_cluster_gives_the_same_scores(demo_dir: Path, tmp_path: Path, plain: pl.DataFrame) -> None:
    """A real scheduler with two workers, found by its address, gives the scores of this machine."""
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        arguments = command(demo_dir, tmp_path / "s", "--cluster", cluster.scheduler_address)
        done = subprocess.run(arguments, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert rows(tmp_path / "s").equals(plain)


def test_memory_does_not_grow_with_the_settings(tmp_path: Path) -> None:
    """Ten times as many settings take no more memory than a few per cent."""
    script = Path(__file__).parents[1] / "sweep_memory.py"
    peaks = [
        int(
            subprocess.run(
                [sys.executable, str(script), str(count), str(tmp_path / str(count))],
                capture_output=True,
                text=True,
                check=True,
            ).stdout
        )
        for count in (200, 2000)
    ]
    assert peaks[1] < 1.05 * peaks[0], peaks
