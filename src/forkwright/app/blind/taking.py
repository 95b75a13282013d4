"""Taking records from a phone: each gets a receipt, so that one that cannot be read holds up no other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from forkwright.app.blind.desk import Seated
from forkwright.trial import Record, read_record
from forkwright.units import InputError


def taken(seated: Seated, contents: Sequence[Mapping[str, Any]]) -> list[dict[str, str]]:
    """Keep records of one person.

    Parameters
    ----------
    seated : Seated
        Whose link sent them; they may write in their own name only.
    contents : sequence of mapping
        The records as sent.

    Returns
    -------
    list of dict
        For each record, in their order: ``id``, ``status`` ("kept", "already kept", "set aside" or
        "refused") and ``reason``. Refused ones never reached the trial: the phone has to keep them.
    """
    receipts: list[dict[str, str] | None] = []
    sound: list[Record] = []
    for content in contents:
        try:
            record = read_record(content)
            if record.by != seated.seat.person:
                raise InputError("not the name of this link", key="by", allowed=seated.seat.person)
        except InputError as fault:
            receipts.append(
                {"id": str(content.get("id", ""))[:64], "status": "refused", "reason": str(fault)}
            )
            continue
        receipts.append(None)
        sound.append(record)
    kept = iter(seated.trial.add(sound))
    return [receipt if receipt is not None else asdict(next(kept)) for receipt in receipts]
