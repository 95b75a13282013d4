"""Column headers: the words, the unit written beside them, and which quantity they most likely mean."""

from __future__ import annotations

import re
from dataclasses import dataclass

from forkwright.units.registry import scale

# Spellings of units in headers that the units room does not know as such.
_UNIT_WORDS = {
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "msec": "ms", "millisec": "ms", "us": "us",
    "minutes": "min", "hours": "h", "hr": "h", "hrs": "h", "inch": "in", "inches": "in", "newton": "N",
    "degc": "°C", "deg c": "°C", "c": "°C", "degf": "°F", "f": "°F", "psig": "psi", "barg": "bar",
    "m/s²": "m/s2", "m/s^2": "m/s2", "mps": "m/s", "kmh": "km/h", "kph": "km/h", "g": "g0", "ml": "ml",
    "m_s": "m/s", "mm_s": "mm/s", "celsius": "°C", "degree_celsius": "°C", "n": "N", "pa": "Pa", "kpa": "kPa",
}  # fmt: skip

# First match wins. Words of several languages, because a header is written by whoever made the logger.
_QUANTITIES: tuple[tuple[str, str, str], ...] = (
    (r"\b(time|t|zeit|temps|tiempo|timestamp|elapsed|clock|tid|tijd)\b", "time", "time"),
    (r"\b(section|segment|lap|abschnitt|stage)\b", "section", "text"),
    (r"\b(travel|stroke|position|pos|displacement|weg|federweg|course|recorrido|hub|extension|x)\b",
     "travel", "length"),
    (r"\b(force|load|kraft|fuerza|kracht|f)\b", "force", "force"),
    (r"\b(pressure|druck|pression|presion|presión|p)\b", "pressure", "pressure"),
    (r"\b(temperature|temp|temperatur|temperatura|température)\b", "temperature", "temperature"),
    (r"\b(speed|velocity|geschwindigkeit|vitesse|velocidad|v)\b", "speed", "speed"),
    (r"\b(acceleration|accel|acc|beschleunigung)\b", "acceleration", "acceleration"),
    (r"\b(distance|strecke|dist)\b", "distance", "length"),
    (r"\b(ride|rides|fahrt|fahrten)\b", "rides", "dimensionless"),
)  # fmt: skip
_PREFIXES = (
    ("rear", r"\b(rear|shock|back|hinten|arri[eè]re)\b"),
    ("front", r"\b(front|vorn|avant)\b"),
    ("ground", r"\b(wheel|ground|gps|bike|fahr)\b"),
    ("negative", r"\bnegative\b"),
    ("floating", r"\b(floating|secondary)\b"),
    ("lower_leg", r"\blower( leg)?s?\b"),
    ("ambient", r"\b(ambient|air|outside|room)\b"),
)


@dataclass(frozen=True)
class Header:
    """One column header taken apart.

    Parameters
    ----------
    text : str
        As written in the file.
    words : str
        Lower-case words without the unit.
    unit : str
        Unit symbol as the units room understands it, or "" when none was written.
    name : str
        Proposed channel name, for example "travel" or "rear_travel"; "" when nothing was recognised.
    dimension : str
        Kind of quantity ("length", "pressure", ... or "text"); "" when nothing was recognised.
    absolute : bool
        True when a pressure is marked as absolute.
    """

    text: str
    words: str
    unit: str
    name: str
    dimension: str
    absolute: bool = False


def read_header(text: str) -> Header:
    """Take a column header apart.

    Examples
    --------
    >>> h = read_header("Rear shock travel [mm]")
    >>> h.name, h.unit, h.dimension
    ('rear_travel', 'mm', 'length')
    """
    words, unit_text = _split(text)
    plain = _lower_words(words)
    name, dimension = _meaning(plain)
    unit, absolute = _unit(unit_text, dimension)
    absolute = absolute or bool(re.search(r"\babs(olute)?\b", f"{plain} {unit_text.lower()}"))
    return Header(text, plain, unit, name, dimension, absolute and dimension == "pressure")


def looks_like_unit(text: str) -> bool:
    """Return True if `text` could stand alone as a unit in a row of units under the header."""
    text = text.strip().strip("[]()")
    return text in ("", "-") or any(_unit(text, d)[0] for d in _SCALED)


_SCALED = ("time", "length", "force", "pressure", "temperature", "speed", "acceleration")


def _split(text: str) -> tuple[str, str]:
    text = text.strip().strip("\ufeff")
    bracket = re.search(r"[\[(]\s*([^\])]*?)\s*[\])]\s*$", text)
    if bracket:
        return text[: bracket.start()], bracket[1]
    for pattern in (r"^(.*?)\s*/\s*(\S{1,6})$", r"^(.*\w)\s*,\s*(\S{1,8})$", r"^(.*\w) in (\S{1,8})$"):
        found = re.match(pattern, text)
        if found and any(_unit(found[2], d)[0] for d in _SCALED):
            return found[1], found[2]
    for pattern in (r"^(.*)_((?:mm|m|km)_(?:s|h)2?)$", r"^(.*)[_ ]([A-Za-z°]{1,5})$"):
        found = re.match(pattern, text)
        if found and _meaning(_lower_words(found[1]))[0] and any(_unit(found[2], d)[0] for d in _SCALED):
            return found[1], found[2]
    return text, ""


def _lower_words(words: str) -> str:
    return " ".join(re.sub(r"[_\W]+", " ", words.lower()).split())


def _meaning(plain: str) -> tuple[str, str]:
    for pattern, name, dimension in _QUANTITIES:
        if re.search(pattern, plain):
            if name in ("time", "section"):
                return name, dimension
            prefix = next((p for p, words in _PREFIXES if re.search(words, plain)), "")
            return (f"{prefix}_{name}" if prefix and prefix != "front" else name), dimension
    return "", ""


def _unit(text: str, dimension: str) -> tuple[str, bool]:
    """Return the unit symbol if it fits the dimension, and whether the text marks an absolute pressure."""
    text = text.strip()
    absolute = bool(re.search(r"\(?\babs\b\.?\)?|psia|bara", text, re.I))
    text = re.sub(r"\s*\(?\b(abs|gauge)\b\.?\)?\s*", "", text, flags=re.I)
    text = re.sub(r"^(psi|bar)[ag]$", r"\1", text, flags=re.I)
    if not text or dimension in ("", "text"):
        return "", absolute
    for candidate in (text, _UNIT_WORDS.get(text.lower(), "")):
        if candidate and scale(candidate, dimension) is not None:
            return candidate, absolute
    return "", absolute
