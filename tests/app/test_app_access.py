"""Every page for every eye and every hand: axe, touch targets, no sideways scrolling, keyboard."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from forkwright.app.navigation import discover, grouped

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]
PATHS = [entry.page.path for entry in discover()]
PHONE = {"width": 390, "height": 844}

# Every control a finger is meant for that is lower than 44 px; ticks and radios count by their label.
_SMALL_TARGETS = """() => [...document.querySelectorAll('button, select, input, textarea, summary, nav a')]
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


def violations(page: Page, part: str | None = None, **options: object) -> str:
    """What axe-core finds on the page, or in one part of it, a line each."""
    found = Axe().run(page, context=part, options=options)
    return "\n".join(
        f"{violation['id']}: {violation['help']}: {[node['html'][:160] for node in violation['nodes'][:3]]}"
        for violation in found.response["violations"]
    )


@pytest.mark.parametrize("path", PATHS)
def test_axe_finds_nothing(visit: Visit, path: str) -> None:
    """axe-core finds no violation on any page; dark, the colours are asked about again."""
    page = visit(path)
    settled(page)
    assert not violations(page)
    light = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(150)
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") != light
    assert not violations(page, runOnly={"type": "rule", "values": ["color-contrast"]})


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


@pytest.mark.parametrize("width", [1024, 390], ids=["tablet", "phone"])
def test_every_page_is_reached_from_the_heading(visit: Visit, width: int) -> None:
    """On a tablet and a phone each group opens in full view, with targets of 44 px, and axe finds nothing."""
    page = visit("/show", viewport={"width": width, "height": 768})
    reached = []
    for group, members in grouped([entry.page for entry in discover()]):
        if len(members) > 1:
            page.locator(".group > summary", has_text=group).click()
            assert page.locator("details.group[open]").count() == 1
        for link in page.locator("nav.pages a:visible").all():
            box = link.bounding_box()
            assert box is not None
            assert box["height"] >= 44
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= width
            reached.append(link.get_attribute("href"))
    assert set(reached) == set(PATHS)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert not Axe().run(page, context="header").response["violations"]


def test_groups_of_pages_are_walked_by_keyboard(visit: Visit) -> None:
    """Arrows open a group and walk through it, Escape closes it and comes back to its name."""
    page = visit("/damper")
    page.locator(".group > summary").first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    expect(page.locator("nav.pages a[href='/damper']")).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.locator("details.group[open]")).to_have_count(0)
    expect(page.locator(".group > summary").first).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/fork")
    expect(page.locator("#readings dd").first).to_be_visible()
    settled(page)


@pytest.mark.parametrize("width", [360, 390])
def test_every_point_of_a_riders_scale_is_wide_enough_for_a_thumb(visit: Visit, width: int) -> None:
    """On a phone each point of a scale of 2 to 11 is at least 44 px wide and high."""
    page = visit("/blind/rider", viewport={"width": width, "height": 844})
    small = page.evaluate(
        """() => [2, 3, 4, 5, 6, 7, 8, 9, 10, 11].flatMap((count) => {
          const point = (at) => `<label><input type="radio"><span>${at + 1}</span></label>`;
          const points = Array.from({length: count}, (_, at) => point(at));
          document.getElementById('seat').innerHTML = `<section class="sheet"><fieldset class="scale">
            <div class="points" data-points="${count}">${points.join('')}</div></fieldset></section>`;
          return [...document.querySelectorAll('.points span')].map((one) => one.getBoundingClientRect())
            .filter((box) => box.width < 44 || box.height < 44).map((box) => `${count}: ${box.width}`);
        })"""
    )
    assert small == []
