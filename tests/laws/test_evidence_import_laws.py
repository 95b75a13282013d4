"""Laws of reading files: the layout never changes the numbers, and damage never ends in a crash."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from forkwright.evidence.importing import import_recording
from forkwright.units import InputError

CALM = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
UNITS = {"mm": 1e-3, "m": 1.0, "in": 0.0254, "cm": 0.01}


@settings(max_examples=60, deadline=None, suppress_health_check=CALM)
@given(
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
    comma=st.booleans(),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252"]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    unit=st.sampled_from(sorted(UNITS)),
    preamble=st.sampled_from(["", "Logger 7\n", "Serial: 12\nFirmware: 3\n\n"]),
    unit_row=st.booleans(),
    travel=st.lists(st.floats(0, 160).map(lambda x: round(x, 3)), min_size=5, max_size=40),
)
def test_the_layout_of_a_file_never_changes_its_numbers(
    delimiter: str, comma: bool, encoding: str, end: str, unit: str, preamble: str, unit_row: bool,
    travel: list[float], tmp_path: Path,
) -> None:  # fmt: skip
    """Delimiter, decimal mark, encoding, line end, unit, preamble, place of the units: same SI values."""
    comma = comma and delimiter != ","
    units_below, units_beside = (
        f"Zeit{delimiter}Weg\ns{delimiter}{unit}\n",
        f"Zeit (s){delimiter}Weg ({unit})\n",
    )
    head = units_below if unit_row else units_beside
    scaled = [x / 1000 / UNITS[unit] for x in travel]
    rows = "".join(f"{i / 100:.2f}{delimiter}{x:.9f}\n" for i, x in enumerate(scaled))
    text = preamble + head + (rows.replace(".", ",") if comma else rows)
    path = tmp_path / "log.csv"
    mark = b"\xfe\xff" if encoding == "utf-16-be" else b""
    path.write_bytes(mark + text.replace("\n", end).encode(encoding))
    recording = import_recording(path, accept_guesses=True)
    found = recording["travel"]
    expected = np.array(travel) / 1000
    if any("seems to count" in w for w in recording.warnings):
        pytest.fail("a plain travel was taken for a reversed one")
    assert found == pytest.approx(expected, abs=1e-9)
    assert recording.time == pytest.approx(np.arange(len(travel)) / 100)


def sound_files() -> dict[str, bytes]:
    frame = pl.DataFrame({"Time (s)": np.arange(60) / 10, "Travel (mm)": 40 + 20 * np.sin(np.arange(60) / 7)})
    parquet, sheet = io.BytesIO(), io.BytesIO()
    frame.write_parquet(parquet)
    frame.write_excel(sheet)
    return {"csv": frame.write_csv().encode(), "parquet": parquet.getvalue(), "xlsx": sheet.getvalue()}


SOUND = sound_files()


def survives(content: bytes, folder: Path) -> None:
    """Read damaged bytes: finite numbers or one clear refusal, nothing else."""
    path = folder / "damaged"
    path.write_bytes(content)
    try:
        recording = import_recording(path, accept_guesses=True)
    except InputError as fault:
        if "\n" in str(fault):
            pytest.fail("the refusal runs over several lines")
        return
    assert np.all(np.diff(recording.time) > 0)
    assert all(np.isfinite(v).all() for v in recording.channels.values())


damage = st.lists(
    st.tuples(st.floats(0, 1), st.sampled_from(["flip", "cut", "insert", "repeat"]), st.binary(max_size=12)),
    min_size=1,
    max_size=6,
)


def damaged(content: bytes, wounds: list[tuple[float, str, bytes]]) -> bytes:
    for place, kind, piece in wounds:
        at = int(place * len(content))
        if kind == "flip":
            content = content[:at] + piece + content[at + len(piece) :]
        elif kind == "cut":
            content = content[:at]
        elif kind == "insert":
            content = content[:at] + piece + content[at:]
        else:
            content = content[:at] + content[max(0, at - 30) :]
    return content


PLAIN = st.sampled_from(["csv", "xlsx"])


@settings(max_examples=120, deadline=None, suppress_health_check=CALM)
@given(kind=PLAIN, wounds=damage)
def test_a_damaged_file_is_read_or_refused_in_words(
    kind: str, wounds: list[tuple[float, str, bytes]], tmp_path: Path
) -> None:
    survives(damaged(SOUND[kind], wounds), tmp_path)


@pytest.mark.slow
@settings(max_examples=4000, deadline=None, suppress_health_check=CALM)
@given(kind=PLAIN, wounds=damage)
def test_thousands_of_damaged_files_are_read_or_refused_in_words(
    kind: str, wounds: list[tuple[float, str, bytes]], tmp_path: Path
) -> None:
    survives(damaged(SOUND[kind], wounds), tmp_path)


@settings(max_examples=10, deadline=None, suppress_health_check=CALM)
@given(wounds=damage)
def test_a_damaged_parquet_file_is_read_or_refused_in_words(
    wounds: list[tuple[float, str, bytes]], tmp_path: Path
) -> None:
    """Each is first read in a process of its own, which takes its time: hence few."""
    survives(damaged(SOUND["parquet"], wounds), tmp_path)


@pytest.mark.slow
@settings(max_examples=1000, deadline=None, suppress_health_check=CALM)
@given(wounds=damage)
def test_a_thousand_damaged_parquet_files_are_read_or_refused_in_words(
    wounds: list[tuple[float, str, bytes]], tmp_path: Path
) -> None:
    survives(damaged(SOUND["parquet"], wounds), tmp_path)


@settings(max_examples=100, deadline=None, suppress_health_check=CALM)
@given(
    text=st.text(
        alphabet=st.sampled_from(list("0123456789.,;-+eE \t\n\r\"'|=/[]()msNV:TxXa\u00b0\ufeff")),
        max_size=300,
    )
)
def test_any_text_is_read_or_refused_in_words(text: str, tmp_path: Path) -> None:
    survives(text.encode("utf-8"), tmp_path)
