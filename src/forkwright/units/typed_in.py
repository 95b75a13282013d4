"""What a person types behind an option or into a field: the error names where it was typed."""

from __future__ import annotations

from forkwright.units.errors import InputError
from forkwright.units.measure import parse


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


def _speed(text: str, where: str) -> float:
    try:
        bare = float(text)
    except ValueError:
        return read_quantity(text, "speed", where)
    if not abs(bare) < 1e6:
        raise InputError("not a usable speed", key=where, value=text)
    return bare
