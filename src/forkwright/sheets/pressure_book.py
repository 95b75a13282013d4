"""A spreadsheet of gauge readings against temperature and altitude, with live formulas.

The formulas are the sealed-gas law and the standard atmosphere, so whoever opens the book may change the set
pressure, the day it was set, or any temperature and altitude, and read the answer. The numbers shown before
anything is recalculated come from the bench.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from forkwright.units import InputError, UnitChoice, to_unit, unit_label

FIRST_ROW: Final = 14  # of the table's temperatures, counted from 0
SEA_LEVEL: Final = 101325.0
CREATED: Final = datetime(2000, 1, 1)
INPUTS: Final = ("Set pressure (gauge)", "Temperature when set", "Altitude when set, m")


@dataclass(frozen=True)
class PressureBook:
    """What the book says.

    Attributes
    ----------
    unit : str
        The unit's name; any text.
    chambers : tuple of ChamberReadings
        One sheet each.
    temperature_set : float
        K, when the chambers were set.
    altitude_set : float
        m.
    temperatures, altitudes : array
        K, shape (t,), and m, shape (a,).
    units : UnitChoice
        Units shown.
    notes : tuple of str
        Printed under the table.
    """

    unit: str
    chambers: tuple[ChamberReadings, ...]
    temperature_set: float
    altitude_set: float
    temperatures: NDArray[np.float64]
    altitudes: NDArray[np.float64]
    units: UnitChoice = field(default_factory=UnitChoice)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class ChamberReadings:
    """One chamber: its name, set gauge pressure (Pa) and the bench's gauge readings (Pa), shape (t, a)."""

    name: str
    set_pressure: float
    readings: NDArray[np.float64]


def write_pressure_book(book: PressureBook, file: str | None = None) -> bytes:
    """Write the book as an .xlsx file; the same book gives the same bytes.

    Parameters
    ----------
    book : PressureBook
        Names may be any text: none is ever read as a formula.
    file : str, optional
        The unit's file, for the error.

    Raises
    ------
    InputError
        If no chamber is set by a pump.

    Notes
    -----
    Source: sealed gas at constant volume, p/T constant (derived from the ideal-gas law); ambient pressure by
    the US Standard Atmosphere 1976, equation (33a).
    """
    import xlsxwriter

    if not book.chambers:
        words = "no chamber is set by a pump, so there is nothing to tabulate"
        raise InputError(words, file=file, key="setting")
    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    workbook = xlsxwriter.Workbook(out, options)
    workbook.set_properties({"title": "Gauge pressure against temperature", "created": CREATED})
    formats = _formats(workbook)
    for place, chamber in enumerate(book.chambers):
        _sheet(workbook, formats, book, chamber, place)
    workbook.close()
    return out.getvalue()


def reading_formula(row: int, column: int) -> str:
    """Return the formula of the reading in a table cell (row and column counted from 0).

    B5 set pressure, B6 temperature and B7 altitude when set; B9 sea-level pressure and B10 absolute zero in
    the book's units; temperatures stand in column A, altitudes in the row above the table.
    """
    temperature = f"$A{row + 1}"
    altitude = f"{_letter(column)}${FIRST_ROW}"
    return f"=($B$5+{_ambient('$B$7')})*({temperature}-$B$10)/($B$6-$B$10)-{_ambient(altitude)}"


def _ambient(altitude: str) -> str:
    return f"$B$9*(1-0.0065*{altitude}/288.15)^5.255876"


def _rounded(value: Any) -> float:
    """Return a number without the digits that a change of unit leaves behind: 80, not 79.99999999999999."""
    return float(f"{float(value):.10g}")


def _letter(column: int) -> str:
    """Column letters: enough for the altitudes a table can hold."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _formats(workbook: Any) -> dict[str, Any]:
    edge = {"bottom": 1, "bottom_color": "#c8d0d5"}
    return {
        "title": workbook.add_format({"bold": True, "font_size": 15}),
        "soft": workbook.add_format({"font_color": "#55636b", "text_wrap": False}),
        "input": workbook.add_format(
            {"bg_color": "#FFF7D6", "border": 1, "num_format": "0.0", "locked": False}
        ),
        "fixed": workbook.add_format({"num_format": "0.000", "font_color": "#55636b"}),
        "head": workbook.add_format(
            {"bold": True, "bottom": 2, "num_format": '0 "m"', "bg_color": "#FFF7D6"}
        ),
        "name": workbook.add_format({"bold": True, "bottom": 2}),
        "side": workbook.add_format({"bold": True, "num_format": "0.0", "bg_color": "#FFF7D6", **edge}),
        "number": workbook.add_format({"num_format": "0.0", **edge}),
        "fine": workbook.add_format({"num_format": "0.00", **edge}),
        "below": workbook.add_format({"font_color": "#B00020", "bold": True}),
    }


def _sheet(
    workbook: Any, formats: dict[str, Any], book: PressureBook, chamber: ChamberReadings, place: int
) -> None:
    sheet = workbook.add_worksheet(f"Chamber {place + 1}")
    units = book.units
    pressure, heat = unit_label("pressure", units), unit_label("temperature", units)
    sheet.set_column(0, 0, 30)
    sheet.set_column(1, len(book.altitudes), 11)
    sheet.write_string(0, 0, book.unit, formats["title"])
    sheet.write_string(1, 0, f"{chamber.name}: gauge reading in {pressure}", formats["soft"])
    sheet.write_string(2, 0, "Yellow cells may be changed; the table follows.", formats["soft"])
    given = (
        _rounded(to_unit(chamber.set_pressure, "pressure", units)),
        _rounded(to_unit(book.temperature_set, "temperature", units)),
        book.altitude_set,
    )
    for row, (name, value, unit) in enumerate(zip(INPUTS, given, (pressure, heat, ""), strict=True), 4):
        sheet.write_string(row, 0, f"{name}, {unit}" if unit else name)
        sheet.write_number(row, 1, float(value), formats["input"])
    sheet.write_string(8, 0, f"Sea-level pressure, {pressure}", formats["soft"])
    sheet.write_number(8, 1, float(to_unit(SEA_LEVEL, "pressure", units)), formats["fixed"])
    sheet.write_string(9, 0, f"Absolute zero, {heat}", formats["soft"])
    sheet.write_number(9, 1, float(to_unit(0.0, "temperature", units)), formats["fixed"])
    sheet.write_string(
        10, 0, "Sealed gas: pressure follows absolute temperature. Ambient: US Standard Atmosphere 1976.",
        formats["soft"],
    )  # fmt: skip
    _table(sheet, formats, book, chamber, heat)
    _chart(workbook, sheet, book, chamber, (pressure, heat))
    last = FIRST_ROW + len(book.temperatures) + 1
    for row, note in enumerate(("Never above the pressure printed on the unit.", *book.notes), last):
        sheet.write_string(row, 0, note, formats["soft"])


def _table(
    sheet: Any, formats: dict[str, Any], book: PressureBook, chamber: ChamberReadings, heat: str
) -> None:
    fine = unit_label("pressure", book.units) == "bar"
    style = formats["fine" if fine else "number"]
    sheet.write_string(FIRST_ROW - 1, 0, f"Temperature, {heat} / altitude", formats["name"])
    for column, altitude in enumerate(book.altitudes, 1):
        sheet.write_number(FIRST_ROW - 1, column, float(altitude), formats["head"])
    for line, temperature in enumerate(book.temperatures):
        row = FIRST_ROW + line
        sheet.write_number(
            row, 0, float(to_unit(float(temperature), "temperature", book.units)), formats["side"]
        )
        for column in range(1, len(book.altitudes) + 1):
            shown = float(to_unit(float(chamber.readings[line, column - 1]), "pressure", book.units))
            sheet.write_formula(row, column, reading_formula(row, column), style, shown)
    end = FIRST_ROW + len(book.temperatures) - 1
    sheet.conditional_format(
        FIRST_ROW,
        1,
        end,
        len(book.altitudes),
        {"type": "cell", "criteria": "<", "value": 0, "format": formats["below"]},
    )
    sheet.freeze_panes(FIRST_ROW, 1)


def _chart(
    workbook: Any, sheet: Any, book: PressureBook, chamber: ChamberReadings, labels: tuple[str, str]
) -> None:
    from forkwright.sheets.palette import series_colours

    chart = workbook.add_chart({"type": "scatter", "subtype": "straight"})
    name, last = sheet.get_name(), FIRST_ROW + len(book.temperatures) - 1
    colours, dashes = series_colours(), ("solid", "dash", "round_dot", "dash_dot", "long_dash")
    for place in range(len(book.altitudes)):
        chart.add_series(
            {
                "name": [name, FIRST_ROW - 1, place + 1],
                "categories": [name, FIRST_ROW, 0, last, 0],
                "values": [name, FIRST_ROW, place + 1, last, place + 1],
                "line": {
                    "color": colours[place % len(colours)],
                    "dash_type": dashes[place % len(dashes)],
                    "width": 2,
                },
            }
        )
    chart.set_title({"name": chamber.name, "overlay": False})
    chart.set_x_axis({"name": f"temperature, {labels[1]}", "crossing": "min", "label_position": "low"})
    chart.set_y_axis({"name": f"gauge reading, {labels[0]}"})
    sheet.insert_chart(3, len(book.altitudes) + 2, chart, {"x_scale": 1.2, "y_scale": 1.4})
