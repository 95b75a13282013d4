"""Readers of folders, archives, pictures and texts of the command line, as functions of bytes."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import tempfile
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np
from tests.trial_samples import PAIRED_TEXT

from forkwright.commands.log import _sections
from forkwright.commands.ride_options import _pairs, damping_from
from forkwright.commands.shims import _pressures
from forkwright.commands.tune_options import share_from
from forkwright.ride.profile import read_profile
from forkwright.shop.formats import read_format
from forkwright.shop.pictures import rewritten
from forkwright.shop.restore import restore
from forkwright.trial import Trial
from forkwright.trial.records import Record
from forkwright.trial.request import request_from_text
from forkwright.tune.revalve_targets import read_target
from forkwright.units.typed_in import read_speeds

Target = Callable[[bytes], None]
TRIAL_FILES = ("plan.json", "key.sealed", "records.jsonl", "log.jsonl")
NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
REQUEST = PAIRED_TEXT.replace('"Ash", "Birch"', '"Ash"').replace("\n[aim]", "repeats = 2\n\n[aim]")


def trial_folder(data: bytes) -> None:
    """A trial's folder in which one file is not as it was; the first byte says which."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, content in _sound_trial().items():
            (folder / file).write_bytes(content)
        (folder / TRIAL_FILES[(data[0] if data else 0) % len(TRIAL_FILES)]).write_bytes(data[1:])
        trial = Trial(folder)
        for look in (trial.kept, trial.log, trial.tampering, trial.sealed_key, lambda: trial.state):
            look()


def backup(data: bytes) -> None:
    """A backup of the shop, put back beside a fresh store."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "spoiled.zip"
        path.write_bytes(data)
        restore(Path(name) / "shop.sqlite3", path)


def backup_part(data: bytes) -> None:
    """A backup made anew around one part that is not as it was, with digests that fit."""
    names = sorted(sound_parts())
    changed = names[(data[0] if data else 0) % len(names)]
    parts = sound_parts() | {changed: data[1:]}
    if changed != "manifest.json":
        manifest = json.loads(parts["manifest.json"])
        manifest["files"][changed] = hashlib.sha256(parts[changed]).hexdigest()
        parts["manifest.json"] = json.dumps(manifest).encode()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, content in parts.items():
            packed.writestr(name, content)
    backup(out.getvalue())


def tables(data: bytes) -> None:
    """A folder of the shop's tables in which one table is not as it was; the first byte says which."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sound = _sound_tables()
        for file, content in sound.items():
            (folder / file).write_bytes(content)
        (folder / sorted(sound)[(data[0] if data else 0) % len(sound)]).write_bytes(data[1:])
        read_format(folder)


def picture(data: bytes) -> None:
    """A picture that somebody takes into a job."""
    _, width, height = rewritten(data)
    assert width > 0
    assert height > 0


def profile(path: Path) -> None:
    """A measured profile of the ground."""
    for values in read_profile(path, 4.0):
        assert np.all(np.isfinite(values))


def damping(path: Path) -> None:
    """A table of damping forces that stands for a damper."""
    table = damping_from(str(path))
    assert np.all(np.isfinite(table.force))
    assert np.all(np.isfinite(table.speed))


def pairs(path: Path) -> None:
    """A rear unit's leverage as it is handed to a ride."""
    assert np.all(np.isfinite(_pairs(str(path), ("wheel_travel_m", "stroke_m"))))


def sections(path: Path) -> None:
    """Named stretches of a ride log."""
    assert all(np.isfinite([stretch.start, stretch.stop]).all() for stretch in _sections(str(path)))


def speeds(data: bytes) -> None:
    """Speeds on the command line."""
    assert np.all(np.isfinite(read_speeds(text_of(data), "--speeds")))


def pressures(data: bytes) -> None:
    """Pressures on the command line."""
    assert np.all(np.isfinite(_pressures(text_of(data))))


def wanted_force(data: bytes) -> None:
    """A wanted force at a speed."""
    found = read_target(text_of(data), "base_valve", "--target")
    assert np.isfinite([found.speed, found.force]).all()


def share(data: bytes) -> None:
    """A share of something."""
    assert np.isfinite(share_from(text_of(data), "--margin"))


def text_of(data: bytes) -> str:
    """Return bytes as text that a terminal could hand over."""
    return data.decode("utf-8", "replace").replace("\0", "")


def in_a_file(read: Callable[[Path], object], suffix: str) -> Target:
    """Make a target of a reader that wants a path."""

    def target(data: bytes) -> None:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"spoiled{suffix}"
            path.write_bytes(data)
            read(path)

    return target


MORE_TARGETS: dict[str, Target] = {
    "trial-folder": trial_folder,
    "backup": backup,
    "backup-part": backup_part,
    "shop-tables": tables,
    "shop-toml": in_a_file(read_format, ".toml"),
    "picture": picture,
    "profile": in_a_file(profile, ".csv"),
    "damping": in_a_file(damping, ".csv"),
    "pairs": in_a_file(pairs, ".csv"),
    "sections": in_a_file(sections, ".toml"),
    "speeds": speeds,
    "pressures": pressures,
    "wanted-force": wanted_force,
    "share": share,
}


def more_seeds(target: str) -> list[bytes]:
    """Return sound examples of what one of these readers reads."""
    if target == "trial-folder":
        return [bytes([place]) + _sound_trial()[name] for place, name in enumerate(TRIAL_FILES)]
    if target == "shop-tables":
        sound = _sound_tables()
        return [bytes([place]) + sound[name] for place, name in enumerate(sorted(sound))]
    if target == "backup-part":
        sound = sound_parts()
        return [bytes([place]) + sound[name] for place, name in enumerate(sorted(sound))]
    if target in ("backup", "shop-toml"):
        return [_sound_book()[target]]
    if target == "picture":
        return _pictures()
    return [text.encode() for text in _TEXTS[target]]


@cache
def _sound_trial() -> dict[str, bytes]:
    with tempfile.TemporaryDirectory() as name:
        request = request_from_text(REQUEST, "request.toml")
        trial = Trial.planned(request, Path(name) / "t", admissible=lambda _: [], seed=3, clock=lambda: NOON)
        warm = {"id": "r1", "kind": "warm_up", "at": NOON, "by": "Ash", "rider": "Ash"}
        remark = {"id": "r2", "kind": "remark", "at": NOON, "by": "Ash", "text": "löst sich"}
        trial.add([Record.model_validate(warm), Record.model_validate(remark)])
        return {file: (trial.folder / file).read_bytes() for file in TRIAL_FILES}


@cache
def _sound_book() -> dict[str, bytes]:
    from tests.shop_samples import filled_store

    from forkwright.shop.backup import make_backup
    from forkwright.shop.dump import read_dump
    from forkwright.shop.formats import write_format

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        store = filled_store(folder)
        make_backup(store, folder / "sound.zip")
        with store.engine.connect() as connection:
            dump = read_dump(connection, accounts=False)
        store.close()
        out = folder / "out"
        out.mkdir()
        toml = write_format("toml", dump, out).read_bytes()
        found = {"backup": (folder / "sound.zip").read_bytes(), "shop-toml": toml}
        csv = write_format("csv", dump, out)
        found |= {f"csv/{path.name}": path.read_bytes() for path in csv.iterdir()}
        shutil.rmtree(out)
        return found


@cache
def sound_parts() -> dict[str, bytes]:
    """Return the parts of a sound backup by name."""
    with zipfile.ZipFile(io.BytesIO(_sound_book()["backup"])) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def _sound_tables() -> dict[str, bytes]:
    return {
        name.removeprefix("csv/"): data for name, data in _sound_book().items() if name.startswith("csv/")
    }


def _pictures() -> list[bytes]:
    from tests.shop_samples import picture_bytes

    found = [picture_bytes(kind=kind) for kind in ("PNG", "JPEG", "WEBP")]
    from PIL import Image

    out = io.BytesIO()
    Image.new("L", (9, 9), 128).save(out, format="PNG", optimize=True)
    return [*found, out.getvalue()]


_PROFILE = "distance_m,elevation_m\n" + "".join(f"{i / 10:.1f},{(i * i) % 7 / 50:.3f}\n" for i in range(40))
_SECTIONS = """[[section]]
name = "roots"
from = "3 s"
to = "1 min"
[[section]]
name = "berms"
from = "70 s"
to = "80 s"
"""
_TEXTS: dict[str, list[str]] = {
    "profile": [_PROFILE],
    "damping": ["speed_m_s,force_N\n-2,-800\n-0.5,-250\n0,0\n0.5,160\n2,470\n"],
    "pairs": ["wheel_travel_m,stroke_m\n0,0\n0.05,0.02\n0.1,0.042\n0.15,0.065\n"],
    "sections": [_SECTIONS],
    "speeds": ["-1 m/s, 0.5 m/s, 3, 12 in/s", "0.1"],
    "pressures": ["0 bar, 1 bar, 40 psi", "2e5 Pa"],
    "wanted-force": ["0.5 m/s: 180 N", "-1: -20 kgf"],
    "share": ["10 %", "0.25"],
}  # fmt: skip
