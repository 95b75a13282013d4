"""Text with a unit and a tolerance, to SI and back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from forkwright.units import InputError, Measure, UnitChoice, parse, show, show_measure
from forkwright.units.dimensions import DIMENSIONS
from forkwright.units.known import KNOWN
from forkwright.units.registry import looked_up
from forkwright.units.write import write


@pytest.mark.parametrize(
    ("text", "dimension", "si", "std"),
    [
        ("32.00 ± 0.02 mm", "length", 0.032, 2e-5),
        ("32.00 +/- 0.02 mm", "length", 0.032, 2e-5),
        ("32.00(2) mm", "length", 0.032, 2e-5),
        ("32,5 mm", "length", 0.0325, 0.0),
        ("2 in", "length", 0.0508, 0.0),
        ("7.6 ± 0.1 ml", "volume", 7.6e-6, 1e-7),
        ("7.6 cc", "volume", 7.6e-6, 0.0),
        ("1 bar", "pressure", 1e5, 0.0),
        ("250 kPa", "pressure", 2.5e5, 0.0),
        ("60 N/mm", "stiffness", 6e4, 0.0),
        ("20 °C", "temperature", 293.15, 0.0),
        ("-5 °C", "temperature", 268.15, 0.0),
        ("64.8 °F", "temperature", 291.37222222222, 0.0),
        ("0.04 ± 0.01", "dimensionless", 0.04, 0.01),
        ("42 %", "dimensionless", 0.42, 0.0),
        ("1 kgf", "force", 9.80665, 0.0),
        ("206 GPa", "stress", 2.06e11, 0.0),
        ("12 cSt", "kinematic_viscosity", 1.2e-5, 0.0),
    ],
)
def test_reads_what_a_technician_writes(text: str, dimension: str, si: float, std: float) -> None:
    """Every spelling in the file format gives the right SI number and tolerance."""
    found = parse(text, dimension)
    assert found.si == pytest.approx(si, rel=1e-12)
    assert found.std == pytest.approx(std, rel=1e-9, abs=1e-30)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("text", "dimension", "si", "half_a_digit"),
    [
        ("1 psi", "pressure", 6894.757, 0.0005),
        ("1 lbf", "force", 4.448222, 0.5e-6),
        ("1 lb/in", "stiffness", 175.1268, 0.5e-4),
        ("1 in", "length", 0.0254, 1e-15),  # exact, as are the next two
        ("1 lb", "mass", 0.45359237, 1e-15),
        ("1 mph", "speed", 0.44704, 1e-15),
    ],
)
def test_conversion_factors_of_nist(  # type: ignore[no-untyped-def]
    check, text: str, dimension: str, si: float, half_a_digit: float
) -> None:
    """The factors agree with NIST SP 811, appendix B.8 (from memory), at its own rounding."""
    check(
        formula=f"{text} in SI",
        source="NIST SP 811, appendix B.8 (from memory)",
        expected=si,
        got=parse(text, dimension).si,
        tolerance=half_a_digit,
        relative=False,
    )


@pytest.mark.parametrize(
    ("text", "dimension", "words"),
    [
        ("32", "length", "unit is missing"),
        ("5 psi", "length", "'psi' measures pressure; expected a length"),
        ("abc", "length", "not a number"),
        ("5 blorg", "length", "unknown unit 'blorg'"),
        ("nan mm", "length", "not a number"),
        ("inf mm", "length", "not a number"),
        ("1e999 mm", "length", "too large"),
        ("5 ± -1 mm", "length", "must not be negative"),
        ("5(1) ± 1 mm", "length", "twice"),
        ("5 mm**9**9**9", "length", "unit"),
        ("", "length", "not a number"),
        ("5 mm" + " " * 500, "length", "not a number"),
    ],
)
def test_refuses_with_what_was_expected(text: str, dimension: str, words: str) -> None:
    """A wrong quantity is an input error that says what was expected."""
    with pytest.raises(InputError, match=r"expected|large|negative|twice") as caught:
        parse(text, dimension)
    assert words in str(caught.value)


@given(
    st.floats(-1e6, 1e6, allow_nan=False).filter(lambda x: abs(x) > 1e-9),
    st.floats(0, 1e3),
    st.sampled_from(["length", "pressure", "volume", "force", "temperature", "stiffness", "dimensionless"]),
)
def test_written_text_reads_back(number: float, std: float, dimension: str) -> None:
    """What is written to a file reads back to the same value and tolerance, to 11 digits."""
    measure = Measure(number, std)
    back = parse(write(measure, dimension), dimension)
    assert back.si == pytest.approx(number, rel=1e-11, abs=1e-9)
    assert back.std == pytest.approx(std, rel=1e-11)


@given(st.text(max_size=40))
def test_no_text_breaks_the_parser(text: str) -> None:
    """Any text gives a finite number or an input error, never another exception."""
    try:
        found = parse(text, "length")
    except InputError:
        return
    assert abs(found.si) < float("inf")
    assert 0.0 <= found.std < float("inf")


def test_shows_in_the_users_units() -> None:
    """Numbers are written in the chosen units, rounded to what is worth reading."""
    assert show(586054.37, "pressure") == "85.0 psi"
    assert show(586054.37, "pressure", UnitChoice(pressure="bar")) == "5.86 bar"
    assert show(-0.00001, "length") == "0.0 mm"
    assert show_measure(parse("32.00 ± 0.02 mm", "length"), "length") == "32.000 ± 0.020 mm"


def test_unit_choice_refuses_a_unit_of_another_kind() -> None:
    """A preference that cannot measure its quantity is an input error naming the choices."""
    with pytest.raises(InputError, match="no unit of pressure"):
        UnitChoice(pressure="mm")


def test_error_message_names_place_fault_value_and_range() -> None:
    """The one error puts file, line, key, fault, value and range on one line."""
    error = InputError("too large", file="a.toml", line=4, key="travel", value="9 m", allowed="up to 400 mm")
    assert str(error) == "a.toml, line 4: travel: too large; got '9 m'; allowed: up to 400 mm"


@pytest.mark.parametrize("dimension", KNOWN)
def test_the_kept_factors_are_those_of_the_units_library(dimension: str) -> None:
    """Every factor and offset kept for speed equals the library's to the last digit, and every symbol of the
    menus is kept."""
    for symbol, kept in KNOWN[dimension].items():
        assert kept == looked_up(symbol, dimension), symbol
    assert set(DIMENSIONS[dimension].symbols) <= set(KNOWN[dimension])
