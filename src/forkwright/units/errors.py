"""The one error for input that is wrong: it names file, line, key, value and what is allowed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(eq=False)
class InputError(Exception):
    """Something the user gave is wrong, and the message says what and where.

    Parameters
    ----------
    message : str
        What is wrong, in plain words, without the place.
    file, key, value, allowed : str, optional
        The file, the dotted key, the offending value as written, and the allowed range.
    line : int, optional
        The line in the file, counted from 1.

    Examples
    --------
    >>> print(InputError("too large", file="a.toml", line=4, key="travel", value="9 m", allowed="to 1 m"))
    a.toml, line 4: travel: too large; got '9 m'; allowed: to 1 m
    """

    message: str
    file: str | None = None
    line: int | None = None
    key: str | None = None
    value: str | None = None
    allowed: str | None = None

    def __str__(self) -> str:
        """Return the whole message on one line: place, key, fault, value, range."""
        place = self.file or ""
        if self.line is not None:
            place += f"{', ' if place else ''}line {self.line}"
        text = "; ".join(
            part
            for part in (
                self.message,
                f"got {_shortened(self.value)}" if self.value is not None else "",
                f"allowed: {self.allowed}" if self.allowed else "",
            )
            if part
        )
        return ": ".join(part for part in (place, self.key or "", text) if part)


def refuse_newer_format(
    found: object, newest: int, *, file: str | None = None, line: int | None = None
) -> None:
    """Refuse a file whose `format` is higher than the newest this program knows.

    Parameters
    ----------
    found : object
        What stands under `format`; anything but a whole number is left to the reader's own check.
    newest : int
        The newest format known, no unit.
    file, line : optional
        Named in the error.

    Raises
    ------
    InputError
        Saying that a newer program is needed.
    """
    if isinstance(found, int) and not isinstance(found, bool) and found > newest:
        raise InputError(
            "written by a newer forkwright; upgrade forkwright to read this file",
            file=file,
            line=line,
            key="format",
            value=str(found),
            allowed=str(newest) if newest == 1 else f"1 to {newest}",
        )


def _shortened(value: str) -> str:
    value = str(value)
    return repr(value if len(value) <= 80 else value[:77] + "...")
