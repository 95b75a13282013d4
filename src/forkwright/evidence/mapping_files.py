"""A mapping kept for the next file of the same source: as TOML, and as the table a page sends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from forkwright.evidence.mapping import TEXT, ColumnUse, SourceMapping
from forkwright.units import InputError, parse, refuse_newer_format
from forkwright.units.dimensions import DIMENSIONS

_KEYS = {"format", "source", "sample_rate", "columns"}
_USE_KEYS = {"column", "quantity", "unit", "reversed", "zero", "absolute"}


def load_mapping(path: str | Path) -> SourceMapping:
    """Read a kept mapping.

    Raises
    ------
    InputError
        If a key is unknown or a unit does not fit; file and key are named.
    """
    try:
        text = Path(path).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise InputError(f"the mapping cannot be read: {fault}", file=str(path)) from None
    return read_mapping(text, str(path))


def read_mapping(text: str, file: str) -> SourceMapping:
    """Read the text of a kept mapping; `file` is named in messages, as `load_mapping` does."""
    try:
        document = tomlkit.parse(text).unwrap()
    except TOMLKitError as fault:
        raise InputError(f"the mapping cannot be read: {fault}", file=file) from None
    return mapping_from(document, file)


def mapping_from(document: Mapping[str, Any], file: str) -> SourceMapping:
    """Return the mapping that a table describes, in the keys of the file.

    Raises
    ------
    InputError
        If a key is unknown or a unit does not fit; the key is named.
    """
    refuse_newer_format(document.get("format"), 1, file=file)
    _refuse_unknown(document, _KEYS, file, "")
    if document.get("format") != 1:
        raise InputError("unknown format", file=file, key="format", allowed="1")
    columns = document.get("columns", {})
    if not isinstance(columns, dict) or not columns:
        raise InputError("no columns are named", file=file, key="columns")
    uses = tuple(_use_from(name, entry, file) for name, entry in columns.items())
    rate = 0.0
    if "sample_rate" in document:
        try:
            rate = parse(document["sample_rate"], "frequency").si
        except InputError as fault:
            raise replace(fault, file=file, key="sample_rate") from None
    return SourceMapping(str(document.get("source", Path(file).stem)), uses, rate)


def _use_from(name: str, entry: object, file: str) -> ColumnUse:
    key = f"columns.{name}"
    if not isinstance(entry, dict):
        raise InputError("expected a table", file=file, key=key)
    _refuse_unknown(entry, _USE_KEYS, file, key + ".")
    dimension = str(entry.get("quantity", ""))
    if dimension != TEXT and dimension not in DIMENSIONS:
        raise InputError("unknown kind of quantity", file=file, key=f"{key}.quantity", value=dimension)
    if not isinstance(entry.get("column"), str):
        raise InputError("the header of the column is missing", file=file, key=f"{key}.column")
    zero, turned, absolute = (
        entry.get("zero", 0.0),
        entry.get("reversed", False),
        entry.get("absolute", False),
    )
    if isinstance(zero, bool) or not isinstance(zero, int | float) or not abs(zero) < 1e300:
        raise InputError("expected a number, in the column's unit", file=file, key=f"{key}.zero")
    if not isinstance(turned, bool) or not isinstance(absolute, bool):
        raise InputError("expected true or false", file=file, key=key)
    use = ColumnUse(
        name, entry["column"], dimension, str(entry.get("unit", "")), turned, float(zero), absolute
    )
    if dimension != TEXT:
        try:
            use.factor_and_offset()
        except InputError as fault:
            raise replace(fault, file=file, key=f"{key}.unit") from None
    return use


def _refuse_unknown(entries: Mapping[str, Any], known: set[str], file: str, prefix: str) -> None:
    for key in entries:
        if key not in known:
            raise InputError("unknown key", file=file, key=prefix + key, allowed=", ".join(sorted(known)))


def save_mapping(mapping: SourceMapping, path: str | Path) -> None:
    """Write a mapping for the next file of the same source.

    Raises
    ------
    InputError
        If something in it is still a guess, or the file cannot be written.
    """
    text = mapping_text(mapping)
    try:
        Path(path).write_text(text, encoding="utf-8")
    except OSError as fault:
        raise InputError(f"the mapping cannot be written: {fault.strerror}", file=str(path)) from None


def mapping_text(mapping: SourceMapping) -> str:
    """Return a mapping as the text of its file; a mapping that still holds guesses is refused."""
    if mapping.guesses():
        raise InputError("the mapping still holds guesses: " + "; ".join(mapping.guesses()))
    return tomlkit.dumps(mapping_table(mapping))


def mapping_table(mapping: SourceMapping) -> dict[str, Any]:
    """Return a mapping as a table in the keys of its file; the guesses are left to the caller."""
    table: dict[str, Any] = {"format": 1, "source": mapping.source}
    if mapping.sample_rate:
        table["sample_rate"] = f"{mapping.sample_rate:g} Hz"
    table["columns"] = {use.name: _use_entry(use) for use in mapping.uses}
    return table


def _use_entry(use: ColumnUse) -> dict[str, Any]:
    entry: dict[str, Any] = {"column": use.column, "quantity": use.dimension}
    if use.unit:
        entry["unit"] = use.unit
    if use.reversed:
        entry["reversed"] = True
    if use.zero:
        entry["zero"] = use.zero
    if use.absolute:
        entry["absolute"] = True
    return entry
