"""A shared workbench in a real browser: the sign-in, the pages behind it, and what signing out clears."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.app.test_blind_sharing import links_of_a_trial_in
from tests.app_server import running_workbench
from tests.shop_samples import PASSWORD, filled_store

from forkwright.shop.accounts import add_account

pytestmark = pytest.mark.browser
LINKS: dict[str, Any] = {}


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Run a shared workbench over the sample shop, with a technician and a read-only account."""
    folder: Path = tmp_path_factory.mktemp("shared")
    with filled_store(folder) as store, store.change("test") as session:
        add_account(session, name="gast", role="read-only", password=PASSWORD)
    trials = folder / "trials"
    LINKS.update(links_of_a_trial_in(trials))
    sharing = ("--share", "--host", "127.0.0.1", "--trials", str(trials))
    with running_workbench(folder / "shop.sqlite3", *sharing) as address:
        yield address


@pytest.fixture
def page(browser: Browser, shared: str) -> Iterator[Page]:
    """Give a page of a browser that has never been here; script errors fail the test."""
    context = browser.new_context(base_url=shared, viewport={"width": 1024, "height": 768})
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    yield opened
    context.close()
    assert not troubles


def sign_in(page: Page, name: str, password: str = PASSWORD) -> None:
    """Fill the form and send it."""
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def test_a_technician_signs_in_works_and_leaves_nothing_behind(page: Page) -> None:
    """The sign-in leads to the page that was asked for; sliders and forms work; signing out clears drafts."""
    page.goto("/jobs/2")
    expect(page.get_by_role("heading", name="Sign in to the workbench")).to_be_visible()
    expect(page.locator(".notice.warn")).to_contain_text("not encrypted")
    assert not Axe().run(page).response["violations"]
    sign_in(page, "ines", "not the password")
    expect(page.get_by_role("alert")).to_contain_text("do not match")
    sign_in(page, "ines")
    page.wait_for_url("**/jobs/2")
    page.locator("#text").fill("rang the customer")
    with page.expect_navigation():
        page.locator("#note button.main-button").click()
    expect(page.locator(".lines", has_text="rang the customer")).to_contain_text("ines")

    page.goto("/fork")
    end = page.locator("#readings div", has_text="Force at full travel").locator("dd")
    before = end.inner_text()
    page.get_by_role("slider", name="Air pressure").press("ArrowRight")
    expect(end).not_to_have_text(before)

    page.goto("/jobs/2")
    page.locator("#complaint").fill("something private")
    assert page.evaluate("Object.keys(localStorage).some((key) => key.startsWith('forkwright.desk.'))")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in")
    assert not page.evaluate("Object.keys(localStorage).some((key) => key.startsWith('forkwright.desk.'))")
    page.go_back()
    page.reload()
    expect(page.get_by_role("heading", name="Sign in to the workbench")).to_be_visible()


def test_a_session_that_ended_leads_to_the_sign_in_and_back(page: Page) -> None:
    """When the session ends in mid-work the page leads to the sign-in, and what was typed is still there."""
    page.goto("/jobs/2")
    sign_in(page, "ines")
    page.wait_for_url("**/jobs/2")
    page.locator("#complaint").fill("typed before it ended")
    page.context.clear_cookies()
    page.locator("#intake button.main-button").click()
    page.wait_for_url("**/sign-in?next=*")
    sign_in(page, "ines")
    page.wait_for_url("**/jobs/2")
    expect(page.locator("#complaint")).to_have_value("typed before it ended")


def test_another_person_after_a_session_that_ended_finds_nothing(page: Page) -> None:
    """What one left in the browser when a session ended by itself is not there for the next to sign in."""
    page.goto("/jobs/2")
    sign_in(page, "ines")
    page.wait_for_url("**/jobs/2")
    page.locator("#complaint").fill("typed before it ended")
    page.evaluate("localStorage.setItem('forkwright.evidence.files', '[]')")
    page.context.clear_cookies()
    page.goto("/jobs/2")
    sign_in(page, "gast")
    page.wait_for_url("**/jobs/2")
    kept = "Object.keys(localStorage).filter((key) => /^forkwright[.](desk|evidence)[.]/.test(key))"
    assert page.evaluate(kept) == []


def test_who_may_only_look_is_offered_nothing_to_change(page: Page) -> None:
    """A read-only account sees jobs and papers; there is no form it could send, and sliders still compute."""
    page.goto("/jobs/1/handover")
    sign_in(page, "gast")
    page.wait_for_url("**/jobs/1/handover")
    expect(page.get_by_role("link", name="Set-up card, A5")).to_be_visible()
    for sheet in ("", "/inspection", "/work", "/settings", "/handover"):
        page.goto(f"/jobs/1{sheet}")
        assert page.locator("main form button:visible:not(:disabled)").count() == 0, sheet
    page.goto("/fork")
    expect(page.locator("#readings dd").first).to_have_text(re.compile(r"\d"))


def test_a_rider_needs_no_account_and_the_leader_does(page: Page) -> None:
    """A rider's link opens on a phone that never signed in, and its records are kept; the leader is asked."""
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"/blind/rider#{LINKS['riders']['Ash']}")
    page.get_by_role("button", name="I have done my warm-up run today").click()
    expect(page.locator("#outbox")).to_have_text("all sent")
    expect(page.get_by_role("heading", name="Session 1 of 2")).to_be_visible()
    page.reload()
    expect(page.get_by_role("heading", name="Session 1 of 2")).to_be_visible()
    page.goto(f"/blind/mechanic#{LINKS['mechanic']}")
    page.get_by_label("For").select_option("Ash")
    page.get_by_role("button", name="Show the next card").click()
    expect(page.get_by_text("psi")).to_be_visible()
    page.goto(f"/blind/rider#{LINKS['riders']['Ash']}x")
    expect(page.get_by_role("alert")).to_contain_text("belongs to nobody here")
    page.goto(f"/blind/lead#{LINKS['leader']}")
    expect(page.get_by_role("heading", name="Sign in to the workbench")).to_be_visible()


@pytest.mark.slow
def test_a_guest_reads_a_log_and_leaves_none_behind(page: Page) -> None:
    """A read-only account may bring a log in and read it; signing out takes it off the browser."""
    log = Path(__file__).parents[2] / "src" / "forkwright" / "demo" / "logs" / "moor-ride-b.csv"
    page.goto("/logs")
    sign_in(page, "gast")
    page.get_by_label("Choose files to bring in").set_input_files(str(log))
    page.get_by_role("button", name="Read it").click()
    expect(page.locator("#figures")).to_contain_text("Riding sag", timeout=20_000)
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in*")
    kept = page.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('forkwright.evidence'))")
    assert kept == []
    stored = "async () => (await indexedDB.databases()).map((one) => one.name)"
    assert page.evaluate(stored) == []
