"""What is shipped works where there is no source tree: wheel and sdist, in an environment of their own."""

from __future__ import annotations

import json
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "forkwright"


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build both from the tree; the wheel from the sdist, as an installer would."""
    folder = tmp_path_factory.mktemp("shipped")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", str(folder)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (sdist,) = folder.glob("*.tar.gz")
    with tarfile.open(sdist) as archive:
        archive.extractall(folder / "unpacked", filter="data")
    (tree,) = (folder / "unpacked").iterdir()
    wheel = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "-q",
        "--no-build-isolation",
        "--no-deps",
        "-w",
        str(folder),
    ]
    subprocess.run([*wheel, str(tree)], check=True, capture_output=True)
    return folder


@pytest.fixture(scope="module")
def python(shipped: Path) -> Path:
    """A fresh environment with the wheel; the dependencies are lent by this one, the package is not."""
    home = shipped / "environment"
    venv.create(home, with_pip=False)
    found = home / "bin" / "python"
    site = next(home.glob("lib/python*/site-packages"))
    (wheel,) = shipped.glob("*.whl")
    install = [
        sys.executable,
        "-m",
        "pip",
        "-q",
        "--python",
        found,
        "install",
        "--no-deps",
        "--no-index",
        wheel,
    ]
    subprocess.run(install, check=True, capture_output=True)
    (site / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return found


def test_the_wheel_is_for_every_system_and_holds_all_data(shipped: Path) -> None:
    """No compiled code; every file of the package that git would keep is inside."""
    (wheel,) = shipped.glob("*.whl")
    assert wheel.name.endswith("-py3-none-any.whl")
    listed = subprocess.run(
        ["git", "ls-files", "src/forkwright"], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout.split("\n")
    wanted = {name.removeprefix("src/") for name in listed if name and (ROOT / name).exists()}
    inside = set(zipfile.ZipFile(wheel).namelist())
    assert wanted - inside == set()
    assert any(name.endswith("licenses/LICENSE") for name in inside)


def test_no_path_of_the_machine_is_in_what_is_shipped(shipped: Path) -> None:
    """Neither sdist nor wheel holds the path of the tree, the build, the environment or the home."""
    places = [f"{place}/".encode() for place in (ROOT, shipped, sys.prefix, Path.home())]
    (wheel,) = shipped.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    (sdist,) = shipped.glob("*.tar.gz")
    with tarfile.open(sdist) as archive:
        members = ((one.name, archive.extractfile(one)) for one in archive)
        files |= {name: file.read() for name, file in members if file is not None}
    assert len(files) > 500
    told = [(name, place) for name, content in files.items() for place in places if place in content]
    assert told == []


def test_the_wheel_runs_the_demo_without_the_source(python: Path, tmp_path: Path) -> None:
    """`forkwright demo` in the fresh environment: its own copy of the package, the report written."""
    where = subprocess.run(
        [python, "-c", "import forkwright; print(forkwright.__file__)"],
        cwd=tmp_path, check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip
    assert str(python.parents[1]) in where
    script = python.with_name("forkwright")
    subprocess.run([script, "demo", "--out", "demo"], cwd=tmp_path, check=True, capture_output=True)
    made = {path.suffix for path in (tmp_path / "demo").iterdir()}
    assert ".html" in made


def test_the_wheel_answers_as_the_source_does(python: Path, tmp_path: Path) -> None:
    """The same fork gives the same curve and card; migrations and the sheets' type travel along."""

    def told(command: list[object]) -> str:
        return subprocess.run(command, cwd=tmp_path, check=True, capture_output=True, text=True).stdout

    fork = SOURCE / "demo" / "dunlin-160.toml"
    ours = told([sys.executable, "-m", "forkwright", "spring", fork, "--json"])
    theirs = told([python, "-m", "forkwright", "spring", fork, "--json"])
    assert json.loads(theirs) == json.loads(ours)
    told([python, "-m", "forkwright", "job", "--store", tmp_path / "shop.db", "new", fork, "--serial", "D-1"])
    listed = told([python, "-m", "forkwright", "job", "--store", tmp_path / "shop.db", "list", "--json"])
    assert [job["number"] for job in json.loads(listed)["jobs"]] == [1]
    for who in (sys.executable, python):
        told([who, "-m", "forkwright", "sheet", "card", fork, "--out", f"{who == python}.pdf"])
    assert (tmp_path / "True.pdf").read_bytes() == (tmp_path / "False.pdf").read_bytes()
