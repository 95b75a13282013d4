"""The history of the benchmark ratios as one page of small line drawings."""

from __future__ import annotations

import html
import json
from collections import defaultdict
from pathlib import Path

WIDTH, HEIGHT = 560, 60


def write_page(folder: Path) -> None:
    """Write history.html from history.jsonl in the same folder."""
    series: dict[str, list[dict[str, object]]] = defaultdict(list)
    for line in (folder / "history.jsonl").read_text("utf-8").splitlines():
        row = json.loads(line)
        series[row["name"]].append(row)
    body = "\n".join(_section(name, rows) for name, rows in sorted(series.items()))
    head = '<!doctype html><meta charset="utf-8"><title>Speed over time</title><h1>Speed over time</h1>'
    page = f"{head}\n{body}\n"
    (folder / "history.html").write_text(page, "utf-8")


def _section(name: str, rows: list[dict[str, object]]) -> str:
    ratios = [float(str(row["ratio"])) for row in rows]
    low, high = min(ratios), max(ratios)
    span = (high - low) or 1.0
    step = (WIDTH - 20) / max(1, len(ratios) - 1)
    heights = [HEIGHT - 8 - (ratio - low) / span * (HEIGHT - 16) for ratio in ratios]
    points = " ".join(f"{10 + i * step:.1f},{height:.1f}" for i, height in enumerate(heights))
    last = rows[-1]
    return (
        f"<h2>{html.escape(name)}</h2><p>last ratio {ratios[-1]:.3g} "
        f"(target {html.escape(str(last['target']))}; {len(ratios)} runs, {low:.3g} to {high:.3g})</p>"
        f'<svg width="{WIDTH}" height="{HEIGHT}" role="img" aria-label="ratio over runs">'
        f'<polyline fill="none" stroke="#0072B2" stroke-width="2" points="{points}"/></svg>'
    )
