"""Course files: TOML text, a file or a demonstration stage, read into a course."""

from __future__ import annotations

import dataclasses
import os
import re
from pathlib import Path

from forkwright.hardware.files import parse_toml, read_file, validated
from forkwright.ride.course import Course
from forkwright.ride.course_layout import laid_out
from forkwright.ride.course_plan import CourseFile
from forkwright.ride.events import KINDS
from forkwright.units import InputError


def load_course(path: str | os.PathLike[str]) -> Course:
    """Read a course file; a profile it names lies beside it.

    Parameters
    ----------
    path : path
        A TOML file.

    Returns
    -------
    Course

    Raises
    ------
    InputError
        Naming file, line, key, value and allowed range of the first thing wrong.
    """
    name = os.fspath(path)
    return read_course(read_file(path), name, folder=Path(path).parent)


def find_course(text: str) -> Course:
    """Return a course by its file, or a demonstration stage by its name, for example "heather-traverse".

    Raises
    ------
    InputError
        If there is neither, or the file is wrong.
    """
    demo = Path(__file__).parents[1] / "demo" / "courses"
    known = sorted(path.stem for path in demo.glob("*.toml"))
    if not os.path.exists(text) and text in known:
        return load_course(demo / f"{text}.toml")
    if not os.path.exists(text) and "." not in text and os.sep not in text:
        raise InputError(
            "no such course", key="--course", value=text, allowed=f"a file, or {', '.join(known)}"
        )
    return load_course(text)


def read_course(text: str, file: str = "text", folder: Path | None = None) -> Course:
    """Read a course from TOML text.

    Parameters
    ----------
    text : str
    file : str
        Only named in errors.
    folder : path, optional
        Where a profile named in the text lies; without it a profile is refused.

    Returns
    -------
    Course

    Raises
    ------
    InputError
        As `load_course`.
    """
    try:
        plan = validated(CourseFile, parse_toml(text, file), file=file, text=text)
        return laid_out(plan, folder)
    except InputError as fault:
        key = re.sub(r"^(event\.\d+)\.(?:" + "|".join(KINDS) + r")\b", r"\1", fault.key or "")
        raise dataclasses.replace(
            fault, file=fault.file or file, key=key or None, line=_line(text, key) or fault.line
        ) from None


def _line(text: str, key: str | None) -> int | None:
    """Return the line of a key inside the n-th table of a list such as ``event.3.height``."""
    match = re.match(r"(speed|roughness|event)\.(\d+)(?:\.(?:[a-z_]+\.)?([a-z_]+))?$", key or "")
    if match is None:
        return None
    seen, line = -1, None
    for number, row in enumerate(text.splitlines(), start=1):
        stripped = row.strip()
        if stripped.startswith("["):
            seen += stripped.startswith(f"[[{match[1]}]]")
            if seen > int(match[2]):
                break
            if seen == int(match[2]) and stripped.startswith(f"[[{match[1]}]]"):
                line = number
            elif line is not None:
                break
        elif line is not None and match[3] and re.match(rf"{match[3]}\s*=", stripped):
            return number
    return line
