"""Progress on the terminal for work that takes over a second; Ctrl-C stops it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_bar(words: str) -> Iterator[Callable[[float], None]]:
    """Show a bar on standard error (only on a terminal) and give the call that moves it, 0 to 1."""
    if not sys.stderr.isatty():
        yield lambda share: None  # noqa: ARG005 - nothing to show
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(f"{words} (Ctrl-C stops)", total=1.0)
        yield lambda share: bar.update(task, completed=share)
