"""The report in a real browser: it asks no network, draws its charts, moves the legs as Python draws them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

import forkwright as fw
from forkwright.hardware import load
from forkwright.physics import P0
from forkwright.sheets.compare_report import compare_report
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway
from forkwright.sheets.cutaway_data import chamber_samples, floating_at, pressures_at
from forkwright.sheets.html_report import write_html
from forkwright.sheets.legs import spring_leg
from forkwright.tune.compare import Comparison, compare

pytestmark = pytest.mark.browser

READ = """(svg) => ({
  rects: Object.fromEntries([...svg.querySelectorAll('rect[data-part]')].map((n) => [
    n.dataset.part + (n.getAttribute('stroke') === 'none' ? '~' : ''),
    [Number(n.getAttribute('y')), Number(n.getAttribute('height')),
     n.getAttribute('fill').startsWith('url') ? '' : getComputedStyle(n).fill],
  ])),
  leaders: [...svg.querySelectorAll('[data-leader]')].map((n) => n.getAttribute('points')),
  names: svg.querySelector('.names[data-shift]').getAttribute('transform'),
  readings: [...svg.querySelectorAll('[data-reads]')].map((n) => n.textContent),
})"""


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    forks = [load(fw.demo_file(name)) for name in ("dunlin-160", "plover-160")]
    return compare(*forks, 333.0, draws=100)


@pytest.fixture(scope="module")
def opened(browser: Browser, comparison: Comparison, tmp_path_factory: pytest.TempPathFactory) -> Any:
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(write_html(compare_report(comparison)), "utf-8")
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    asked: list[str] = []
    faults: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    page.goto(path.as_uri())
    page.wait_for_selector(".js-plotly-plot")
    return page, asked, faults, path


def test_page_asks_no_network_and_logs_no_error(opened: tuple[Page, list[str], list[str], Path]) -> None:
    """Everything comes from the one file; its own content policy lets all of it run."""
    page, asked, faults, path = opened
    assert [url for url in asked if not url.startswith(("data:", "blob:"))] == [path.as_uri()]
    assert faults == []
    assert page.locator(".js-plotly-plot").count() == 6


@pytest.mark.parametrize("travel", [0.0, 37.0, 92.5, 160.0])
def test_moved_drawing_is_the_drawing_drawn_there(
    opened: tuple[Page, list[str], list[str], Path], comparison: Comparison, travel: float
) -> None:
    """Moved by the slider, every edge, leader, tint and reading is what Python draws at that travel."""
    page = opened[0]
    page.locator(".mover input").evaluate(
        "(node, value) => { node.value = value; node.dispatchEvent(new Event('input')); }", travel
    )
    for place, side in enumerate((comparison.a, comparison.b)):
        moved = page.locator(".moving svg").nth(place)
        x = travel / 1e3
        layout = spring_leg(side.unit, side.setting)
        samples = chamber_samples(side.spring, P0)
        scale = float(moved.get_attribute("data-full-scale") or 0)
        drawn = draw_cutaway(
            layout,
            layout.pose(travel, floating_at(side.spring, x)),
            pressures_at(samples, side.spring.travel, x),
            scale,
            style=CutawayStyle(identity="again"),
        )
        page.evaluate("(svg) => { document.getElementById('again-box')?.remove(); "
                      "const box = document.createElement('div'); box.id = 'again-box'; "
                      "box.innerHTML = svg; document.body.append(box); }", drawn)  # fmt: skip
        ours = moved.evaluate(READ)
        again = page.locator("#again-box svg").evaluate(READ)
        assert ours["readings"] == again["readings"]
        assert _numbers(ours["leaders"]) == pytest.approx(_numbers(again["leaders"]), abs=0.02)
        assert _numbers([ours["names"]]) == pytest.approx(_numbers([again["names"]]), abs=0.02)
        for key, (y, height, fill) in again["rects"].items():
            assert ours["rects"][key][:2] == pytest.approx([y, height], abs=0.03), key
            assert _numbers([ours["rects"][key][2]]) == pytest.approx(_numbers([fill]), abs=1.01), key


def test_page_works_by_keyboard_and_on_a_phone(opened: tuple[Page, list[str], list[str], Path]) -> None:
    """The slider answers to arrow keys, and a narrow screen needs no sideways scrolling."""
    page = opened[0]
    slider = page.locator(".mover input")
    slider.evaluate("(node) => { node.value = 10; }")
    slider.focus()
    page.keyboard.press("ArrowRight")
    assert page.locator(".mover output").inner_text() == "10.5 mm"
    slider.evaluate("(node) => { node.max = 152.5; node.dataset.full = 152.4; }")
    page.keyboard.press("End")
    assert page.locator(".mover output").inner_text() == "152.4 mm"
    slider.evaluate("(node) => { node.max = node.dataset.full = 160; node.value = 0; }")
    page.evaluate("document.getElementById('again-box')?.remove()")
    page.set_viewport_size({"width": 390, "height": 800})
    page.wait_for_timeout(300)
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    page.set_viewport_size({"width": 1280, "height": 900})
    assert wide <= 1


def test_page_has_no_axe_violation(opened: tuple[Page, list[str], list[str], Path]) -> None:
    """The page passes the accessibility rules of axe-core."""
    from axe_playwright_python.sync_playwright import Axe

    page = opened[0]
    page.evaluate("document.getElementById('again-box')?.remove()")
    found = Axe().run(page)
    assert [violation["id"] for violation in found.response["violations"]] == []


def _numbers(texts: list[str | None]) -> list[float]:
    return [float(number) for text in texts for number in re.findall(r"-?\d+(?:\.\d+)?", text or "")]
