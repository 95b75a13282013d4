"""Progress on the terminal for work that takes over a second; Ctrl-C stops it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_bar(words: str) -> Iterator[Callable[[float], None]]:
    """Show a bar on standard error (only on a terminal) and give the call that moves it, 0 to 1."""
    with told_progress(words) as move:
        yield lambda share: move(share, "")


@contextmanager
def told_progress(words: str) -> Iterator[Callable[[float, str], None]]:
    """Show a bar as `progress_bar`; the call that moves it also takes what is being done."""
    if not sys.stderr.isatty():
        yield lambda share, doing: None  # noqa: ARG005 - nothing to show
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(f"{words} (Ctrl-C stops)", total=1.0)

        def move(share: float, doing: str) -> None:
            told = f"{words}: {doing}" if doing else words
            bar.update(task, completed=share, description=f"{told} (Ctrl-C stops)")

        yield move


@contextmanager
def working(words: str) -> Iterator[None]:
    """Say on standard error (only on a terminal) what is being worked out, where no share of it is known."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(f"{words} (Ctrl-C stops)"):
        yield
