"""A draft is a file's text and what was changed on it since; here it becomes hardware, or an error.

The browser keeps the drafts and sends them along; the server remembers parsed units by their content only, so
that a moved slider does not read the whole file again.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections import OrderedDict
from typing import Annotated, Any

import tomlkit
from pydantic import BaseModel, ConfigDict, Field, field_validator
from tomlkit.exceptions import TOMLKitError

from forkwright.hardware import Bike, Rider, Setting, Unit, check_setting, read_text
from forkwright.hardware.files import validated
from forkwright.units import InputError

_SETTING = "setting."
_DEEPEST_PATH = 8

Hardware = Unit | Rider | Bike


class Draft(BaseModel):
    """One file's text with the entries changed since, as the browser sends it.

    Attributes
    ----------
    toml : str
        The file as it was imported.
    edits : dict
        New values by dotted key, as they would stand in the file; null takes the key out.
    name : str
        What to call it in errors.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    toml: Annotated[str, Field(max_length=500_000)]
    edits: Annotated[dict[str, Any], Field(default_factory=dict, max_length=500)]
    name: Annotated[str, Field(max_length=200)] = "draft"

    @field_validator("edits")
    @classmethod
    def _can_be_written(cls, edits: dict[str, Any]) -> dict[str, Any]:
        """Refuse half a letter: it could neither stand in a file nor be sent back."""
        try:
            json.dumps(edits, ensure_ascii=False).encode()
        except UnicodeEncodeError:
            raise ValueError("a text in it is not valid Unicode") from None
        return edits


class DraftReader:
    """Reads drafts, remembering the most recently used units by their content."""

    def __init__(self, kept: int) -> None:
        self._kept = kept
        self._known: OrderedDict[str, Hardware] = OrderedDict()
        self._lock = threading.Lock()

    def unit(self, draft: Draft) -> Unit:
        """Return the suspension unit of a draft with its setting applied.

        Raises
        ------
        InputError
            If the draft is no sound unit, in the words the command line uses for the same file.
        """
        parts = {path: value for path, value in draft.edits.items() if not path.startswith(_SETTING)}
        changes = {
            path.removeprefix(_SETTING): draft.edits[path] for path in draft.edits if path not in parts
        }
        if not changes:
            return self._known_unit(draft)
        try:
            base = self._known_unit(draft.model_copy(update={"edits": parts}))
        except InputError:
            return self._known_unit(draft)  # a changed part may need the changed setting
        entries = {name: getattr(base.setting, name) for name in Setting.model_fields} | changes
        try:
            setting = validated(
                Setting, {name: entry for name, entry in entries.items() if entry is not None}
            )
        except InputError as fault:
            raise _within_setting(fault, draft.name) from None
        check_setting(base, setting, file=draft.name)
        return base.model_copy(update={"setting": setting})

    def rider(self, draft: Draft) -> Rider:
        """Return the rider of a draft (InputError when it is none)."""
        found = self._read(draft)
        if not isinstance(found, Rider):
            raise InputError(
                "this is no rider", file=draft.name, key="kind", value=found.kind, allowed="rider"
            )
        return found

    def bike(self, draft: Draft) -> Bike:
        """Return the bike of a draft (InputError when it is none)."""
        found = self._read(draft)
        if not isinstance(found, Bike):
            raise InputError("this is no bike", file=draft.name, key="kind", value=found.kind, allowed="bike")
        return found

    def _known_unit(self, draft: Draft) -> Unit:
        found = self._read(draft)
        if not isinstance(found, Unit):
            raise InputError(
                "this is no suspension unit",
                file=draft.name,
                key="kind",
                value=found.kind,
                allowed="fork, shock",
            )
        return found

    def _read(self, draft: Draft) -> Hardware:
        content = json.dumps([draft.toml, draft.edits, draft.name], sort_keys=True)
        key = hashlib.sha256(content.encode()).hexdigest()
        with self._lock:
            if key in self._known:
                self._known.move_to_end(key)
                return self._known[key]
        found = read_text(edited_text(draft), draft.name)
        with self._lock:
            self._known[key] = found
            while len(self._known) > self._kept:
                self._known.popitem(last=False)
        return found


def edited_text(draft: Draft) -> str:
    """Return the file's text with the edits in it; comments and order stay.

    Raises
    ------
    InputError
        If the text is no TOML, or an edit lies where no key can lie.
    """
    if not draft.edits:
        return draft.toml
    try:
        document = tomlkit.parse(draft.toml)
    except TOMLKitError:
        read_text(draft.toml, draft.name)  # raises the error that the command line gives
        raise InputError("not valid TOML", file=draft.name) from None
    for path, value in sorted(draft.edits.items(), key=lambda edit: edit[0].count(".")):
        _put(document, path, value, draft.name)
    return tomlkit.dumps(document)


def _put(document: Any, path: str, value: Any, file: str) -> None:
    *parents, key = path.split(".")
    table = document
    if len(parents) > _DEEPEST_PATH or not all([*parents, key]):
        raise InputError("not a key", file=file, key=path[:80])
    for parent in parents:
        if parent not in table:
            if value is None:
                return
            table[parent] = tomlkit.table()
        table = table[parent]
        if not hasattr(table, "items"):
            raise InputError("there is a value where a table is meant", file=file, key=path)
    if value is None:
        if key in table:
            del table[key]
        return
    table[key] = _as_toml(value, path, file)


def _as_toml(value: Any, path: str, file: str) -> Any:
    if isinstance(value, dict):
        inline = tomlkit.inline_table()
        inline.update(
            {name: _as_toml(inner, path, file) for name, inner in value.items() if inner is not None}
        )
        return inline
    if isinstance(value, list):
        if any(item is None for item in value):
            raise InputError("a list cannot hold an empty entry", file=file, key=path)
        return [_as_toml(item, path, file) for item in value]
    return value


def _within_setting(fault: InputError, file: str) -> InputError:
    return InputError(
        fault.message, file=file, key=f"{_SETTING}{fault.key}", value=fault.value, allowed=fault.allowed
    )
