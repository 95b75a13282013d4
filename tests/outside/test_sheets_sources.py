"""Printed numbers against published ones."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from forkwright.sheets.palette import OKABE_ITO
from forkwright.sheets.pressure_book import reading_formula

Check = Callable[..., None]


@pytest.mark.outside
@pytest.mark.parametrize(("altitude", "pressure"), [(1000, 89874), (2000, 79495), (3000, 70108)])
def test_spreadsheet_formula_gives_the_standard_atmosphere(
    check: Check, altitude: int, pressure: int
) -> None:
    """US Standard Atmosphere 1976 (geopotential altitude): an open chamber reads ambient less ambient."""
    formula = reading_formula(14, 1)
    cells = {"$B$5": "0", "$B$6": "15", "$B$7": "0", "$B$9": "101325", "$B$10": "-273.15", "$A15": "15",
             "B$14": str(altitude)}  # fmt: skip
    for name, value in sorted(cells.items(), key=lambda pair: -len(pair[0])):
        formula = formula.replace(name, f"({value})")
    gauge = eval(formula[1:].replace("^", "**"))
    check(
        formula="ambient pressure in the spreadsheet's live formula",
        source="US Standard Atmosphere 1976",
        expected=pressure,
        got=101325 - gauge,
        tolerance=1.5,
        unit="Pa",
        relative=False,
    )


@pytest.mark.outside
def test_sealed_gas_reads_as_amontons_law(check: Check) -> None:
    """Textbook example (derived by hand): 7 bar absolute at 20 °C is 6.2837 bar absolute at -10 °C."""
    formula = reading_formula(14, 1)
    cells = {"$B$5": "5.98675", "$B$6": "20", "$B$7": "0", "$B$9": "1.01325", "$B$10": "-273.15",
             "$A15": "-10", "B$14": "0"}  # fmt: skip
    for name, value in sorted(cells.items(), key=lambda pair: -len(pair[0])):
        formula = formula.replace(name, f"({value})")
    gauge = eval(formula[1:].replace("^", "**"))
    check(
        formula="sealed gas, p/T constant",
        source="ideal-gas law, 7 bar at 293.15 K to 263.15 K (derived)",
        expected=7 * 263.15 / 293.15,
        got=gauge + 1.01325,
        tolerance=1e-9,
        unit="bar",
    )


@pytest.mark.outside
def test_palette_is_the_published_one(check: Check) -> None:
    """Okabe and Ito's eight colours as RGB, as in Wong, Nature Methods 8, 441 (2011); from memory."""
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
        source="Okabe & Ito, as in Wong, Nature Methods 8, 441 (2011) (from memory)",
        expected=len(published),
        got=sum(ours.get(name) == colour for name, colour in published.items()),
        tolerance=0,
    )
    assert ours == published
