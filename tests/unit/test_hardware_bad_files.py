"""Bad unit files: each fault has one clear message that names the line and the key."""

from __future__ import annotations

from pathlib import Path

import pytest

from forkwright.hardware import Setting, check_setting, examine, load, load_unit, read_text
from forkwright.hardware.files import read_file
from forkwright.units import InputError, parse

# (text to replace, replacement, line, words that the message holds)
FAULTS = [
    (
        'bore = "32.00 ± 0.02 mm"',
        'bor = "32.00 ± 0.02 mm"',
        True,
        "air_spring.bor: unknown key; did you mean 'bore'?",
    ),
    ('shaft = "10.00 ± 0.01 mm"', "", True, "air_spring.shaft: missing key"),
    ('"32.00 ± 0.02 mm"', '"32.00 ± 0.02 psi"', True, "'psi' measures pressure; expected a length"),
    ('"32.00 ± 0.02 mm"', "32.0", True, "as text with a unit, in quotes"),
    (
        'travel = "160 mm"',
        'travel = "-160 mm"',
        True,
        "travel: out of range; got '-160 mm'; allowed: 1 mm to 400 mm",
    ),
    ('travel = "160 mm"', 'travel = "16 m"', True, "out of range"),
    ('"212 ± 2 ml"', '"100 ± 2 ml"', True, "compress the positive chamber below zero"),
    ('"5.0 ± 0.5 mm"', '"175 mm"', True, "transfer point lies beyond the travel"),
    ('shaft = "10.00 ± 0.01 mm"', 'shaft = "33 mm"', True, "shaft does not fit the bore"),
    (
        'shaft = "10.00 ± 0.01 mm"',
        'shaft = "32.01 mm"',
        True,
        "does not fit the bore; got '32.01 mm'; allowed: less than 32.00 ± 0.02 mm",
    ),
    (
        '"5.0 ± 0.5 mm"',
        '"160.02 mm"',
        True,
        "transfer point lies beyond the travel; got '160.02 mm'; allowed: up to 160 mm",
    ),
    ('stanchion_wall = "2.00 ± 0.05 mm"', 'stanchion_wall = "19 mm"', True, "tube would be solid"),
    ('axle_to_crown = "566 ± 2 mm"', 'axle_to_crown = "500 mm"', True, "upper bushing would pass the crown"),
    (
        'pressure = "85 psi"',
        'pressure = "121 psi"',
        True,
        "over the stated pressure limit; got '121 psi'; allowed: up to 120 psi",
    ),
    ("spacers = 2\n", "spacers = 9\n", True, "more spacers than fit; got '9'; allowed: 0 to 6"),
    ("spacers = 2\n", 'spacers = "two"\n', True, "expected a whole number"),
    ("spacers = 2\n", "spacers = -1\n", True, "out of range"),
    ("spacers = 2\n", 'spacers = 2\nfloating = "200 psi"\n', True, "does not have a floating piston"),
    ('pressure = "85 psi"', 'pressure = "nan psi"', True, "not a number"),
    ("exponent = 1.0", "exponent = inf", True, "not a number"),
    ('axle = "floating"', 'axle = "flotaing"', True, "allowed: 'floating' or 'fixed'"),
    ("format = 1", "format = 2", True, "format"),
    ('kind = "fork"', 'kind = "spoon"', True, "unknown kind of file"),
    ('kind = "fork"', "", False, "kind: missing key"),
    ('bore = "32.00 ± 0.02 mm"', 'bore = "32 mm"\nbore = "32 mm"', True, "duplicate key"),
    ("[bumpers]", "[bumpers", True, "not valid TOML"),
    ('value = "1.3 ± 0.1"', 'vale = "1.3 ± 0.1"', True, "unknown key 'vale' in a quantity's table"),
    ('origin = "assumed", note = "no', 'origin = "guessed", note = "no', True, "unknown origin 'guessed'"),
]


@pytest.mark.parametrize(("old", "new", "has_line", "words"), FAULTS)
def test_each_fault_names_line_and_key(
    demo_dir: Path, old: str, new: str, has_line: bool, words: str
) -> None:
    """A faulty file is refused with the file, the line it stands on, the key, the value and the range."""
    source = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    assert old in source
    broken = source.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        read_text(broken, "fork.toml")
    message = str(caught.value)
    assert message.startswith("fork.toml")
    assert words in message
    assert "\n" not in message
    if has_line:
        assert caught.value.line is not None
        near = range(max(0, caught.value.line - 3), caught.value.line + 1)
        key = (caught.value.key or new.split(" =")[0]).split(".")
        assert any(
            part in broken.splitlines()[i] for i in near for part in key if i < len(broken.splitlines())
        )


def test_a_floating_piston_without_its_pressure_is_refused(demo_dir: Path) -> None:
    """A unit with a floating piston needs a secondary pressure in its setting."""
    source = (demo_dir / "plover-160.toml").read_text("utf-8").replace('floating = "200 psi"', "")
    with pytest.raises(InputError, match=r"setting\.floating: missing key"):
        read_text(source, "plover.toml")


def test_secondary_limit_is_enforced(demo_dir: Path) -> None:
    """The floating piston's stated limit stops a setting, however it is given."""
    unit = load_unit(demo_dir / "plover-160.toml")
    with pytest.raises(InputError, match="over the stated pressure limit"):
        check_setting(unit, unit.setting.changed(floating="301 psi"))


def test_clicks_for_a_missing_adjuster_are_refused(demo_dir: Path) -> None:
    """Clicks beyond an adjuster, or for one the unit lacks, are refused."""
    unit = load_unit(demo_dir / "dunlin-160.toml")
    with pytest.raises(InputError, match="adjuster"):
        check_setting(unit, unit.setting.changed(low_speed=199))


def test_setting_refuses_nonsense() -> None:
    """A setting out of any field's range is an input error, not a validation dump."""
    with pytest.raises(InputError, match="out of range"):
        Setting().changed(pressure=parse("9999 psi", "pressure"))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"  \n\t\n", "empty"),
        (b"\xff\xfe\x00\x01" * 50, "not text"),
        (b'format = 1\nname = "a\x00b"\n', "NUL"),
        (b"[" * 50_000, "not valid TOML"),
        (b"a = " + b"[" * 20_000, "not valid TOML"),
    ],
)
def test_files_that_are_no_unit_files(tmp_path: Path, content: bytes, words: str) -> None:
    """Empty, binary and absurd files are refused with a plain message."""
    path = tmp_path / "x.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=words):
        load(path)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    """A 100 MB file is refused by its size."""
    path = tmp_path / "huge.toml"
    with path.open("wb") as out:
        out.truncate(100_000_000)
    with pytest.raises(InputError, match="too large"):
        read_file(path)


def test_missing_file_and_folder(tmp_path: Path) -> None:
    """A path that is no readable file is an input error."""
    with pytest.raises(InputError, match="cannot be read"):
        load(tmp_path / "none.toml")
    with pytest.raises(InputError, match="cannot be read"):
        load(tmp_path)


def test_all_faults_of_a_file_are_listed(demo_dir: Path) -> None:
    """`examine` returns every fault, the misspelt key before the missing one it explains."""
    source = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    source = source.replace("bore =", "bor =", 1).replace('travel = "160 mm"', 'travel = "9 m"')
    faults, found = examine(source, "d.toml")
    assert found is None
    assert faults[0].message.startswith("unknown key")
    assert {"air_spring.bore", "travel"} <= {fault.key for fault in faults}
