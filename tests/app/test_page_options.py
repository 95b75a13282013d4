"""The day and the ride's options in a real browser: typed, sent, kept, and clean for every eye and hand."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, Request, expect
from tests.app.test_app_access import _SMALL_TARGETS, PHONE, settled, violations

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]


def asked_at(page: Page, path: str, act: Callable[[], None]) -> dict[str, Any]:
    """Do something, and return what the page then asks of a call."""

    def wanted(request: Request) -> bool:
        return request.url.endswith(path) and request.method == "POST"

    with page.expect_request(wanted) as found:
        act()
    question: dict[str, Any] = json.loads(found.value.post_data or "{}")
    return question


def typed(page: Page, label: str, text: str) -> None:
    """Type into a field and leave it."""
    field = page.get_by_label(label, exact=True)
    field.fill(text)
    field.dispatch_event("change")


def assert_for_every_hand(page: Page, part: str | None = None) -> None:
    """With the folds open: nothing for axe in either light, no small target, nothing beside the screen.

    Of a long page axe may be asked about one part, where other tests look at the rest.
    """
    assert not violations(page, part)
    assert page.evaluate(_SMALL_TARGETS) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(150)
    assert not violations(page, part, runOnly={"type": "rule", "values": ["color-contrast"]})
    page.emulate_media(color_scheme="light")


@pytest.mark.parametrize(
    ("path", "fold", "fields"),
    [
        pytest.param(
            "/match", None, {"pump_step": ("Smallest step of the pump", "2 psi")}, marks=pytest.mark.slow
        ),
        ("/recommend", "More about the ride", {
            "tyre_stiffness": ("Tyre stiffness, measured", "110 N/mm"),
            "secondary_step": ("Smallest step at the secondary valve", "1 psi"),
        }),
        pytest.param(
            "/uncertainty", None, {"load": ("Load along the axis", "600 N")}, marks=pytest.mark.slow
        ),
    ],
)  # fmt: skip
def test_the_day_and_the_options_are_sent_and_kept(
    visit: Visit, path: str, fold: str | None, fields: dict[str, tuple[str, str]]
) -> None:
    """What is typed goes along with the question, also after a reload; a wrong day is named at its field."""
    page = visit(path, viewport=PHONE)
    settled(page)
    page.locator(".day > summary").click()
    if fold is not None:
        page.get_by_text(fold, exact=True).click()
    assert_for_every_hand(page)
    typed(page, "Gas temperature now", "-5 °C")
    for label, text in fields.values():
        typed(page, label, text)
    page.reload()
    settled(page)
    page.locator(".day > summary").click()
    expect(page.locator(".day > summary")).to_contain_text("-5 °C")
    page.route(f"**/api{path}", lambda route: route.abort())
    question = asked_at(
        page, f"/api{path}", lambda: page.locator("#ask").evaluate("form => form.requestSubmit()")
    )
    assert question["day"]["temperature"] == "-5 °C"
    assert {name: question[name] for name in fields} == {name: text for name, (_, text) in fields.items()}
    page.unroute(f"**/api{path}")
    typed(page, "Altitude now", "high")
    page.locator("#ask").evaluate("form => form.requestSubmit()")
    expect(page.locator("[data-field=altitude] .fault")).to_contain_text("altitude")
    expect(page.locator("#tune-fault")).to_contain_text("altitude")


@pytest.mark.slow
def test_both_ends_follow_the_day(visit: Visit) -> None:
    """On a cold day the figures of the Balance page change at once; a wrong one is named at its field."""
    page = visit("/balance", viewport=PHONE)
    settled(page)
    before = page.locator("#figures").inner_text()
    page.locator(".day > summary").click()
    assert_for_every_hand(page)
    typed(page, "Gas temperature now", "-15 °C")
    expect(page.locator("#figures")).not_to_have_text(before)
    settled(page)
    typed(page, "Altitude now", "high")
    expect(page.locator("[data-field=altitude] .fault")).to_contain_text("altitude")
    page.get_by_role("button", name="Usual day").click()
    expect(page.locator("#figures")).to_have_text(before, use_inner_text=True)


@pytest.mark.slow
def test_a_ride_is_ridden_again_at_half_the_step(visit: Visit) -> None:
    """A tick tells the largest change among the words; it is kept, and off takes the words away."""
    page = visit("/ride", viewport=PHONE)
    words = page.locator("#ride-words-list")
    expect(words).to_contain_text("Over", timeout=60_000)
    page.get_by_text("Tyre, rider and oil", exact=True).click()
    assert_for_every_hand(page)
    tick = page.get_by_label("Ride again at half the step and tell the largest change (slower)")
    tick.check()
    expect(words).to_contain_text("At half the step no score of A (Dunlin 160) changes by more than")
    page.reload()
    expect(words).to_contain_text("At half the step")
    page.get_by_text("Tyre, rider and oil", exact=True).click()
    tick.uncheck()
    expect(words).not_to_contain_text("At half the step")


@pytest.mark.slow
def test_a_stated_load_is_laid_on_the_unit(visit: Visit) -> None:
    """The fold tells where a fork rests, for a shock the wheel too; what was typed is kept."""
    page = visit("/fork", viewport=PHONE)
    settled(page)
    page.get_by_text("Where it rests under a stated load", exact=True).click()
    rests = page.locator("#load-readings")
    expect(rests).to_contain_text("600 N")
    assert_for_every_hand(page)
    expect(page.get_by_label("Load at the rear wheel instead")).to_be_hidden()
    before = rests.inner_text()
    typed(page, "Force at the axle across it", "300 N")
    expect(rests).not_to_have_text(before, use_inner_text=True)
    typed(page, "Load along its axis", "heavy")
    expect(page.locator("#stated-load [role=alert]")).to_contain_text("load")
    typed(page, "Load along its axis", "500 N")
    page.get_by_label("Fork or shock on the bench").select_option(label="Linnet 65")
    expect(page.get_by_label("Force at the axle across it")).to_be_hidden()
    typed(page, "Load at the rear wheel instead", "700 N")
    expect(rests).to_contain_text("Load at the wheel")
    page.reload()
    page.get_by_text("Where it rests under a stated load", exact=True).click()
    expect(rests).to_contain_text("700 N")
    expect(page.get_by_label("Load along its axis")).to_have_value("500 N")
