"""Nothing that is half filled in is lost when a page behind a link is drawn anew; a stop is said at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from tests.app.test_app_access import PHONE
from tests.app.test_page_blind import keep, planned, seat

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]
LOOK_AGAIN = "document.dispatchEvent(new Event('visibilitychange'))"
RATED = {"design": "rated", "primary": "grip", "times": [], "riders": ["Ash", "Birch"], "repeats": 2,
         "aim": {"difference": 1.0, "run_spread": 0.7}}  # fmt: skip


def looked(page: Page) -> None:
    """Let a page look up what is known now."""
    with page.expect_response("**/api/blind/seat/*"):
        page.evaluate(LOOK_AGAIN)
    page.wait_for_timeout(100)


def test_a_second_rating_outlives_the_keeping_of_the_first(visit: Visit, address: str, demo: Path) -> None:
    """Two runs rated before either is kept: keeping one leaves the other as it was filled in."""
    links = planned(address, demo, **RATED)["links"]
    token = links["riders"]["Ash"]
    keep(address, token, {"kind": "warm_up", "by": "Ash", "rider": "Ash"})
    first, second = next(one for one in seat(address, token)["sessions"])["codes"]
    page = visit(f"/blind/rider#{token}", viewport=PHONE)
    runs = {code: page.locator(".run", has_text=code) for code in (first, second)}
    runs[first].locator("label", has_text="7").click()
    runs[second].locator("label", has_text="3").click()
    page.get_by_role("button", name=f"Keep for {first}").click()
    expect(page.locator("#outbox")).to_have_text("all sent")
    expect(runs[second].get_by_label("grip: 3")).to_be_checked()
    page.get_by_role("button", name=f"Keep for {second}").click()
    expect(page.locator("#outbox")).to_have_text("all sent")
    assert sorted(seat(address, token)["rated"]) == sorted((first, second))
    expect(page.locator("#session-title")).to_contain_text("Session 2")


def test_words_and_ticks_stay_and_a_stop_is_said(visit: Visit, address: str, demo: Path) -> None:
    """What leader and mechanic typed or ticked stays while records come in; a stop reaches a shown card."""
    links = planned(address, demo)["links"]
    rider = links["riders"]["Ash"]
    keep(address, rider, {"kind": "warm_up", "by": "Ash", "rider": "Ash"})
    lead, mechanic = visit(f"/blind/lead#{links['leader']}"), visit(f"/blind/mechanic#{links['mechanic']}")
    for page in (lead, mechanic):
        page.locator("summary", has_text="Remark").click()
        page.get_by_label("What you noticed").fill("a creak from the crown")
        page.get_by_label("What you noticed").blur()
    keep(address, rider, {"id": "mud", "kind": "remark", "by": "Ash", "text": "mud on the visor"})
    for page in (lead, mechanic):
        looked(page)
        expect(page.get_by_label("What you noticed")).to_have_value("a creak from the crown")
        page.get_by_role("button", name="Keep the remark").click()
    mechanic.get_by_role("button", name="Show the next card").click()
    tick = mechanic.locator(".card input[type=checkbox]").first
    tick.check()
    stop = {"kind": "incident", "by": "Ash", "severity": "stop", "text": "a loose axle"}
    keep(address, rider, {"id": "axle"} | stop)
    looked(mechanic)
    expect(mechanic.locator("#notices")).to_contain_text("hand over no bike")
    expect(tick).to_be_checked()
