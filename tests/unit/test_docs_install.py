"""What the page on installing promises: completion in every shell it names."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "install.md"


def run(environment: dict[str, str]) -> str:
    command = [sys.executable, "-m", "forkwright"]
    done = subprocess.run(command, env={**os.environ, **environment}, capture_output=True, text=True)
    return done.stdout


@pytest.mark.parametrize("shell", re.findall(r"=(\w+)_source", PAGE.read_text("utf-8")))
def test_the_shell_gets_its_script(shell: str) -> None:
    """Each line of the table yields a script that asks this program again."""
    assert f"_FORKWRIGHT_COMPLETE={shell}_complete" in run({"_FORKWRIGHT_COMPLETE": f"{shell}_source"})


@pytest.mark.parametrize(
    ("words", "place", "offered"),
    [("forkwright sp", "1", "plain,spring"), ("forkwright spring --pre", "2", "plain,--pressure")],
)
def test_commands_and_options_are_completed(words: str, place: str, offered: str) -> None:
    """Half a command or option is completed, although commands are loaded only when they are run."""
    asked = {"_FORKWRIGHT_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": place}
    assert offered in run(asked).splitlines()
