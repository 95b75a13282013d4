"""What the page on installing promises: completion in every shell it names."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "install.md"
SHELLS = ["bash", "zsh", "fish"]


def run(environment: dict[str, str]) -> str:
    command = [sys.executable, "-m", "forkwright"]
    done = subprocess.run(command, env={**os.environ, **environment}, capture_output=True, text=True)
    assert done.stderr == ""
    return done.stdout


def test_the_page_names_each_shell_with_its_line() -> None:
    """The shells below are those of the page's table, each with the line that asks for its script."""
    assert (
        re.findall(r"^\| (\w+)\b.*_FORKWRIGHT_COMPLETE=\1_source forkwright", PAGE.read_text("utf-8"), re.M)
        == SHELLS
    )


@pytest.mark.parametrize("shell", SHELLS)
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
