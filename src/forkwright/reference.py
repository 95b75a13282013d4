"""The reference pages: every file key and every command with its options, written from the code itself.

`python -m forkwright.reference docs` writes them; a test fails while a page is stale.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import click
from pydantic import BaseModel

from forkwright.cli import COMMANDS, group
from forkwright.hardware.fields import Quantity
from forkwright.hardware.files import KINDS
from forkwright.units import DIMENSIONS


def pages() -> dict[str, str]:
    """Return every generated page by its path below docs/."""
    return {
        "reference/files.md": file_page(),
        "reference/commands.md": command_page(),
        "schemas/unit-file.json": _schema("fork", "A forkwright unit file (fork or shock)"),
        "schemas/rider-file.json": _schema("rider", "A forkwright rider file"),
        "schemas/bike-file.json": _schema("bike", "A forkwright bike file"),
    }


def file_page() -> str:
    """Return the page that lists every key of every file kind."""
    lines = [
        "# Every key of the files",
        "",
        "Written from the code. A quantity is text with a unit, with an optional tolerance (one standard",
        'deviation): `"32.00 ± 0.02 mm"`; or a table `{ value, origin, note }`. Pressures are gauge.',
    ]
    for kind in ("fork", "rider", "bike"):
        title = "unit (kind fork or shock)" if kind == "fork" else kind
        lines += ["", f"## {title}", "", "| key | what it takes | allowed |", "|---|---|---|"]
        lines += [f"| `{path}` | {takes} | {allowed} |" for path, takes, allowed in file_keys(KINDS[kind])]
    return "\n".join(lines) + "\n"


def file_keys(model: type[BaseModel], prefix: str = "") -> Iterator[tuple[str, str, str]]:
    """Yield (dotted key, what it takes, allowed range) for every key of a model."""
    for name, field in model.model_fields.items():
        path = prefix + name
        needed = "" if not field.is_required() else " (needed)"
        kinds = [mark for mark in _marks(field) if isinstance(mark, Quantity)]
        inner = list(_models(field.annotation))
        if kinds:
            yield path, DIMENSIONS[kinds[0].dimension].words + needed, kinds[0].allowed or ""
        elif inner:
            listed = "[]" if "tuple" in str(field.annotation) or "list" in str(field.annotation) else ""
            yield path + listed, "a table" + needed, ""
            for part in inner:
                yield from file_keys(part, f"{path}{listed}.")
        else:
            words, allowed = _plain(field)
            yield path, words + needed, allowed


def command_page() -> str:
    """Return the page that lists every command with its arguments and options."""
    lines = [
        "# Every command",
        "",
        "Written from the code. `--json` prints one JSON object, SI numbers. Before the command may stand:",
        "",
        *_table(group),
    ]
    context = click.Context(group, info_name="forkwright")
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        lines += _command_lines(command, f"forkwright {name}", COMMANDS[name][1])
    return "\n".join(lines) + "\n"


def _command_lines(command: click.Command, title: str, help_line: str) -> list[str]:
    lines = ["", f"## {title}", "", help_line, ""]
    text = " ".join((command.help or "").split())
    if text and text != help_line:
        lines += [text, ""]
    lines += _table(command)
    if isinstance(command, click.Group):
        for name, inner in command.commands.items():
            lines += _command_lines(inner, f"{title} {name}", inner.get_short_help_str(120))
    return lines


def _table(command: click.Command) -> list[str]:
    rows = [_parameter(parameter) for parameter in command.params]
    return ["| given | what |", "|---|---|", *rows] if rows else []


def _parameter(parameter: click.Parameter) -> str:
    if isinstance(parameter, click.Option):
        flags = ", ".join(f"`{flag}`" for flag in (*parameter.opts, *parameter.secondary_opts))
        default = parameter.default
        shown = (
            f" (default {default})"
            if isinstance(default, str | int | float) and default not in (False, "")
            else ""
        )
        needed = " (needed)" if parameter.required else ""
        return f"| {flags} | {' '.join((parameter.help or '').split())}{shown}{needed} |".replace("  ", " ")
    return (
        f"| `{(parameter.name or '').upper()}` | argument{' (optional)' if not parameter.required else ''} |"
    )


def _schema(kind: str, title: str) -> str:
    schema: dict[str, Any] = KINDS[kind].model_json_schema()
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return json.dumps(head | schema | {"title": title}, indent=2, ensure_ascii=False) + "\n"


def _marks(field: Any) -> Iterator[Any]:
    yield from field.metadata
    yield from _nested_marks(field.annotation)


def _nested_marks(annotation: Any) -> Iterator[Any]:
    yield from getattr(annotation, "__metadata__", ())
    for argument in get_args(annotation):
        yield from _nested_marks(argument)


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in get_args(annotation):
        yield from _models(argument)


def _plain(field: Any) -> tuple[str, str]:
    choices = [choice for choice in get_args(field.annotation) if isinstance(choice, str | int)]
    if choices:
        return "one word of a list", ", ".join(str(choice) for choice in choices)
    text = str(field.annotation)
    words = {"bool": "true or false", "int": "a whole number", "str": "text", "float": "a number"}
    found = next((meaning for mark, meaning in words.items() if mark in text), "see the schema")
    limits = [
        f"{name.replace('_', ' ')} {getattr(mark, attribute)}"
        for mark in _marks(field)
        for name, attribute in (
            ("at_least", "ge"),
            ("at_most", "le"),
            ("at_least", "min_length"),
            ("at_most", "max_length"),
        )
        if getattr(mark, attribute, None) is not None
    ]
    return found, ", ".join(limits)


def main(folder: str) -> None:
    """Write every page below `folder`."""
    for name, text in pages().items():
        path = Path(folder) / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
        print(path)


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "docs")
