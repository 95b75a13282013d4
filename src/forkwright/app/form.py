"""The form of a file's measured parts, read off the hardware models: one entry per key."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from forkwright.hardware.fields import Quantity
from forkwright.units import DIMENSIONS

_UNSHOWN = frozenset({"format", "kind", "setting"})
_TITLES = {"": "Unit", "air_spring": "Air spring", "coil_spring": "Coil spring"}


def form_of(document: Mapping[str, Any], model: type[BaseModel]) -> list[dict[str, Any]]:
    """Return the sections of the form for a file's content.

    Parameters
    ----------
    document : mapping
        The parsed file, sound or not.
    model : type
        The hardware model that the file should satisfy.

    Returns
    -------
    list of dict
        Sections with ``path``, ``title``, ``present``, ``optional``, ``about`` and ``fields``; a field has
        ``path``, ``label``, ``kind`` ("quantity", "count", "tick", "choice", "text", "list"), ``value``,
        ``origin``, ``note``, ``required``, ``allowed``, ``example`` and ``options``.
    """
    return list(_sections(document, model, "", optional=False))


def _sections(
    document: Mapping[str, Any] | None, model: type[BaseModel], path: str, *, optional: bool
) -> Iterator[dict[str, Any]]:
    prefix = f"{path}." if path else ""
    fields = []
    inner: list[tuple[str, type[BaseModel], bool]] = []
    for name, info in model.model_fields.items():
        part = part_in(info.annotation)
        if not path and name in _UNSHOWN:
            continue
        if part is not None:
            inner.append((name, part, not info.is_required()))
        else:
            fields.append(_field(prefix + name, name, info, (document or {}).get(name)))
    yield {
        "path": path,
        "title": _TITLES.get(path) or words_of(path.rsplit(".", 1)[-1]),
        "present": document is not None,
        "optional": optional,
        "about": (model.__doc__ or "").split("\n\n")[0].replace("\n", " ").strip() if path else "",
        "fields": fields,
    }
    if document is None:
        return
    for name, part, may_lack in inner:
        found = document.get(name)
        yield from _sections(
            found if isinstance(found, Mapping) else None, part, prefix + name, optional=may_lack
        )


def _field(path: str, name: str, info: FieldInfo, raw: Any) -> dict[str, Any]:
    quantity = next((mark for mark in _marks(info) if isinstance(mark, Quantity)), None)
    table = raw if isinstance(raw, Mapping) else {}
    field: dict[str, Any] = {
        "path": path,
        "label": words_of(name),
        "kind": _kind(info, quantity),
        "value": table.get("value") if table else raw,
        "origin": table.get("origin", "measured" if raw is not None else ""),
        "note": table.get("note", ""),
        "required": info.is_required(),
        "allowed": quantity.allowed if quantity is not None else None,
        "options": _options(info.annotation),
    }
    if quantity is not None:
        field["example"] = f"12.3 {DIMENSIONS[quantity.dimension].symbols[0]}".strip()
    return field


def _kind(info: FieldInfo, quantity: Quantity | None) -> str:
    if quantity is not None:
        return "quantity"
    if _options(info.annotation):
        return "choice"
    plain = {kind for kind in _flattened(info.annotation) if isinstance(kind, type)}
    for kind, word in ((bool, "tick"), (int, "count"), (float, "count"), (str, "text")):
        if kind in plain:
            return word
    return "list"


def part_in(annotation: Any) -> type[BaseModel] | None:
    """Return the hardware model behind an annotation such as ``Chassis | None``; None for plain values."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) in (Union, types.UnionType):
        found = (part_in(argument) for argument in get_args(annotation))
        return next((part for part in found if part is not None), None)
    return None


def words_of(key: str) -> str:
    """Return a key as words.

    Examples
    --------
    >>> words_of("stanchion_outer")
    'Stanchion outer'
    """
    text = key.replace("_", " ")
    return text[:1].upper() + text[1:]


def _marks(info: FieldInfo) -> Iterator[Any]:
    yield from info.metadata
    for kind in _flattened(info.annotation):
        yield from getattr(kind, "__metadata__", ())


def _flattened(annotation: Any) -> Iterator[Any]:
    yield annotation
    if get_origin(annotation) in (Union, types.UnionType):
        for argument in get_args(annotation):
            yield from _flattened(argument)


def _options(annotation: Any) -> list[str]:
    for kind in _flattened(annotation):
        if get_origin(kind) is Literal:
            return [str(word) for word in get_args(kind)]
    return []
