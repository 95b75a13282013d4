"""Every reader of text or files from outside, as a function of bytes that ends in an answer or in words."""

from __future__ import annotations

import io
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
from tests.fuzz.more_parsers import MORE_TARGETS, in_a_file, more_seeds
from tests.trial_samples import PAIRED_TEXT

from forkwright.evidence.importing import import_recording
from forkwright.evidence.limits import Limits
from forkwright.evidence.mapping_files import load_mapping
from forkwright.hardware.drawer import load_drawer
from forkwright.hardware.files import examine
from forkwright.hardware.leverage_table import leverage_from_csv
from forkwright.hardware.stack import load_stack
from forkwright.physics import Unphysical
from forkwright.ride.course_file import read_course
from forkwright.ride.settings_text import read_list, read_ranges
from forkwright.shop.formats import read_format
from forkwright.trial.records import read_record
from forkwright.trial.request import request_from_text
from forkwright.units import DIMENSIONS, InputError, parse

TOLD = (InputError, Unphysical)
DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
KINDS = sorted(DIMENSIONS)


def attempt(target: str, data: bytes) -> bool:
    """Hand bytes to a reader; return whether it answered, and let through anything but words."""
    told = "answered"
    with warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter("error")
        try:
            TARGETS[target](data)
        except TOLD as fault:
            told = str(fault)
    assert told.strip(), "refused without a word"
    return told == "answered"


def quantity(data: bytes) -> None:
    """Text with a unit and a tolerance, of any kind."""
    kind = KINDS[data[0] % len(KINDS)] if data else KINDS[0]
    found = parse(_text(data[1:]), kind)
    assert np.isfinite(found.si)
    assert np.isfinite(found.std)
    assert found.std >= 0.0


def unit_file(data: bytes) -> None:
    """A unit, rider or bike."""
    errors, found = examine(_text(data), "spoiled.toml")
    assert (found is None) == bool(errors)
    if errors:
        raise errors[0]


def course(data: bytes) -> None:
    """A course, laid out."""
    found = read_course(_text(data), "spoiled.toml")
    assert np.all(np.isfinite(found.elevation))


def request(data: bytes) -> None:
    """A request for a blind test."""
    request_from_text(_text(data), "spoiled.toml")


def record(data: bytes) -> None:
    """One record of a blind test."""
    read_record(_text(data), "spoiled.jsonl", 1)


def leverage(data: bytes) -> None:
    """A table of wheel travel and shock stroke."""
    leverage_from_csv(_text(data), "spoiled.csv")


def ranges(data: bytes) -> None:
    """Ranges of settings on the command line."""
    found = read_ranges(_text(data).split("\n")[:3])
    assert all(np.all(np.isfinite(values)) for values in found.values())


def _measurements(path: Path) -> None:
    found = import_recording(path, accept_guesses=True, limits=Limits())
    for name in found.channels:
        for values in found[name]:
            assert np.all(np.isfinite(values)), name


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape").encode("utf-8", "replace").decode("utf-8")


TARGETS: dict[str, Callable[[bytes], None]] = {
    "quantity": quantity,
    "unit": unit_file,
    "stack": in_a_file(load_stack, ".toml"),
    "drawer": in_a_file(load_drawer, ".toml"),
    "course": course,
    "request": request,
    "record": record,
    "mapping": in_a_file(load_mapping, ".toml"),
    "leverage": leverage,
    "ranges": ranges,
    "list": in_a_file(read_list, ".csv"),
    "csv": in_a_file(_measurements, ".csv"),
    "xlsx": in_a_file(_measurements, ".xlsx"),
    "parquet": in_a_file(_measurements, ".parquet"),
    "shop": in_a_file(read_format, ".json"),
    "shop-xlsx": in_a_file(read_format, ".xlsx"),
    **MORE_TARGETS,
}


def seeds(target: str) -> list[bytes]:
    """Return sound examples of what a reader reads."""
    if target in MORE_TARGETS:
        return more_seeds(target)
    if target in ("csv", "xlsx", "parquet"):
        return _measured(target)
    if target in ("shop", "shop-xlsx"):
        return _kept(target)
    return [text.encode() for text in _SEEDS[target]()]


def _measured(target: str) -> list[bytes]:
    text = (DEMO / "logs" / "dunlin-slow-pull.csv").read_text("utf-8").splitlines()[:40]
    plain = "\n".join(text).encode()
    german = "\n".join(
        ["Zeit [s];Travel [mm]", *(f"{i / 100:.2f};{i % 9},5".replace(".", ",") for i in range(30))]
    )
    if target == "csv":
        return [plain, german.encode("cp1252"), plain.decode().replace(";", "\t").encode("utf-16")]
    import polars as pl

    frame = pl.DataFrame(
        {"time, s": [i / 100 for i in range(30)], "travel, mm": [float(i % 9) for i in range(30)]}
    )
    out = io.BytesIO()
    if target == "parquet":
        frame.write_parquet(out)
    else:
        import openpyxl

        book = openpyxl.Workbook()
        sheet = book.worksheets[0]
        sheet.append(frame.columns)
        for row in frame.rows():
            sheet.append(row)
        book.save(out)
    return [out.getvalue()]


def _kept(target: str) -> list[bytes]:
    from tests.shop_samples import filled_store

    from forkwright.shop.dump import read_dump
    from forkwright.shop.formats import write_format

    with tempfile.TemporaryDirectory() as folder:
        store = filled_store(Path(folder))
        with store.engine.connect() as connection:
            dump = read_dump(connection, accounts=False)
        store.close()
        return [write_format("json" if target == "shop" else "xlsx", dump, Path(folder)).read_bytes()]


def _texts(*names: str) -> Callable[[], list[str]]:
    return lambda: [(DEMO / name).read_text("utf-8") for name in names]


_STACK = """format = 1
name = "taper"
bore = "6 mm"
clamp = "9 mm"
seat = "18 mm"
load = { inner = "10 mm", outer = "17.2 mm" }
shims = [{ size = "19.0 x 0.200 mm", count = 3 }, "17.0 x 0.2 mm"]
youngs_modulus = "206 GPa"
poisson = "0.3"
"""
_DRAWER = """format = 1
kind = "drawer"
shims = [{ size = "18.0 x 0.15 mm", count = 5 }, "9 x 0.1 mm"]
"""
_MAPPING = """format = 1
source = "bench"
[columns.time]
column = "Ch 1"
quantity = "time"
unit = "s"
[columns.travel]
column = "Ch 2"
quantity = "length"
unit = "mm"
reversed = true
zero = 160.0
"""
_QUANTITIES = (
    ("length", "32.00 ± 0.02 mm"), ("pressure", "85 psi"), ("volume", "7.6(1) ml"), ("force", "-1,5e3 N"),
    ("temperature", "40 °C"), ("stiffness", "12 lb/in"), ("dimensionless", "0.3 +/- 0.1"),
    ("kinematic_viscosity", "15 cSt"),
)  # fmt: skip
_RECORD = (
    '{"id": "a1b2c3d4e5f6a7b8", "kind": "choice", "at": "2026-05-01T10:00:00+00:00", "by": "Ash", '
    '"session": 2, "choice": "417"}'
)
_SEEDS: dict[str, Callable[[], list[str]]] = {
    "quantity": lambda: [chr(KINDS.index(kind)) + text for kind, text in _QUANTITIES],
    "unit": _texts("dunlin-160.toml", "plover-160.toml", "linnet-65.toml", "rider.toml", "bike.toml"),
    "stack": lambda: [_STACK],
    "drawer": lambda: [_DRAWER],
    "course": _texts("courses/cairn-flow-line.toml"),
    "request": lambda: [PAIRED_TEXT],
    "record": lambda: [_RECORD],
    "mapping": lambda: [_MAPPING],
    "leverage": _texts("leverage.csv"),
    "ranges": lambda: ["pressure=70 psi..100 psi:5 psi\nspacers=0..4\nrebound=2,4,8"],
    "list": lambda: ["pressure,spacers\n85 psi,2\n90 psi,1\n"],
}  # fmt: skip
