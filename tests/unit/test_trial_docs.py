"""The page on blind tests and the program say the same."""

from __future__ import annotations

import re
from pathlib import Path

import click

from forkwright.commands.trial import command
from forkwright.trial import request_from_text
from forkwright.trial.records import _MUST
from forkwright.trial.request import Aim, Day, Option, Request, Scale

PAGE = (Path(__file__).parents[2] / "docs" / "blind-test.md").read_text(encoding="utf-8")
EXAMPLE = re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)


def test_the_request_on_the_page_is_sound() -> None:
    """The example file can be planned as it stands."""
    assert EXAMPLE is not None
    assert request_from_text(EXAMPLE.group(1)).design == "paired"


def test_every_key_of_a_request_is_on_the_page() -> None:
    """No key of the request file is missing from the example."""
    assert EXAMPLE is not None
    for model in (Request, Option, Scale, Aim, Day):
        for key in model.model_fields:
            assert re.search(rf"\b{key}\b", EXAMPLE.group(1)), key


def test_every_step_and_record_is_on_the_page() -> None:
    """Every subcommand, kind of record and design is named; every option has a help text."""
    assert isinstance(command, click.Group)
    for name, step in command.commands.items():
        assert f"forkwright trial {name}" in PAGE
        for parameter in step.params:
            assert not isinstance(parameter, click.Option) or parameter.help, (name, parameter.name)
    for kind in _MUST:
        assert f"`{kind}`" in PAGE
