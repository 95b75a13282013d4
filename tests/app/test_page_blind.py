"""The blind test in a real browser: planned, ridden with phones that lose the network, closed, opened."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.sync_api import Page, expect
from tests.app.test_app_access import _SMALL_TARGETS, PHONE, violations

from forkwright.trial import MASK_CHECKS, SAFETY_CHECKS, request_from_mapping, size_for

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]
REQUEST = request_from_mapping(
    {
        "format": 1,
        "name": "Moor day",
        "design": "paired",
        "question": "Which one would you rather race on?",
        "riders": ["Ash", "Birch", "Cedar"],
        "leader": "Linden",
        "mechanic": "Maple",
        "aim": {"preferred_share": 0.75},
        "options": [{"label": "a"}, {"label": "b"}],
    }
)


def troubles(page: Page) -> list[str]:
    """Return what axe-core finds on a page as it stands, and every control too small for a finger."""
    return [*violations(page).splitlines(), *page.evaluate(_SMALL_TARGETS)]


def planned(address: str, demo: Path, **changes: Any) -> dict[str, Any]:
    """Plan a small trial through the API and return its links and codes."""
    fork = {"toml": (demo / "dunlin-160.toml").read_text(encoding="utf-8"), "edits": {}, "name": "Dunlin"}
    request = {
        "format": 1,
        "name": "Two or three",
        "design": "paired",
        "question": "Which one would you rather race on?",
        "riders": ["Ash"],
        "leader": "Linden",
        "mechanic": "Maple",
        "repeats": 2,
        "aim": {"preferred_share": 0.8},
        "options": [
            {"label": "fewer", "setting": {"pressure": "85 psi", "spacers": 2}},
            {"label": "more", "setting": {"pressure": "82 psi", "spacers": 3}},
        ],
        "scales": [{"name": "grip", "low": "none", "high": "all I could ask"}],
        "times": ["section 2"],
        "limits": {"load": "420 N", "full_travel_force": "1500 N"},
    } | changes
    made = httpx.post(
        f"{address}/api/blind/plan", json={"request": request, "forks": [fork, fork]}, timeout=60
    )
    assert made.status_code == 200, made.text
    return dict(made.json())


def keep(address: str, token: str, *records: dict[str, Any]) -> None:
    """Send records as a phone does."""
    stamp = datetime.now(UTC).isoformat()
    body = {
        "records": [
            {"id": f"r{number}{token[-6:]}", "at": stamp, **one} for number, one in enumerate(records)
        ]
    }
    answered = httpx.post(f"{address}/api/blind/seat/{token}/records", json=body, timeout=60)
    assert {one["status"] for one in answered.json()["receipts"]} <= {"kept", "already kept"}, answered.text


def seat(address: str, token: str) -> dict[str, Any]:
    """Return what a link's holder sees."""
    return dict(httpx.get(f"{address}/api/blind/seat/{token}", timeout=60).json())


def all_ridden(address: str, links: dict[str, Any]) -> None:
    """Record everything of a small paired trial: ready checks, and always the first code preferred."""
    checks = [*SAFETY_CHECKS, *MASK_CHECKS]
    sessions = seat(address, links["leader"])["sessions"]
    codes = [code for session in sessions for code in session["codes"]]
    keep(
        address,
        links["mechanic"],
        *({"kind": "ready", "by": "Maple", "code": code, "checks": checks} for code in codes),
    )
    for rider, token in links["riders"].items():
        own = [one for one in sessions if one["rider"] == rider]
        keep(address, token, *(
            {"kind": "choice", "by": rider, "session": one["number"], "choice": one["codes"][0]}
            for one in own
        ))  # fmt: skip


def test_plan_form_shows_size_and_hands_out_links(visit: Visit) -> None:
    """The form gives the size of the trial as it is filled in, names the wrong field, and draws the plan."""
    page = visit("/blind")
    page.get_by_label("Riders, one on each line").fill("Ash\nBirch\nCedar")
    size = page.locator("#size-found")
    due = size_for(REQUEST)
    expect(size).to_contain_text(
        f"3 riders, {due.repeats} sessions each: {due.answers} answers, {2 * due.answers} runs."
    )
    expect(size.locator(".power strong")).to_have_text(f"{due.power:.2f}")
    page.get_by_label("How often the better one is put first, of two").fill("1.5")
    expect(page.locator("#plan-fault")).to_contain_text("preferred_share")
    expect(page.get_by_label("How often the better one is put first, of two")).to_have_attribute(
        "aria-invalid", "true"
    )
    page.get_by_label("How often the better one is put first, of two").fill("0.9")
    page.get_by_label(re.compile("Name of the trial")).fill("As set or not")
    expect(size).to_contain_text("names an option")
    page.get_by_label(re.compile("Name of the trial")).fill("Moor day")
    page.get_by_label("Leader").fill("Linden")
    page.get_by_label("Mechanic").fill("Maple")
    page.get_by_role("button", name="Draw the plan").click()
    expect(page.locator("#plan-fault")).to_contain_text("limits.full_travel_force")
    page.get_by_label("Least force at full travel").fill("1500 N")
    page.reload()
    expect(page.get_by_label("Least force at full travel")).to_have_value("1500 N")
    page.get_by_role("button", name="Draw the plan").click()
    handed = page.locator("#handed")
    expect(handed).to_contain_text("Planned: Moor day")
    expect(handed.locator(".link-card")).to_have_count(5)
    expect(handed).to_contain_text(re.compile(r"[0-9a-f]{64}"))
    assert troubles(page) == []
    expect(page.locator("#trials")).to_contain_text("Moor day")
    page.get_by_label("Link for Linden").evaluate("field => window.open(field.value, '_self')")
    expect(page.get_by_role("heading", name="Moor day")).to_be_visible()


def test_every_kind_has_its_form_and_size(visit: Visit) -> None:
    """Each kind of trial asks for what it needs and gets a size, simulated ones as a job."""
    page = visit("/blind")
    page.get_by_label("Riders, one on each line").fill("Ash\nBirch\nCedar")
    page.get_by_role("button", name="Add a rating scale").click()
    found = page.locator("#size-found")
    for design, how in (
        ("triangle", "exact, binomial"),
        ("duo-trio", "exact, binomial"),
        ("rated", "approximate, paired t test"),  # three riders who differ, see the form
        ("ranked", "simulation of 1000 trials"),
    ):
        page.locator(f"input[name=design][value='{design}']").check()
        expect(found).to_contain_text(how, timeout=15_000)
        expect(found).not_to_have_class("stale")
        expect(found).to_contain_text(re.compile(r"3 riders, \d+ sessions? each: \d+ answers"))
        expect(page.locator("#plan-fault")).to_be_hidden()


def test_the_size_of_a_ranking_can_be_cancelled_and_comes_before_the_plan(visit: Visit) -> None:
    """The simulated size has a bar and a cancel button; drawing the plan waits for it and then draws."""
    page = visit("/blind", viewport=PHONE)
    page.locator("input[name=design][value='ranked']").check()
    page.locator("[data-key='aim.preferred_share']").fill("0.55")
    page.get_by_label("Riders, one on each line").fill("Ash\nBirch")
    bar = page.locator("#size .job-bar")
    expect(bar).to_contain_text(re.compile(r"sessions each: power 0\.\d\d"), timeout=30_000)
    bar.get_by_role("button", name="Cancel").click()
    expect(bar).to_be_hidden()
    page.locator("[data-key='aim.preferred_share']").fill("0.85")
    page.get_by_label("Leader").fill("Linden")
    page.get_by_label("Mechanic").fill("Maple")
    page.get_by_label("Least force at full travel").fill("1500 N")
    page.get_by_role("button", name="Draw the plan").click()
    expect(page.locator("#handed-title")).to_contain_text("Planned:", timeout=30_000)


def test_a_phone_that_loses_the_network_loses_nothing(visit: Visit, address: str, demo: Path) -> None:
    """Ratings, times and a choice made offline survive closing the page, and are kept once when sent."""
    links = planned(address, demo)["links"]
    token = links["riders"]["Ash"]
    page = visit(f"/blind/rider#{token}", viewport=PHONE)
    page.get_by_role("button", name="I have done my warm-up run today").click()
    expect(page.locator("#outbox")).to_have_text("all sent")
    codes = seat(address, token)["sessions"][0]["codes"]
    expect(page.locator(".session")).to_contain_text(codes[0])
    assert troubles(page) == []
    page.context.set_offline(True)
    for code, points, clock in ((codes[0], 7, "1:23.4"), (codes[1], 3, "84,2")):
        form = page.locator(".run", has_text=code)
        form.get_by_label(f"grip: {points}").check()
        form.get_by_label("section 2 (time)").fill(clock)
        form.get_by_role("button", name=f"Keep for {code}").click()
        expect(page.locator(".run", has_text=code)).to_contain_text("kept")
    page.get_by_label(f"Code {codes[0]}").check()
    page.get_by_role("button", name="Keep my answer").click()
    expect(page.locator("#outbox")).to_have_text("5 to send")
    expect(page.locator("#notices")).to_contain_text("stored on this phone")
    context = page.context
    page.close()
    page = context.new_page()  # is offline before it opens anything; leaving by an address was not always
    page.goto(f"{address}/blind/rider#{token}")  # the page itself comes from the phone, not from the network
    expect(page.locator("#outbox")).to_have_text("5 to send")
    page.context.set_offline(False)
    expect(page.locator("#outbox")).to_have_text("all sent", timeout=15_000)
    seen = seat(address, token)
    assert seen["sessions"][0]["answered"]
    assert sorted(set(seen["rated"])) == sorted(codes)
    assert len(seen["rated"]) == 4  # a rating and a time for each code, each kept once
    page.get_by_text("Answered: 1 of 2").click()
    page.get_by_role("button", name="Change session 1").click()
    page.get_by_label(f"Code {codes[1]}").check()
    page.get_by_role("button", name="Keep my answer").click()
    expect(page.locator("#outbox")).to_have_text("all sent")
    expect(page.locator("#seat")).not_to_contain_text("Not counted")


def test_records_survive_an_answer_that_never_came(visit: Visit, address: str, demo: Path) -> None:
    """The server kept the records but its answer was lost: they are sent again and still kept once."""
    links = planned(address, demo)["links"]
    token = links["riders"]["Ash"]
    page = visit(f"/blind/rider#{token}", viewport=PHONE)
    lost = []

    def swallow(route: Any) -> None:
        answered = httpx.post(
            route.request.url,
            content=route.request.post_data,
            headers={"content-type": "application/json"},
        )
        lost.append(answered.json())
        route.abort()

    page.route("**/records", swallow, times=1)
    page.get_by_role("button", name="I have done my warm-up run today").click()
    expect(page.locator("#outbox")).to_have_text("1 to send")
    expect(page.locator("#outbox")).to_have_text("all sent", timeout=10_000)
    assert lost[0]["receipts"][0]["status"] == "kept"
    assert len(seat(address, token)["warm_ups"]) == 1


def test_mechanics_card_checks_then_goes(visit: Visit, address: str, demo: Path) -> None:
    """The card shows one setting, is never ready while unsafe, says what will not count, and then goes."""
    links = planned(address, demo)["links"]
    keep(address, links["riders"]["Ash"], {"kind": "warm_up", "by": "Ash", "rider": "Ash"})
    page = visit(f"/blind/mechanic#{links['mechanic']}", viewport=PHONE)
    page.get_by_role("button", name="Show the next card").click()
    code = seat(address, links["leader"])["sessions"][0]["codes"][0]
    expect(page.locator("#card-title")).to_contain_text(code)
    expect(page.locator(".card")).to_contain_text("psi")
    ready = page.get_by_role("button", name="Ready to ride")
    expect(ready).to_be_disabled()
    assert troubles(page) == []
    for words in SAFETY_CHECKS.values():
        page.get_by_label(words).check()
    expect(page.locator(".card")).to_contain_text("will not count")
    for words in MASK_CHECKS.values():
        page.get_by_label(words).check()
    expect(page.locator(".card")).to_contain_text("this run counts")
    ready.click()
    expect(page.locator("#seat")).not_to_contain_text("psi")
    expect(page.locator("#outbox")).to_have_text("all sent")
    assert seat(address, links["riders"]["Ash"])["made_ready"] == [code]
    kept = page.evaluate("JSON.stringify(localStorage)")
    assert "psi" not in kept
    assert "fewer" not in kept


def test_a_stop_reaches_everybody_until_the_leader_resumes(visit: Visit, address: str, demo: Path) -> None:
    """An incident that stops the trial is said on the rider's page; the leader writes why it goes on."""
    links = planned(address, demo)["links"]
    rider = visit(f"/blind/rider#{links['riders']['Ash']}", viewport=PHONE)
    rider.get_by_text("Incident", exact=True).click()
    rider.get_by_label("What happened").fill("front wheel knocked")
    rider.get_by_role("button", name="Stop the trial").click()
    expect(rider.locator("#notices")).to_contain_text("The trial is stopped")
    lead = visit(f"/blind/lead#{links['leader']}")
    expect(lead.locator(".stopped")).to_contain_text("front wheel knocked")
    lead.get_by_label("Why it may go on").fill("wheel checked, axle tight")
    lead.get_by_role("button", name="Go on").click()
    expect(lead.locator(".stopped")).to_have_count(0)
    assert seat(address, links["riders"]["Ash"])["stopped"] is False


def test_leader_closes_opens_and_reports(visit: Visit, address: str, demo: Path, tmp_path: Path) -> None:
    """Closed, opened against the printed commitment, analysed, and the report is two pages."""
    made = planned(address, demo, repeats=8, name="Report day", scales=[], times=[])
    all_ridden(address, made["links"])
    page = visit(f"/blind/lead#{made['links']['leader']}")
    page.on("dialog", lambda dialog: dialog.accept())
    expect(page.locator(".lead-head")).to_contain_text("8 of 8")
    assert troubles(page) == []
    page.get_by_role("button", name="Close the records").click()
    page.get_by_label("Commitment from the paper").fill("0" * 64)
    page.get_by_role("button", name="Open the key").click()
    expect(page.locator("#seat-fault")).to_contain_text("not the printed one")
    page.get_by_label("Commitment from the paper").fill(made["plan"]["commitment"])
    page.get_by_role("button", name="Open the key").click()
    expect(page.locator(".verified")).to_contain_text(f"fits its commitment {made['plan']['commitment']}")
    expect(page.locator("#seat")).to_contain_text("nobody chose it")
    verdict = page.locator(".verdict")
    expect(verdict).not_to_be_empty(timeout=20_000)
    assert troubles(page) == []
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Download the two-page report").click()
    target = tmp_path / "report.pdf"
    waiting.value.save_as(target)
    content = target.read_bytes()
    assert content.startswith(b"%PDF")
    assert len(re.findall(rb"/Type\s*/Page\b", content)) == 2
    page.reload()
    expect(page.locator(".verdict")).to_have_text(verdict.inner_text(), timeout=20_000)


def test_the_leader_types_in_what_a_rider_wrote_on_paper(visit: Visit, address: str, demo: Path) -> None:
    """A choice typed by the leader is kept in the leader's name, can be corrected, and is marked as typed."""
    links = planned(address, demo, name="Wet phone", scales=[], times=[])["links"]
    page = visit(f"/blind/lead#{links['leader']}", viewport=PHONE)
    page.get_by_text("Type in an answer from paper").click()
    paper = page.get_by_role("region", name="Answers from paper")
    paper.get_by_role("button", name="Ash has done it").click()
    expect(paper.get_by_text("No warm-up run")).to_have_count(0)
    session = seat(address, links["leader"])["sessions"][0]
    for code in session["codes"]:
        paper.get_by_role("radio", name=f"Code {code}").check()
        paper.get_by_role("button", name="Keep the rider's answer").click()
        page.locator("#paper-session").select_option("1")
        expect(paper.get_by_text(f"Typed in: {code}.")).to_be_visible()
    expect(page.get_by_role("row", name=re.compile("typed in by Linden"))).to_have_count(1)
    assert troubles(page) == []
    view = seat(address, links["leader"])
    assert view["typed"] == [1]
    assert view["warmed_up_today"] == ["Ash"]
    rider = seat(address, links["riders"]["Ash"])
    assert [one["answered"] for one in rider["sessions"]] == [True, False]


def test_the_leader_replaces_a_riders_link(visit: Visit, address: str, demo: Path) -> None:
    """A rider's link is made anew after a question; the old one is dead, and the new page tells the count."""
    links = planned(address, demo)["links"]
    page = visit(f"/blind/lead#{links['leader']}")
    page.on("dialog", lambda asked: asked.accept())
    page.get_by_text("Riders' links").click()
    field = page.get_by_label("Link for Ash", exact=True)
    expect(field).to_have_value(re.compile(re.escape(links["riders"]["Ash"])))
    page.get_by_role("button", name="New link for Ash").click()
    expect(page.locator("#rider-links")).to_contain_text("Links given to Ash so far: 2")
    assert troubles(page) == []
    new = field.input_value()
    assert links["riders"]["Ash"] not in new
    phone = visit(new.removeprefix(address), viewport=PHONE)
    expect(phone.get_by_text("Links given to you so far: 2")).to_be_visible()
    dead = visit(f"/blind/rider#{links['riders']['Ash']}", viewport=PHONE)
    expect(dead.get_by_role("alert")).to_contain_text("belongs to nobody here")


@pytest.mark.parametrize("who", ["rider", "mechanic", "lead"])
def test_pages_behind_links_are_clean_in_the_dark_and_on_a_phone(
    visit: Visit, address: str, demo: Path, who: str
) -> None:
    """The pages behind the links pass axe on dark, fit a phone, and say so when the link is wrong."""
    links = planned(address, demo)["links"]
    token = {"rider": links["riders"]["Ash"], "mechanic": links["mechanic"], "lead": links["leader"]}[who]
    page = visit(f"/blind/{who}#{token}", viewport=PHONE, dark=True)
    expect(page.locator("#seat .sheet").first).to_be_visible()
    assert troubles(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    wrong = visit(f"/blind/{who}#nobody.x")
    expect(wrong.locator("#seat-fault")).to_contain_text("belongs to nobody")
    assert json.loads(wrong.evaluate("JSON.stringify(Object.keys(localStorage))")) == []


def test_a_page_that_cannot_be_filled_at_first_tries_again(visit: Visit, address: str, demo: Path) -> None:
    """A phone that opens its link while the network comes and goes is filled at the first answer."""
    token = planned(address, demo)["links"]["riders"]["Ash"]
    page = visit("/blind/rider#", viewport=PHONE)
    expect(page.locator("#seat-fault")).to_contain_text("own link")
    page.route("**/api/blind/seat/**", lambda route: route.abort(), times=2)
    page.goto("about:blank")
    page.goto(f"{address}/blind/rider#{token}")
    expect(page.get_by_role("button", name="I have done my warm-up run today")).to_be_visible(timeout=8_000)
