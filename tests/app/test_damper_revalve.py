"""Stacks for target forces on the Damper page: those of `forkwright revalve`."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.app.test_app_access import PHONE, settled
from tests.app.test_options_api import DEMO, HEADERS, asked, draft
from tests.app.test_page_options import assert_for_every_hand, typed

Cli = Callable[..., tuple[int, str, str]]
Visit = Callable[..., Page]
SHIMS = "3 of 19.0 x 0.20 mm\n\n15.0 x 0.20 mm"
DRAWER = 'shims = [{ size = "19.0 x 0.20 mm", count = 3 }, "15.0 x 0.20 mm"]'
TARGETS = [{"speed": "0.5 m/s", "force": "170 N"}, {"speed": "2", "force": "112.4 lbf"}]
QUESTION = {"fork": draft("dunlin-160"), "valve": "base", "targets": TARGETS, "shims": SHIMS}


@pytest.mark.parametrize("valve", ["base", "rebound"])
def test_proposals_are_the_command_lines(client: Any, cli: Cli, tmp_path: Path, valve: str) -> None:
    """Stacks, forces, stresses and how many were searched are those of `revalve --json`."""
    (tmp_path / "drawer.toml").write_text(DRAWER, "utf-8")
    wanted = [part for one in TARGETS for part in ("--target", f"{one['speed']}: {one['force']}")]
    status, out, err = cli(
        "revalve", DEMO / "dunlin-160.toml", "--valve", valve, *wanted, "--drawer", tmp_path / "drawer.toml",
        "--oil-temp", "35 °C", "--keep", "3", "--json",
    )  # fmt: skip
    assert status == 0, err
    question = QUESTION | {"valve": valve, "oil_temperature": "35 °C", "keep": 3}
    assert asked(client, "/api/damper/revalve", question) == json.loads(out)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"targets": []}, "target"),
        ({"targets": [{"speed": "0.5 m/s", "force": "2 mm"}]}, "target 1: "),
        ({"targets": [{"speed": "1: 2", "force": "5 N"}]}, "expected a speed and a force"),
        ({"targets": [TARGETS[0], {"speed": "1, 2", "force": "5 N"}]}, "target 2: one speed for each"),
        ({"shims": ""}, "list the shims at hand"),
        ({"shims": "19.0 x 0.20 mm\nthick"}, "shims, line 2: not a shim"),
        ({"oil_temperature": "900 °C"}, "oil temperature: out of range"),
    ],
)
def test_what_cannot_be_searched_is_refused_before_the_wait(
    client: Any, more: dict[str, Any], words: str
) -> None:
    """The first wrong field is named before any job is handed in."""
    reply = client.post("/api/damper/revalve", json=QUESTION | more, headers=HEADERS)
    assert reply.status_code == 422, reply.text
    assert words in reply.json()["error"]


@pytest.mark.browser
@pytest.mark.slow
def test_a_proposal_is_built_in(visit: Visit) -> None:
    """What is typed is kept; proposals come with their caution, and one press builds one in."""
    page = visit("/damper", viewport=PHONE)
    settled(page)
    fold = page.get_by_text("Stacks that come nearest to target forces", exact=True)
    fold.click()
    typed(page, "Speed 1", "0.5 m/s")
    typed(page, "Force 1", "170 N")
    typed(page, "Shims at hand, one size a line", SHIMS)
    page.reload()
    expect(page.locator("#revalve-force-1")).to_have_value("170 N")
    fold.click()
    page.get_by_role("button", name="Look for stacks").click()
    found = page.locator("#revalve-found")
    expect(found).to_contain_text("of 6 possible stacks solved", timeout=30_000)
    expect(found.get_by_role("rowheader").first).to_have_text("In it now")
    expect(found).to_contain_text("Shims and springs are under load")
    assert_for_every_hand(page)
    page.get_by_role("button", name="Nearest: build it in", exact=True).click()
    expect(page.get_by_label("Base valve, shim 1: size")).to_have_value("19.0 x 0.20 mm")
    expect(page.locator("#revalve-stale")).to_be_visible()
    typed(page, "Force 1", "heavy")
    page.get_by_role("button", name="Look for stacks").click()
    expect(page.locator("#revalve-fault")).to_contain_text("target 1")
