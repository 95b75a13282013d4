"""The steps in which a shop's pump sets pressures, checked before anything is searched in them."""

from __future__ import annotations

from forkwright.units import InputError, parse

_LEAST, _MOST = "0.01 psi", "20 psi"  # as a bike's file takes its pump


def check_pump_steps(pump_step: float | None, secondary_step: float) -> None:
    """Check both steps of a pump.

    Parameters
    ----------
    pump_step : float or None
        Of the main pressure, Pa; None where nothing was said.
    secondary_step : float
        At the secondary valve, Pa.

    Raises
    ------
    InputError
        Naming the step that is out of range.

    Examples
    --------
    >>> check_pump_steps(None, 3447.4)
    """
    low, high = parse(_LEAST, "pressure").si, parse(_MOST, "pressure").si
    for key, step in (("pump step", pump_step), ("secondary step", secondary_step)):
        if step is not None and not 0.999 * low <= step <= 1.001 * high:
            told = f"{step / parse('1 psi', 'pressure').si:g} psi"
            raise InputError("out of range", key=key, value=told, allowed=f"{_LEAST} to {_MOST}")
