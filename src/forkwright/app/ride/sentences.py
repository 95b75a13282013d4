"""Plain sentences about one ride or two over the same course. Every one is computed from the scores."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from forkwright.units import UnitChoice, show

LENGTH_SHARE = 0.01  # of the full travel: less is called alike
RELATIVE = 0.03  # of A's number: less is called alike
POINT = 0.01  # a hundredth of the time

CAUTION = (
    "A simulated ride replaces no test: after a change ride the first metres gently, and follow the maker's "
    "manual."
)

Numbers = Mapping[str, Any]


def ride_sentences(
    name: str, course: str, a: Numbers, hits: list[dict[str, Any]], travel: float, units: UnitChoice
) -> list[str]:
    """Return what one ride was like; `a` as `forkwright ride --json` gives it, `travel` (m) the full one."""

    def length(key: str) -> str:
        return f"{show(a[key], 'length', units)} ({a[key] / travel:.0%} of its travel)"

    said = [f"Over {course} {name} rides at {length('riding_sag_m')} and goes down to "
            f"{length('greatest_travel_m')}."]  # fmt: skip
    if hits:
        said.append(
            f"Its biggest hit, {show(hits[0]['travel_m'], 'length', units)}, comes {_where(hits[0])}."
        )
    said.append(_ends(a, units))
    off = f"it is off the ground {_times(a['contact_losses'])}, {a['contact_lost_share']:.1%} of the time"
    said.append(
        f"The tyre's force varies by {a['tyre_load_variation']:.0%} of its mean; "
        f"{off if a['contact_losses'] else 'it never leaves the ground'}."
    )
    return [*said, CAUTION]


def half_step_sentence(side: Numbers) -> str:
    """Return how far the step of the computation can be trusted; `side` as the page's answer has it."""
    ridden = f"{side['letter']} ({side['name']})"
    return f"At half the step no score of {ridden} changes by more than {side['half_step_change']:.2%}."


@dataclass(frozen=True)
class _ScoreTold:
    """One score of two rides: whether they differ in it, and what is said then."""

    what: str
    differs: bool
    sentence: str


def pair_sentences(
    course: str, a: Numbers, b: Numbers, travel: tuple[float, float], units: UnitChoice
) -> list[str]:
    """Return what B does otherwise than A over the same course; what is alike is said last.

    Parameters
    ----------
    course : str
    a, b : mapping
        As `forkwright ride --json` gives them.
    travel : (float, float)
        Full travel of each (m).
    units : UnitChoice
    """
    scores = [*_lengths(a, b, max(travel), units), _bottoming(a, b), *_ratios(a, b), _off_the_ground(a, b)]
    said = [one.sentence for one in scores if one.differs]
    alike = [one.what for one in scores if not one.differs]
    if not said:
        said.append("none of these scores differs by more than a trifle.")
    if alike:
        said.append(
            f"Alike, within {LENGTH_SHARE:.0%} of the travel, {RELATIVE:.0%} of the number or {POINT:.0%} of "
            f"the time: {', '.join(alike)}."
        )
    return [f"Over {course}: {said[0]}", *said[1:], CAUTION]


_LENGTHS = (
    ("riding_sag_m", "riding sag", "B rides higher", "B rides deeper"),
    (
        "greatest_travel_m",
        "deepest travel",
        "B's deepest stroke is shallower",
        "B's deepest stroke is deeper",
    ),
    ("pack_down_m", "packing down", "B packs down less", "B packs down more"),
)
"""Scores that are a length: key, name, and what is said when B's is less, and more."""

_RATIOS = (
    ("tyre_load_variation", "tyre load", "The tyre's force varies {by} with B: {evenness} even grip"),
    ("hand_acceleration_m_s2", "hand acceleration", "Weighted hand acceleration is {by} with B"),
    ("mean_heating_W", "heating", "Damper and friction heat up {by} with B"),
)
"""Scores that are set against A's: key, name, and what is said."""


def _lengths(a: Numbers, b: Numbers, travel: float, units: UnitChoice) -> Iterator[_ScoreTold]:
    for key, what, less, more in _LENGTHS:
        by = b[key] - a[key]
        yield _ScoreTold(
            what,
            abs(by) >= LENGTH_SHARE * travel,
            f"{less if by < 0 else more} by {show(abs(by), 'length', units)}: "
            f"{show(b[key], 'length', units)} against {show(a[key], 'length', units)}.",
        )


def _bottoming(a: Numbers, b: Numbers) -> _ScoreTold:
    return _ScoreTold(
        "bottoming out",
        (a["bumper_hits"], a["bottom_outs"]) != (b["bumper_hits"], b["bottom_outs"]),
        f"The bumper is touched {_times(b['bumper_hits'])} with B and {_times(a['bumper_hits'])} with A; "
        f"bottomed out: {_times(b['bottom_outs'])} and {_times(a['bottom_outs'])}.",
    )


def _ratios(a: Numbers, b: Numbers) -> Iterator[_ScoreTold]:
    for key, what, sentence in _RATIOS:
        if a[key] == 0.0:
            none = a[key] == b[key]
            yield _ScoreTold(what, not none, f"{what.capitalize()} is nothing with A, and something with B.")
            continue
        by = b[key] / a[key] - 1.0
        words = f"{abs(by):.0%} {'less' if by < 0 else 'more'}"
        evenness = "more" if by < 0 else "less"
        yield _ScoreTold(what, abs(by) >= RELATIVE, f"{sentence.format(by=words, evenness=evenness)}.")


def _off_the_ground(a: Numbers, b: Numbers) -> _ScoreTold:
    return _ScoreTold(
        "time off the ground",
        abs(b["contact_lost_share"] - a["contact_lost_share"]) >= POINT,
        f"B's tyre is off the ground for {b['contact_lost_share']:.1%} of the time, A's for "
        f"{a['contact_lost_share']:.1%}.",
    )


def _where(hit: Mapping[str, Any]) -> str:
    if hit["event"]:
        kind = hit["event"].replace("_", " ")
        return f"at {hit['distance_m']:.0f} m, past the {kind} that begins at {hit['event_m']:.0f} m"
    return f"at {hit['distance_m']:.0f} m"


def _ends(a: Numbers, units: UnitChoice) -> str:
    if a["bottom_outs"]:
        return (
            f"It bottoms out {_times(a['bottom_outs'])}; the hardest takes "
            f"{show(a['bottom_out_peak_N'], 'force', units)}."
        )
    if a["bumper_hits"]:
        return f"It touches the bumper {_times(a['bumper_hits'])} and never bottoms out."
    return "It never touches the bumper."


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")
