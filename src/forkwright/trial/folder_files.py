"""What lies in a trial's folder, read back: the plan, the log and the kept records, each line checked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from forkwright.trial import journal
from forkwright.trial.plan import Plan
from forkwright.trial.records import Record
from forkwright.trial.request_errors import as_input_error
from forkwright.units import InputError


@dataclass(frozen=True)
class Kept:
    """A kept record and when it came in."""

    record: Record
    received: datetime


def read_plan(path: Path) -> Plan:
    """Read the plan. Raises InputError if it is missing, unreadable or no plan."""
    try:
        return Plan.model_validate_json(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as fault:
        raise InputError("no trial here: plan.json is missing or unreadable", file=str(path)) from fault
    except ValidationError as fault:
        raise as_input_error(fault, "", str(path)) from fault


def read_log(path: Path) -> tuple[dict[str, Any], ...]:
    """Read the log: who did what, and when. Raises InputError naming the line that is no event."""
    entries = journal.read_lines(path).entries
    for number, entry in enumerate(entries, start=1):
        try:
            datetime.fromisoformat(entry["at"])
            sound = isinstance(entry["event"], str) and isinstance(entry["by"], str)
        except (KeyError, TypeError, ValueError):
            sound = False
        if not sound:
            raise InputError("not an event of a trial", file=str(path), line=number)
    return entries


def read_kept(path: Path) -> tuple[Kept, ...]:
    """Read the records in the order they came in. Raises InputError naming the line that is no record."""
    found = []
    for number, entry in enumerate(journal.read_lines(path).entries, start=1):
        try:
            record = Record.model_validate(entry["record"])
            found.append(Kept(record, datetime.fromisoformat(entry["received"])))
        except (KeyError, TypeError, ValueError) as fault:
            raise InputError("not a record", file=str(path), line=number) from fault
    return tuple(found)
