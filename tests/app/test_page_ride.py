"""The Ride page in a real browser: the picture moves as the ride was computed, the scores are its own."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.app_rides import DEMO, YARD, command_line

pytestmark = pytest.mark.browser
Visit = Callable[..., Page]


WATCH = """() => {
  const read = document.getElementById('moment-read');
  window.seen = [];
  new MutationObserver(() => window.seen.push(read.textContent)).observe(read, { childList: true });
}"""


def score(page: Page, key: str, column: int = 0) -> str:
    """Return a score as it stands in the table."""
    return page.locator(f"[data-score={key}] td").nth(column).inner_text()


def answered(page: Page) -> None:
    """Wait until a ride stands on the page that belongs to what is asked now."""
    expect(page.locator(".ride-page.has-answer:not(.is-stale)")).to_be_visible(timeout=60_000)
    expect(page.locator("#job")).to_be_hidden(timeout=60_000)


def on_the_yard(page: Page, folder: Path) -> None:
    """Drop a short course of one's own and ride it."""
    answered(page)
    path = folder / "yard.toml"
    path.write_text(YARD, encoding="utf-8")
    page.get_by_label("Add a course").set_input_files(path)
    expect(page.locator("#course-facts")).to_contain_text("drop at 12 m")
    expect(page.locator("#hits li").first).to_contain_text("drop")
    answered(page)


def end(page: Page, part: str, *names: str) -> list[float]:
    """Return one end of a drawn line, or the middle of a circle, in drawing units."""
    drawn = page.locator(f"#scenes {part}").first
    return [float(drawn.get_attribute(name) or "nan") for name in names]


def test_the_page_shows_the_command_lines_numbers(visit: Visit, tmp_path: Path) -> None:
    """Scores, in the units chosen, are those of `forkwright ride`; each has its meaning and source; axe is
    content."""
    page = visit("/ride")
    on_the_yard(page, tmp_path)
    printed = command_line(
        "ride", str(DEMO / "dunlin-160.toml"), "--course", str(tmp_path / "yard.toml"),
        "--rider", str(DEMO / "rider.toml"), "--bike", str(DEMO / "bike.toml"),
    )  # fmt: skip
    assert score(page, "riding_sag_m") == f"{printed['riding_sag_m'] * 1e3:.1f}"
    expect(page.locator("[data-score=riding_sag_m] th")).to_have_text("Riding sag mm")
    assert score(page, "greatest_travel_m") == f"{printed['greatest_travel_m'] * 1e3:.1f}"
    assert score(page, "tyre_load_variation") == f"{printed['tyre_load_variation'] * 1e2:.1f}"
    assert score(page, "hand_acceleration_m_s2") == f"{printed['hand_acceleration_m_s2']:.2f}"
    expect(page.locator("[data-meaning=hand_acceleration_m_s2]")).to_contain_text("ISO 5349-1:2001")
    expect(page.locator("#energy")).to_contain_text("the damper took")
    expect(page.locator("#ride-warnings li")).to_have_text(printed["warnings"])
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Scores as CSV").click()
    waiting.value.save_as(tmp_path / "scores.csv")
    told = dict(csv.reader((tmp_path / "scores.csv").read_text(encoding="utf-8").splitlines()))
    assert float(told["tyre_load_variation"]) == printed["tyre_load_variation"]
    assert Axe().run(page).response["violations"] == []
    page.get_by_role("button", name="Units").click()
    page.locator("#units-dialog").get_by_label("in", exact=True).check(force=True)
    page.keyboard.press("Escape")
    answered(page)
    assert score(page, "riding_sag_m") == f"{printed['riding_sag_m'] / 0.0254:.3f}"


def test_the_picture_is_the_computed_ride(visit: Visit, tmp_path: Path) -> None:
    """At a hit the drawn fork is as short as the travel says, at the bike's head angle, to scale."""
    page = visit("/ride")
    on_the_yard(page, tmp_path)
    page.locator("#hits button").first.click()
    expect(page.locator("#moment-read")).not_to_have_text("0.00 s")
    travel = float(page.locator(".trail-readings dd").first.inner_text().split()[0]) / 1e3
    hit = float(page.locator("#hits li").first.inner_text().split()[0]) / 1e3
    assert travel == pytest.approx(hit, abs=0.6e-3)  # points 8 ms apart, straight lines between
    scale = 1000 / 3.5  # drawing units a metre
    axle, crown = end(page, ".axle", "cx", "cy"), end(page, ".head-tube", "x1", "y1")
    assert math.dist(axle, crown) / scale == pytest.approx(0.566 - travel, abs=1e-4)
    lean = math.degrees(math.atan2(axle[1] - crown[1], axle[0] - crown[0]))
    assert lean == pytest.approx(64.5, abs=0.05)
    lowers = math.dist(end(page, ".lowers", "x1", "y1"), end(page, ".lowers", "x2", "y2"))
    assert lowers / scale == pytest.approx(0.235 + 0.150, abs=1e-4)


def test_it_plays_pauses_and_is_scrubbed_by_keys(visit: Visit, tmp_path: Path) -> None:
    """Playing moves the wheel along, Space pauses; arrows go by hundredths of a second, buttons by hits."""
    page = visit("/ride")
    on_the_yard(page, tmp_path)
    moment = page.get_by_label("Moment of the ride")
    place = page.locator(".trail-readings dd").nth(4)
    expect(place).to_have_text("0.0 m")
    page.get_by_label("Speed of playing").select_option(label="as ridden")
    page.get_by_role("button", name="Play").click()
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    expect(place).not_to_have_text(re.compile(r"^0\.\d m$"), timeout=15_000)
    moment.focus()
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    page.keyboard.press("Home")
    expect(moment).to_have_attribute("aria-valuetext", re.compile(r"^0\.00 s, travel [\d.]+ mm$"))
    page.keyboard.press("ArrowRight")
    expect(page.locator("#moment-read")).to_have_text("0.01 s")
    page.keyboard.press("PageUp")
    expect(page.locator("#moment-read")).to_have_text("1.01 s")
    before = page.locator("#scenes .wheel-spokes").get_attribute("transform")
    page.get_by_role("button", name="Next hit").click()
    expect(page.locator("#moment-read")).not_to_have_text("1.01 s")
    assert page.locator("#scenes .wheel-spokes").get_attribute("transform") != before
    reached = page.locator("#moment-read").inner_text()
    page.get_by_role("button", name="Next hit").click()
    expect(page.locator("#moment-read")).not_to_have_text(reached)
    page.get_by_role("button", name="Hit before").click()
    expect(page.locator("#moment-read")).to_have_text(reached)


def test_two_settings_stand_beside_each_other(visit: Visit, tmp_path: Path) -> None:
    """A second setting moves on the same time line, its differences beside it; the bench can take it."""
    page = visit("/ride")
    on_the_yard(page, tmp_path)
    page.get_by_label("Ride another setting beside it").check()
    expect(page.locator("#scenes .scene")).to_have_count(2)
    answered(page)
    assert score(page, "riding_sag_m", 2) == "alike"
    softer = page.get_by_role("group", name="Setting of B").get_by_label("Air pressure", exact=True)
    softer.focus()
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")
    expect(softer).to_have_attribute("aria-valuetext", "65.0 psi")
    expect(page.locator("#ride-words-list li").first).to_contain_text("B rides deeper by", timeout=30_000)
    answered(page)
    a, b, by = (float(score(page, "riding_sag_m", column)) for column in range(3))
    assert by == pytest.approx(b - a, abs=0.11)
    expect(page.locator("#a-setting-pressure")).to_have_attribute("aria-valuetext", "85.0 psi")
    assert Axe().run(page).response["violations"] == []
    page.get_by_role("button", name="Put B on the bench").click()
    expect(page.locator("#a-setting-pressure")).to_have_attribute("aria-valuetext", "65.0 psi")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#a-setting-pressure")).to_have_attribute("aria-valuetext", "85.0 psi")
    page.reload()
    answered(page)
    expect(page.locator("#scenes .scene")).to_have_count(2)


def test_less_motion_means_stills(browser: Browser, address: str) -> None:
    """Where the system asks for less motion, playing shows a still twice a second and says so."""
    context = browser.new_context(reduced_motion="reduce", viewport={"width": 1024, "height": 768})
    page = context.new_page()
    page.goto(f"{address}/ride")
    answered(page)
    expect(page.locator("#calm")).to_be_visible()
    page.get_by_label("Speed of playing").select_option(label="as ridden")
    page.evaluate(WATCH)
    page.get_by_role("button", name="Play").click()
    expect(page.locator("#moment-read")).to_have_text(re.compile(r"[1-9]\d*\.\d0 s"), timeout=15_000)
    page.get_by_role("button", name="Pause").click()
    assert page.evaluate("window.seen")[:2] == ["0.50 s", "1.00 s"]
    context.close()


@pytest.mark.slow
def test_a_measured_profile_and_a_wrong_one(visit: Visit, tmp_path: Path) -> None:
    """A CSV is ridden at the speed typed and kept; a wrong one is refused by file and line."""
    page = visit("/ride")
    answered(page)
    good, bad = tmp_path / "run.csv", tmp_path / "bad.csv"
    rows = "".join(f"{at / 50},{0.02 * math.sin(at / 20):.5f}\n" for at in range(1000))
    good.write_text(f"distance_m,elevation_m\n{rows}", encoding="utf-8")
    bad.write_text("distance_m,elevation_m\n1,0\n0.5,0\n", encoding="utf-8")
    page.get_by_label("Add a course").set_input_files(bad)
    expect(page.locator("#notices")).to_contain_text("bad.csv, line 3: distance_m: distances must grow")
    page.get_by_label("Add a course").set_input_files(good)
    expect(page.locator("#course-facts")).to_contain_text("at 6.00 m/s")
    page.get_by_label("Riding speed").fill("4 m/s")
    page.get_by_label("Riding speed").press("Tab")
    expect(page.locator("#course-facts")).to_contain_text("at 4.00 m/s")
    answered(page)
    page.reload()
    answered(page)
    expect(page.locator("#course option:checked")).to_have_text("run")
    expect(page.locator("#course-facts")).to_contain_text("at 4.00 m/s")


@pytest.mark.slow
def test_a_damping_table_takes_the_dampers_place(visit: Visit, tmp_path: Path) -> None:
    """It is kept over a reload until it is taken away; a wrong one is refused by file and line."""
    page = visit("/ride")
    answered(page)
    page.get_by_text("Tyre, rider and oil").click()
    told = page.locator("#ride-words-list").inner_text()
    for name, rows in (("bad.csv", "1,a\n"), ("soft.csv", "-2,-300\n0,0\n2,400\n")):
        (tmp_path / name).write_text(f"speed_m_s,force_N\n{rows}", encoding="utf-8")
    page.get_by_label("Damping from a table").set_input_files(tmp_path / "bad.csv")
    expect(page.locator("#ride-fault")).to_contain_text("bad.csv, line 2: not a pair of numbers")
    page.get_by_label("Damping from a table").set_input_files(tmp_path / "soft.csv")
    expect(page.locator("#ride-words-list")).not_to_have_text(told, use_inner_text=True)
    assert Axe().run(page).response["violations"] == []
    page.reload()
    answered(page)
    expect(page.locator("#damping-said")).to_contain_text("soft.csv")
    page.get_by_text("Tyre, rider and oil").click()
    page.get_by_role("button", name="Damper of the file again").click()
    expect(page.locator("#ride-words-list")).to_have_text(told, use_inner_text=True)


@pytest.mark.slow
def test_a_sweep_is_ridden_sorted_and_taken_as_b(visit: Visit, tmp_path: Path) -> None:
    """Ranges are ridden as a job; rows are sorted by a score; files are offered; a row becomes B."""
    page = visit("/ride")
    on_the_yard(page, tmp_path)
    rebound = page.locator("[data-entry=rebound]")
    rebound.get_by_role("checkbox").check()
    rebound.get_by_label("Rebound: from").fill("3")
    rebound.get_by_label("Rebound: to").fill("5")
    rebound.get_by_label("Rebound: step").fill("2")
    expect(page.locator("#sweep-count")).to_contain_text("10 settings")
    page.get_by_role("button", name="Ride them all").click()
    rows = page.locator("#sweep-table tbody tr")
    expect(rows).to_have_count(10, timeout=60_000)
    page.get_by_role("button", name="Riding sag").click()
    sags = page.locator("#sweep-table tbody td:nth-child(3)").all_inner_texts()
    assert sags == sorted(sags, key=lambda text: float(text.split()[0]))
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Parquet").click()
    waiting.value.save_as(tmp_path / "sweep.parquet")
    assert (tmp_path / "sweep.parquet").read_bytes()[:4] == b"PAR1"
    assert Axe().run(page).response["violations"] == []
    deepest = rows.nth(9)
    pressure = deepest.locator("th").inner_text().split(",")[0].removeprefix("pressure ")
    deepest.get_by_role("button", name=re.compile("Set against A")).click()
    answered(page)
    expect(page.locator("#scenes .scene").nth(1)).to_contain_text(pressure)
    page.locator("#sweep-ways label", has_text="spread").click()
    page.get_by_label("How many settings").fill("none")
    page.get_by_role("button", name="Ride them all").click()
    expect(page.locator("#sweep-fault")).to_contain_text("count")
    page.get_by_label("How many settings").fill("3")
    page.get_by_role("button", name="Ride them all").click()
    expect(rows).to_have_count(3, timeout=60_000)
    assert Axe().run(page).response["violations"] == []


@pytest.mark.slow
def test_a_ride_is_cancelled_and_another_begun(visit: Visit, tmp_path: Path) -> None:
    """A long ride shows how far it is and stops when asked; the page goes on with the next."""
    page = visit("/ride")
    answered(page)
    text = (
        YARD.replace("30 m", "3000 m")
        .replace("28 m", "2990 m")
        .replace("6 m/s", "3 m/s")
        .replace("Yard", "Far")
    )
    path = tmp_path / "far.toml"
    path.write_text(text, encoding="utf-8")
    page.get_by_label("Add a course").set_input_files(path)
    expect(page.locator("#job progress")).to_be_visible(timeout=15_000)
    page.get_by_role("button", name="Cancel").click()
    expect(page.locator("#job")).to_be_hidden()
    page.get_by_label("Course", exact=True).select_option(label="Heather traverse")
    answered(page)
