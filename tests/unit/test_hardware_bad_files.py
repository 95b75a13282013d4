"""Bad unit files: each fault has one clear message that names the line and the key."""

from __future__ import annotations

from pathlib import Path

import pytest

from forkwright.hardware import Setting, check_setting, examine, load, load_unit, read_text, with_setting
from forkwright.hardware.files import read_file
from forkwright.units import InputError

# (text to replace, replacement, what the named line begins with, what the message says after naming it)
FAULTS = [
    (
        'bore = "32.00 ± 0.02 mm"', 'bor = "32.00 ± 0.02 mm"', 'bor = "32.00 ± 0.02 mm"',
        "air_spring.bor: unknown key; did you mean 'bore'?",
    ),
    (
        'shaft = "10.00 ± 0.01 mm"', '', '[air_spring]',
        'air_spring.shaft: missing key',
    ),
    (
        '"32.00 ± 0.02 mm"', '"32.00 ± 0.02 psi"', 'bore = "32.00 ± 0.02 psi"',
        "air_spring.bore: 'psi' measures pressure; expected a length such as '12.3 mm'"
        "; got '32.00 ± 0.02 psi'; allowed: 5 mm to 100 mm",
    ),
    (
        '"32.00 ± 0.02 mm"', '32.0', 'bore = 32.0',
        'air_spring.bore: expected a length as text with a unit, in quotes'
        "; got '32.0'; allowed: 5 mm to 100 mm",
    ),
    (
        'travel = "160 mm"', 'travel = "-160 mm"', 'travel = "-160 mm"',
        "travel: out of range; got '-160 mm'; allowed: 1 mm to 400 mm",
    ),
    (
        'travel = "160 mm"', 'travel = "16 m"', 'travel = "16 m"',
        "travel: out of range; got '16 m'; allowed: 1 mm to 400 mm",
    ),
    (
        '"212 ± 2 ml"', '"100 ± 2 ml"', 'positive_volume = "100 ± 2 ml"',
        'air_spring.positive_volume: the piston would compress the positive chamber below zero'
        " before full travel; got '100 ± 2 ml'; allowed: more than 128.7 ml",
    ),
    (
        '"5.0 ± 0.5 mm"', '"175 mm"', 'transfer = "175 mm"',
        'air_spring.transfer: the transfer point lies beyond the travel'
        "; got '175 mm'; allowed: up to 160 mm",
    ),
    (
        'shaft = "10.00 ± 0.01 mm"', 'shaft = "33 mm"', 'shaft = "33 mm"',
        'air_spring.shaft: the shaft does not fit the bore'
        "; got '33 mm'; allowed: less than 32.00 ± 0.02 mm",
    ),
    (
        'shaft = "10.00 ± 0.01 mm"', 'shaft = "32.01 mm"', 'shaft = "32.01 mm"',
        'air_spring.shaft: the shaft does not fit the bore'
        "; got '32.01 mm'; allowed: less than 32.00 ± 0.02 mm",
    ),
    (
        '"5.0 ± 0.5 mm"', '"160.02 mm"', 'transfer = "160.02 mm"',
        'air_spring.transfer: the transfer point lies beyond the travel'
        "; got '160.02 mm'; allowed: up to 160 mm",
    ),
    (
        'stanchion_wall = "2.00 ± 0.05 mm"', 'stanchion_wall = "19 mm"', 'stanchion_wall = "19 mm"',
        "chassis.stanchion_wall: the tube would be solid; got '19 mm'; allowed: less than 18.0 mm",
    ),
    (
        'axle_to_crown = "566 ± 2 mm"', 'axle_to_crown = "500 mm"', 'axle_to_crown = "500 mm"',
        'chassis.axle_to_crown: the upper bushing would pass the crown before full travel'
        "; got '500 mm'; allowed: more than 545.0 mm",
    ),
    (
        'pressure = "85 psi"', 'pressure = "121 psi"', 'pressure = "121 psi"',
        "setting.pressure: over the stated pressure limit; got '121 psi'; allowed: up to 120 psi",
    ),
    (
        'spacers = 2\n', 'spacers = 9\n', 'spacers = 9',
        "setting.spacers: more spacers than fit; got '9'; allowed: 0 to 6",
    ),
    (
        'spacers = 2\n', 'spacers = "two"\n', 'spacers = "two"',
        "setting.spacers: expected a whole number; got 'two'",
    ),
    (
        'spacers = 2\n', 'spacers = -1\n', 'spacers = -1',
        "setting.spacers: out of range; got '-1'; allowed: 0 or more",
    ),
    (
        'spacers = 2\n', 'spacers = 2\nfloating = "200 psi"\n', 'floating = "200 psi"',
        "setting.floating: the unit does not have a floating piston; got '200 psi'",
    ),
    (
        'pressure = "85 psi"', 'pressure = "nan psi"', 'pressure = "nan psi"',
        "setting.pressure: not a number with a unit; expected a pressure such as '12.3 psi'"
        "; got 'nan psi'; allowed: 0 psi to 1000 psi",
    ),
    (
        'exponent = 1.0', 'exponent = inf', 'bottom_out = { length = "10 mm", rate = "40 ',
        "bumpers.bottom_out.exponent: not a number with a unit; expected a plain number such as '12.3'"
        "; got 'inf'; allowed: 0.5 to 10",
    ),
    (
        'axle = "floating"', 'axle = "flotaing"', 'axle = "flotaing"',
        "chassis.axle: not one of the known words; got 'flotaing'; allowed: 'floating' or 'fixed'",
    ),
    (
        'format = 1', 'format = 2', 'format = 2',
        'format: written by a newer forkwright; upgrade forkwright to read this file'
        "; got '2'; allowed: 1",
    ),
    (
        'kind = "fork"', 'kind = "spoon"', 'kind = "spoon"',
        "kind: unknown kind of file; got 'spoon'; allowed: fork, shock, rider, bike",
    ),
    (
        'kind = "fork"', '', None,
        'kind: missing key; allowed: fork, shock, rider, bike',
    ),
    (
        'bore = "32.00 ± 0.02 mm"', 'bore = "32 mm"\nbore = "33 mm"', 'bore = "33 mm"',
        "not valid TOML: duplicate key",
    ),
    (
        '[bumpers]', '[bumpers', '[bumpers',
        "not valid TOML: ",
    ),
    (
        'value = "1.3 ± 0.1"', 'vale = "1.3 ± 0.1"', 'breakaway = { vale = "1.3 ± 0.1", origin = "',
        "chassis.breakaway: unknown key 'vale' in a quantity's table; got ",
    ),
    (
        'origin = "assumed", note = "no', 'origin = "guessed", note = "no', 'breakaway = { value = ',
        "chassis.breakaway: unknown origin 'guessed'"
        "; got '1.3 ± 0.1'; allowed: measured, assumed, fitted",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "named", "words"), FAULTS)
def test_each_fault_names_line_and_key(
    demo_dir: Path, old: str, new: str, named: str | None, words: str
) -> None:
    """A faulty file is refused with the file, the line it stands on, the key, the value and the range."""
    source = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    assert old in source
    broken = source.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        read_text(broken, "fork.toml")
    message = str(caught.value)
    assert "\n" not in message
    if named is None:
        assert caught.value.line is None
        assert message.startswith(f"fork.toml: {words}")
    else:
        line = next(i for i, text in enumerate(broken.splitlines(), 1) if text.startswith(named))
        assert caught.value.line == line
        assert message.startswith(f"fork.toml, line {line}: {words}")


def test_a_floating_piston_without_its_pressure_is_refused(demo_dir: Path) -> None:
    """A unit with a floating piston needs a secondary pressure in its setting."""
    source = (demo_dir / "plover-160.toml").read_text("utf-8").replace('floating = "200 psi"', "")
    with pytest.raises(InputError, match=r"setting\.floating: missing key"):
        read_text(source, "plover.toml")


def test_secondary_limit_is_enforced(demo_dir: Path) -> None:
    """The floating piston's stated limit stops a setting, however it is given."""
    path = demo_dir / "plover-160.toml"
    unit = load_unit(path)
    over = unit.setting.changed(floating="301 psi")
    text = path.read_text("utf-8").replace('floating = "200 psi"', 'floating = "301 psi"')
    for give in (
        lambda: check_setting(unit, over),
        lambda: with_setting(unit, over),
        lambda: read_text(text, "plover.toml"),
    ):
        with pytest.raises(InputError, match=r"setting\.floating: over the stated pressure limit"):
            give()
    assert with_setting(unit, unit.setting.changed(floating="300 psi")).setting.floating is not None


@pytest.mark.parametrize("adjuster", ["low_speed", "high_speed", "rebound"])
def test_clicks_for_a_missing_adjuster_are_refused(demo_dir: Path, adjuster: str) -> None:
    """Clicks beyond an adjuster, or for one the unit lacks, are refused; its last click is not."""
    unit = load_unit(demo_dir / "dunlin-160.toml")
    assert unit.damper is not None
    last = unit.damper.click_ranges()[adjuster]
    check_setting(unit, unit.setting.changed(**{adjuster: last}))
    with pytest.raises(InputError, match=rf"setting\.{adjuster}: more clicks .*; allowed: 0 to {last}$"):
        check_setting(unit, unit.setting.changed(**{adjuster: last + 1}))
    without = unit.model_copy(update={"damper": None})
    bare = Setting(pressure=unit.setting.pressure)
    check_setting(without, bare)
    with pytest.raises(InputError, match=rf"setting\.{adjuster}: the unit has no such adjuster"):
        check_setting(without, bare.changed(**{adjuster: 0}))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("pressure", "1001 psi"), ("pressure", -1.0), ("floating", "1001 psi"), ("negative_pressure", -1.0),
        ("preload", "51 mm"), ("spacers", 51), ("spacers", -1), ("low_speed", 201), ("high_speed", -1),
        ("rebound", -1),
    ],
)  # fmt: skip
def test_setting_refuses_nonsense(field: str, value: str | float) -> None:
    """A setting out of any field's range is an input error that names the field, not a validation dump."""
    with pytest.raises(InputError, match=rf"^{field}: out of range; .*allowed: ") as caught:
        Setting().changed(**{field: value})
    assert "\n" not in str(caught.value)


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
    assert [fault.key for fault in faults] == ["air_spring.bor", "travel", "air_spring.bore"]
