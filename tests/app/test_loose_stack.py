"""A stack from a file of its own on the Damper page: the numbers of `shims`, the drawing of `sheet stack`."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.app.test_options_api import asked
from tests.app.test_page_options import assert_for_every_hand

from forkwright.app.api import loose_stack_api
from forkwright.app.damper_shapes import LooseStackAnswer

Cli = Callable[..., tuple[int, str, str]]
Visit = Callable[..., Page]
STACK = """
name = "Loose <b>stack"
bore = "8 mm"
clamp = "8 mm"
seat = "18 mm"
load = { inner = "8 mm", outer = "18 mm" }
youngs_modulus = "206 GPa"
poisson = "0.3"
shims = ["20.0 x 0.15 mm", { size = "18.0 x 0.15 mm", count = 2 }, "14.0 x 0.20 mm"]
"""


@pytest.fixture
def stack(tmp_path: Path) -> Path:
    """The stack as a file."""
    path = tmp_path / "stack.toml"
    path.write_text(STACK, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("more", "options", "few"),
    [
        ({}, (), 20),
        ({"pressures": "0 bar, 30 psi, 6 bar"}, ("--pressures", "0 bar, 30 psi, 6 bar"), 3),
        ({"pressures": "2 bar", "stiffening": True}, ("--pressures", "2 bar", "--stiffening"), 20),
    ],
    ids=["usual pressures", "apart, for its many shims", "stretching"],
)
def test_a_stack_is_the_command_lines(
    client: Any, cli: Cli, stack: Path, monkeypatch: Any, more: Any, options: Any, few: int
) -> None:
    """Every number and warning of `forkwright shims`, at once or from another process."""
    monkeypatch.setattr(loose_stack_api, "FEW_DISCS", few)
    found = asked(client, "/api/damper/loose-stack", {"name": str(stack), "toml": STACK} | more)
    LooseStackAnswer.model_validate(found)
    status, out, err = cli("shims", stack, *options, "--json")
    assert status == 0, err
    assert {key: found[key] for key in found if key not in ("name", "svg")} == json.loads(out)


def test_its_drawing_is_that_of_sheet_stack(client: Any, cli: Cli, stack: Path, tmp_path: Path) -> None:
    """The drawing under a pressure, letter by letter; what stands in a name is never markup."""
    question = {"name": str(stack), "toml": STACK, "pressure": "4 bar", "units": {"pressure": "bar"}}
    found = asked(client, "/api/damper/loose-stack", question)
    drawing = tmp_path / "stack.svg"
    options = ("--pressure", "4 bar", "--pressure-unit", "bar", "--out", drawing)
    status, _, err = cli("sheet", "stack", stack, *options)
    assert status == 0, err
    assert found["svg"] == drawing.read_text("utf-8")
    assert "<b>" not in found["svg"]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"toml": STACK.replace("20.0 x", "7.0 x")}, "s.toml, line 9: shims"),
        ({"pressures": "1 bar, -1 bar"}, "pressures: a shim stack opens one way only; got '-1 bar'"),
        ({"pressures": "1 bar,"}, "pressures"),
        ({"pressure": "4 mm"}, "pressure"),
        ({"pressure": "-4 bar"}, "it opens one way only"),
    ],
)
def test_what_is_wrong_is_said(client: Any, more: dict[str, str], words: str) -> None:
    """File and line, or the field."""
    reply = client.post("/api/damper/loose-stack", json={"name": "s.toml", "toml": STACK} | more)
    assert reply.status_code == 422
    assert words in reply.json()["error"]


@pytest.mark.browser
def test_the_fold_opens_a_stack(visit: Visit, stack: Path) -> None:
    """The file is kept over a reload, stretched when asked, and put away."""
    page = visit("/damper")
    page.locator("#loose-stack > summary").click()
    page.get_by_label("Open a stack").set_input_files(stack)
    expect(page.locator("#loose-drawing svg")).to_contain_text("145.0 psi across the stack")
    page.get_by_label("Drawn under").fill("far")
    page.get_by_label("Drawn under").press("Tab")
    expect(page.locator("#loose-pressure-fault")).to_contain_text("got 'far'")
    page.get_by_label("Drawn under").fill("100 psi")
    page.get_by_label("Drawn under").press("Tab")
    page.reload()
    page.locator("#loose-stack > summary").click()
    expect(page.locator("#loose-drawing svg")).to_contain_text("100.0 psi across the stack")
    expect(page.locator("#loose-warnings")).to_contain_text("with stretching it opens")
    page.locator("#loose-stretching").check()
    expect(page.locator("#loose-warnings")).to_contain_text("already in this answer", timeout=30_000)
    assert_for_every_hand(page, "#loose-stack")
    page.get_by_role("button", name="Put it away").click()
    expect(page.locator("#loose-found")).to_be_hidden()
