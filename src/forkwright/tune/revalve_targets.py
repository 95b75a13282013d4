"""A wanted force at a shaft speed, as it is typed."""

from __future__ import annotations

from forkwright.tune.valve_bench import Target
from forkwright.units import InputError
from forkwright.units.typed_in import read_quantity, read_speeds


def read_target(text: str, valve: str, key: str) -> Target:
    """Read a target such as "0.5 m/s: 180 N".

    Parameters
    ----------
    text : str
        Speed and force with their units, a colon between them; a bare speed is m/s.
    valve : str
        "rebound_valve" needs no minus signs; the other valves take what is typed.
    key : str
        What to call it where it is wrong.

    Returns
    -------
    Target

    Raises
    ------
    InputError
        If it is no speed and force.

    Notes
    -----
    Source: none; the signs are those of `damping_curve`.

    Examples
    --------
    >>> read_target("0.5 m/s: 180 N", "rebound_valve", "target")
    Target(speed=-0.5, force=-180.0)
    """
    parts = text.split(":")
    if len(parts) != 2:
        raise InputError("expected a speed and a force such as '0.5 m/s: 180 N'", key=key, value=text)
    wanted = read_speeds(parts[0], key)
    if len(wanted) != 1:
        raise InputError("one speed for each target", key=key, value=text)
    speed, force = float(wanted[0]), read_quantity(parts[1].strip(), "force", key)
    return Target(-abs(speed), -abs(force)) if valve == "rebound_valve" else Target(speed, force)
