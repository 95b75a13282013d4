"""Reading files of measurements: layouts, units, and every common fault, each named and none hidden."""

from __future__ import annotations

import gzip
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from forkwright.evidence.importing import import_recording
from forkwright.evidence.limits import Limits
from forkwright.evidence.mapping import propose
from forkwright.evidence.mapping_files import load_mapping, save_mapping
from forkwright.evidence.recording import Recording
from forkwright.evidence.tables import read_table
from forkwright.units import InputError


def written(folder: Path, text: str | bytes, name: str = "log.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def rows(n: int = 200, step: float = 0.01) -> list[tuple[float, float]]:
    time = np.arange(n) * step
    return list(zip(time.tolist(), (40 + 30 * np.sin(7 * time)).tolist(), strict=True))


def csv_text(head: str, body: list[tuple[float, ...]], delimiter: str = ",") -> str:
    return head + "\n" + "\n".join(delimiter.join(f"{c:.6f}" for c in row) for row in body) + "\n"


def said(recording: Recording, words: str) -> bool:
    return any(words in warning for warning in recording.warnings)


@pytest.mark.parametrize(
    ("header", "name", "unit"),
    [
        ("Fork travel (mm)", "travel", "mm"),
        ("travel_mm", "travel", "mm"),
        ("Rear shock stroke [in]", "rear_travel", "in"),
        ("Federweg/mm", "travel", "mm"),
        ("Weg in mm", "travel", "mm"),
        ("Pressure, psi", "pressure", "psi"),
        ("Druck [bar]", "pressure", "bar"),
        ("t [ms]", "time", "ms"),
        ("time_s", "time", "s"),
        ("Elapsed", "time", ""),
        ("Air temperature (degC)", "ambient_temperature", "degC"),
        ("speed_m_s", "speed", "m/s"),
        ("Load [kgf]", "force", "kgf"),
        ("battery", "", ""),
    ],
)
def test_a_header_gives_up_its_meaning_and_its_unit(header: str, name: str, unit: str) -> None:
    from forkwright.evidence.headers import read_header

    found = read_header(header)
    assert (found.name, found.unit) == (name, unit)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_every_delimiter_and_line_end_gives_the_same_numbers(
    tmp_path: Path, delimiter: str, end: str
) -> None:
    text = csv_text(f"Time (s){delimiter}Travel (mm)", rows(), delimiter).replace("\n", end)
    recording = import_recording(written(tmp_path, text))
    assert recording["travel"] == pytest.approx([r[1] / 1000 for r in rows()], abs=1e-9)
    assert recording.rate == pytest.approx(100.0)
    assert recording.regular
    assert recording.warnings == ()


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_decimal_commas_byte_order_marks_and_old_encodings_are_read(tmp_path: Path, encoding: str) -> None:
    text = csv_text("Zeit (s);Weg (mm);Temperatur (°C)", [(t, x, 20.0) for t, x in rows()], ";").replace(
        ".", ","
    )
    recording = import_recording(written(tmp_path, text.encode(encoding)))
    assert recording["travel"] == pytest.approx([r[1] / 1000 for r in rows()], abs=1e-9)
    assert recording["temperature"] == pytest.approx(293.15)


def test_preamble_and_a_row_of_units_under_the_header_are_understood(tmp_path: Path) -> None:
    text = csv_text(
        "Bench 2\nDate;today\n\nTime;Stroke;Force\ns;mm;N", [(t, x, 3 * x) for t, x in rows()], ";"
    )
    recording = import_recording(written(tmp_path, text))
    assert recording["travel"][0] == pytest.approx(0.040)
    assert recording["force"][0] == pytest.approx(120.0)
    assert said(recording, "passed over above the header")


def test_decimal_commas_cut_by_commas_are_refused_with_the_remedy(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="semicolons or tabs"):
        import_recording(written(tmp_path, "t,x\n0,001,1,5\n0,002,1,6\n0,003,1,7\n"))


def test_a_guessed_unit_must_be_confirmed_and_can_be(tmp_path: Path) -> None:
    path = written(tmp_path, csv_text("time (s),travel", rows()))
    with pytest.raises(InputError, match="guessed as mm"):
        import_recording(path)
    assert import_recording(path, accept_guesses=True)["travel"][0] == pytest.approx(0.04)
    mapping = propose(read_table(path)).changed("travel", unit="in")
    assert import_recording(path, mapping)["travel"][0] == pytest.approx(40 * 0.0254)


def test_a_sensor_that_counts_the_other_way_is_noticed(tmp_path: Path) -> None:
    path = written(tmp_path, csv_text("time (s),travel (mm)", [(t, -x) for t, x in rows()]))
    with pytest.raises(InputError, match="count the other way"):
        import_recording(path)
    assert import_recording(path, accept_guesses=True)["travel"][0] == pytest.approx(0.04)
    rng = np.random.default_rng(1)
    down = 160 - np.minimum(150, rng.exponential(12.0, 2000))
    path = written(tmp_path, csv_text("time (s),travel (mm)", list(enumerate(down.tolist()))))
    found = propose(read_table(path)).find("travel")
    assert found is not None
    assert found.reversed
    assert found.zero == pytest.approx(160, abs=0.1)


def test_a_mapping_survives_being_kept_and_names_what_is_wrong_in_it(tmp_path: Path) -> None:
    path = written(tmp_path, csv_text("a,b,Travel", [(t, x, 2 * x) for t, x in rows()]))
    kept = tmp_path / "bench.toml"
    kept.write_text(
        'format = 1\nsource = "bench"\n[columns.time]\ncolumn = "a"\nquantity = "time"\nunit = "s"\n'
        '[columns.travel]\ncolumn = "b"\nquantity = "length"\nunit = "mm"\nreversed = true\nzero = 160.0\n'
    )
    mapping = load_mapping(kept)
    assert import_recording(path, mapping)["travel"][0] == pytest.approx(0.120)
    save_mapping(mapping, tmp_path / "again.toml")
    assert load_mapping(tmp_path / "again.toml") == mapping
    for old, new, words in [
        ('unit = "mm"', 'unit = "psi"', "columns.travel.unit"),
        ("reversed", "reverse", "unknown key"),
        ("zero = 160.0", 'zero = "a"', "columns.travel.zero"),
        ('quantity = "length"', 'quantity = "long"', "columns.travel.quantity"),
        ("format = 1", "format = 0", "unknown format"),
        ("format = 1", "format = 2", "newer forkwright"),
    ]:
        kept.write_text((tmp_path / "again.toml").read_text().replace(old, new))
        with pytest.raises(InputError, match=words):
            load_mapping(kept)


def test_duplicates_disorder_and_gaps_are_put_right_and_named(tmp_path: Path) -> None:
    body = rows(300)
    body = [*body[:50], body[49], *body[50:100], *body[150:200], body[249], *body[200:249], *body[250:]]
    recording = import_recording(written(tmp_path, csv_text("time (s),travel (mm)", body)))
    assert np.all(np.diff(recording.time) > 0)
    assert len(recording.pieces) == 2
    assert recording.duration == pytest.approx((99 + 149) * 0.01, abs=1e-9)
    assert said(recording, "repeated a time")
    assert said(recording, "sorted")
    assert said(recording, "1 gap in time")


def test_uneven_sampling_is_named_and_a_clipped_sensor_too(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    time = np.cumsum(rng.uniform(0.005, 0.012, 400))
    travel = np.minimum(60.0, 40 + 30 * np.sin(7 * time))
    body = list(zip(time.tolist(), travel.tolist(), strict=True))
    recording = import_recording(written(tmp_path, csv_text("time (s),travel (mm)", body)))
    assert not recording.regular
    assert said(recording, "uneven")
    assert said(recording, "exactly its highest value")


def test_unreadable_cells_count_as_missing_with_the_first_line_named(tmp_path: Path) -> None:
    lines = csv_text("time (s),travel (mm)", rows()).splitlines()
    lines[10] = "0.09,ERR"
    lines[20] = "0.19,"
    recording = import_recording(written(tmp_path, "\n".join(lines) + "\n"))
    assert said(recording, "'ERR' in line 11")
    assert said(recording, "2 missing values were bridged")
    assert np.isfinite(recording["travel"]).all()


def test_a_slow_channel_beside_a_fast_one_is_kept_and_a_long_hole_becomes_a_gap(tmp_path: Path) -> None:
    body = rows(1000)
    lines = ["time (s),travel (mm),pressure (psi)"]
    for i, (t, x) in enumerate(body):
        travel = "" if 400 <= i < 500 else f"{x:.4f}"
        lines.append(f"{t:.3f},{travel},{85.0 if i % 100 == 0 else ''}")
    recording = import_recording(written(tmp_path, "\n".join(lines) + "\n"))
    assert recording["pressure"] == pytest.approx(85 * 6894.757, rel=1e-6)
    assert len(recording.pieces) == 2
    assert said(recording, "missing for too long")


def test_clock_times_are_read_across_midnight(tmp_path: Path) -> None:
    lines = ["Time,Travel (mm)", "23:59:59.5,10", "23:59:59.75,11", "00:00:00.0,12", "00:00:00.25,13"]
    recording = import_recording(written(tmp_path, "\n".join(lines)))
    assert recording.time == pytest.approx([0, 0.25, 0.5, 0.75])
    lines = ["Timestamp,Travel (mm)", *(f"2031-05-01 10:00:00.{i}00,{10 + i}" for i in range(5))]
    assert import_recording(written(tmp_path, "\n".join(lines))).time == pytest.approx(np.arange(5) / 10)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\n\n\n", "no text"),
        (b"hello\nworld\n", "no row of numbers"),
        (b"\x00\x01\x02\x03" * 50, "zero bytes"),
        (b"PK\x03\x04 cut", "no spreadsheet"),
        (b"PAR1 cut short", "no Parquet"),
        (b"\xd0\xcf\x11\xe0 old", "old binary"),
        (b"time (s),travel (mm)\n0,1\n1,2\n2,3,4\n", "line 4"),
        (b"time (s),travel (mm)\n1,1\n1,2\n1,3\n", "same time"),
        (b"a,b\n0,1\n1,2\n", "no time column|no column was recognised"),
        (b"travel (mm)\n0\n1\n", "no time column"),
    ],
)
def test_what_is_no_measurement_is_refused_in_words(tmp_path: Path, content: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        import_recording(written(tmp_path, content))


def test_a_file_cut_off_in_the_middle_of_a_row_keeps_the_whole_rows(tmp_path: Path) -> None:
    text = csv_text("time (s),travel (mm)", rows())
    recording = import_recording(written(tmp_path, text + "2.0"))
    assert recording.time.size == 200
    assert said(recording, "ends in the middle of line 202")


def test_a_file_that_is_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "sparse.csv"
    with path.open("wb") as file:
        file.truncate(10_000_000_000)
    with pytest.raises(InputError, match="too large"):
        import_recording(path)
    path = written(tmp_path, csv_text("time (s),travel (mm)", rows()))
    with pytest.raises(InputError, match="more values"):
        import_recording(path, limits=Limits(values=100))


def test_parquet_gives_what_was_written_and_declared_sizes_are_checked(tmp_path: Path) -> None:
    frame = pl.DataFrame({"time (s)": [r[0] for r in rows()], "travel (mm)": [r[1] for r in rows()]})
    path = tmp_path / "log.parquet"
    frame.write_parquet(path)
    assert import_recording(path)["travel"][0] == pytest.approx(0.04)
    with pytest.raises(InputError, match="more values"):
        import_recording(path, limits=Limits(values=100))
    path.write_bytes(path.read_bytes()[:-40])
    with pytest.raises(InputError, match="Parquet"):
        import_recording(path)
    huge = tmp_path / "huge.parquet"
    pl.DataFrame({"time (s)": pl.repeat(0.0, 30_000_000, eager=True)}).write_parquet(huge)
    assert huge.stat().st_size < 1_000_000
    with pytest.raises(InputError, match="more values"):
        import_recording(huge, limits=Limits(values=20_000_000))


def spreadsheet(path: Path, table: list[list[object]], sheet: str = "Run 1") -> Path:
    import openpyxl

    book = openpyxl.Workbook()
    page = book.active
    page.title = sheet
    for row in table:
        page.append(row)
    book.save(path)
    return path


def test_a_spreadsheet_gives_the_same_numbers_as_text(tmp_path: Path) -> None:
    table: list[list[object]] = [["Rate", 100], [], ["Time (s)", "Travel (mm)"], *([t, x] for t, x in rows())]
    path = spreadsheet(tmp_path / "log.xlsx", table)
    recording = import_recording(path)
    assert recording["travel"] == pytest.approx([r[1] / 1000 for r in rows()])
    with pytest.raises(InputError, match=r"no such sheet.*Run 1"):
        import_recording(path, sheet="Run 2")


def repacked(path: Path, part: str, content: bytes) -> Path:
    out = path.with_name("bad.xlsx")
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, content if name == part else old.read(name))
    return out


def test_packed_files_that_would_fill_the_machine_are_not_opened(tmp_path: Path) -> None:
    path = spreadsheet(tmp_path / "log.xlsx", [["Time (s)", "Travel (mm)"], *([t, x] for t, x in rows())])
    sheet = "xl/worksheets/sheet1.xml"
    bomb = repacked(path, sheet, b"<worksheet>" + b" " * 50_000_000 + b"</worksheet>")
    with pytest.raises(InputError, match="unpacks to far more"):
        import_recording(bomb)
    with pytest.raises(InputError, match="declares more content"):
        import_recording(bomb, limits=Limits(file_bytes=40_000_000))
    with zipfile.ZipFile(path) as package:
        xml = package.read(sheet)
    entity = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa">]>' + xml[xml.index(b"<worksheet") :]
    with pytest.raises(InputError, match="entities"):
        import_recording(repacked(path, sheet, entity))
    far_row = xml.replace(b'<row r="150"', b'<row r="900000000"')
    with pytest.raises(InputError, match="more cells than can be read"):
        import_recording(repacked(path, sheet, far_row))
    path.write_bytes(path.read_bytes()[:1500])
    with pytest.raises(InputError, match="cut short"):
        import_recording(path)


def test_each_column_keeps_its_own_decimal_mark(tmp_path: Path) -> None:
    """A clock that writes points beside a sensor that writes commas: both are read, and it is said."""
    body = "".join(
        f"{t:.3f};{x:.2f}".replace(f";{x:.2f}", f";{x:.2f}".replace(".", ",")) + "\n" for t, x in rows()
    )
    recording = import_recording(written(tmp_path, "Time (s);Travel (mm)\n" + body))
    assert recording["travel"] == pytest.approx([round(x, 2) / 1000 for _, x in rows()])
    assert recording.time[-1] == pytest.approx(1.99)
    assert said(recording, "decimal commas and others decimal points")


def test_a_number_cut_off_at_the_end_is_left_out(tmp_path: Path) -> None:
    """A file that stops inside its last number keeps the rows before it; a whole last number stays."""
    text = csv_text("Time (s),Travel (mm)", rows(20))
    assert said(import_recording(written(tmp_path, text[:-4])), "the last number of line 21 is short")
    whole = import_recording(written(tmp_path, text[:-1]))
    assert whole.time.size == 20
    assert whole.warnings == ()
    with pytest.raises(InputError, match="fewer than two rows have a time"):
        import_recording(written(tmp_path, "Time (s),Travel (mm)\n0.000,45."))


def test_a_row_too_long_is_named_even_among_the_first(tmp_path: Path) -> None:
    """The second row of numbers with a field too many is no header."""
    with pytest.raises(InputError, match="more fields than the header") as fault:
        import_recording(written(tmp_path, "time (s),travel (mm)\n0,1\n0.1,2,3\n0.2,4\n0.3,5\n"))
    assert fault.value.line == 3


def test_a_bench_trace_needs_no_clock(tmp_path: Path) -> None:
    """Force over travel without times counts in the order of its rows; a lone travel is refused."""
    recording = import_recording(written(tmp_path, "Travel (mm);Force (N)\n0;1\n1;5\n2;9\n"))
    assert not recording.timed
    assert recording.time.tolist() == [0.0, 1.0, 2.0]
    assert said(recording, "no time column")
    with pytest.raises(InputError, match="no time column"):
        import_recording(written(tmp_path, "Travel (mm)\n0\n1\n2\n"))


def test_reading_tells_how_far_it_is_and_stops_when_told_to(tmp_path: Path) -> None:
    """Shares rise to one; what the listener raises comes out as it is, from text and from a spreadsheet."""
    text = written(tmp_path, csv_text("Time (s),Travel (mm)", rows(5000)))
    shares: list[float] = []
    read_table(text, progress=shares.append)
    assert shares == sorted(shares)
    assert 0.0 < shares[-1] <= 1.0

    class StopError(Exception):
        """Enough."""

    def stop(share: float) -> None:
        raise StopError(f"{share}")

    sheet = spreadsheet(tmp_path / "log.xlsx", [["Time (s)", "Travel (mm)"], *map(list, rows(10))])
    for path in (text, sheet):
        with pytest.raises(StopError):
            read_table(path, progress=stop)


def test_a_file_is_known_by_its_content_whatever_its_name(tmp_path: Path) -> None:
    """Spreadsheet, Parquet and text are read under names without an ending, or with another's."""
    table = [["Time (s)", "Travel (mm)"], *map(list, rows())]
    sheet = spreadsheet(tmp_path / "log.xlsx", table).rename(tmp_path / "000001")
    packed, text = tmp_path / "log.csv", tmp_path / "log.parquet"
    pl.DataFrame({"Time (s)": [r[0] for r in rows()], "Travel (mm)": [r[1] for r in rows()]}).write_parquet(
        packed
    )
    text.write_text(csv_text("Time (s),Travel (mm)", rows()), encoding="utf-8")
    expected = import_recording(text)["travel"]
    for path in (sheet, packed):
        assert import_recording(path)["travel"] == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    "packed", [gzip.compress, lambda rows: zlib.compress(rows, 0), lambda _: b"x\x01,y\n1,2\n"]
)
def test_a_packed_table_is_refused_before_anything_unpacks_it(
    tmp_path: Path, packed: Callable[[bytes], bytes]
) -> None:
    """The table library would unpack it beyond every limit, or stumble over what only begins like one."""
    path = tmp_path / "ride.csv"
    path.write_bytes(packed(b"time (s),travel (mm)\n0,1\n1,2\n2,3\n"))
    with pytest.raises(InputError, match="unpack it first"):
        read_table(path)


@pytest.mark.parametrize("encoding", ["utf-8", "cp1252"])
def test_a_header_that_begins_like_a_packed_file_is_a_header(tmp_path: Path, encoding: str) -> None:
    """The table library takes text that begins with "x^" for a packed file; here it is a table like any."""
    text = "x^2,été (mm)\n0,1\n1,2\n2,3\n".encode(encoding)
    assert read_table(written(tmp_path, text)).columns["x^2"].tolist() == [0, 1, 2]
