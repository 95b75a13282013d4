"""Every page for every eye and every hand: axe, touch targets, no sideways scrolling, keyboard."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from forkwright.app.navigation import discover

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]
PATHS = [entry.page.path for entry in discover()]
PHONE = {"width": 390, "height": 844}

# Every control a finger is meant for that is lower than 44 px; ticks and radios count by their label.
_SMALL_TARGETS = """() => [...document.querySelectorAll('button, select, input, summary, nav a')]
  .filter((node) => node.offsetParent && !node.closest('dialog'))
  .filter((node) => !node.matches('.segments input, .file-button input'))
  .map((node) => [node, node.matches('[type=checkbox], [type=radio]') ? node.closest('label') ?? node : node])
  .map(([node, target]) => [node, target.getBoundingClientRect()])
  .filter(([, box]) => box.height < 43.5)
  .map(([node, box]) => `${node.tagName} ${node.id || node.textContent.slice(0, 20)} ${box.height}`)"""


def settled(page: Page) -> None:
    """Wait until the page has had its first answers."""
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(150)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("path", PATHS)
def test_axe_finds_nothing(visit: Visit, path: str, dark: bool) -> None:
    """axe-core finds no violation on any page, light or dark."""
    page = visit(path, dark=dark)
    settled(page)
    found = Axe().run(page)
    told = [
        f"{violation['id']}: {violation['help']}: {[node['html'][:160] for node in violation['nodes'][:3]]}"
        for violation in found.response["violations"]
    ]
    assert not told, "\n".join(told)


@pytest.mark.parametrize("path", PATHS)
def test_phone_has_large_targets_and_no_sideways_scroll(visit: Visit, path: str) -> None:
    """On a phone every control is at least 44 px high and nothing runs out of the screen sideways."""
    page = visit(path, viewport=PHONE)
    settled(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert page.evaluate(_SMALL_TARGETS) == []


def test_pages_are_reached_by_keyboard(visit: Visit) -> None:
    """Alt with a digit opens the page in that place; the question mark opens the list of keys."""
    page = visit("/fork")
    page.keyboard.press("Alt+2")
    page.wait_for_url("**/damper")
    page.keyboard.press("?")
    assert page.locator("#help-dialog").is_visible()
    page.keyboard.press("Escape")
    assert not page.locator("#help-dialog").is_visible()
