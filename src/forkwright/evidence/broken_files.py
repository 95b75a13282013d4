"""What is said of a file that a library could not read."""

from __future__ import annotations

from pathlib import Path

from forkwright.units import InputError


def broken(path: Path, words: str, fault: BaseException, key: str | None = None) -> InputError:
    """Return the refusal of a file: our words, then the first line of what the library said.

    Parameters
    ----------
    path : Path
        The file.
    words : str
        What is wrong, for the user.
    fault : BaseException
        What the library raised.
    key : str, optional
        Part of the file, where it is known.
    """
    lines = str(fault).strip().splitlines()
    said = (lines[0] if lines else type(fault).__name__)[:160]
    return InputError(f"{words}: {said}", file=str(path), key=key)
