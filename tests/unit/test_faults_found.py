"""Faults that hunting found, each kept as a small case that failed before it was mended."""

from __future__ import annotations

import io
import json
import math
import re
import time
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest
from tests.fuzz.more_parsers import sound_parts
from tests.fuzz.parsers import TARGETS, attempt, seeds
from tests.fuzz.unit_files import judge
from tests.short_course import SHORT

from forkwright.bench.damping import damping_curve
from forkwright.bench.sag import sag
from forkwright.evidence.importing import import_recording
from forkwright.hardware import Unit
from forkwright.hardware.files import examine, load, load_unit, read_text
from forkwright.physics import Unphysical
from forkwright.ride.course_file import read_course
from forkwright.ride.simulate import simulate
from forkwright.units import InputError

RATED = (
    b'{"id": "a", "kind": "rating", "at": "2026-05-01T10:00:00+00:00", "by": "Ash", "code": "412", '
    b'"values": {"grip": 7}}'
)
MANIFEST = (
    b'{"kind": "forkwright shop backup", "format": 1, "revision": "1", "made_at": "", '
    b'"rows": {"job": "many"}, "files": {}}'
)


@pytest.mark.parametrize("kind", ["[]", "{}", "[[1]]", "1", "true", '{ value = "fork" }'])
def test_a_kind_that_is_no_text_is_refused_in_words(kind: str) -> None:
    """A list or table under `kind` ended in a traceback."""
    errors, found = examine(f"format = 1\nkind = {kind}\n", "spoiled.toml")
    assert found is None
    assert "unknown kind of file" in str(errors[0])


def test_an_oil_that_would_be_a_solid_is_refused(demo_dir: Path) -> None:
    """Two points that lie badly gave a viscosity beyond the largest number, and a traceback."""
    text = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    sound = '{ temperature = "40 °C", viscosity = "15.0 ± 0.3 cSt" }'
    assert sound in text
    text = text.replace(sound, '{ temperature = "80.6 °C", viscosity = "231.4 cSt" }')
    errors, unit = examine(text)
    assert not errors
    with pytest.raises(Unphysical, match="thicker than 2e7 cSt"):
        damping_curve(unit)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["dunlin-160", "plover-160", "linnet-65", "pipit-65"])
def test_the_judge_passes_sound_files(demo_dir: Path, name: str) -> None:
    """What the hunt asks of every file holds for the demonstration units."""
    came = judge((demo_dir / f"{name}.toml").read_text("utf-8"))
    assert came["spring answered"] == 1
    assert came["sag answered"] == 3


def test_the_judge_finds_a_clipped_value(demo_dir: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The hunt is no rubber stamp: a reader that pulled a value into its range would be caught."""
    from tests.fuzz import unit_files

    unit = load_unit(demo_dir / "dunlin-160.toml")
    assert unit.air_spring is not None
    bore = unit.air_spring.bore
    pulled = unit.air_spring.model_copy(update={"bore": type(bore)(bore.si * 1.01, bore.std, text=bore.text)})
    monkeypatch.setattr(
        unit_files, "examine", lambda *_: ([], unit.model_copy(update={"air_spring": pulled}))
    )
    with pytest.raises(AssertionError, match=r"air_spring\.bore is not what its text says"):
        judge("")


@pytest.mark.parametrize(
    ("target", "data", "words"),
    [
        ("stack", b'format = 1\nname = "x"\nPoisson = "0.3"\n', "unknown key; did you mean 'poisson'?"),
        ("unit", b'format = 1\nkind = "fork"\nName = "x"\n', "unknown key; did you mean 'name'?"),
        ("ranges", b"spacers=0..99999999999", "far too many"),
        ("ranges", b"spacers=0..4:0", "the step must be above zero"),
        ("ranges", b"spacers=0..4:-1", "the step must be above zero"),
        ("ranges", b"spacers=" + b"9" * 400, "far too many"),
        ("list", b"spacers\n" + b"9" * 400 + b"\n", "far too many"),
        ("list", b'spacers\n"' + b"1" * 140_000 + b'"\n', "not a table"),
        ("request", b"a = " + b"[" * 5000, "nested too deeply"),
        ("record", b"[" * 100_000, "not valid JSON"),
        ("record", RATED.replace(b"7", b"NaN"), "values.grip: input should be a finite number"),
        ("record", RATED.replace(b"7", b"1e999"), "values.grip: input should be a finite number"),
        ("shop", b"[" * 100_000, "this is not JSON"),
        ("shop-toml", b"a = " + b"[" * 5000, "this is not TOML"),
        ("pairs", b"wheel_travel_m,stroke_m\n0,0\n0.1,nan\n", "not a finite number"),
        ("damping", b'speed_m_s,force_N\n"' + b"1" * 140_000 + b'",1\n', "this is no table"),
        ("wanted-force", b"1, 2: 180 N", "one speed for each target"),
        ("share", b"nan %", "not a share"),
        ("trial-folder", b'\x03{"entry": {"by": "x"}, "chain": ""}\n', "not an event of a trial"),
        ("trial-folder", b"\x02" + b"[" * 100_000 + b"\n", "not a line of this journal"),
    ],
    ids=lambda value: value[:12] if isinstance(value, str) else "",
)
def test_a_reader_refuses_in_words(target: str, data: bytes, words: str) -> None:
    """Each of these ended in a traceback, filled the memory, or was taken for an empty list."""
    with pytest.raises(InputError, match=re.escape(words)):
        TARGETS[target](data)


def test_a_heading_of_brackets_is_refused_at_once() -> None:
    """A hundred thousand brackets in a heading kept the reader busy for minutes."""
    start = time.monotonic()
    assert not attempt("leverage", b"wheel,stroke " + b"[" * 100_000 + b"x\n1,2\n")
    assert time.monotonic() - start < 2.0


@pytest.mark.parametrize("units", ["s;mm;N;", "s;mm", "s;mm;N;;;"])
def test_a_row_of_units_may_have_a_delimiter_too_many_or_too_few(units: str) -> None:
    """A logger that ends its row of units with a delimiter ended in a traceback."""
    rows = "\n".join(f"{i / 10:.1f};{i % 7};{10 + i}" for i in range(40))
    assert attempt("csv", f"Zeit;Federweg;Kraft\n{units}\n{rows}\n".encode())


def test_a_profile_is_no_longer_than_a_course() -> None:
    """One slipped digit in the last distance asked for a thousand million points."""
    rows = "".join(f"{i},0\n" for i in range(9))
    with pytest.raises(InputError, match="too short or too long"):
        TARGETS["profile"](f"distance_m,elevation_m\n{rows}9e9,0\n".encode())


@pytest.mark.parametrize(
    ("part", "content", "words"),
    [
        ("manifest.json", MANIFEST, "no readable backup"),
        ("tables/job.jsonl", b'{"id": "1"', "this is no table"),
        ("tables/job.jsonl", b"\xee", "this is no table"),
        ("tables/job.jsonl", b"[1]", "no row of a table"),
    ],
)
def test_a_backup_whose_parts_fit_their_digests_and_are_none(part: str, content: bytes, words: str) -> None:
    """The digests of a backup guard against chance, not against somebody's hand."""
    names = [data[:1] for data in seeds("backup-part")]
    place = sorted(sound_parts()).index(part)
    with pytest.raises(InputError, match=words):
        TARGETS["backup-part"](names[place] + content)


@pytest.mark.parametrize("target", ["xlsx", "shop-xlsx", "backup"])
def test_a_packed_file_whose_names_are_no_text_is_refused(target: str) -> None:
    """A part's name that claims to be UTF-8 and is not ended in a traceback."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("xl/é.xml", b"<x/>")
    with pytest.raises(InputError):
        TARGETS[target](out.getvalue().replace("é".encode(), b"\x80\x80"))


def test_a_number_that_json_does_not_have_breaks_the_chain() -> None:
    """NaN in a journal ended in a traceback; now it is named as a line changed by hand."""
    (record,) = (data for data in seeds("trial-folder") if data[:1] == b"\x02")
    assert attempt("trial-folder", record.replace(b'"text":', b'"text2": NaN, "text":', 1)) is False


def test_a_parquet_file_that_asks_for_all_memory_is_refused() -> None:
    """One spoiled byte made the library end the whole process; the reading of a stranger's file must not."""
    data = Path(__file__).parents[1] / "data" / "asks-for-all-memory.parquet"
    with pytest.raises(InputError, match="damaged or cut short"):
        TARGETS["parquet"](data.read_bytes())


def test_a_damaged_spreadsheet_of_the_shop_is_refused() -> None:
    """A spoiled part of a spreadsheet ended in the unpacker's own error."""
    sound, name = seeds("shop-xlsx")[0], b"xl/worksheets/sheet1.xml"
    place = sound.index(name) + len(name)
    for cut in range(20, 200, 20):
        spoiled = sound[: place + cut] + b"\xff" * 8 + sound[place + cut + 8 :]
        assert not attempt("shop-xlsx", spoiled)


@pytest.mark.parametrize("values", [[math.inf, -math.inf], [1.0, math.nan], [math.inf]])
def test_an_answer_with_both_infinities_is_refused(values: list[float]) -> None:
    """Both infinities in one list ended in a fault of ours instead of a refusal in words."""
    from forkwright.app.wire import plain

    with pytest.raises(Unphysical, match="force_N is not a finite number"):
        plain({"force_N": values})


@pytest.mark.parametrize("edits", [{"name": "\ud800"}, {"\ud800": "1 mm"}, {"travel": {"\ud800": 1}}])
def test_half_a_letter_in_a_draft_is_refused_in_words(edits: dict[str, object], demo_dir: Path) -> None:
    """Half of a pair of code units, as a broken keyboard may send it, ended in a fault of ours."""
    from tests.app_visitor import PLACE, Visitor, portal

    from forkwright.app import Options, create_app

    draft = {"toml": (demo_dir / "dunlin-160.toml").read_text("utf-8"), "edits": edits}
    units = {"pressure": "\ud800"}
    with portal() as loop:
        visitor = Visitor(loop, create_app(Options(warm_up=False)), PLACE, "127.0.0.1")
        for body in ({"fork": draft}, {"fork": {**draft, "edits": {}}, "units": units}):
            answered = visitor.post("/api/fork", content=json.dumps(body).encode())
            assert answered.status_code == 422
            assert answered.json()["error"]


def test_a_ride_through_a_chamber_without_volume_is_refused(
    demo_dir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Past full extension a small negative chamber ended up below nothing, and the energy balanced.

    It began there by a wrong rest, which is put in its place here again.
    """
    from forkwright.ride import rest

    monkeypatch.setattr(
        rest, "rest", lambda p, height, _g, _shift: rest.settled_state(p, -2e-3, 400.0, height)
    )
    text = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    tiny = {
        "negative_volume": "0.3 ml",
        "positive_volume": "2 ml",
        "transfer": "0.05 mm",
        "pressure": "110 psi",
    }
    for key, value in {**tiny, "travel": "1 mm", "length": "0.3 mm"}.items():
        text = re.sub(rf"^(.*\b{key} = )\"[^\"]*\"", rf'\g<1>"{value}"', text, count=1, flags=re.M)
    text = re.sub(r"^spacers = .*$", "", text, flags=re.M)
    unit = read_text(text)
    assert isinstance(unit, Unit)
    setting = unit.setting.changed(low_speed=0, high_speed=0, rebound=1)
    course = read_course(SHORT)
    rider, bike = load(demo_dir / "rider.toml"), load(demo_dir / "bike.toml")
    with pytest.raises(Unphysical, match="the negative chamber would be used up"):
        simulate(unit, course, setting=setting, rider=rider, bike=bike)  # type: ignore[arg-type]


def test_a_stanchion_thinner_than_its_shaft_is_refused(demo_dir: Path) -> None:
    """Its air was pulled apart by sinking in, and the band of a sag came out upside down."""
    text = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    text = re.sub(r'^stanchion_outer = "[^"]*"', 'stanchion_outer = "7.3 mm"', text, count=1, flags=re.M)
    text = re.sub(r'^air_volume = "[^"]*"', 'air_volume = "0.1 ml"', text, count=1, flags=re.M)
    unit = read_text(text)
    assert isinstance(unit, Unit)
    with pytest.raises(Unphysical, match="no wider than a shaft"):
        sag(unit, 0.0)


def test_a_last_line_longer_than_what_is_looked_at_is_passed_over(tmp_path: Path) -> None:
    """A line of over 8 KiB at a file's end has no line before it in view; that ended in a fault of ours."""
    path = tmp_path / "long.csv"
    path.write_text(
        "Time (s),Travel (mm)\n" + "".join(f"{i / 10},{i}\n" for i in range(30)) + "3.0," + "[" * 9000
    )
    with suppress(InputError):
        import_recording(path, accept_guesses=True)
