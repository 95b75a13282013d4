"""The files of units, riders and bikes: read with line-numbered errors, written all or nothing."""

from __future__ import annotations

import os
import re
import tempfile
import tomllib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from forkwright.hardware.faults import as_input_errors
from forkwright.hardware.fields import Part
from forkwright.hardware.locate import line_of
from forkwright.hardware.people import Bike, Rider
from forkwright.hardware.toml_text import to_text, updated_text
from forkwright.hardware.unit import Unit
from forkwright.hardware.upgrade import up_to_date
from forkwright.units import InputError

LARGEST_FILE = 1_000_000  # bytes; a unit file has a few thousand
KINDS: dict[str, type[Part]] = {"fork": Unit, "shock": Unit, "rider": Rider, "bike": Bike}

Model = TypeVar("Model", bound=BaseModel)


def load(path: str | os.PathLike[str]) -> Unit | Rider | Bike:
    """Read a unit, rider or bike file; its `kind` says which.

    Parameters
    ----------
    path : str or path-like
        The file.

    Returns
    -------
    Unit, Rider or Bike

    Raises
    ------
    InputError
        Naming file, line, key, value and allowed range of the first thing wrong.
    """
    text = read_file(path)
    return read_text(text, os.fspath(path))


def load_unit(path: str | os.PathLike[str]) -> Unit:
    """Read a unit file and refuse any other kind.

    Parameters
    ----------
    path : str or path-like
        The file.

    Returns
    -------
    Unit

    Raises
    ------
    InputError
        As `load`, and where the file holds a rider or a bike.
    """
    found = load(path)
    if not isinstance(found, Unit):
        raise InputError(
            "this is no suspension unit",
            file=os.fspath(path),
            key="kind",
            value=found.kind,
            allowed="fork, shock",
        )
    return found


def read_text(text: str, file: str = "text") -> Unit | Rider | Bike:
    """Read a unit, rider or bike from TOML text.

    Parameters
    ----------
    text : str
        The whole content of a file.
    file : str
        Only named in errors.

    Returns
    -------
    Unit, Rider or Bike

    Raises
    ------
    InputError
        As `load`.
    """
    errors, found = examine(text, file)
    if errors or found is None:
        raise errors[0]
    return found


def examine(text: str, file: str = "text") -> tuple[list[InputError], Unit | Rider | Bike | None]:
    """Return every fault in a file's text, and the object if there is none.

    Parameters
    ----------
    text : str
        The whole content of a file.
    file : str
        Only named in errors.

    Returns
    -------
    errors : list of InputError
        Misspelt keys first, then in the order of the file.
    found : Unit, Rider, Bike or None
        None where there are errors.
    """
    try:
        table = parse_toml(text, file)
        model = _model_of(table, text, file)
        table = up_to_date(table, model, file=file, text=text)
    except InputError as error:
        return [error], None
    try:
        return [], model.model_validate(table)  # type: ignore[return-value]
    except ValidationError as fault:
        return as_input_errors(fault, model, file=file, text=text), None


def validated(model: type[Model], table: dict[str, Any], *, file: str | None = None, text: str = "") -> Model:
    """Validate a table against any model of ours; the first fault is raised in the one error's words."""
    try:
        return model.model_validate(up_to_date(table, model, file=file, text=text))
    except ValidationError as fault:
        raise as_input_errors(fault, model, file=file, text=text)[0] from None


def read_file(path: str | os.PathLike[str], *, largest: int = LARGEST_FILE) -> str:
    """Return a text file's content; refuse one that is missing, empty, binary or far too large."""
    name = os.fspath(path)
    try:
        size = os.stat(path).st_size
        if size > largest:
            raise InputError(
                "the file is too large to be one of ours", file=name, value=f"{size:,} bytes",
                allowed=f"up to {largest:,} bytes",
            )  # fmt: skip
        raw = Path(path).read_bytes()
    except OSError as fault:
        raise InputError(f"cannot be read: {fault.strerror or fault}", file=name) from None
    if not raw.strip():
        raise InputError("the file is empty", file=name)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw[: fault.start].count(b"\n") + 1
        raise InputError("this is not text (not UTF-8)", file=name, line=line) from None
    if "\x00" in text:
        raise InputError("this is not text (it holds NUL bytes)", file=name)
    return text


def parse_toml(text: str, file: str = "text") -> dict[str, Any]:
    """Parse TOML text; a syntax fault or a duplicate key becomes an error with its line."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        line = re.search(r"at line (\d+)", str(fault))
        words = re.sub(r" \(at .*\)$", "", str(fault))
        if "overwrite a value" in words or "declare" in words:
            words = "duplicate key or table"
        number = int(line[1]) if line else None
        shown = text.splitlines()[number - 1].strip() if number and number <= len(text.splitlines()) else None
        raise InputError(f"not valid TOML: {words}", file=file, line=number, value=shown) from None
    except RecursionError:
        raise InputError("not valid TOML: nested too deeply", file=file) from None


def save(thing: Part, path: str | os.PathLike[str]) -> None:
    """Write a unit, rider or bike; an existing file keeps its comments. All or nothing is written.

    Parameters
    ----------
    thing : Unit, Rider or Bike
    path : str or path-like
        The file, there already or not.

    Raises
    ------
    InputError
        If the file there cannot be read, or the new one not written.
    """
    target = Path(path)
    old = read_file(target) if target.exists() and target.stat().st_size else None
    write_whole(target, updated_text(old, thing, os.fspath(path)) if old is not None else to_text(thing))


def write_whole(target: Path, content: str | bytes) -> None:
    """Replace a file's content in one step, so that a crash leaves the old or the new, never half."""
    try:
        handle, scratch = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(content.encode("utf-8") if isinstance(content, str) else content)
                out.flush()
                os.fsync(out.fileno())
            os.chmod(scratch, target.stat().st_mode & 0o777 if target.exists() else _usual_mode())
            os.replace(scratch, target)
        except BaseException:
            os.unlink(scratch)
            raise
    except OSError as fault:
        raise InputError(f"cannot be written: {fault.strerror or fault}", file=str(target)) from None


def _model_of(table: dict[str, Any], text: str, file: str) -> type[Part]:
    kind = table.get("kind")
    allowed = ", ".join(KINDS)
    if kind is None:
        raise InputError("missing key", file=file, key="kind", allowed=allowed)
    if not isinstance(kind, str) or kind not in KINDS:
        reason, line = "unknown kind of file", line_of(text, "kind")
        raise InputError(reason, file=file, line=line, key="kind", value=str(kind), allowed=allowed)
    return KINDS[kind]


def _usual_mode() -> int:
    """The mode a new file gets from the user's umask."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
