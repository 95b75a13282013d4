"""Safety comes before the result: what is checked before a blind setting may be ridden, and when to stop.

Common practice, no source: the lists are what a careful workshop does; the maker's manual goes before them.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from forkwright.trial.request import Option
from forkwright.units import InputError

#: Given an option, return why its setting may not be ridden; an empty list lets it through. The caller
#: judges, with the unit and its limits at hand; this room knows labels only.
Admissible = Callable[[Option], list[str]]

SAFETY_NOTES: tuple[str, ...] = (
    "Ride within your limits: this compares settings, not riders. Slow down or stop whenever you want.",
    "Helmet, gloves and pads on; the line walked and known; nobody else on it; somebody at the trail who "
    "can call for help.",
    "Start with a warm-up run on a known, open setting, not scored.",
    "Keep to the pressure and bottom-out limits of the maker's manual; it goes before this plan.",
)

STOP_RULES: tuple[str, ...] = (
    "A crash or a near miss, a knock, leak, loose part or hard bottoming: stop, record it, inspect.",
    "A rider may stop at any time without giving a reason.",
    "Ice, storm, failing light, or a changed surface: stop; another day is another block.",
    "If safety needs to know a setting, break the blind at once: no result is worth more.",
)

#: What the mechanic ticks before a run; without all of these the run must not be ridden.
SAFETY_CHECKS: dict[str, str] = {
    "setting": "setting made and read back",
    "limits": "within the pressure limit on the label",
    "bolts": "axle and pinch bolts tight",
    "brakes": "brakes untouched and working",
}

#: What keeps the run blind; without all of these it may be ridden but does not count.
MASK_CHECKS: dict[str, str] = {
    "covers": "adjusters and caps covered",
    "bike": "nothing to see, feel or count at the bike",
    "sound": "sound masked or equal",
    "apart": "rider and leader out of sight during the change",
}

SAME_ON_EVERY_RUN: tuple[str, ...] = (
    "same tyres, pressures read with one gauge before each run",
    "same bike, wheels, bar and saddle position",
    "same line, start and finish",
    "unit at rest for the same time before each run",
)

_BRAKING = re.compile(r"\b(brakes?|braking|rotors?|cal+ipers?|brake ?pads?|brake ?levers?)\b", re.IGNORECASE)


def refuse_unridable(option: Option, name: str, admissible: Admissible) -> None:
    """Raise InputError unless the caller lets this option be ridden and it leaves the brakes alone.

    Parameters
    ----------
    option : Option
        Label and setting, in the caller's own keys.
    name : str
        What to call it in the message: its label at planning, its code on a card.
    admissible : callable
        Returns a list of reasons why the setting may not be ridden; empty lets it through.
    """
    words = " ".join([option.label, *option.setting, *map(str, option.setting.values())])
    if found := _BRAKING.search(words.replace("_", " ")):
        raise InputError(f"{name}: a blind change must not alter braking ({found.group(0)!r})", key="options")
    if reasons := admissible(option):
        raise InputError(f"{name}: must not be ridden: {'; '.join(reasons)}", key="options")
