"""Run the commands of the how-to guides and write their output into them: ``python -m tests.guide_pages``.

A guide is followed as a reader would: in an empty folder with the demonstration files, from top to bottom.
A block marked ``toml NAME`` is saved under that name; in a block marked ``console`` each line after ``$`` is
run, and what the screen then shows stands below it. ``--check`` only tells what is stale, and fails then.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import itertools
import os
import re
import shlex
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "docs" / "how-to"
DEMO = ROOT / "src" / "forkwright" / "demo"
WIDTH = "100"  # columns of the screen
FENCE = re.compile(r"^```(\w*) ?([^\n]*)\n(.*?)^```$", re.M | re.S)
COMMAND = re.compile(r"^\$ ((?:[^\n]*\\\n)*[^\n]*)\n?", re.M)
# What differs from day to day and machine to machine, and says nothing about the command.
PASSING = re.compile(r"\d{4}-\d\d-\d\d(T[\d:.]+Z?)?|\b[0-9a-f]{16,}\b|(?<=, in )\d+(\.\d+)? s\b")
NUMBER = re.compile(r"^([^\d]*?-?)(\d+(?:\.\d+)?)([^\d]*)$")


@dataclass(frozen=True)
class Step:
    """One command of a guide, what the guide shows below it, and what it really says."""

    command: str
    shown: str
    got: str

    @property
    def fresh(self) -> bool:
        """Whether the guide shows what comes; a measured number may be off by one in its last digit."""
        shown, got = (PASSING.sub("*", text).split() for text in (self.shown, self.got))
        return len(shown) == len(got) and all(map(_same_word, shown, got))


def guides() -> list[Path]:
    """Return the guides in order, the list of them left out."""
    return sorted(path for path in FOLDER.glob("*.md") if path.name != "README.md")


def followed(guide: Path, folder: Path) -> tuple[list[Step], str]:
    """Follow a guide in a folder.

    Parameters
    ----------
    guide : Path
        A Markdown file.
    folder : Path
        An empty folder; the demonstration files are laid into it.

    Returns
    -------
    tuple
        The steps, and the guide's text with what the commands really say.
    """
    shutil.copytree(DEMO, folder, dirs_exist_ok=True)
    steps: list[Step] = []

    def block(found: re.Match[str]) -> str:
        kind, name, text = found.groups()
        if kind == "toml" and name:
            (folder / name).write_text(text, encoding="utf-8")
        if kind != "console":
            return found[0]
        new = [_step(*part, steps) for part in _parts(text)]
        return f"```console\n{''.join(new)}```"

    with at_the_bench(folder):
        return steps, FENCE.sub(block, guide.read_text(encoding="utf-8"))


@contextlib.contextmanager
def at_the_bench(folder: Path) -> Iterator[None]:
    """Stand in the folder with a screen of one width, a book of its own, and chance held still."""
    here = Path.cwd()
    surroundings = {"COLUMNS": WIDTH, "FORKWRIGHT_STORE": str(folder / "shop.sqlite3"), "NO_COLOR": "1"}
    drawn = itertools.count()

    def same_bytes(count: int) -> bytes:
        return hashlib.shake_256(str(next(drawn)).encode()).digest(count)

    os.chdir(folder)
    try:
        with mock.patch.dict(os.environ, surroundings), mock.patch("secrets.token_bytes", same_bytes):
            yield
    finally:
        os.chdir(here)


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """Yield each command of a block as written, with what stands below it."""
    places = list(COMMAND.finditer(text))
    for place, after in itertools.zip_longest(places, places[1:]):
        yield place[1], text[place.end() : after.start() if after else None]


def _step(written: str, shown: str, steps: list[Step]) -> str:
    got = on_screen(written.replace("\\\n", " "))
    steps.append(Step(written, shown, got))
    return f"$ {written}\n{shown if steps[-1].fresh else got}"


def on_screen(line: str) -> str:
    """Return what the screen shows after a command, also through `head`, `tail` and `grep`."""
    words = shlex.split(line)
    quiet = "2>/dev/null" in words
    command, *filters = (
        list(part) for part in _split([word for word in words if word != "2>/dev/null"], "|")
    )
    if command[0] != "forkwright":
        raise ValueError(f"a guide may only show forkwright's own commands: {line}")
    out = io.StringIO()
    errors = io.StringIO() if filters or quiet else out
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(errors):
        _run(command[1:])
    if not filters:
        return _trimmed(out.getvalue())
    lines = out.getvalue().splitlines()
    for name, *arguments in filters:
        lines = FILTERS[name](lines, arguments)
    return _trimmed(("" if quiet else errors.getvalue()) + "\n".join(lines))


def _run(arguments: list[str]) -> None:
    from forkwright.cli import main

    try:
        main(arguments)
    except SystemExit as end:
        if end.code not in (None, 0, 2):
            raise


def _first(lines: list[str], arguments: list[str]) -> list[str]:
    return lines[: int(arguments[1])]


def _last(lines: list[str], arguments: list[str]) -> list[str]:
    return lines[-int(arguments[1]) :]


def _with(lines: list[str], arguments: list[str]) -> list[str]:
    return [line for line in lines if arguments[0] in line]


FILTERS: dict[str, Callable[[list[str], list[str]], list[str]]] = {
    "head": _first,
    "tail": _last,
    "grep": _with,
}


def _split(words: list[str], mark: str) -> Iterator[Iterator[str]]:
    for is_mark, part in itertools.groupby(words, lambda word: word == mark):
        if not is_mark:
            yield part


def _trimmed(text: str) -> str:
    return "".join(f"{line.rstrip()}\n" for line in text.splitlines())


def _same_word(shown: str, got: str) -> bool:
    if shown == got:
        return True
    one, other = NUMBER.match(shown), NUMBER.match(got)
    if one is None or other is None or one.group(1, 3) != other.group(1, 3):
        return False
    digits = len(one[2].partition(".")[2])
    counted = digits == 0 and float(one[2]) < 100.0  # clicks, spacers, jobs
    return not counted and abs(float(one[2]) - float(other[2])) <= 1.01 * 10.0**-digits


def main() -> int:
    """Write every guide anew, or with --check only tell which are stale."""
    only_look = "--check" in sys.argv
    wanted = [word for word in sys.argv[1:] if not word.startswith("-")]
    stale = 0
    for guide in guides():
        if wanted and not any(word in guide.name for word in wanted):
            continue
        start = time.process_time()
        with tempfile.TemporaryDirectory() as folder:
            steps, text = followed(guide, Path(folder))
        old = [step for step in steps if not step.fresh]
        stale += len(old)
        print(f"{guide.name}: {len(steps)} commands, {len(old)} stale, {time.process_time() - start:.1f} s")
        if old and not only_look:
            guide.write_text(text, encoding="utf-8")
    return 1 if stale and only_look else 0


if __name__ == "__main__":
    sys.exit(main())
