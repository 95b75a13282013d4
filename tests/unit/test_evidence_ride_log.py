"""Ride logs: filtered travel and speed, riding time, sag, bottom-outs, sections, comparison and overlay."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from forkwright.evidence.compare_runs import compare_runs
from forkwright.evidence.export import harmless, write_table
from forkwright.evidence.importing import import_recording
from forkwright.evidence.overlay import overlay
from forkwright.evidence.recording import Recording
from forkwright.evidence.ride_log import Section, read_ride
from forkwright.evidence.ride_use import shares
from forkwright.evidence.signals import evenly_sampled, level_of_detail, motion_of
from forkwright.evidence.windows import window_of
from forkwright.units import InputError

FULL = 0.160
RATE = 500.0


def log_of(
    travel: np.ndarray, rate: float = RATE, time: np.ndarray | None = None, **more: object
) -> Recording:
    t = np.arange(travel.size) / rate if time is None else time
    recording = Recording(
        "log.csv", t, {"travel": travel}, {"travel": "length"}, rate, time is None, ((0, t.size),), {},
        frozenset(), (),
    )  # fmt: skip
    return replace(recording, **more)  # type: ignore[arg-type]


def ride(seed: int = 0, seconds: float = 120.0, sag: float = 0.045, spread: float = 0.015) -> np.ndarray:
    """Invented riding: filtered noise about a sag."""
    rng = np.random.default_rng(seed)
    n = int(seconds * RATE)
    kernel = np.exp(-np.arange(101) / 20)
    white = np.convolve(rng.normal(size=n + 100), kernel, mode="valid")
    return np.asarray(sag + spread * white / np.sqrt(kernel @ kernel))


def test_a_slow_wave_passes_the_filter_unchanged_and_its_speed_is_its_derivative() -> None:
    t = np.arange(0, 10, 1 / RATE)
    motion = motion_of(log_of(0.05 + 0.02 * np.sin(2 * np.pi * 2 * t)))
    middle = slice(500, -500)
    assert motion.travel[middle] == pytest.approx((0.05 + 0.02 * np.sin(2 * np.pi * 2 * t))[middle], abs=2e-6)
    expected = 0.02 * 2 * np.pi * 2 * np.cos(2 * np.pi * 2 * t)
    assert motion.speed[middle] == pytest.approx(expected[middle], abs=2e-3 * 0.25)


def test_filtering_forward_and_back_leaves_half_the_amplitude_at_the_cutoff() -> None:
    t = np.arange(0, 20, 1 / RATE)
    motion = motion_of(log_of(0.05 + 0.01 * np.sin(2 * np.pi * 30 * t)), cutoff=30.0)
    assert np.ptp(motion.travel[2000:-2000]) / 2 == pytest.approx(0.005, rel=2e-3)
    assert motion.travel[2000:-2000].mean() == pytest.approx(0.05, abs=1e-5)


def test_nothing_is_filtered_across_a_gap() -> None:
    travel = np.concatenate([np.full(1000, 0.03), np.full(1000, 0.10)])
    time = np.concatenate([np.arange(1000), np.arange(1000) + 5000]) / RATE
    motion = motion_of(log_of(travel, time=time, regular=True, pieces=((0, 1000), (1000, 2000))))
    assert motion.travel == pytest.approx(travel, abs=1e-9)
    assert motion.speed == pytest.approx(0.0, abs=1e-6)


def test_uneven_samples_are_laid_on_an_even_grid_without_moving_the_curve() -> None:
    rng = np.random.default_rng(1)
    time = np.cumsum(rng.uniform(0.001, 0.003, 5000))
    recording = log_of(0.05 + 0.02 * np.sin(time), time=time - time[0])
    even = evenly_sampled(recording)
    assert np.ptp(np.diff(even.time)) < 1e-9
    assert even["travel"] == pytest.approx(0.05 + 0.02 * np.sin(even.time + time[0]), abs=1e-6)


def test_standing_still_is_left_out_of_sag_and_histograms() -> None:
    travel = np.concatenate([np.full(30_000, 0.020), ride(), np.full(30_000, 0.020)])
    log = read_ride(log_of(travel), FULL)
    assert log.whole.riding == pytest.approx(120.0, abs=4.0)
    assert log.whole.riding_sag == pytest.approx(0.045, abs=0.001)
    assert any("standing still" in w for w in log.warnings)
    with pytest.raises(InputError, match="stands still"):
        read_ride(log_of(np.full(5000, 0.02)), FULL)


def test_ground_speed_decides_what_is_riding_where_there_is_one() -> None:
    travel = ride()
    speed = np.where(np.arange(travel.size) < travel.size // 2, 0.0, 6.0)
    recording = log_of(travel)
    recording = replace(
        recording, channels={**recording.channels, "ground_speed": speed},
        dimensions={"travel": "length", "ground_speed": "speed"},
    )  # fmt: skip
    assert read_ride(recording, FULL).whole.riding == pytest.approx(60.0, abs=0.1)


def test_bottom_outs_count_once_until_the_travel_came_back() -> None:
    t = np.arange(0, 60, 1 / RATE)
    travel = 0.06 + 0.005 * np.sin(2 * np.pi * 3 * t)
    for at in (10.0, 30.0, 45.0):
        travel += 0.1 * np.exp(-(((t - at) / 0.15) ** 2))
    travel = np.minimum(travel, 0.1600 + 0.0002 * np.sin(2 * np.pi * 40 * t))
    log = read_ride(log_of(travel), FULL)
    assert log.whole.bottom_outs == 3
    assert log.bottom_out_times == pytest.approx((10, 30, 45), abs=0.2)
    assert log.whole.top_outs == 0


def test_histograms_add_up_and_outer_bins_take_what_lies_beyond() -> None:
    log = read_ride(log_of(ride()), FULL)
    used = log.whole.used
    assert used.travel_share.sum() == pytest.approx(1.0)
    assert used.speed_share.sum() == pytest.approx(1.0)
    assert used.travel_share.size == used.travel_edges.size - 1
    assert used.speed_share.size == used.speed_edges.size + 1
    assert shares(np.array([-9.0, 0.5, 9.0, 9.0]), np.array([0.0, 1.0])).tolist() == [0.25, 0.25, 0.5]


def test_sections_come_from_a_column_or_are_given() -> None:
    travel = np.concatenate([ride(1, 60, 0.03), ride(2, 60, 0.06)])
    names = np.repeat(["climb", "rock garden"], travel.size // 2)
    log = read_ride(log_of(travel, labels={"section": names}), FULL)
    assert [u.name for u in log.sections] == ["climb", "rock garden"]
    assert log.sections[0].riding_sag == pytest.approx(0.03, abs=0.002)
    given = read_ride(log_of(travel), FULL, sections=[Section("end", 60.0, 120.0)])
    assert given.sections[0].riding_sag == pytest.approx(0.06, abs=0.002)
    with pytest.raises(InputError, match="outside the log"):
        read_ride(log_of(travel), FULL, sections=[Section("later", 500.0, 600.0)])


def test_a_real_difference_is_shown_and_two_runs_of_the_same_thing_mostly_agree() -> None:
    base = read_ride(log_of(ride(1)), FULL)
    deeper = read_ride(log_of(ride(2, sag=0.055)), FULL)
    sag = compare_runs(base, deeper).differences[0]
    assert sag.shown
    assert sag.change.low < 0.010 < sag.change.high
    runs = [read_ride(log_of(ride(s, 40.0)), FULL) for s in range(10, 30)]
    alarms = [
        compare_runs(a, b, seed=1).differences[0].shown for a, b in zip(runs[::2], runs[1::2], strict=True)
    ]
    assert sum(alarms) <= 2
    assert any("by chance" in w for w in compare_runs(base, deeper).warnings)


def test_a_simulation_is_shifted_onto_the_log_it_belongs_to() -> None:
    travel = ride(3)
    log = read_ride(log_of(travel), FULL)
    laid = overlay(log, np.arange(20_000) / RATE, log.motion.travel[600:20_600])
    assert laid.shift == pytest.approx(600 / RATE)
    assert laid.correlation == pytest.approx(1.0, abs=1e-9)
    assert laid.rms < 1e-9
    other = overlay(log, np.arange(20_000) / RATE, ride(4)[:20_000])
    assert any("hardly follow" in w for w in other.warnings)


def test_thinning_for_a_drawing_keeps_every_peak() -> None:
    travel = ride(5)
    travel[12_345], travel[54_321] = 0.159, -0.09
    t, x = level_of_detail(np.arange(travel.size) / RATE, travel, 500)
    assert t.size <= 1002
    assert np.all(np.diff(t) > 0)
    assert (x.max(), x.min()) == (0.159, -0.09)


def test_doubtful_logs_are_called_doubtful() -> None:
    for travel, words in [
        (ride() + 0.3, "zero and scale"),
        (ride(sag=0.02, spread=0.003), "less than half"),
        (ride(seconds=30), "less than a minute"),
    ]:
        assert any(words in w for w in read_ride(log_of(travel), FULL).warnings)
    slow = log_of(ride()[::10], rate=50.0)
    assert any("sharp hits are lost" in w for w in read_ride(slow, FULL).warnings)
    with pytest.raises(InputError, match="half the sampling rate"):
        motion_of(slow, cutoff=30.0)
    with pytest.raises(InputError, match="must be positive"):
        read_ride(slow, 0.0)


def test_text_that_a_spreadsheet_would_run_is_written_as_text(tmp_path: Path) -> None:
    import openpyxl

    nasty = ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1", '=HYPERLINK("x")']
    assert all(str(harmless(n)).startswith("'") for n in nasty)
    assert harmless(-3.5) == -3.5
    assert harmless("fork") == "fork"
    columns = {"=evil": nasty, "x": [-1.5] * len(nasty)}
    text = write_table(tmp_path / "out.csv", columns).read_text()
    assert text.startswith("'=evil")
    page = openpyxl.load_workbook(write_table(tmp_path / "out.xlsx", columns)).active
    assert all(cell.data_type in ("s", "n") for row in page.iter_rows() for cell in row)
    with pytest.raises(InputError, match="unknown kind"):
        write_table(tmp_path / "out.doc", columns)
    back = tmp_path / "back.csv"
    write_table(back, {"time (s)": [0.0, 0.1, 0.2], "travel (mm)": [1.0, -2.0, 3.0]})
    assert import_recording(back)["travel"] == pytest.approx([0.001, -0.002, 0.003])


def test_a_ride_near_full_travel_is_asked_about(tmp_path: Path) -> None:
    """A sensor that counts down rides at an unlikely depth: that is said, and turned round it is not."""
    time = np.arange(0, 20, 0.01)
    travel = 45 + 25 * np.sin(8 * time)
    for values, asked in ((160 - travel, True), (travel, False)):
        path = tmp_path / "log.csv"
        rows = "".join(f"{t:.2f},{x:.2f}\n" for t, x in zip(time, values, strict=True))
        path.write_text(f"time (s),travel (mm)\n{rows}")
        ride = read_ride(import_recording(path), 0.16)
        assert any("count the other way" in words for words in ride.warnings) == asked


def test_a_window_keeps_peaks_and_leaves_gaps_open() -> None:
    """Of a long stretch lowest and highest of every column come, with a hole where the log has one."""
    time = np.concatenate([np.arange(0, 50, 0.001), np.arange(60, 110, 0.001)])
    values = np.sin(time)
    values[30_000] = 9.0
    pieces = ((0, 50_000), (50_000, 100_000))
    seen = window_of(time, values, pieces, 0.0, 110.0, 200)
    assert seen.values.size <= 403
    assert np.nanmax(seen.values) == 9.0
    assert np.count_nonzero(np.isnan(seen.values)) == 1
    assert not seen.whole
    near = window_of(time, values, pieces, 29.99, 30.01, 200)
    assert near.whole
    assert near.samples == pytest.approx(22, abs=1)
    for start, stop in ((5.0, 5.0), (200.0, 201.0)):
        with pytest.raises(InputError, match="stretch"):
            window_of(time, values, pieces, start, stop)


def test_a_ride_is_laid_over_a_log_that_has_a_gap_near_its_start() -> None:
    """The simulation keeps the log's own time, also where the longest piece begins long after the start."""
    travel = ride(7)[:30_000]
    time = np.arange(30_000) / RATE
    kept = (time < 15.0) | (time >= 16.0)
    pieces = ((0, 7500), (7500, int(kept.sum())))
    log = read_ride(log_of(travel[kept], time=time[kept], pieces=pieces, regular=True), FULL)
    laid = overlay(log, time, travel)
    assert laid.shift == pytest.approx(0.0, abs=0.01)
    assert laid.time[0] == pytest.approx(16.0, abs=0.01)
    assert laid.correlation > 0.98
