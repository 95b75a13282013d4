"""What is wrong with a file's content: faults of parts taken together, and every fault in plain words.

A validator raises the first of its `Fault`s with `refuse_first`; `as_input_errors` turns whatever validation
found into the one input error: key, line, value, range, nearest key.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any, NamedTuple, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from forkwright.hardware.locate import line_of
from forkwright.units import InputError

_MESSAGES = {
    "missing": "missing key",
    "int_type": "expected a whole number without quotes",
    "int_from_float": "expected a whole number",
    "int_parsing": "expected a whole number",
    "float_type": "expected a number",
    "bool_type": "expected true or false",
    "bool_parsing": "expected true or false",
    "string_type": "expected text in quotes",
    "model_type": "expected a table",
    "model_attributes_type": "expected a table",
    "list_type": "expected a list",
    "tuple_type": "expected a list",
    "dict_type": "expected a table",
    "finite_number": "expected a finite number",
}


class Fault(NamedTuple):
    """What cannot be true of parts taken together: which key, why, its value, what is allowed."""

    key: str
    reason: str
    value: str = ""
    allowed: str = ""


def refuse_first(faults: Iterable[Fault]) -> None:
    """Raise the first of some faults as validation does; without one nothing happens."""
    for fault in faults:
        raise PydanticCustomError("fit", "{reason}", fault._asdict())


def as_input_errors(
    fault: ValidationError, model: type[BaseModel], *, file: str | None = None, text: str = ""
) -> list[InputError]:
    """Translate every fault that validation found, in file order.

    Parameters
    ----------
    fault : pydantic.ValidationError
        What validation raised.
    model : type
        The model that was validated, for the nearest known key.
    file, text : str, optional
        The file's name and content, for the line.
    """
    errors = [_translate(detail, model, file, text) for detail in fault.errors(include_url=False)]
    unique = {str(error): error for error in errors}
    # A misspelt key explains the missing one, so unknown keys come first.
    return sorted(unique.values(), key=lambda e: (not e.message.startswith("unknown key"), e.line or 0))


def _translate(detail: ErrorDetails, model: type[BaseModel], file: str | None, text: str) -> InputError:
    location = tuple(part for part in detail["loc"] if not _is_union_mark(part))
    if detail["type"] == "extra_forbidden":  # the last part is as the user wrote it, whatever it looks like
        location = (*(part for part in detail["loc"][:-1] if not _is_union_mark(part)), detail["loc"][-1])
    context: dict[str, Any] = detail.get("ctx") or {}
    key = ".".join(str(part) for part in location)
    value: str | None = _as_text(detail.get("input"))
    allowed: str | None = context.get("allowed") or None
    message = _MESSAGES.get(detail["type"], detail["msg"])
    if detail["type"] in ("quantity", "fit"):
        message = str(context["reason"])
        key = context.get("key") or key
        value = context.get("value") or None
    elif detail["type"] == "extra_forbidden":
        message, value = _unknown_key(str(location[-1]), model, location[:-1]), None
    elif detail["type"] == "missing":
        value = None
    elif detail["type"] == "literal_error":
        message, allowed = "not one of the known words", str(context.get("expected"))
    elif detail["type"] in ("greater_than_equal", "less_than_equal", "greater_than", "less_than"):
        message, allowed = "out of range", _range_words(context)
    return InputError(
        message, file=file, line=line_of(text, key) if text else None, key=key, value=value, allowed=allowed
    )


def _unknown_key(key: str, model: type[BaseModel], parents: tuple[int | str, ...]) -> str:
    known = _known_keys(model, parents)
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    return "unknown key" + (f"; did you mean '{near[0]}'?" if near else f"; known here: {', '.join(known)}")


def _known_keys(model: type[BaseModel], parents: tuple[int | str, ...]) -> list[str]:
    for parent in parents:
        if isinstance(parent, int):
            continue
        field = model.model_fields.get(parent)
        inner = _model_in(field.annotation) if field is not None else None
        if inner is None:
            return []
        model = inner
    return list(model.model_fields)


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_model_in(argument) for argument in get_args(annotation))
    return next((model for model in found if model is not None), None)


def _is_union_mark(part: int | str) -> bool:
    """Pydantic adds the branch of a union to the path; a file's keys never look like that."""
    return isinstance(part, str) and (part.startswith("function-") or "[" in part or part[:1].isupper())


def _as_text(value: object) -> str | None:
    return None if isinstance(value, dict | list | BaseModel) or value is None else str(value)


def _range_words(context: dict[str, Any]) -> str:
    words = {"ge": "{} or more", "le": "{} or less", "gt": "more than {}", "lt": "less than {}"}
    return ", ".join(words[name].format(limit) for name, limit in context.items() if name in words)
