"""Nothing is lost and nobody disturbs anybody: reload, dropped server, two browsers, units everywhere."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from time import perf_counter

import pytest
from playwright.sync_api import Browser, Page, Route, expect

pytestmark = pytest.mark.browser

# Every question is answered a tenth of a second later than it would be.
_LATE = """() => {
  const quick = window.fetch;
  window.fetch = (...asked) => new Promise((done) => setTimeout(done, 100)).then(() => quick(...asked));
}"""

# Which shade the page has when its body begins, before anything of it is drawn.
_FIRST_SHADE = """new MutationObserver((_, watching) => {
  if (!document.body) return;
  watching.disconnect();
  window.firstShade = document.documentElement.dataset.shade;
}).observe(document, {childList: true, subtree: true});"""

# The redraws of a page have ended: none came for a third of a second.
_SETTLED = """() => new Promise((done) => {
  let rest = setTimeout(done, 330);
  document.addEventListener('bench:redrawn', () => { clearTimeout(rest); rest = setTimeout(done, 330); });
})"""
Visit = Callable[..., Page]


def test_reload_keeps_draft_and_history(visit: Visit) -> None:
    """A changed setting and its undo survive a reload made right after the change."""
    page = visit("/fork")
    slider = page.get_by_role("slider", name="Air pressure")
    slider.press("ArrowRight")
    slider.press("ArrowRight")
    page.reload()
    expect(slider).to_have_attribute("aria-valuetext", "87.0 psi")
    page.get_by_role("button", name="Undo").click()
    expect(slider).to_have_attribute("aria-valuetext", "86.0 psi")


def test_dropped_connection_is_said_and_made_good(visit: Visit) -> None:
    """While the server cannot be reached changes are kept and said so; later they are computed."""
    page = visit("/fork")
    slider = page.get_by_role("slider", name="Air pressure")
    end = page.locator("#readings div", has_text="Force at full travel").locator("dd")
    before = end.inner_text()

    def cut(route: Route) -> None:
        route.abort()

    page.route("**/api/**", cut)
    slider.press("ArrowRight")
    expect(page.locator("#notices")).to_contain_text("The server does not answer")
    expect(slider).to_have_attribute("aria-valuetext", "86.0 psi")
    page.unroute("**/api/**", cut)
    expect(page.locator("#notices")).not_to_contain_text("The server does not answer")
    expect(end).not_to_have_text(before)


def test_slow_answers_lose_no_step(visit: Visit) -> None:
    """Keys pressed faster than the answers come are all counted, on a slider and in a stack of shims."""
    page = visit("/damper")
    rebound = page.get_by_role("slider", name="Rebound")
    stack = page.get_by_role("list", name="Base valve: shims from the valve face to the clamp")
    expect(rebound).to_have_attribute("aria-valuetext", "6 clicks from closed")
    expect(stack.locator("input[type=text]")).to_have_count(5)
    page.evaluate(_LATE)
    rebound.focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight", delay=60)
    stack.locator(".handle").nth(0).focus()
    for _ in range(3):
        page.keyboard.press("Delete", delay=60)
    expect(rebound).to_have_attribute("aria-valuetext", "10 clicks from closed")
    expect(stack.locator("input[type=text]")).to_have_count(2)


def test_two_browsers_do_not_disturb_each_other(visit: Visit) -> None:
    """Two browsers at once each keep their own setting."""
    first, second = visit("/fork"), visit("/fork")
    for page, key, shown in ((first, "ArrowRight", "86.0 psi"), (second, "ArrowLeft", "84.0 psi")):
        page.get_by_role("slider", name="Air pressure").press(key)
        expect(page.get_by_role("slider", name="Air pressure")).to_have_attribute("aria-valuetext", shown)
    for page, shown in ((first, "86.0 psi"), (second, "84.0 psi")):
        page.reload()
        expect(page.get_by_role("slider", name="Air pressure")).to_have_attribute("aria-valuetext", shown)


def test_units_switch_everywhere_at_once(visit: Visit) -> None:
    """Turning psi into bar and mm into inches changes slider, drawing, chart, readings and the other tab."""
    page = visit("/fork")
    other = page.context.new_page()
    other.goto(page.url)
    page.get_by_role("button", name=re.compile("Units")).click()
    page.locator("#units-dialog label", has_text="bar").click()
    page.locator("#units-dialog label", has_text=re.compile("^in$")).click()
    page.get_by_role("button", name="Close").click()
    for tab in (page, other):
        expect(tab.get_by_role("slider", name="Air pressure")).to_have_attribute("aria-valuetext", "5.86 bar")
        expect(tab.locator("#drawing svg")).to_contain_text("5.86 bar")
        expect(tab.locator("#drawing svg")).not_to_contain_text("psi")
        expect(tab.locator("#readings")).to_contain_text(re.compile(r"\d in\b"))
        expect(tab.locator("#readings")).not_to_contain_text("mm")
        expect(tab.locator("#chart-pressure .ytitle")).to_contain_text("bar")
        expect(tab.locator("#chart-force .xtitle")).to_contain_text("(in)")


def test_a_chosen_theme_is_there_again_before_anything_is_drawn(visit: Visit) -> None:
    """Dark chosen on a light system: a reload is dark from the start, and says that dark is chosen."""
    page = visit("/show")
    turn = page.locator("#turn-theme")
    turn.click()
    turn.click()
    expect(page.locator("#theme-now")).to_have_text("Dark")
    page.add_init_script(_FIRST_SHADE)
    page.reload()
    assert page.evaluate("window.firstShade") == "dark"
    expect(page.locator("html")).to_have_attribute("data-shade", "dark")
    expect(page.locator("#theme-now")).to_have_text("Dark")


def test_broken_draft_is_put_aside(visit: Visit) -> None:
    """A draft that cannot be read does not stop the page; it is put aside, not thrown away."""
    page = visit("/fork")
    page.evaluate("localStorage.setItem('forkwright.draft.1', '{\"forks\": 3}')")
    page.goto("about:blank")
    page.go_back()
    expect(page.get_by_role("slider", name="Air pressure")).to_have_attribute("aria-valuetext", "85.0 psi")
    assert page.evaluate("localStorage.getItem('forkwright.draft.unreadable')") == '{"forks":3}'


def test_drawing_is_dragged_and_keyed(visit: Visit) -> None:
    """The cut-away follows a finger on it and the keys on its slider."""
    page = visit("/fork", viewport={"width": 1400, "height": 900})
    travel = page.get_by_role("slider", name="Travel")
    page.locator("#drawing svg").wait_for()
    travel.press("End")
    expect(page.locator(".travel-read")).to_have_text("160.0 mm")
    travel.press("Home")
    travel.press("PageUp")
    expect(page.locator(".travel-read")).to_have_text("10.0 mm")
    box = page.locator("#drawing svg").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.6)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.6 - 60, steps=3)
    page.mouse.up()
    expect(page.locator(".travel-read")).not_to_have_text("10.0 mm")
    assert float(page.locator(".travel-read").inner_text().split()[0]) > 20.0, "pulled up, the fork goes in"


def test_first_page_comes_quickly(browser: Browser) -> None:
    """From starting the command to readings on the first page; the aim of 1.5 s is measured by the benchmark.

    Here other work may share the machine, so only a start that has gone badly wrong is caught.
    """
    started = perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "forkwright", "serve", "--port", "0"], stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        found = re.search(r"http://\S+/", process.stdout.readline())
        assert found
        page = browser.new_page()
        page.goto(f"{found[0]}fork")
        page.locator("#readings dd").first.wait_for()
        taken = perf_counter() - started
        page.close()
        assert taken < 10.0, f"usable after {taken:.2f} s"
    finally:
        process.terminate()
        process.communicate(timeout=20)


def test_an_answer_that_was_passed_is_not_shown(visit: Visit) -> None:
    """Two questions may be on their way; when the second is answered first, the first is dropped."""
    page = visit("/fork")
    slider = page.get_by_role("slider", name="Air pressure")
    expect(slider).to_have_attribute("aria-valuetext", "85.0 psi")
    page.wait_for_load_state("networkidle")
    held: list[Route] = []

    def hold_the_first(route: Route) -> None:
        if held:
            route.continue_()
        else:
            held.append(route)

    page.evaluate("performance.now = () => 0")  # every answer counts as quick, whatever else the machine does
    with page.expect_response("**/api/fork"):
        slider.press("ArrowLeft")
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    before = page.locator("#readings").inner_text()
    page.route("**/api/fork", hold_the_first)
    slider.press("ArrowRight")
    slider.press("ArrowRight")
    expect(page.locator("#readings")).not_to_have_text(before, use_inner_text=True)
    second = page.locator("#readings").inner_text()
    with page.expect_response("**/api/fork"):
        held[0].continue_()
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert page.locator("#readings").inner_text() == second
    expect(slider).to_have_attribute("aria-valuetext", "86.0 psi")


def test_drawings_stand_at_their_setting_when_turned_forth_and_back(visit: Visit) -> None:
    """Turned on and back while answers are on their way, the bent stack is that of the clicks shown."""
    page = visit("/damper")
    clicks = page.get_by_role("slider", name="Low-speed compression")
    stack = page.locator("#stacks svg title").first
    expect(stack).to_have_text(re.compile("across the stack"))
    page.wait_for_load_state("networkidle")
    drawn = stack.text_content()
    page.evaluate(_LATE)
    for key in ("ArrowRight", "ArrowLeft", "ArrowLeft", "ArrowRight", "ArrowRight", "ArrowLeft"):
        clicks.press(key)
    page.evaluate(_SETTLED)
    assert stack.text_content() == drawn
    clicks.press("ArrowRight")
    expect(stack).not_to_have_text(drawn or "")
