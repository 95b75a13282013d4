"""The workshop's jobs in a real browser: a whole visit of a fork, two people on one record, a telephone."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from openpyxl import load_workbook
from playwright.sync_api import Page, Route, expect
from tests.shop_samples import picture_bytes

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]
PHONE = {"width": 390, "height": 844}
DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"

# Every control a finger is meant for that is lower than 44 px; ticks and radios count by their label.
_SMALL_TARGETS = """() => [...document.querySelectorAll(
    'main button, main select, main input, main textarea, main summary, main a.button')]
  .filter((node) => node.offsetParent)
  .filter((node) => !node.matches('.segments input, .file-button input, [type=checkbox], [type=radio]'))
  .filter((node) => node.getBoundingClientRect().height < 43.5)
  .map((node) => node.outerHTML.slice(0, 90))"""

SHEETS = ("", "/inspection", "/work", "/settings", "/handover")


def new_job(address: str, serial: str, **more: Any) -> dict[str, Any]:
    """Take a fork in through the API and return the job."""
    toml = (DEMO / "dunlin-160.toml").read_text(encoding="utf-8")
    asked = {"toml": toml, "serial": serial, "customer": "Oda Brandt", "complaint": "harsh", **more}
    answered = httpx.post(f"{address}/api/workshop/jobs", json=asked, timeout=60)
    assert answered.status_code == 200, answered.text
    found: dict[str, Any] = answered.json()
    return found


def job_now(address: str, number: int) -> dict[str, Any]:
    """Return the job as the API tells it."""
    found: dict[str, Any] = httpx.get(f"{address}/api/workshop/jobs/{number}", timeout=60).json()
    return found


def save(page: Page, form: str) -> None:
    """Send a form by its button and wait for the page that follows."""
    with page.expect_navigation():
        page.locator(f"{form} button.main-button").click()


def go(page: Page, button: str) -> None:
    """Bring the job on by a button of its head."""
    with page.expect_navigation(url=re.compile(r"/jobs/\d+(/(inspection|work|settings|handover))?$")):
        page.locator(".job-head").get_by_role("button", name=button, exact=True).click()


def test_a_fork_from_the_counter_to_the_customer(visit: Visit, address: str) -> None:
    """Intake, inspection by keys and by measured wear, work, settings, signatures, hand-over, papers."""
    httpx.post(
        f"{address}/api/workshop/figures",
        json={"kind": "wear", "item": "bushing_play", "value": "0.20 mm", "unit_name": "Dunlin 160"},
    ).raise_for_status()
    page = visit("/jobs")
    page.keyboard.press("Alt+n")
    page.wait_for_url("**/jobs/new")
    page.locator("#unit-file").set_input_files(str(DEMO / "dunlin-160.toml"))
    expect(page.locator("#unit-file-name")).to_have_text("dunlin-160.toml")
    page.get_by_label("Serial number").fill("W-1")
    page.get_by_label("Customer", exact=True).fill("Zoë Ødegård")
    page.get_by_label("Complaint").fill("harsh on small bumps")
    page.get_by_label("Rider ready to ride").fill("82 pebbles")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#notices")).to_contain_text("rider_mass")
    expect(page.get_by_label("Rider ready to ride")).to_be_focused()
    page.get_by_label("Rider ready to ride").fill("82 kg")
    with page.expect_navigation(url=re.compile(r"/jobs/\d+$")):
        page.keyboard.press("Control+Enter")
    number = int(page.url.rsplit("/", 1)[1])

    page.locator("#picture").set_input_files(
        {"name": "../../scratch.png", "mimeType": "text/plain", "buffer": picture_bytes()}
    )
    expect(page.locator(".pictures img")).to_have_js_property("naturalWidth", 60)

    go(page, "To inspection")
    first = page.locator("#check-crown_and_steerer [name=result]").first
    first.focus()
    for item in ("crown_and_steerer", "lowers", "axle"):
        page.keyboard.press("g")
        expect(page.locator(f"#check-{item} [data-standing]")).to_have_text("good")
    play = page.locator("#check-bushing_play")
    play.get_by_label("Measured").fill("0.30 ± 0.01 mm")
    play.get_by_label("Measured").press("Tab")
    expect(play.locator("[data-standing]")).to_have_text("worn")
    play.get_by_label("Settled by").fill("new bushings pressed in")
    play.get_by_label("Settled by").press("Tab")
    expect(play.locator(".unsaved")).to_have_count(0)
    found = {row["item"]: row for row in job_now(address, number)["findings"]}
    assert found["bushing_play"]["result"] == "worn"
    assert found["bushing_play"]["limit"] == "0.20 mm"

    go(page, "To work")
    card = page.locator("#card-lower-leg-service")
    card.locator("summary").click()
    opening = card.locator("li", has_text="vent the air spring completely")
    expect(opening.locator(".caution").first).to_contain_text("Let all air out of every chamber")
    expect(card.locator(".missing").first).to_contain_text("look it up in the manual")
    for name, amount in (("wiper set", "1"), ("the maker's oil", "10 ml")):
        if amount.endswith("ml"):
            page.locator("#used-kind").select_option("oil")
        page.locator("#used-name").fill(name)
        page.locator("#used-amount").fill(amount)
        with page.expect_navigation():
            page.locator("#used-amount").press("Enter")
        expect(page.locator("#used-name")).to_be_focused()

    go(page, "To check")
    page.locator("#after-pressure").fill("400 psi")
    page.locator("#setting-after button.main-button").click()
    expect(page.locator("#notices")).to_contain_text("limit")
    page.locator("#after-pressure").fill("80 psi")
    page.locator("#after-rebound").fill("7")
    save(page, "#setting-after")
    page.locator("#before-pressure").fill("70 psi")
    save(page, "#setting-before")

    page.get_by_role("link", name="Hand-over", exact=True).click()
    page.locator("#work_done").fill("lower leg service")
    page.locator("#hours").fill("50")
    page.locator("#hours_a_week").fill("5")
    save(page, "#conclusion")
    expect(page.locator("#obstacles")).to_contain_text("the technician has not signed")
    page.locator("#sign-technician-name").fill("Ines Falk")
    with page.expect_navigation():
        page.locator("#sign-technician button").click()
    go(page, "To ready")
    expect(page.locator("#obstacles")).to_have_count(0)
    page.locator("#sign-customer-name").fill("Zoë Ødegård")
    with page.expect_navigation():
        page.locator("#sign-customer button").click()
    save(page, "#hand-over")
    expect(page.locator("#stage")).to_have_text("handed over")

    job = job_now(address, number)
    assert job["stage"] == "handed over"
    assert [each["still_holds"] for each in job["signatures"]] == [True, True]
    assert job["next_service"]["hours_h"] == 50.0
    with page.expect_download() as card_file:
        page.get_by_role("link", name="Set-up card, A5").click()
    assert Path(card_file.value.path()).read_bytes().startswith(b"%PDF-")
    with page.expect_download() as book_file:
        page.get_by_role("link", name="Pressures, spreadsheet").click()
    book = load_workbook(io.BytesIO(Path(book_file.value.path()).read_bytes()))
    assert book.worksheets[0]["B5"].value == pytest.approx(80.0)

    page.goto(f"{address}/jobs")
    expect(page.locator(".job-card", has_text="harsh on small bumps")).to_have_count(0)
    page.keyboard.press("Alt+s")
    page.keyboard.type("odegard")
    page.keyboard.press("Enter")
    expect(page.locator(".hits")).to_contain_text("Zoë Ødegård")


def test_two_people_change_one_record(visit: Visit, address: str) -> None:
    """The second to save sees what both started from, mine and theirs, and saves what they choose."""
    number = new_job(address, "W-2")["number"]
    first, second = visit(f"/jobs/{number}"), visit(f"/jobs/{number}")
    first.locator("#complaint").fill("harsh on roots")
    first.locator("#rider_manner").fill("steep and wet")
    save(first, "#intake")
    second.locator("#complaint").fill("harsh at speed")
    second.locator("#rider_mass").fill("78 kg")
    second.locator("#intake button.main-button").click()
    merge = second.get_by_role("dialog", name="Someone else was faster")
    clash = merge.get_by_role("group", name=re.compile("Complaint.*both changed it"))
    expect(clash).to_contain_text("Both started from: harsh")
    expect(clash.get_by_role("radio", name=re.compile("Yours"))).to_be_checked()
    expect(clash).to_contain_text("harsh on roots")
    theirs = merge.get_by_role("group", name=re.compile("How and where they ride.*they changed it"))
    expect(theirs.get_by_role("radio", name=re.compile("Stands now"))).to_be_checked()
    expect(merge).not_to_contain_text(re.compile("false|null|undefined"))
    assert not Axe().run(second).response["violations"]
    clash.get_by_role("radio", name=re.compile("Stands now")).check()
    with second.expect_navigation():
        merge.get_by_role("button", name="Save the merge").click()
    job = job_now(address, number)
    assert job["complaint"] == "harsh on roots"
    assert job["rider"]["mass"] == "78 kg"
    assert job["rider"]["manner"] == "steep and wet"


def test_what_is_typed_outlives_reload_and_lost_server(visit: Visit, address: str) -> None:
    """Unsaved text comes back after a reload; when the server is lost nothing is sent by itself."""
    number = new_job(address, "W-3")["number"]
    page = visit(f"/jobs/{number}")
    note = page.locator("#text")
    note.fill("rang the customer")
    page.reload()
    expect(note).to_have_value("rang the customer")
    expect(page.locator("#note .unsaved")).to_be_visible()

    def cut(route: Route) -> None:
        route.abort()

    page.route("**/api/**", cut)
    page.locator("#note button.main-button").click()
    expect(page.locator("#notices")).to_contain_text("Look whether it was saved")
    page.unroute("**/api/**", cut)
    page.wait_for_timeout(900)
    assert job_now(address, number)["notes"] == []
    save(page, "#note")
    expect(note).to_have_value("")
    assert [each["text"] for each in job_now(address, number)["notes"]] == ["rang the customer"]


def test_a_form_sent_before_the_page_is_ready_goes_nowhere(visit: Visit, address: str) -> None:
    """Without the page's script a form does nothing: no text gets into an address or is lost."""
    number = new_job(address, "W-7")["number"]
    page = visit("/jobs")
    page.route("**/workshop.js", lambda route: route.fulfill(body="", content_type="text/javascript"))
    page.goto(f"{address}/jobs/{number}")
    page.locator("#complaint").fill("something private")
    page.locator("#intake button.main-button").click()
    page.wait_for_timeout(300)
    assert page.url == f"{address}/jobs/{number}"
    expect(page.locator("#complaint")).to_have_value("something private")


def test_a_draft_begun_on_an_older_version_ends_in_the_merge(visit: Visit, address: str) -> None:
    """A draft that outlived a reload still knows what it was begun on top of."""
    number = new_job(address, "W-4")["number"]
    page = visit(f"/jobs/{number}")
    page.locator("#complaint").fill("mine")
    version = job_now(address, number)["version"]
    httpx.put(
        f"{address}/api/workshop/jobs/{number}/intake", json={"read_version": version, "complaint": "theirs"}
    ).raise_for_status()
    page.reload()
    expect(page.locator("#complaint")).to_have_value("mine")
    page.locator("#intake button.main-button").click()
    expect(page.get_by_role("dialog", name="Someone else was faster")).to_contain_text("theirs")


@pytest.mark.slow
def test_every_sheet_is_fit_for_eyes_and_fingers(visit: Visit, address: str) -> None:
    """Axe finds nothing on any sheet; on a telephone nothing runs out sideways or is too small."""
    job = new_job(address, "W-5", due_on="2020-01-01")
    number = job["number"]
    unit = f"/jobs/unit/{job['unit']['id']}"
    paths = [f"/jobs/{number}{sheet}" for sheet in SHEETS]
    page = visit("/jobs", viewport=PHONE)
    told = []
    for path in (*paths, "/jobs", "/jobs/new", "/jobs/figures", "/jobs/search?words=dunlin", unit):
        page.goto(f"{address}{path}")
        for details in page.locator("main details").all()[:1]:
            details.evaluate("node => { node.open = true }")
        told += [f"{path}: {each['id']} {each['help']}" for each in Axe().run(page).response["violations"]]
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], path
        assert page.evaluate(_SMALL_TARGETS) == [], path
    assert not told, "\n".join(told)
    page.goto(f"{address}/jobs")
    expect(page.locator(".job-card", has=page.locator(".late")).first).to_contain_text("Late: due 2020-01-01")


def test_text_from_outside_stays_text(visit: Visit, address: str) -> None:
    """Markup in names, notes and complaints is shown as typed on every page and runs nowhere."""
    nasty = "<img src=x onerror=alert(1)></script><b>"
    number = new_job(address, "W-6", complaint=nasty, customer=nasty)["number"]
    httpx.post(f"{address}/api/workshop/jobs/{number}/notes", json={"text": nasty}).raise_for_status()
    page = visit(f"/jobs/{number}")
    expect(page.locator(".note-text")).to_have_text(nasty)
    assert page.locator("img[src='x']").count() == 0
    page.goto(f"{address}/jobs")
    expect(page.locator(".job-card", has_text=nasty)).to_have_count(1)
    page.goto(f"{address}/jobs/search?words={json.dumps(nasty)}")
    assert page.locator("main b").count() == 0
