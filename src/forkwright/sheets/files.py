"""Where the files lie that pages and reports carry along.

The plotting script is the part of plotly.js that draws on plain axes, as published (npm package
plotly.js-cartesian-dist-min 4.1.1, MIT licence beside it). Why it lies here:
``docs/decisions/0004-plotting-script.md``.
"""

from __future__ import annotations

from importlib import resources
from pathlib import Path

_ROOM = Path(str(resources.files("forkwright.sheets")))
SHEET_FILES = _ROOM / "assets"
TEMPLATES = _ROOM / "templates"
PLOTTING_SCRIPT = SHEET_FILES / "plotly-cartesian.min.js"
