"""What the sheets print or carry along against what others published: live formulas and colours."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from forkwright.sheets.palette import OKABE_ITO
from forkwright.sheets.pressure_book import FIRST_ROW, reading_formula

Check = Callable[..., None]
ABSOLUTE_ZERO = "-273.15"  # degC


def reading(
    sea_level: float, set_pressure: float, set_at: float, temperature: float, altitude: float
) -> float:
    """Work the spreadsheet's formula out as a spreadsheet would, for a fork set at sea level."""
    cells = {
        "$B$5": set_pressure, "$B$6": set_at, "$B$7": 0, "$B$9": sea_level, "$B$10": ABSOLUTE_ZERO,
        f"$A{FIRST_ROW + 1}": temperature, f"B${FIRST_ROW}": altitude,
    }  # fmt: skip
    formula = reading_formula(FIRST_ROW, 1).removeprefix("=").replace("^", "**")
    for name in sorted(cells, key=len, reverse=True):
        formula = formula.replace(name, f"({cells[name]})")
    return float(eval(formula))


@pytest.mark.outside
@pytest.mark.parametrize(("altitude", "pressure"), [(1000, 89874.6), (2000, 79495.2), (3000, 70108.5)])
def test_spreadsheet_formula_gives_the_standard_atmosphere(
    check: Check, altitude: int, pressure: float
) -> None:
    """An open chamber reads ambient less ambient; the table as its copies give it."""
    check(
        formula="ambient pressure in the spreadsheet's live formula",
        source="US Standard Atmosphere 1976, table by geopotential altitude, from copies",
        expected=pressure,
        got=101325 - reading(101325, 0, 15, 15, altitude),
        tolerance=0.05,
        unit="Pa",
        relative=False,
    )


@pytest.mark.outside
def test_sealed_gas_reads_as_amontons_law(check: Check) -> None:
    """A textbook's can, 360 kPa at 24 °C, is told to hold 390 kPa at 50 °C; and one more by hand, in full."""
    atmosphere = 101.325
    check(
        formula="sealed gas, warmed",
        source="OpenStax, Chemistry, example 9.5",
        expected=390,
        got=reading(atmosphere, 360 - atmosphere, 24, 50, 0) + atmosphere,
        tolerance=5,
        unit="kPa",
        relative=False,
    )
    atmosphere = 1.01325
    check(
        formula="sealed gas, p/T constant",
        source="Amontons' law, 7 bar x 263.15 K / 293.15 K (derived)",
        expected=6.2836,
        got=reading(atmosphere, 7 - atmosphere, 20, -10, 0) + atmosphere,
        tolerance=5e-5,
        unit="bar",
        relative=False,
    )


@pytest.mark.outside
def test_palette_is_the_published_one(check: Check) -> None:
    """Okabe and Ito's eight colours as copies of the published table give them."""
    published = {
        "black": (0, 0, 0), "orange": (230, 159, 0), "sky blue": (86, 180, 233),
        "bluish green": (0, 158, 115), "yellow": (240, 228, 66), "blue": (0, 114, 178),
        "vermillion": (213, 94, 0), "reddish purple": (204, 121, 167),
    }  # fmt: skip
    ours = {
        name: tuple(int(code[place : place + 2], 16) for place in (1, 3, 5))
        for name, code in OKABE_ITO.items()
    }
    check(
        formula="colours of the palette that equal the published ones",
        source="Okabe & Ito, as in Wong, Nature Methods 8, 441 (2011), from copies",
        expected=len(published),
        got=sum(ours.get(name) == colour for name, colour in published.items()),
        tolerance=0,
    )
    assert ours == published
