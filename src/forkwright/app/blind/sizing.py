"""How large a trial has to be: what the planning page shows beside a request."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from forkwright.app.jobs import Progress
from forkwright.trial import Request, choices, size_for


def sized(request: Request, tell: Progress | None) -> dict[str, Any]:
    """Return the size for a request, other sizes, all runs, and the labels that would give the blind away.

    Parameters
    ----------
    request : Request
    tell : Progress, optional
        Told how far the search is, where it is simulated; may raise to stop.
    """
    found = size_for(request, tell=tell)
    return {
        "size": asdict(found),
        "runs": _runs(request, found.repeats),
        "others": [asdict(one) for one in choices(request)],
        "names_told": _names_told(request),
    }


def _runs(request: Request, repeats: int) -> int:
    """Return how many runs are ridden in all."""
    options = len(request.options)
    each = {
        "paired": options * (options - 1),
        "triangle": 3,
        "duo-trio": 3,
    }.get(request.design, options)
    return len(request.riders) * repeats * each


def _names_told(request: Request) -> list[str]:
    """Return the labels that riders would read in the trial's name, its question or a scale."""
    read = " ".join(
        [request.name, request.question, *request.times]
        + [f"{scale.name} {scale.low} {scale.high}" for scale in request.scales]
    ).lower()
    return [label for label in request.labels if label.lower() in read]
