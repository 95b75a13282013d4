"""A trial's folder, and records as `forkwright trial record` takes them: from its options or from a file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.trial import Receipt, Record

folder_argument = click.argument("folder", type=click.Path())


def records_of(file: str) -> list[Record]:
    """Return the records in a file of JSON lines ("-" for standard input)."""
    from forkwright.trial import read_record

    try:
        with click.open_file(file, encoding="utf-8") as lines:
            rows = list(lines)
    except (OSError, UnicodeDecodeError) as fault:
        raise InputError(f"cannot be read ({fault.__class__.__name__})", file=file) from fault
    return [read_record(row, file, number) for number, row in enumerate(rows, start=1) if row.strip()]


def record_from(given: dict[str, Any]) -> Record:
    """Return the one record that the options state, with the time of now."""
    import uuid
    from datetime import datetime

    from forkwright.trial import MASK_CHECKS, SAFETY_CHECKS, read_record

    content = {name: value for name, value in given.items() if value not in ("", (), None)}
    if "kind" not in content:
        raise InputError("say what is recorded", key="--kind")
    if "all" in content.get("checks", ()):
        content["checks"] = [*SAFETY_CHECKS, *MASK_CHECKS]
    if "ranking" in content:
        content["ranking"] = [code.strip() for code in content["ranking"].split(",")]
    if "values" in content:
        content["values"] = dict(_value(text) for text in content["values"])
    content["id"] = content.pop("record_id", "") or uuid.uuid4().hex
    return read_record({**content, "at": datetime.now().astimezone()})


def _value(text: str) -> tuple[str, float]:
    name, _, number = text.partition("=")
    try:
        return name.strip(), float(number)
    except ValueError:
        raise InputError("not a number", key="--set", value=text, allowed="NAME=NUMBER") from None


def refuse_if_set_aside(receipts: Iterable[Receipt], file: str | None) -> None:
    """Say that records do not count: they are kept aside, and the command ends with status 2."""
    aside = [one for one in receipts if one.status == "set aside"]
    if aside:
        raise InputError(
            f"{len(aside)} record(s) were set aside and do not count; the first, {aside[0].id}: "
            f"{aside[0].reason}",
            file=file,
        )
