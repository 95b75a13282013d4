"""Plain sentences about a match; every one is computed from its figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.nearest_clicks import NearestClicks
from forkwright.hardware import Unit
from forkwright.tune.match import Match
from forkwright.tune.match_neighbours import Neighbour
from forkwright.tune.match_sureness import sureness_words
from forkwright.tune.naming import (
    ADJUSTERS,
    CLICKS,
    PRESSURES,
    listed,
    sentence,
    setting_words,
    step_words,
)
from forkwright.tune.nearest_coil import coil_sentences
from forkwright.tune.recommend_words import CAUTION
from forkwright.units import UnitChoice, show

NOTHING_LEFT = 0.5
"""N below which a remainder is not spoken of (own choice)."""


@dataclass(frozen=True)
class MatchWords:
    """What is said about a match, each part a few sentences, in the order it is read."""

    setting: str
    remainder: tuple[str, ...]
    reasons: tuple[str, ...]
    sureness: tuple[str, ...]
    flatness: tuple[str, ...]
    caution: str = CAUTION

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything in the order it is read."""
        return (
            self.setting, *self.remainder, *self.reasons, *self.sureness, *self.flatness, self.caution,
        )  # fmt: skip


def match_words(a: Unit, b: Unit, found: Match, units: UnitChoice | None = None) -> MatchWords:
    """Return the sentences of a match of B to A."""
    names = (a.name, b.name) if a.name != b.name else (f"{a.name} (A)", f"{b.name} (B)")
    return MatchWords(
        setting=_setting(names, b, found, units),
        remainder=(
            *(coil_sentences(found.coil, names[0], units) if found.coil is not None else ()),
            *_spring_left(names, found, units),
            *_damping_left(names, found.clicks, units),
        ),
        reasons=_reasons(names[1], found),
        sureness=sureness_words(found.bands, units) if found.bands is not None else (),
        flatness=_flatness(found, units),
    )


def _setting(names: tuple[str, str], b: Unit, found: Match, units: UnitChoice | None) -> str:
    setting = setting_words(found.setting, units, b)
    if any(getattr(found.setting, name) is not None for name in CLICKS):
        setting += " (clicks from fully closed)"
    if found.coil is not None:
        setting = f"a coil of {show(found.coil.rate, 'stiffness', units)}, {setting}"
    return f"Set {names[1]} to {setting}: so it comes nearest to {names[0]}, judged by {found.use.words}."


def _spring_left(names: tuple[str, str], found: Match, units: UnitChoice | None) -> tuple[str, ...]:
    spring = found.spring
    if spring is None:
        return ()
    if spring.rms < NOTHING_LEFT:
        return ("The springs are then alike: nothing worth naming remains.",)
    said = [
        f"{show(spring.rms, 'force', units)} of spring force remain on average (rms); most at "
        f"{show(spring.worst_at, 'length', units)}, where {names[1]} pushes back "
        f"{show(abs(spring.worst), 'force', units)} {'harder' if spring.worst > 0 else 'less'}."
    ]
    if found.friction is not None:
        friction = show(found.friction, "force", units)
        hidden = spring.rms < found.friction
        said.append(
            f"{names[1]}'s friction of {friction} {'can hide that' if hidden else 'does not hide that'}."
        )
    return tuple(said)


def _damping_left(
    names: tuple[str, str], clicks: NearestClicks | None, units: UnitChoice | None
) -> tuple[str, ...]:
    if clicks is None:
        return ()
    if clicks.rms < NOTHING_LEFT:
        said = ["The dampers are then alike: nothing worth naming remains."]
    else:
        worst = int(np.argmax(np.abs(clicks.remainder)))
        force, speed = float(clicks.remainder[worst]), float(clicks.speed[worst])
        stronger = (force > 0.0) == (speed > 0.0)
        way = "compression" if speed > 0.0 else "rebound"
        said = [
            f"{show(clicks.rms, 'force', units)} of damping force remain on average (rms), "
            f"{show(clicks.before, 'force', units)} with the clicks it had; most in {way} at "
            f"{show(abs(speed), 'speed', units)}, where {names[1]} damps {show(abs(force), 'force', units)} "
            f"{'more' if stronger else 'less'}."
        ]
    if clicks.at_end:
        ends = listed([ADJUSTERS[name] for name in clicks.at_end])
        many = len(clicks.at_end) > 1
        said.append(
            f"{sentence(ends)[:-1]} {'stand' if many else 'stands'} at an end of the range: only another "
            "shim stack brings it nearer."
        )
    return tuple(said)


def _reasons(name: str, found: Match) -> tuple[str, ...]:
    if found.spring is None or found.spring.rms < NOTHING_LEFT:
        return ()
    if not found.reasons:
        return ("No single part of the spring explains what remains.",)
    return tuple(
        f"{sentence(reason.words.replace('B', name, 1))[:-1]}: with that part like the other's, "
        f"{reason.share:.0%} of what remains would go."
        for reason in found.reasons
    )


def _flatness(found: Match, units: UnitChoice | None) -> tuple[str, ...]:
    said = []
    if found.pressure_room is not None and found.setting.pressure is not None:
        low, high = found.pressure_room
        if high > low:
            said.append(
                f"Between {show(low, 'pressure', units)} and {show(high, 'pressure', units)} the spring's "
                "remainder grows by less than a tenth: no need to chase the last step of the pump."
            )
        else:
            said.append("One step of the pump is already felt in the remainder: set the pressure with care.")
    said += [
        f"{sentence(neighbour_words(one, units))[:-1]} leaves {show(one.rms, 'force', units)}."
        for one in found.neighbours
        if one.adjuster not in PRESSURES and (abs(one.step) == 1.0 or one.adjuster in ("rate", "preload"))
    ]
    return tuple(said)


def neighbour_words(one: Neighbour, units: UnitChoice | None = None) -> str:
    """Return a step away from the match in words, such as "rebound, one click more open"."""
    if one.adjuster == "rate":
        return f"a coil {show(abs(one.step), 'stiffness', units)} {'firmer' if one.step > 0 else 'softer'}"
    words = step_words(one.adjuster, 1 if one.step > 0 else -1, one.step, units)
    if abs(one.step) != 1.0 and one.adjuster == "spacers":
        words = f"{abs(one.step):.0f} spacers {'more' if one.step > 0 else 'less'}"
    return words if one.adjuster == "spacers" else f"{ADJUSTERS[one.adjuster]}, {words}"
