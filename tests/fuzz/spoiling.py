"""Spoil a text of ours as hands, editors, disks and ill will do; every spoiling repeats from its seed."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from typing import Any

import tomlkit

from forkwright.hardware import quantities
from forkwright.hardware.files import examine

NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?")
TOLERANCE = re.compile(r'(?<=\d)(?: ± [\d.]+)?(?=(?: [^"\d\n]+)?")')  # the one there is, or its place
QUOTED = re.compile(r'"[^"\n]*"')
EXTREMES = (
    "0", "-0", "1e-300", "1e300", "1e-9", "1e9", "-1", "-1e-12", "0.5", "1.0000001", "99999999999999999999",
    "nan", "inf", "-inf", "1e999", "1e-999", "٣", "１２", "1_000", "0x10", "1,5", "1.5.2", "", "2147483648",
    "3/4", "1e", ".5", "5.", "--1", "+1", "1 000", "true",
)  # fmt: skip
UNITS = (
    "mm", "m", "in", "psi", "bar", "Pa", "ml", "cm3", "in3", "N", "N/mm", "lb/in", "kgf", "degC", "°C", "K",
    "degF", "cSt", "GPa", "deg", "rad", "ms", "s", "kg", "", "mm mm", "mm2", "parsec", "%", "m/s",
    "delta_degC", "dB", "µm",
)  # fmt: skip
TOLERANCES = (
    " ± 0",
    " ± 1e9",
    " ± -1",
    " +/- 5",
    "(2)",
    " ± nan",
    " ± 200 %",
    " ± 1e-300",
    " ± 0.5 bar",
    " ±",
    "()",
)
JUNK = (
    '"',
    "'",
    "[",
    "]",
    "{",
    "}",
    "=",
    "#",
    "\n",
    "\r",
    "\t",
    "\x00",
    "\x1b",
    "\ufeff",
    "\u202e",
    "💥",
    "\\",
    ",",
    ".",
    "\ud7ff",
)


def spoiled(text: str, seed: int) -> str:
    """Return the text with one to three faults in it; it is never what it was.

    Parameters
    ----------
    text : str
        A sound file.
    seed : int
        Decides what is done; the same seed does the same.
    """
    chance, found = random.Random(seed), text
    for _ in range(chance.choice((1, 1, 1, 1, 2, 3))):
        found = _once_more(found, chance)
    return found if found != text else _once_more(text, chance)


def _once_more(text: str, chance: random.Random) -> str:
    """Spoil a text in a way that changes it: not every way finds something to change."""
    while (found := chance.choice(_WAYS)(text, chance)) == text:
        pass
    return found


def strange_but_allowed(text: str, seed: int) -> str:
    """Return a unit file with up to six values anywhere within their printed ranges, often at an end.

    Parameters
    ----------
    text : str
        A sound unit file.
    seed : int
        Decides which values and what they become.
    """
    chance = random.Random(seed)
    _, unit = examine(text)
    assert unit is not None
    document: Any = tomlkit.parse(text)
    kinds = quantities(unit)
    written = sorted(path for path in kinds if _table_of(document, path) is not None)
    for path in chance.sample(written, chance.choice((1, 1, 2, 3, 6))):
        low, high = kinds[path].low, kinds[path].high
        assert low is not None
        assert high is not None
        _table_of(document, path)[path.rpartition(".")[2]] = _between(low, high, chance)
    return tomlkit.dumps(document)


def _table_of(document: Any, path: str) -> Any:
    """Return the table in which a value is written under its own name; None where it is not, as in a shim."""
    *way, last = path.split(".")
    table = document
    for part in way:
        table = table[int(part)] if isinstance(table, list) else table.get(part, {})
    return table if isinstance(table, dict) and last in table else None


def _between(low: str, high: str, chance: random.Random) -> str:
    """A value between two texts with units, evenly in its logarithm where the low end allows."""
    ends = [re.match(r"([-\d.eE+]+)\s*(.*)", text) for text in (low, high)]
    assert ends[0] is not None
    assert ends[1] is not None
    way = chance.random()
    if way < 0.15:
        return low
    if way < 0.3:
        return high
    bottom, top = float(ends[0][1]), float(ends[1][1])
    if ends[0][2] != ends[1][2]:
        return chance.choice((low, high))
    value = bottom * (top / bottom) ** chance.random() if bottom > 0.0 else chance.uniform(bottom, top)
    return f"{min(max(value, bottom), top):.6g} {ends[0][2]}".strip()


def _other_number(text: str, chance: random.Random) -> str:
    """A number becomes an extreme one."""
    return _replace_one(NUMBER, text, chance, lambda _: chance.choice(EXTREMES))


def _scaled_number(text: str, chance: random.Random) -> str:
    """A number slips by a factor, as a wrong unit or a lost decimal point does: still a sound file, often."""
    factor = chance.choice(
        (0.1, 10.0, 0.5, 2.0, 0.9, 1.1, 0.0393701, 25.4, 14.5038, 0.0689476, -1.0, 100.0, 0.01)
    )
    return _replace_one(NUMBER, text, chance, lambda old: f"{float(old) * factor:.6g}")


def _other_unit(text: str, chance: random.Random) -> str:
    """A unit becomes another one."""
    pattern = re.compile(r'(?<=\d )[^\d"\n]+(?=")')
    return _replace_one(pattern, text, chance, lambda _: chance.choice(UNITS))


def _other_tolerance(text: str, chance: random.Random) -> str:
    """A tolerance is put in behind a quoted number, or becomes another one."""
    return _replace_one(TOLERANCE, text, chance, lambda _: chance.choice(TOLERANCES))


def _swapped_values(text: str, chance: random.Random) -> str:
    """Two quoted values change places."""
    places = list(QUOTED.finditer(text))
    if len(places) < 2:
        return text
    first, second = sorted(chance.sample(places, 2), key=lambda found: found.start())
    return (
        text[: first.start()]
        + second[0]
        + text[first.end() : second.start()]
        + first[0]
        + text[second.end() :]
    )


def _other_type(text: str, chance: random.Random) -> str:
    """A value becomes one of another type."""
    new = (
        "true",
        "[]",
        "{}",
        "1",
        "-1",
        "0.0",
        "nan",
        "inf",
        '""',
        "[[1]]",
        "1979-05-27",
        '{ value = "1 mm" }',
    )
    return _replace_one(re.compile(r"(?<== )[^\n#{\[]+"), text, chance, lambda _: chance.choice(new))


def _line_lost(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    del lines[chance.randrange(len(lines))]
    return "\n".join(lines)


def _line_twice(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    lines.insert(chance.randrange(len(lines) + 1), chance.choice(lines))
    return "\n".join(lines)


def _key_misspelt(text: str, chance: random.Random) -> str:
    return _replace_one(
        re.compile(r"^\w+(?= =)", re.M), text, chance, lambda old: old[:-1] + chance.choice("aeiz_")
    )


def _junk(text: str, chance: random.Random) -> str:
    place = chance.randrange(len(text) + 1)
    return text[:place] + chance.choice(JUNK) * chance.choice((1, 1, 1, 3, 50)) + text[place:]


def _cut_off(text: str, chance: random.Random) -> str:
    return text[: chance.randrange(len(text) + 1)]


def _piece_lost(text: str, chance: random.Random) -> str:
    start = chance.randrange(len(text) + 1)
    return text[:start] + text[start + chance.randrange(1, 40) :]


def _replace_one(
    pattern: re.Pattern[str], text: str, chance: random.Random, new: Callable[[str], str]
) -> str:
    places = list(pattern.finditer(text))
    if not places:
        return text
    found = chance.choice(places)
    return text[: found.start()] + new(found[0]) + text[found.end() :]


# What leaves a file readable comes more often: it reaches further into the program.
_WAYS: tuple[Callable[[str, random.Random], str], ...] = (
    *(_scaled_number,) * 6, *(_other_number,) * 4, *(_other_unit,) * 2, *(_other_tolerance,) * 2,
    *(_swapped_values,) * 3, _other_type, _line_lost, _line_lost, _line_twice, _key_misspelt, _junk, _cut_off,
    _piece_lost,
)  # fmt: skip
