"""Match, Recommend, Stages and Uncertainty in a real browser: the command line's words, and what to do."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from forkwright.bench.loads import fork_load
from forkwright.hardware import Bike, Rider, load

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]
COURSE = """
format = 1
kind = "course"
name = "Yard"
length = "24 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[roughness]]
from = "2 m"
to = "22 m"
class = "C"
seed = 3
"""


def command_line(*arguments: str) -> dict[str, Any]:
    """Run the command line and return its JSON."""
    ran = subprocess.run(
        [sys.executable, "-m", "forkwright", *arguments, "--json"], capture_output=True, text=True, check=True
    )
    found: dict[str, Any] = json.loads(ran.stdout)
    return found


def told(page: Page) -> list[str]:
    """Return the sentences on the page, once there are any."""
    first = page.locator("#first-sentence")
    expect(first).not_to_be_empty(timeout=30_000)
    return [first.inner_text(), *page.locator("#sentences li").all_inner_texts()]


def assert_clean(page: Page) -> None:
    """Fail on anything axe-core finds."""
    found = [
        f"{one['id']}: {[node['html'][:120] for node in one['nodes'][:3]]}"
        for one in Axe().run(page).response["violations"]
    ]
    assert not found, "\n".join(found)


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    """Write a short course, so that a search takes moments."""
    path = tmp_path / "yard.toml"
    path.write_text(COURSE, encoding="utf-8")
    return path


def test_match_says_what_the_command_line_says(visit: Visit, demo: Path) -> None:
    """The sentences are those of `forkwright match`; one press gives B the setting."""
    page = visit("/match")
    expected = command_line("match", str(demo / "dunlin-160.toml"), str(demo / "plover-160.toml"))
    assert told(page) == expected["sentences"]
    expect(page.locator("#neighbours tbody tr")).to_have_count(len(expected["neighbours"]))
    expect(page.locator("#sureness tbody tr")).to_have_count(len(expected["bands"]["adjusters"]))
    page.locator("#chart-left").scroll_into_view_if_needed()
    expect(page.locator("#chart-left .js-line").first).to_be_attached()
    assert_clean(page)
    page.get_by_role("button", name="Give B this setting").click()
    expect(page.locator("#stale")).to_contain_text("work it out again")
    page.goto(page.url.replace("/match", "/compare"))
    psi = expected["setting"]["pressure_gauge_Pa"] / 6894.757293168
    expect(page.locator("#b-setting-pressure")).to_have_attribute("aria-valuetext", f"{psi:.1f} psi")


def test_match_refuses_a_use_that_makes_no_sense(visit: Visit) -> None:
    """A stated stretch outside the travel is refused in the words of `forkwright match`."""
    page = visit("/match")
    told(page)
    page.get_by_label("stated", exact=True).check(force=True)
    page.get_by_label("Travel from").fill("200 mm")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#tune-fault")).to_contain_text("must be a stretch within the travel", timeout=15_000)


@pytest.mark.slow
def test_match_takes_the_shims_of_the_shop(visit: Visit) -> None:
    """A list of shims is refused by its line, then stacks are proposed from it; it stays after a reload."""
    page = visit("/match")
    told(page)
    page.get_by_label("the shop's shims too").check(force=True)
    shims = page.get_by_label("Shims at hand, one size a line")
    shims.fill("2 of 16.0 x 0.20 mm\nthin ones")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#tune-fault")).to_contain_text("thin ones", timeout=15_000)
    shims.fill("2 of 16.0 x 0.20 mm\n13.0 x 0.20 mm")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#stack-list")).to_contain_text("possible stacks solved", timeout=60_000)
    expect(page.locator("#stack-list")).to_contain_text("16.0 x 0.20 mm")
    assert_clean(page)
    page.reload()
    expect(page.get_by_label("Shims at hand, one size a line")).to_have_value(re.compile("13.0 x 0.20"))


def test_match_without_a_log_says_where_to_bring_one_in(visit: Visit) -> None:
    """As logged: the page sends to the Ride logs page, where columns are given their meaning."""
    page = visit("/match")
    told(page)
    page.get_by_label("as logged", exact=True).check(force=True)
    expect(page.locator("#use-log").get_by_role("link", name="Ride logs page")).to_be_visible()


def test_recommend_by_a_log_says_where_to_bring_one_in_and_remembers_the_wish(visit: Visit) -> None:
    """Ticked: the page sends to the Ride logs page, after a reload too; not ticked, nothing is in the way."""
    page = visit("/recommend")
    weighed = page.get_by_label("Weigh the courses as a ride log says")
    link = page.locator("#log").get_by_role("link", name="Ride logs page")
    expect(link).to_be_hidden()
    weighed.check()
    expect(link).to_be_visible()
    page.reload()
    expect(link).to_be_visible()
    weighed.uncheck()
    expect(link).to_be_hidden()


def ride_the_yard(page: Page, yard: Path) -> list[str]:
    """Ask for settings over the short course, with one wish, and return what is said."""
    page.get_by_label("Heather traverse").uncheck()
    page.get_by_label("Import a course").set_input_files(yard)
    expect(page.get_by_label("Yard")).to_be_checked()
    page.get_by_label("Support: more").check(force=True)
    page.get_by_label("Ride it with parts off by their tolerances too").uncheck()
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#job progress")).to_be_visible()
    return told(page)


def test_recommend_is_picked_taken_and_survives_a_reload(visit: Visit, yard: Path) -> None:
    """A search over an imported course shows its progress; a setting is chosen, taken and taken back."""
    page = visit("/recommend")
    said = ride_the_yard(page, yard)
    assert "more support" in said[0]
    assert_clean(page)
    page.get_by_role("button", name=re.compile("^Choose ")).nth(1).click()
    expect(page.locator("#picked")).to_contain_text("Chosen:")
    page.get_by_role("button", name="Set the fork to this one").click()
    expect(page.locator("#picked")).to_contain_text("Undo takes it back")
    expect(page.locator("#stale")).to_contain_text("work it out again")
    assert_clean(page)  # an answer that has become old can still be read
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#stale")).to_be_empty()
    page.reload()
    assert told(page) == said


@pytest.mark.slow
def test_a_shock_is_called_one(visit: Visit, yard: Path) -> None:
    """With a shock on the bench the button sets "the shock", and no fork that has come in its place."""
    page = visit("/recommend")
    page.get_by_label("Fork or shock").select_option(label="Linnet 65")
    ride_the_yard(page, yard)
    page.get_by_role("button", name=re.compile("^Choose ")).nth(1).click()
    expect(page.get_by_role("button", name="Set the shock to this one")).to_be_visible()
    page.get_by_label("Fork or shock").select_option(label="Dunlin 160")
    page.get_by_role("button", name="Give it this setting").click()
    expect(page.locator("#offers")).to_contain_text("found for another unit")
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()  # the fork was left as it is


@pytest.mark.slow
def test_recommend_says_what_the_command_line_says(visit: Visit, yard: Path, demo: Path) -> None:
    """The sentences are those of `forkwright recommend`, but for the time it took."""
    said = ride_the_yard(visit("/recommend"), yard)
    expected = command_line(
        "recommend", str(demo / "dunlin-160.toml"), "--course", str(yard), "--wish", "more support",
        "--rider", str(demo / "rider.toml"), "--bike", str(demo / "bike.toml"), "--draws", "0",
    )  # fmt: skip
    alike = [words for words in expected["sentences"] if not words.startswith("Looked at")]
    assert [words for words in said if not words.startswith("Looked at")] == alike


def test_a_long_search_is_cancelled(visit: Visit) -> None:
    """A running search stops when asked, and another can be started."""
    page = visit("/recommend")
    for name in ("Cairn flow line", "Peat hag descent"):
        page.get_by_label(name).check()
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#job")).to_contain_text("looking around", timeout=15_000)
    page.get_by_role("button", name="Cancel").click()
    expect(page.locator("#job")).to_be_hidden()
    expect(page.get_by_role("button", name="Work it out")).to_be_enabled()
    state = "async () => (await (await fetch('/api/jobs')).json()).jobs[0].state"
    page.wait_for_function(f"({state})().then((state) => state === 'cancelled')", timeout=15_000)


@pytest.mark.slow
def test_stages_make_a_card(visit: Visit, yard: Path, tmp_path: Path) -> None:
    """Two stages over a short course give a build, what to turn, and a card as a PDF."""
    page = visit("/stages")
    page.get_by_label("Import a course").set_input_files(yard)
    for place in (0, 1):
        page.locator(f"#stage-{place}-course").select_option(label="Yard (24 m, 4 s)")
    page.get_by_label("Speed may be off by (%)").fill("0")
    page.get_by_label("Ride it with parts off by their tolerances too").uncheck()
    page.get_by_label("Stage 2", exact=True).fill("Top")
    page.get_by_role("button", name="Work it out").click()
    assert told(page)[0].startswith("For the whole day:")
    expect(page.locator("#plan tbody tr")).to_have_count(2)
    expect(page.locator("#plan")).to_contain_text("Top")
    assert_clean(page)
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Card for the top tube").click()
    target = tmp_path / "card.pdf"
    waiting.value.save_as(target)
    assert target.read_bytes().startswith(b"%PDF")


@pytest.mark.slow
def test_uncertainty_says_what_the_command_line_says(visit: Visit, demo: Path) -> None:
    """Bands, the measure to repeat and the verdict on another fork are those of `forkwright uncertainty`."""
    page = visit("/uncertainty")
    page.get_by_label("Does it differ from").select_option(label="Plover 160")
    page.get_by_label("Samples").select_option("128")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#sentences")).to_contain_text("They differ", timeout=30_000)
    rider, bike = load(demo / "rider.toml"), load(demo / "bike.toml")
    assert isinstance(rider, Rider)
    assert isinstance(bike, Bike)
    rests = fork_load(rider, bike)
    dunlin, plover = str(demo / "dunlin-160.toml"), str(demo / "plover-160.toml")
    expected = command_line(
        "uncertainty", dunlin, "--load", f"{float(rests.axial)!r} N", "--side-load",
        f"{float(rests.side)!r} N", "--samples", "128", "--against", plover,
    )  # fmt: skip
    expect(page.locator("#bands tbody tr")).to_have_count(len(expected["answers"]))
    assert told(page)[-2:] == expected["sentences"][-2:]
    assert_clean(page)
