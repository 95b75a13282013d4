"""What a person types behind an option or into a field: the error names where it was typed."""

from __future__ import annotations

from dataclasses import fields

from forkwright.units.errors import InputError
from forkwright.units.measure import parse
from forkwright.units.registry import scale
from forkwright.units.show import UnitChoice


def read_quantity(text: str, dimension: str, where: str) -> float:
    """Read one quantity into SI.

    Parameters
    ----------
    text : str
        Such as "40 mm".
    dimension : str
        Kind of quantity, as in `DIMENSIONS`.
    where : str
        The option or field, for the error.

    Returns
    -------
    float
        SI.

    Raises
    ------
    InputError
        If it is no such quantity.

    Examples
    --------
    >>> read_quantity("40 mm", "length", "--position")
    0.04
    """
    try:
        return parse(text, dimension).si
    except InputError as fault:
        raise InputError(fault.message, key=where, value=text, allowed=fault.allowed) from None


def read_speeds(text: str, where: str) -> list[float]:
    """Read speeds separated by commas into m/s; a bare number is m/s.

    Parameters
    ----------
    text : str
        Such as "-1, 0.5 m/s".
    where : str
        The option or field, for the error.

    Returns
    -------
    list of float
        m/s.

    Raises
    ------
    InputError
        If one of them is no speed.

    Examples
    --------
    >>> read_speeds("-1, 500 mm/s", "--speeds")
    [-1.0, 0.5]
    """
    return [_speed(part.strip(), where) for part in text.split(",")]


def read_pressures(text: str, where: str) -> list[float]:
    """Read pressure differences separated by commas into Pa.

    Parameters
    ----------
    text : str
        Such as "0 bar, 40 psi".
    where : str
        The option or field, for the error.

    Returns
    -------
    list of float
        Pa, none below zero.

    Raises
    ------
    InputError
        If one of them is no pressure, or negative.

    Examples
    --------
    >>> read_pressures("0 bar, 150 kPa", "--pressures")
    [0.0, 150000.0]
    """
    values = []
    for part in (part.strip() for part in text.split(",")):
        value = read_quantity(part, "pressure", where)
        if value < 0.0:
            raise InputError("a shim stack opens one way only", key=where, value=part, allowed="0 or more")
        values.append(value)
    return values


def read_choice(text: str, where: str) -> UnitChoice:
    """Read a choice of units; each symbol says what it is for by itself.

    Parameters
    ----------
    text : str
        Symbols separated by commas, such as "bar, in".
    where : str
        The option or field, for the error.

    Returns
    -------
    UnitChoice

    Raises
    ------
    InputError
        For a symbol that measures nothing that can be chosen.

    Examples
    --------
    >>> read_choice("bar, in", "--units").length
    'in'
    """
    chosen: dict[str, str] = {}
    names = [entry.name for entry in fields(UnitChoice)]
    for symbol in (part.strip() for part in text.split(",")):
        kind = next((name for name in names if symbol and scale(symbol, name) is not None), None)
        if kind is None:
            raise InputError("an unknown unit", key=where, value=symbol)
        chosen[kind] = symbol
    return UnitChoice(**chosen)


def _speed(text: str, where: str) -> float:
    try:
        bare = float(text)
    except ValueError:
        return read_quantity(text, "speed", where)
    if not abs(bare) < 1e6:
        raise InputError("not a usable speed", key=where, value=text)
    return bare
