"""What the shop's commands do is written down, and the pages claim nothing that is not there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from forkwright.commands.job import command as job
from forkwright.commands.shop import command as shop
from forkwright.shop.accounts import MAY, SHORTEST_PASSWORD
from forkwright.shop.accounts_signin import MOST_WRONG_PER_ACCOUNT, MOST_WRONG_PER_ADDRESS
from forkwright.shop.jobs import MOVES

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize(("name", "group"), [("job", job), ("shop", shop)])
def test_every_command_is_described(name, group):
    """Each subcommand stands in the workshop page, and the page names no other."""
    page = (DOCS / "workshop.md").read_text(encoding="utf-8")
    named = set(re.findall(rf"(?:`|forkwright ){name} ([a-z]+)", page))
    assert named == set(group.commands)


def test_the_threat_model_states_the_figures_that_are_set():
    """Password length, tries and roles on the page are those in the code."""
    page = (DOCS / "threat-model.md").read_text(encoding="utf-8")
    for words in (
        f"{SHORTEST_PASSWORD} characters at least",
        f"{MOST_WRONG_PER_ACCOUNT} wrong tries for an account or {MOST_WRONG_PER_ADDRESS} from an address",
        *MAY,
    ):
        assert words in page


def test_the_stages_are_named_in_order_of_the_work():
    """The page lists the stages that `job move` takes."""
    page = (DOCS / "workshop.md").read_text(encoding="utf-8")
    listed = ", ".join(stage for stage in MOVES if stage not in ("handed over", "cancelled"))
    assert listed in page
