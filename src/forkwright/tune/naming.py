"""The workshop's words for adjusters, their steps, settings and measures."""

from __future__ import annotations

from forkwright.hardware import Setting, Unit
from forkwright.ride.settings_table import CLICKS as CLICKS
from forkwright.units import UnitChoice, show

ADJUSTERS: dict[str, str] = {
    "pressure": "pressure",
    "spacers": "volume spacers",
    "floating": "secondary pressure",
    "negative_pressure": "negative chamber pressure",
    "preload": "preload",
    "low_speed": "low-speed compression",
    "high_speed": "high-speed compression",
    "rebound": "rebound",
}
"""What each entry of a setting is called."""

SHORT: dict[str, str] = {
    "pressure": "pressure",
    "spacers": "spacers",
    "floating": "secondary",
    "negative_pressure": "negative",
    "preload": "preload",
    "low_speed": "low-speed",
    "high_speed": "high-speed",
    "rebound": "rebound",
}
"""The same where room is scarce."""

PRESSURES = ("pressure", "floating", "negative_pressure")

_PARTS = {
    "chassis": "",
    "lower_legs": "lower-leg",
    "air_spring": "air spring",
    "floating": "floating piston",
    "negative_coil": "negative coil",
    "coil_spring": "coil spring",
    "bumpers": "",
    "top_out": "top-out bumper",
    "bottom_out": "bottom-out bumper",
    "damper": "damper",
    "setting": "",
}
_WHOLE = {
    "travel": "travel",
    "chassis.stanchion_outer": "stanchion diameter",
    "chassis.stanchion_wall": "stanchion wall",
    "chassis.stanchion_modulus": "stanchion stiffness (modulus)",
    "chassis.bushing_friction": "bushing friction coefficient",
    "chassis.breakaway": "breakaway factor",
    "lower_legs.air_volume": "lower-leg air volume",
    "lower_legs.ingested": "air drawn into the lower legs",
    "air_spring.positive_volume": "positive chamber volume",
    "air_spring.negative_volume": "negative chamber volume",
    "air_spring.transfer": "transfer port position",
    "air_spring.seal_friction": "air spring seal friction",
    "air_spring.seal_area": "air spring seal friction by pressure",
    "air_spring.spacers.volume": "volume of one spacer",
    "air_spring.floating.volume": "secondary chamber volume",
    "damper.shaft": "damper shaft diameter",
    "setting.pressure": "set pressure",
    "setting.floating": "set secondary pressure",
    "setting.negative_pressure": "set negative chamber pressure",
    "setting.preload": "preload",
}
_ENDS = {"bore": "bore", "shaft": "shaft diameter", "rate": "rate", "length": "length"}


def measure_words(path: str) -> str:
    """Return what a measure is called, from its dotted path in the file.

    Examples
    --------
    >>> measure_words("air_spring.negative_volume")
    'negative chamber volume'
    >>> measure_words("bumpers.bottom_out.rate")
    'bottom-out bumper rate'
    """
    if path in _WHOLE:
        return _WHOLE[path]
    *parts, last = path.split(".")
    named = [
        part if part.isdigit() else _PARTS.get(part, part.replace("_", " "))
        for part in parts[-2 if parts[-1:] and parts[-1].isdigit() else -1 :]
    ]
    return " ".join([*(name for name in named if name), _ENDS.get(last, last.replace("_", " "))])


def value_words(name: str, value: float, units: UnitChoice | None = None) -> str:
    """Return the value of an adjuster (SI) in words.

    Examples
    --------
    >>> value_words("rebound", 1.0), value_words("spacers", 3.0)
    ('1 click', '3 spacers')
    """
    if name in PRESSURES:
        return show(value, "pressure", units)
    if name == "preload":
        return show(value, "length", units)
    return _counted(round(value), "click" if name in CLICKS else "spacer")


def step_words(name: str, step: int, size: float, units: UnitChoice | None = None) -> str:
    """Return one step of an adjuster in words: `step` is its sense, `size` the change in SI.

    Examples
    --------
    >>> step_words("rebound", -1, -1.0), step_words("spacers", 1, 1.0)
    ('one click more closed', 'one spacer more')
    """
    if name in CLICKS:
        return f"one click more {'open' if step > 0 else 'closed'}"
    if name == "spacers":
        return f"one spacer {'more' if step > 0 else 'less'}"
    dimension = "pressure" if name in PRESSURES else "length"
    return f"{show(abs(size), dimension, units)} {'more' if step > 0 else 'less'}"


def setting_words(setting: Setting, units: UnitChoice | None = None, unit: Unit | None = None) -> str:
    """Return a whole setting in words, clicks counted from fully closed.

    With the unit given, it is said where a unit that takes spacers has none in it.

    Examples
    --------
    >>> from forkwright.units import parse
    >>> setting_words(Setting(pressure=parse("85 psi", "pressure"), spacers=2, rebound=6))
    '85.0 psi, 2 spacers, rebound 6 clicks'
    """
    parts = []
    if setting.pressure is not None:
        parts.append(show(setting.pressure.si, "pressure", units))
    for name, words in (
        ("floating", "behind the floating piston"),
        ("negative_pressure", "in the negative chamber"),
    ):
        given = getattr(setting, name)
        if given is not None:
            parts.append(f"{show(given.si, 'pressure', units)} {words}")
    if setting.preload is not None:
        parts.append(f"{show(setting.preload.si, 'length', units)} of preload")
    if setting.spacers:
        parts.append(_counted(setting.spacers, "spacer"))
    elif unit is not None and unit.air_spring is not None and unit.air_spring.spacers is not None:
        parts.append("no spacers")
    parts += [
        f"{ADJUSTERS[name]} {_counted(getattr(setting, name), 'click')}"
        for name in CLICKS
        if getattr(setting, name) is not None
    ]
    return ", ".join(parts) or "nothing set"


def listed(words: list[str] | tuple[str, ...]) -> str:
    """Return words as a list with "and".

    Examples
    --------
    >>> listed(("rebound", "pressure", "spacers"))
    'rebound, pressure and spacers'
    """
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def sentence(words: str) -> str:
    """Return words with a capital letter in front and one full stop at the end."""
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
