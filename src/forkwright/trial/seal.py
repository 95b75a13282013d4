"""The sealed key: which option hides behind which code, and the commitment that shows it was never changed.

The key lies in a file of its own, packed so that nobody reads it by accident. This guards against accident
and against silent changes. It is no lock: somebody determined, with the disk and this program, can unpack it.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import zlib
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from forkwright.trial.request import Option
from forkwright.units import InputError

_HEADING = (
    "# Sealed key of a blind trial. Do not unpack: `forkwright trial open` does it when the records are\n"
    "# closed, and logs it. The SHA-256 commitment printed with the plan shows any change to it.\n"
)


class Key(BaseModel):
    """What is sealed: the settings, the salt, and which option hides behind which code."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    format: Literal[1] = 1
    name: str
    seed: int
    salt: str
    options: tuple[Option, ...]

    allocation: dict[str, str]

    def option(self, code: str) -> Option:
        """Return the option behind a code. Raises KeyError for a code that is not in the trial."""
        label = self.allocation[code]
        return next(option for option in self.options if option.label == label)


def commitment(key: Key) -> str:
    """Return the commitment to a key: SHA-256 over its salt and its whole content, as 64 hex digits.

    The salt keeps anyone from trying out the few possible keys against the printed commitment.

    Source
    ------
    FIPS 180-4 (SHA-256), by the standard library.
    """
    content = key.model_dump(mode="json", exclude={"salt"})
    return hashlib.sha256(bytes.fromhex(key.salt) + canonical(content)).hexdigest()


def canonical(content: dict[str, Any]) -> bytes:
    """Return the one way of writing some content as bytes, for hashing."""
    return json.dumps(
        content, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False
    ).encode()


def sealed(key: Key) -> str:
    """Return the key packed as text for its file."""
    packed = base64.b64encode(zlib.compress(key.model_dump_json().encode(), 9)).decode()
    rows = [packed[start : start + 76] for start in range(0, len(packed), 76)]
    return _HEADING + "\n".join(rows) + "\n"


def unsealed(text: str, promised: str, file: str = "") -> Key:
    """Unpack a key and hold it against its commitment.

    Parameters
    ----------
    text : str
        The content of the key's file.
    promised : str
        The commitment printed with the plan.
    file : str
        Named in errors.

    Raises
    ------
    InputError
        If the file is damaged, or is not the key that was committed to.
    """
    body = "".join(row for row in text.splitlines() if not row.startswith("#"))
    try:
        key = Key.model_validate_json(zlib.decompress(base64.b64decode(body, validate=True)))
        found = commitment(key)
    except (binascii.Error, zlib.error, ValidationError, ValueError) as fault:
        raise InputError("the sealed key is damaged and cannot be read", file=file or None) from fault
    if found != promised:
        raise InputError(
            "the sealed key is not the one promised at planning: its commitment differs",
            file=file or None,
            value=found,
            allowed=promised,
        )
    return key
