"""One request for a paired blind test, as a file's text and as a table; tests change it to what they ask."""

from __future__ import annotations

import tomllib
from typing import Any

PAIRED_TEXT = """format = 1
name = "Two spacers or three"
design = "paired"
question = "Which one would you rather race on?"
riders = ["Ash", "Birch"]
leader = "Linden"
mechanic = "Maple"

[aim]
preferred_share = 0.8

[[options]]
label = "two"

[[options]]
label = "three"
"""

PAIRED_TWICE_TEXT = PAIRED_TEXT.replace("\n[aim]", "repeats = 2\n\n[aim]")
"""The same, with each pair ridden twice."""

PAIRED: dict[str, Any] = tomllib.loads(PAIRED_TWICE_TEXT) | {
    "options": [
        {"label": "two", "setting": {"pressure": "85 psi"}},
        {"label": "three", "setting": {"pressure": "81 psi"}},
    ],
    "scales": [{"name": "grip", "low": "none", "high": "all I could ask"}],
}
