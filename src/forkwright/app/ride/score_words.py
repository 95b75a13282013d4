"""What each score of a ride is called, read in and means, and the source of its definition (docs/ride.md)."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

OWN = "own definition"


@dataclass(frozen=True)
class ScoreWords:
    """One score as the pages tell it.

    `kind` is a switchable kind of quantity, or None: then the number times `factor` is read in `unit` with
    `digits` after the point. `better` says which way most riders wish it, where there is such a way.
    """

    key: str
    title: str
    meaning: str
    source: str
    kind: str | None = None
    unit: str = ""
    factor: float = 1.0
    digits: int = 0
    better: Literal["less", "more"] | None = None
    group: Literal["travel", "grip", "comfort", "heat"] = "travel"


SCORES: tuple[ScoreWords, ...] = (
    ScoreWords("duration_s", "Time", "how long the ride takes", "the course's speeds", unit="s", digits=1),
    ScoreWords("static_sag_m", "Static sag", "rest under the static load, without friction", "statics",
               kind="length"),
    ScoreWords("riding_sag_m", "Riding sag", "mean travel while the tyre touches", OWN, kind="length"),
    ScoreWords("greatest_travel_m", "Deepest travel", "the largest travel of the ride", "largest value",
               kind="length"),
    ScoreWords("pack_down_m", "Packing down",
               "deepest one-second mean of travel beyond the static sag, where only the weight presses", OWN,
               kind="length", better="less"),
    ScoreWords("bumper_hits", "Bumper touched", "times the bottom-out bumper is touched", OWN, unit="times",
               better="less"),
    ScoreWords("bottom_outs", "Bottomed out", "times travel comes within 0.5 mm of its end", OWN,
               unit="times", better="less"),
    ScoreWords("bottom_out_peak_N", "Hardest bottom", "largest force of bumper and metal stop together",
               "largest value", kind="force", better="less"),
    ScoreWords("top_outs", "Topped out", "times travel goes below zero", OWN, unit="times", better="less"),
    ScoreWords("top_out_peak_N", "Hardest top-out", "largest force of the top-out stop", "largest value",
               kind="force", better="less"),
    ScoreWords("fastest_compression_m_s", "Fastest compression", "largest speed of the unit going in",
               "largest value", kind="speed"),
    ScoreWords("fastest_rebound_m_s", "Fastest rebound", "largest speed of the unit coming out",
               "largest value", kind="speed"),
    ScoreWords("stuck_share", "Held by friction", "share of the time in which friction holds the unit", OWN,
               unit="%", factor=100.0, digits=1, better="less"),
    ScoreWords("tyre_load_variation", "Tyre load varies",
               "standard deviation of the tyre's force over its mean: less is more even grip",
               "coefficient of variation", unit="%", factor=100.0, digits=1, better="less", group="grip"),
    ScoreWords("contact_losses", "Contact lost", "spells with no force on the tyre", OWN, unit="times",
               better="less", group="grip"),
    ScoreWords("contact_lost_s", "Time off the ground", "time with no force on the tyre", OWN, unit="s",
               digits=2, better="less", group="grip"),
    ScoreWords("contact_lost_share", "Share off the ground", "share of the time with no force on the tyre",
               OWN, unit="%", factor=100.0, digits=1, better="less", group="grip"),
    ScoreWords("hand_acceleration_m_s2", "Hand acceleration, weighted",
               "rms of the sprung mass's vertical acceleration after the weighting Wh; it compares settings "
               "and is no exposure measured for health", "ISO 5349-1:2001, one axis of three", unit="m/s²",
               digits=2, better="less", group="comfort"),
    ScoreWords("sprung_acceleration_m_s2", "Sprung acceleration", "the same rms without weighting",
               "root mean square", unit="m/s²", digits=2, better="less", group="comfort"),
    ScoreWords("mean_heating_W", "Mean heating", "heat of damper and friction over the time",
               "energy account", unit="W", group="heat"),
    ScoreWords("damper_heat_J", "Damper heat", "energy the damper takes", "energy account", kind="energy",
               group="heat"),
    ScoreWords("friction_heat_J", "Friction heat", "energy friction takes", "energy account", kind="energy",
               group="heat"),
    ScoreWords("gas_heat_J", "Gas heat", "energy the air gives to its chambers' walls", "energy account",
               kind="energy", group="heat"),
    ScoreWords("tyre_heat_J", "Tyre heat", "energy the tyre takes", "energy account", kind="energy",
               group="heat"),
)  # fmt: skip
"""Every score that is one number, in the order in which it is told."""

ENERGY: tuple[tuple[str, str, int], ...] = (
    ("ground", "the ground put in", 1),
    ("weight", "weight put in", 1),
    ("damper", "the damper took", -1),
    ("friction", "friction took", -1),
    ("tyre", "the tyre took", -1),
    ("gas", "the air gave to its walls", -1),
    ("floating", "the floating piston took", -1),
    ("rider", "arms and legs took", -1),
    ("stored", "stored at the end, less at the start", -1),
    ("residual", "is not accounted for", 0),
)
"""The energy account's entries, what each is, and whether it went in, went out, or is what is left."""

GROUPS = {"travel": "Travel", "grip": "Grip", "comfort": "Comfort", "heat": "Heat"}


def score_table() -> dict[str, Any]:
    """Return the words as the page reads them."""
    return {
        "scores": [asdict(one) for one in SCORES],
        "groups": GROUPS,
        "energy": [{"key": key, "words": words, "sign": sign} for key, words, sign in ENERGY],
    }
