"""Older file formats are brought up to date when they are read; newer ones are refused in plain words.

Every file says `format = 1`. When a format must change so that older files would be misread:

1. the model's `format` becomes `Literal[2]`;
2. a function that turns a table of format 1 into one of format 2 is added to the model's `upgrades`;
3. the function gets a test with a real file of format 1, which stays in the tests for good.

Readers then walk the chain from the file's format to the newest; a file is never changed on disk by being
read, and gets the new format when it is next saved. So far there has been one format of each kind, and no
chain.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from forkwright.hardware.fields import Part
from forkwright.hardware.locate import line_of
from forkwright.units import refuse_newer_format


def newest_format(model: type[BaseModel]) -> int:
    """Return the newest format of a kind of file; one more than the upgrades that lead to it."""
    return 1 + len(model.upgrades) if issubclass(model, Part) else 1


def up_to_date(
    table: dict[str, Any], model: type[BaseModel], *, file: str | None = None, text: str = ""
) -> dict[str, Any]:
    """Return a file's table in the newest format of its kind.

    Parameters
    ----------
    table : dict
        What was read; it is not changed. Without a `format` it is left as it is, for validation to judge.
    model : type
        What the file holds.
    file, text : str, optional
        Named in the error, and searched for the line.

    Raises
    ------
    InputError
        If the file's format is newer than any this program knows.
    """
    found, newest = table.get("format"), newest_format(model)
    refuse_newer_format(found, newest, file=file, line=line_of(text, "format") if text else None)
    if not isinstance(found, int) or isinstance(found, bool) or found < 1 or not issubclass(model, Part):
        return table
    for upgrade in model.upgrades[found - 1 :]:
        table = upgrade(dict(table))
        found += 1
        table["format"] = found
    return table
