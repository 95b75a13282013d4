"""Tables of settings and sweeps: what is ridden, kept, refused, and taken up again."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pytest
from tests.sweep_memory import COURSE as GROUND

from forkwright.bench import Conditions
from forkwright.hardware import load
from forkwright.ride.course_file import read_course
from forkwright.ride.kept import Kept
from forkwright.ride.options import DampingTable, RideOptions
from forkwright.ride.portion import SweepTask, score_other, score_portion
from forkwright.ride.settings_table import grid, latin_hypercube
from forkwright.ride.settings_text import read_list, read_ranges
from forkwright.ride.simulate import simulate
from forkwright.ride.sweep import PORTION, SweepResult, sweep
from forkwright.units import InputError, Measure

COURSE = f"""{GROUND}
[[event]]
kind = "square_edge"
at = "5 m"
height = "80 mm"
"""

PSI = 6894.757293168


def swept(demo_dir: Path, folder: Path, psi: list[float], **more: object) -> SweepResult:
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in ("dunlin-160", "rider", "bike"))
    table = grid({"pressure": [value * PSI for value in psi], "spacers": [0.0, 2.0]})
    options = RideOptions(damping=DampingTable.linear(600.0, 1400.0))
    course = read_course(COURSE)
    return sweep(
        unit, [course], table, folder, rider=rider, bike=bike, options=options, **({"workers": 1} | more)
    )


def test_every_row_is_the_ride_of_its_setting(demo_dir: Path, tmp_path: Path) -> None:
    """A sweep's row holds what riding that setting by itself gives, in the order of the table."""
    frame = swept(demo_dir, tmp_path / "s", [70.0, 90.0]).table()
    assert frame["setting"].to_list() == [0, 1, 2, 3]
    assert frame["spacers"].to_list() == [0, 2, 0, 2]
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in ("dunlin-160", "rider", "bike"))
    options = RideOptions(damping=DampingTable.linear(600.0, 1400.0))
    setting = unit.setting.changed(pressure=90.0 * PSI, spacers=2)
    alone = simulate(
        unit, read_course(COURSE), setting=setting, rider=rider, bike=bike, options=options
    ).scores
    row = frame.row(3, named=True)
    for name, value in alone.numbers().items():
        assert row[name] == pytest.approx(value, rel=1e-12), name
    assert row["travel_share"] == pytest.approx(alone.travel_share.tolist())
    assert row["fault"] == ""
    assert frame["static_sag_m"][0] > frame["static_sag_m"][2]


def test_a_stopped_sweep_goes_on_where_it_left_off(demo_dir: Path, tmp_path: Path) -> None:
    """Cancelled after its first portion, a sweep keeps it, and the next call does only the rest."""
    psi = np.linspace(60.0, 110.0, PORTION + 4).tolist()
    stop, calls = threading.Event(), []

    def first_only(done: int, total: int) -> None:
        calls.append((done, total))
        if done:
            stop.set()

    part = swept(demo_dir, tmp_path / "s", psi, progress=first_only, cancel=stop)
    assert not part.finished
    assert part.done == PORTION
    kept = (tmp_path / "s" / "part-0000000.parquet").stat().st_mtime_ns
    seen: list[int] = []
    whole = swept(demo_dir, tmp_path / "s", psi, progress=lambda done, _total: seen.append(done))
    assert whole.finished
    assert seen[0] == PORTION
    assert (tmp_path / "s" / "part-0000000.parquet").stat().st_mtime_ns == kept
    once = swept(demo_dir, tmp_path / "t", psi)
    assert whole.table().equals(once.table())


def test_a_folder_with_another_sweep_is_refused(demo_dir: Path, tmp_path: Path) -> None:
    """Scores of two different sweeps never end up in one folder."""
    swept(demo_dir, tmp_path / "s", [80.0])
    with pytest.raises(InputError, match="holds another sweep"):
        swept(demo_dir, tmp_path / "s", [81.0])
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("mine")
    with pytest.raises(InputError, match="not empty"):
        swept(demo_dir, tmp_path / "full", [80.0])


def test_settings_over_a_limit_never_start(demo_dir: Path, tmp_path: Path) -> None:
    """A table that holds one pressure over the unit's limit is refused before anything is ridden."""
    with pytest.raises(InputError, match="over the stated pressure limit"):
        swept(demo_dir, tmp_path / "s", [80.0, 130.0])
    assert not (tmp_path / "s").exists()


def test_ranges_read_as_technicians_write_them() -> None:
    """Ranges, steps, lists and counts give the values they name."""
    ranges = read_ranges(["pressure=70 psi..80 psi:5 psi", "spacers=0..2", "rebound=2,4,8"])
    assert ranges["pressure"] == pytest.approx([70 * PSI, 75 * PSI, 80 * PSI])
    assert ranges["spacers"] == [0.0, 1.0, 2.0]
    assert ranges["rebound"] == [2.0, 4.0, 8.0]
    assert len(grid(ranges)) == 27


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("presure=70 psi", "not an entry"),
        ("pressure=70", "unit is missing"),
        ("pressure=90 psi..70 psi", "backwards"),
        ("pressure=70 psi..90 psi:0 psi", "above zero"),
        ("spacers=one", "not a list or range"),
    ],
)
def test_a_wrong_range_says_what_is_wrong(text: str, words: str) -> None:
    """A range that cannot be read names itself and the fault."""
    with pytest.raises(InputError, match=words):
        read_ranges([text])


def test_latin_hypercube_uses_each_part_once() -> None:
    """Each of n equal parts of a range holds exactly one setting; counts stay whole and in range."""
    table = latin_hypercube({"pressure": (4e5, 6e5), "rebound": (2, 9)}, 50, seed=4)
    parts = np.floor((table.values[:, 0] - 4e5) / 2e5 * 50).astype(int)
    assert sorted(parts) == list(range(50))
    counts = table.values[:, 1]
    assert set(counts) == {2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0}
    assert np.array_equal(
        table.values, latin_hypercube({"pressure": (4e5, 6e5), "rebound": (2, 9)}, 50, 4).values
    )


def test_a_list_of_settings_names_its_bad_line(tmp_path: Path) -> None:
    """A CSV of settings is read with units; a bad cell names its line."""
    path = tmp_path / "list.csv"
    path.write_text("pressure,spacers\n85 psi,2\n90 psi,0\n")
    assert read_list(path).values[:, 1].tolist() == [2.0, 0.0]
    path.write_text("pressure,spacers\n85 psi,2\n90 mm,0\n")
    with pytest.raises(InputError, match=r"line 3: 'mm' measures"):
        read_list(path)


def test_another_rider_on_the_same_slope_is_ridden_with_his_own_weight(demo_dir: Path) -> None:
    """Roads are kept from rider to rider; what a slope takes off the front wheel is each rider's own."""
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in ("dunlin-160", "rider", "bike"))
    climb = '\n[[event]]\nkind = "climb"\nat = "0 m"\nlength = "12 m"\ngradient = 0.3\n'
    course, options = read_course(COURSE + climb), RideOptions(damping=DampingTable.linear(600.0, 1400.0))
    task = SweepTask(unit, (course,), ("spacers",), rider, bike, Conditions(), options)
    heavy = rider.model_copy(update={"mass": Measure(120.0)})
    kept, two_spacers = Kept(), np.array([[2.0]])
    first = score_portion(task, two_spacers, kept)
    other = score_other(task, (unit, heavy, bike, two_spacers), kept)
    again = score_portion(task, two_spacers, kept)
    setting = unit.setting.changed(spacers=2)
    for who, rows in ((rider, first), (heavy, other), (rider, again)):
        alone = simulate(unit, course, setting=setting, rider=who, bike=bike, options=options).scores
        assert rows.scores["riding_sag_m"] == [alone.riding_sag_m]
        assert rows.scores["tyre_load_variation"] == [alone.tyre_load_variation]
